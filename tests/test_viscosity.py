"""Viscosity by temperature, viscosity index, viscosity classes, Saybolt seconds."""

from __future__ import annotations

import importlib.util
import math
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from tribology_checks import agree, function, points

from diag.errors import InputError
from diag.knowledgebase.loader import standard
from diag.tribology import viscosity, viscosity_grades, viscosity_index

INDEX = st.floats(0, 250)
THIN = st.floats(2.1, 200.0)  # mm²/s at 100 °C


def same_oil_at(viscosity: float, temperature_c: float, vi: float, wanted_c: float) -> float:
    """The oil that has a viscosity at one temperature, at another."""
    v40 = viscosity_index.v40_from_viscosity(viscosity, temperature_c, vi)
    return float(function("viscosity.viscosity_at")(wanted_c, v40, viscosity_index.v100_from_index(v40, vi)))


def rounded_index(v40: float, v100: float) -> float:
    return round(viscosity_index.index_from(v40, v100))


def grade_or_none(v40: float) -> str:
    grade = viscosity_grades.grade_of(v40)
    return "none" if grade is None else str(grade.vg)


LOCAL: dict[str, Callable[..., Any]] = {
    "same_oil_at": same_oil_at, "rounded_index": rounded_index, "viscosity_grades.grade_of": grade_or_none,
}


def result(check: dict[str, Any]) -> Any:
    fn = LOCAL.get(check["fn"]) or function(check["fn"])
    return fn(**check["inputs"])


@pytest.mark.parametrize("check", points("viscosity", "published"))
def test_agrees_with_published_number(check: dict[str, Any]) -> None:
    agree(result(check), check)


@pytest.mark.parametrize("check", points("viscosity", "computed"))
def test_agrees_with_formula_record(check: dict[str, Any]) -> None:
    agree(result(check), check)


@pytest.mark.parametrize("check", points("viscosity", "from-memory"))
def test_transcription_of_values_from_memory(check: dict[str, Any]) -> None:
    agree(result(check), check)


def test_d2270_table_has_its_published_shape() -> None:
    rows = np.array(standard("astm_d2270")["rows"])
    assert rows.shape == (16, 7)
    sums = [305.3, 18.84289, 94.3007, -612.064, 5.47893, 114.0848, -439.484]
    assert rows.sum(axis=0) == pytest.approx(sums)
    assert np.all(np.diff(rows[:, 0]) > 0)


def test_grades_are_twenty_each_about_half_as_thick_again() -> None:
    mids = [g.mid for g in viscosity_grades.grades()]
    assert len(mids) == 20
    steps = np.array(mids[1:]) / np.array(mids[:-1])
    assert steps.min() > 1.39
    assert steps.max() < 1.54


def test_nearest_grade_goes_by_ratio() -> None:
    assert viscosity_grades.nearest(121).vg == 100  # 100 × 150 has its middle at 122.5, not at 125
    assert viscosity_grades.nearest(124).vg == 150
    assert [g.vg for g in viscosity_grades.within(40, 110)] == [46, 68, 100]


# --- against other programs -----------------------------------------------------------------------------


@pytest.fixture(scope="module")
def tribology_lubrication() -> ModuleType:
    """The lubrication module of the tribology library by its file: its package imports a camera library."""
    spec = importlib.util.find_spec("tribology")
    assert spec is not None
    assert spec.origin is not None
    path = Path(spec.origin).parent / "lubrication.py"
    own = importlib.util.spec_from_file_location("tribology_lubrication", path)
    assert own is not None
    assert own.loader is not None
    module = importlib.util.module_from_spec(own)
    own.loader.exec_module(module)
    return module


@settings(max_examples=150, deadline=None)
@given(v40=st.floats(8, 3000), share=st.floats(0.06, 0.3), temperature=st.floats(-10, 100))
def test_viscosity_agrees_with_tribology_library(tribology_lubrication: ModuleType, v40: float, share: float,
                                                 temperature: float) -> None:
    v100 = share * v40
    assume(v100 > 2.5)  # below, the library's base-10 correction terms differ from the standard's
    theirs = tribology_lubrication.walther(40, v40, 100, v100, temperature)
    assert viscosity.viscosity_at(temperature, v40, v100) == pytest.approx(theirs, rel=2e-4)


@settings(max_examples=200, deadline=None)
@given(v100=st.floats(2.05, 150), vi=st.floats(-50, 300))
def test_index_agrees_with_chemicals_library(v100: float, vi: float) -> None:
    from chemicals.viscosity import viscosity_index as theirs

    v40 = viscosity_index.v40_from_index(v100, vi)
    assume(v40 > 1.2 * v100)
    # 0.12 % of L and H is up to one point, more only far from 0 and 100
    by_table = theirs(v40 * 1e-6, v100 * 1e-6)
    assert viscosity_index.index_from(v40, v100) == pytest.approx(by_table, abs=1.0, rel=5e-3)


@settings(max_examples=100, deadline=None)
@given(v=st.floats(1.9, 5000))
def test_saybolt_seconds_agree_with_chemicals_library(v: float) -> None:
    from chemicals.viscosity import viscosity_converter

    theirs = viscosity_converter(v * 1e-6, "kinematic viscosity", "saybolt universal", extrapolate=True)
    assert viscosity.cst_to_sus(v, 100) == pytest.approx(theirs, rel=1e-6)


