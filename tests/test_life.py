"""Life factor, contamination factor, fatigue load limit, rating life, and what limits it."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tribology_checks import agree, function, points

from diag.case.model import BEARING_TYPES
from diag.errors import InputError
from diag.knowledgebase.loader import standard
from diag.tribology import contamination, film, life

FAMILY = st.sampled_from(life.FAMILIES)
LEVEL = st.sampled_from(contamination.LEVELS)


@pytest.mark.parametrize("check", points("life", "published"))
def test_agrees_with_published_number(check: dict[str, Any]) -> None:
    agree(function(check["fn"])(**check["inputs"]), check)


@pytest.mark.parametrize("check", points("life", "computed"))
def test_agrees_with_formula_record(check: dict[str, Any]) -> None:
    agree(function(check["fn"])(**check["inputs"]), check)


@pytest.mark.parametrize("check", points("life", "from-memory"))
def test_transcription_of_values_from_memory(check: dict[str, Any]) -> None:
    agree(function(check["fn"])(**check["inputs"]), check)


def test_constants_have_their_published_sums() -> None:
    """An accidental edit of the table shows here."""
    table = standard("iso_281")
    bands = table["life_factor"]["bands"]
    assert sum(b["ball_c"] for b in bands) == pytest.approx(6.2623)
    assert sum(b["roller_c"] for b in bands) == pytest.approx(3.8689)
    assert sum(b["m"] for b in bands) == pytest.approx(0.31699)
    rows = table["contamination_grease"]["rows"].values()
    assert sum(r["c1"] for r in rows) == pytest.approx(0.16497)
    assert sum(r["c2"] for r in rows) == pytest.approx(10.4296)
    assert sum(table["reliability"]["rows"].values()) == pytest.approx(3.28)


# --- life factor ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("family", life.FAMILIES)
@pytest.mark.parametrize("edge", [0.4, 1.0])
@pytest.mark.parametrize("x", [0.02, 0.1, 0.3])
def test_bands_join_without_a_step(family: str, edge: float, x: float) -> None:
    """A slipped digit in an exponent (0.019087 for 0.19087 has been printed) breaks this."""
    below, above = life.a_iso(family, np.array([np.nextafter(edge, 0), edge]), x)
    assert below == pytest.approx(above, rel=2e-3)


@settings(max_examples=150, deadline=None)
@given(family=FAMILY, kappa=st.floats(0.1, 4), more=st.floats(1, 3), x=st.floats(0, 5))
def test_thicker_film_never_costs_life(family: str, kappa: float, more: float, x: float) -> None:
    thin, thick = life.a_iso(family, np.array([kappa, kappa * more]), x)
    assert thick >= thin * (1 - 2e-3)  # the joint at 0.4 is a fit
    assert 0.0999 <= thin <= 50


@settings(max_examples=100, deadline=None)
@given(family=FAMILY, kappa=st.floats(0.1, 6), x=st.floats(0, 5), less=st.floats(0, 1))
def test_cleaner_or_lighter_never_costs_life(family: str, kappa: float, x: float, less: float) -> None:
    dirty, clean = life.a_iso(family, kappa, np.array([x * less, x]))
    assert clean >= dirty * (1 - 1e-12)


def test_thrust_roller_constants_are_marked_as_memory() -> None:
    assert [life.a_iso_confidence(f) for f in life.FAMILIES] == [
        "cross-checked", "cross-checked", "verified", "from-memory"]
    assert life.fatigue_limit_confidence("thrust_ball") == "from-memory"


def test_every_bearing_type_of_a_case_has_a_family() -> None:
    assert set(life.FAMILY_OF) == set(BEARING_TYPES)
    assert set(life.FAMILY_OF.values()) == set(life.FAMILIES)


@settings(max_examples=80, deadline=None)
@given(family=FAMILY, kappa=st.floats(0.1, 4), level=LEVEL, dm=st.floats(20, 800), share=st.floats(0.02, 3))
def test_ep_raises_life_to_three_at_most(family: str, kappa: float, level: str, dm: float,
                                         share: float) -> None:
    bare = life.life_factor(family, kappa, level, dm, 1000 * share, 1000)
    helped = life.life_factor(family, kappa, level, dm, 1000 * share, 1000, ep=True)
    assert helped >= bare
    if helped > bare:
        assert helped <= 3
        assert kappa < 1
        assert contamination.contamination_factor(level, kappa, dm) >= 0.2


def test_chain_from_oil_to_hours_agrees_with_formula_record() -> None:
    """Deep groove 50 × 110 × 27 mm, 1500 rpm, 5 kN, 100 mm²/s oil at 70 °C, cleanliness normal."""
    kappa = film.kappa(27.1275, 1500, 80)
    limit = life.fatigue_load_limit("radial_ball", 38000, 80)
    factor = life.life_factor("radial_ball", kappa, "normal", 80, limit, 5000)
    basic = life.basic_life_hours("radial_ball", 65000, 5000, 1500)
    assert factor == pytest.approx(16.153, rel=2e-3)
    assert basic == pytest.approx(24411, rel=1e-3)
    assert life.modified_life_hours(basic, factor) == pytest.approx(394306, rel=3e-3)


# --- contamination --------------------------------------------------------------------------------------


@settings(max_examples=80, deadline=None)
@given(kappa=st.floats(0.05, 6), dm=st.floats(10, 2000))
def test_dirtier_class_never_has_the_higher_factor(kappa: float, dm: float) -> None:
    factors = [contamination.contamination_factor(level, kappa, dm) for level in contamination.LEVELS]
    assert all(0 <= f <= 1 for f in factors)
    assert factors == sorted(factors, reverse=True)


def test_guideline_ranges_follow_each_other() -> None:
    for dm in (60, 100, 400):
        ranges = [contamination.guideline_range(level, dm) for level in contamination.RANGE_LEVELS]
        assert all(worse[1] <= better[0] for better, worse in pairwise(ranges))
    assert contamination.guideline_range("slight", 99.9) == (0.3, 0.5)
    assert contamination.guideline_range("slight", 100) == (0.4, 0.6)


def test_each_class_is_explained() -> None:
    texts = {contamination.level_text(level) for level in contamination.LEVELS}
    assert len(texts) == len(contamination.LEVELS)


# --- what limits, what the wrong oil costs --------------------------------------------------------------


@pytest.mark.parametrize(("kappa", "level", "load", "by"), [
    (0.3, "normal", 5000, "film"),
    (0.05, "severe", 5000, "film"),
    (3.0, "very_severe", 5000, "dirt"),
    (4.0, "high", 20000, "load"),
])
def test_limit_is_what_gains_most(kappa: float, level: str, load: float, by: str) -> None:
    found = life.limiting_factor("radial_ball", kappa, level, 80, 1727, load)
    assert found.by == by
    assert found.gains[by] == max(found.gains.values())
    assert min(found.gains.values()) >= 1 - 1e-12


def test_same_oil_costs_nothing_and_thinner_oil_costs_life() -> None:
    rest = ("normal", 80, 1727, 5000)
    assert life.life_ratio("radial_ball", 1.3, 1.3, *rest) == 1
    shares = life.life_ratio("radial_ball", np.array([0.05, 0.1, 0.5, 1.0]), 2.0, *rest)
    assert shares[0] == shares[1]  # below 0.1 the standard says nothing
    assert np.all(np.diff(shares[1:]) > 0)
    assert shares[-1] < 1


@pytest.mark.parametrize(("call", "words"), [
    (lambda: life.a_iso("radial_ball", 0.05, 0.1), "viscosity ratio 0.05: give at least 0.1"),
    (lambda: life.a_iso("ball", 1, 0.1), "bearing family ball: give one of radial_ball"),
    (lambda: life.basic_life("radial_ball", 0, 100), "dynamic rating 0: give above 0 N"),
    (lambda: life.basic_life_hours("radial_ball", 1000, 100, 0), "speed 0: give above 0 rpm"),
    (lambda: life.reliability_factor(92), "reliability 92: give one of 90, 95"),
    (lambda: life.modified_life_hours(100, 60), "life factor 60: give above 0 to 50"),
    (lambda: contamination.contamination_factor("clean", 1, 60), "cleanliness clean: give one of high"),
])
def test_out_of_range_says_what_would_be_right(call: Callable[[], Any], words: str) -> None:
    with pytest.raises(InputError) as refusal:
        call()
    assert words in str(refusal.value)


def test_heavy_load_is_flagged_as_extrapolation() -> None:
    loads = np.array([10_000.0, 25_000.0, 26_000.0])
    assert life.load_in_range(loads, 50_000).tolist() == [True, True, False]
    assert not life.load_in_range(20_000, 50_000, 15_000)
