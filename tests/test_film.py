"""Speed factors, reference viscosity, viscosity ratio, EP rule."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from tribology_checks import agree, function, points

from diag.errors import InputError
from diag.knowledgebase.loader import standard
from diag.tribology import film, speed, viscosity, viscosity_index


def speed_factor_of(bore: float, outside: float, **rest: float) -> float:
    return float(speed.speed_factor(rest["speed"], speed.mean_diameter(bore, outside)))


def branch_step(**at: float) -> float:
    """The slow branch over the fast one where they meet."""
    just_below = np.nextafter(at["speed"], 0)
    return float(film.reference_viscosity(just_below, 100) / film.reference_viscosity(at["speed"], 100))


LOCAL: dict[str, Callable[..., Any]] = {"speed_factor_of": speed_factor_of, "branch_step": branch_step}


def result(check: dict[str, Any]) -> Any:
    fn = LOCAL.get(check["fn"]) or function(check["fn"])
    return fn(**check["inputs"])


@pytest.mark.parametrize("check", points("film", "published"))
def test_agrees_with_published_number(check: dict[str, Any]) -> None:
    agree(result(check), check)


@pytest.mark.parametrize("check", points("film", "computed"))
def test_agrees_with_formula_record(check: dict[str, Any]) -> None:
    agree(result(check), check)


@pytest.mark.parametrize(("kappa", "band"), [
    (0.0999, "below_0.1"), (0.1, "0.1_to_0.4"), (0.4, "0.4_to_1"), (1.0, "1_to_4"), (4.0, "1_to_4"),
    (4.01, "above_4"),
])
def test_band_edges(kappa: float, band: str) -> None:
    assert film.kappa_band(kappa) == band
    assert film.kappa_text(band)


def test_bands_of_an_array() -> None:
    assert film.kappa_band(np.array([0.05, 2.0])).tolist() == ["below_0.1", "1_to_4"]
    assert film.life_applies(np.array([0.05, 2.0])).tolist() == [False, True]


@settings(max_examples=40, deadline=None)
@given(kappa=st.floats(0.5, 4), temperature=st.floats(30, 120), n=st.floats(20, 6000), dm=st.floats(30, 400),
       vi=st.floats(60, 180))
@example(kappa=4.0, temperature=108.0, n=20.0, dm=30.0, vi=60.0)
def test_required_oil_gives_the_wanted_ratio(kappa: float, temperature: float, n: float, dm: float,
                                             vi: float) -> None:
    thickest = viscosity.viscosity_at(temperature, viscosity_index.v40_from_index(5000.0, vi), 5000.0)
    if kappa * film.reference_viscosity(n, dm) > thickest:  # very slow, small and hot: thicker than any oil
        with pytest.raises(InputError, match="no oil for which"):
            film.required_v40_for_kappa(kappa, temperature, n, dm, vi)
        return
    v40 = film.required_v40_for_kappa(kappa, temperature, n, dm, vi)
    thinnest = viscosity_index.v40_from_index(2.0, vi)
    assert v40 >= thinnest * (1 - 1e-9)
    if v40 > 1.02 * thinnest and v40 > 8:
        v100 = viscosity_index.v100_from_index(v40, vi)
        found = film.kappa(viscosity.viscosity_at(temperature, v40, v100), n, dm)
        assert found == pytest.approx(kappa, rel=3e-3)


def test_required_oil_takes_arrays() -> None:
    t = np.array([50.0, 70.0, 90.0])
    many = film.required_v40_for_kappa(1.5, t, 1500, 80)
    assert many.tolist() == pytest.approx([film.required_v40_for_kappa(1.5, x, 1500, 80) for x in t])
    assert np.all(np.diff(many) > 0)


def test_oil_for_three_ratios_agrees_with_formula_record() -> None:
    """50 mm bore, 2000 rpm, 70 °C, n·dm 140 000: κ 1, 2, 3 need 36, 86, 142 mm²/s (VI 95)."""
    found = film.required_v40_for_kappa(np.array([1.0, 2.0, 3.0]), 70, 2000, 70)
    assert found == pytest.approx([36, 86, 142], rel=0.01)


def test_very_fast_bearing_gets_the_thinnest_defined_oil() -> None:
    thinnest = viscosity_index.v40_from_index(2.0, 95)
    assert film.required_v40_for_kappa(1.0, 40, 60000, 30) == pytest.approx(thinnest)


def test_very_slow_bearing_has_no_oil() -> None:
    with pytest.raises(InputError, match="no oil for which"):
        film.required_v40_for_kappa(4.0, 110, 0.05, 100)


@settings(max_examples=60, deadline=None)
@given(kappa=st.floats(0.01, 6), e_c=st.floats(0, 1))
def test_ep_never_lowers_the_ratio(kappa: float, e_c: float) -> None:
    used = film.kappa_with_ep(kappa, e_c)
    assert used >= kappa
    assert used == (1.0 if kappa < 1 and e_c >= 0.2 else kappa)


def test_ep_rule_numbers_are_those_of_the_record() -> None:
    assert film.ep_rule() == (0.2, 1.0, 3.0, 80.0)
    assert standard("iso_281")["ep_rule"]["confidence"] == "cross-checked"


@pytest.mark.parametrize(("call", "words"), [
    (lambda: film.reference_viscosity(0, 80), "speed 0: give above 0 rpm"),
    (lambda: film.kappa(-1, 1000, 80), "viscosity -1: give above 0 mm²/s"),
    (lambda: film.kappa_with_ep(0.5, 1.2), "contamination factor 1.2: give 0 to 1"),
    (lambda: speed.mean_diameter(110, 50), "outside diameter is not above the bore"),
    (lambda: speed.speed_factor(-5, 50), "speed -5: give at least 0 rpm"),
])
def test_out_of_range_says_what_would_be_right(call: Callable[[], Any], words: str) -> None:
    with pytest.raises(InputError) as refusal:
        call()
    assert words in str(refusal.value)