# --- what must hold for any oil -------------------------------------------------------------------------


@settings(max_examples=60, deadline=None)
@given(v100=THIN, vi=INDEX, temperature=st.floats(0, 150), warmer=st.floats(1, 50))
def test_oil_thins_with_heat(v100: float, vi: float, temperature: float, warmer: float) -> None:
    v40 = viscosity_index.v40_from_index(v100, vi)
    assume(v40 > 1.1 * v100)
    cold, hot = viscosity.viscosity_at(np.array([temperature, temperature + warmer]), v40, v100)
    assert hot < cold


@settings(max_examples=60, deadline=None)
@given(v40=st.floats(5, 3000), share=st.floats(0.06, 0.4), temperature=st.floats(-20, 100))
def test_temperature_for_turns_viscosity_at_round(v40: float, share: float, temperature: float) -> None:
    v100 = share * v40
    assume(v100 > 2.5)
    v = viscosity.viscosity_at(temperature, v40, v100)
    assert viscosity.temperature_for(v, v40, v100) == pytest.approx(temperature, abs=0.02)


@settings(max_examples=60, deadline=None)
@given(v100=THIN, vi=INDEX)
def test_index_and_its_inverses_agree(v100: float, vi: float) -> None:
    v40 = viscosity_index.v40_from_index(v100, vi)
    assume(v40 > 1.2 * v100)
    # at the joints of the polynomials H and L step by up to 0.1 %
    assert viscosity_index.v100_from_index(v40, vi) == pytest.approx(v100, rel=2e-3)


@settings(max_examples=40, deadline=None)
@given(v100=st.floats(3, 100), vi=st.floats(20, 200), temperature=st.floats(20, 120))
def test_oil_is_found_from_any_one_viscosity(v100: float, vi: float, temperature: float) -> None:
    v40 = viscosity_index.v40_from_index(v100, vi)
    v = viscosity.viscosity_at(temperature, v40, v100)
    assert viscosity_index.v40_from_viscosity(v, temperature, vi) == pytest.approx(v40, rel=3e-3)


@settings(max_examples=60, deadline=None)
@given(v=st.floats(1.9, 1e5), fahrenheit=st.floats(50, 300))
def test_saybolt_seconds_and_back(v: float, fahrenheit: float) -> None:
    assert viscosity.sus_to_cst(viscosity.cst_to_sus(v, fahrenheit), fahrenheit) == pytest.approx(v, rel=1e-9)


def test_below_two_the_full_form_comes_back_to_its_own_points() -> None:
    # the standard's inverse is itself a fit: its error at 0.9 mm²/s shows how far to trust it
    assert viscosity.viscosity_at(100, 2.4, 0.9) == pytest.approx(0.9, rel=5e-3)


def test_arrays_and_floats_give_the_same() -> None:
    v40, v100, t = np.array([32.0, 460.0]), np.array([5.4, 30.35]), np.array([80.0, 60.0])
    many = viscosity.viscosity_at(t, v40, v100)
    one_by_one = [viscosity.viscosity_at(*one) for one in zip(t, v40, v100, strict=True)]
    assert many.tolist() == pytest.approx(one_by_one, rel=1e-12)
    back = viscosity_index.v100_from_index(v40, np.array([95.0, 95.0]))
    assert back.tolist() == pytest.approx([viscosity_index.v100_from_index(v, 95.0) for v in v40])
    assert type(viscosity.viscosity_at(80, 32, 5.4)) is float


@pytest.mark.parametrize(("call", "words"), [
    (lambda: viscosity.viscosity_at(80, 5.4, 32), "is not below that at 40 °C"),
    (lambda: viscosity.viscosity_at(400, 32, 5.4), "temperature 400: give -70 to 370 °C"),
    (lambda: viscosity.viscosity_at(math.nan, 32, 5.4), "temperature nan: give"),
    (lambda: viscosity.viscosity_at(np.array([20.0, -80.0]), 32, 5.4), "temperature -80: give"),
    (lambda: viscosity_index.index_from(8, 1.9), "viscosity at 100 °C 1.9: give 2 to"),
    (lambda: viscosity_index.v100_from_index(3, 95), "no oil has it with 3 mm²/s at 40 °C"),
    (lambda: viscosity_index.v40_from_viscosity(1e7, 120), "no oil for which a viscosity index is defined"),
    (lambda: viscosity_grades.limits(90), "ISO VG 90: give one of 2, 3, 5"),
    (lambda: viscosity_grades.nearest(0), "viscosity at 40 °C 0: give above 0 mm²/s"),
    (lambda: viscosity.sus_to_cst(20, 100), "Saybolt seconds 20: give 31.95"),
])
def test_out_of_range_says_what_would_be_right(call: Callable[[], Any], words: str) -> None:
    with pytest.raises(InputError) as refusal:
        call()
    assert words in str(refusal.value)


def test_extrapolation_below_freezing_is_flagged() -> None:
    assert viscosity.in_range(np.array([-5.0, 0.0, 60.0])).tolist() == [False, True, True]
