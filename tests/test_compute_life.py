"""Life, heat, film band and grease life of a case: right by published points, with bands, and honest words."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diag.answers import Answers, collect
from diag.case.model import Manual, Surroundings
from diag.circumstances import establish
from diag.compute import compute
from diag.compute.heat import DRAWS, explanation
from diag.findings import CircumstanceFound, Computed
from diag.heat_sign import HOT, graded
from diag.inference.prior import MOST_ESTIMATED
from diag.knowledgebase import load
from tests.tiny import case

K = load()
BEARING = {"type": "deep_groove_ball", "bore": 50.0, "outside": 110.0, "width": 27.0}
RATED = {**BEARING, "dynamic_rating": 62_000.0, "static_rating": 38_000.0}
OIL = {"viscosity_40": 110.0, "viscosity_index": 95.0}
LOADED = {"bearing": RATED, "speed": 1500.0, "running_temperature": 70.0, "load": {"force": 5_000.0}}
WARM = {"bearing": RATED, "speed": 1450.0, "load": {"force": 4_200.0}, "surroundings": Surroundings(hottest=25.0)}


def numbers(**fields: Any) -> dict[str, Computed]:
    return compute(case(**fields), K)[0]


def answered(**fields: Any) -> tuple[Answers, Answers, CircumstanceFound]:
    """The answers before and after the heat is graded, and the circumstance that grades it."""
    built = case(**fields)
    found = establish(built, compute(built, K)[0], K)
    before = collect(built, K)
    return before, graded(before, found, K), found["heat_explained"]


def heat_factor(answers: Answers) -> float:
    """What the answers do to the odds of running hot."""
    true, false = answers.pairs(K, "rolling_bearing")["runs_hot"]
    return true / false


def test_viscosity_ratio_of_the_iso_281_chain() -> None:
    """50 mm bore, 110 mm outside, 1500 rpm, 70 °C, VG 100 of VI 95: κ 2.088 (ISO 281:2007, 9.3.3, worked through)."""
    found = numbers(point=LOADED, grease={"viscosity_40": 100.0, "viscosity_index": 95.0})["viscosity_ratio"]
    assert found.value == pytest.approx(2.0883, rel=2e-3)


def test_basic_life_by_hand() -> None:
    """ISO 281:2007, 5.3: (62 000 / 5 000)³ × 10⁶ / (60 × 1500) = 21 185 h."""
    assert numbers(point=LOADED, grease=OIL)["basic_life"].value == pytest.approx(21_185, rel=1e-4)


def test_the_ratio_has_a_band_of_its_grade_and_index() -> None:
    sure = numbers(point=LOADED, grease=OIL)["viscosity_ratio"]
    family = numbers(point=LOADED, grease={"viscosity_40": 110.0, "base_oil": "pao"})["viscosity_ratio"]
    assert sure.low is not None and sure.high is not None and family.low is not None and family.high is not None
    assert sure.low < sure.value < sure.high  # type: ignore[operator]
    assert sure.high / sure.low < 1.1 / 0.9  # no wider than the grade itself: the oil thins alike
    assert f"{DRAWS} draws" in sure.working
    assert family.high / family.low > sure.high / sure.low


def test_an_oil_at_the_end_of_the_index_has_its_ratio_without_a_band() -> None:
    found = numbers(point=LOADED, grease={"viscosity_40": 6.5, "viscosity_index": 95.0})["viscosity_ratio"]
    assert (found.low, found.high) == (None, None)
    assert found.value < 0.5  # type: ignore[operator]


def test_an_estimated_temperature_widens_the_band_of_the_usual_ratio() -> None:
    stated = numbers(point={**WARM, "usual_temperature": 40.0}, grease=OIL)["viscosity_ratio_usual"]
    drawn = numbers(point=WARM, grease=OIL)["viscosity_ratio_usual"]
    assert stated.low and stated.high and drawn.low and drawn.high
    assert drawn.high / drawn.low > 1.5 * stated.high / stated.low
    assert "of the temperature" in drawn.working


def test_the_wrong_oil_has_its_price_beside_the_life() -> None:
    thin = numbers(point=LOADED, grease={"viscosity_40": 32.0, "viscosity_index": 95.0})["modified_life"]
    right = numbers(point=LOADED, grease=OIL)["modified_life"]
    assert "with the oil that the specification asks for (κ 2)" in thin.working
    assert "no life is lost by the oil" in right.working
    by_manual = numbers(point={**LOADED, "manual": Manual(viscosity_40=100.0)},
                        grease={"viscosity_40": 32.0, "viscosity_index": 95.0})["modified_life"]
    assert "with the oil that the manual asks for (κ 2.1)" in by_manual.working


def test_ep_raises_the_estimate_and_never_the_ratio() -> None:
    """ISO 281:2007, 9.3.3.2: with κ below 1 and e_C of 0.2 or more, proven EP counts as κ = 1."""
    thin = {"viscosity_40": 22.0, "viscosity_index": 95.0}
    point = {**LOADED, "bearing": {**RATED, "sealing": "sealed", "cage": "brass"}, "running_temperature": 85.0}
    bare, ep = (numbers(point=point, grease={**thin, "additives": a}) for a in ((), ("ep",)))
    assert ep["viscosity_ratio"].value == bare["viscosity_ratio"].value
    assert ep["life_factor"].value > bare["life_factor"].value  # type: ignore[operator]
    assert ep["life_factor"].value <= 3.0  # type: ignore[operator]
    assert "may attack the brass cage" in ep["life_factor"].working
    assert "brass" not in bare["life_factor"].working


def test_a_stated_force_needs_no_rating_for_the_heat() -> None:
    point = {**WARM, "bearing": BEARING}
    assert "expected_temperature" in numbers(point=point, grease=OIL)
    assert "expected_temperature" not in numbers(point={**point, "load": {}}, grease=OIL)


def test_fresh_grease_is_in_what_is_explained_but_not_in_the_usual_temperature() -> None:
    point = {**WARM, "running_temperature": 55.0}
    settled, fresh = (case(point=point, grease=OIL, regreasing={"since_last": h}) for h in (500.0, 3.0))
    usual = [compute(c, K)[0]["expected_temperature"] for c in (settled, fresh)]
    assert usual[0].value == usual[1].value
    assert "freshly greased" in usual[1].working and "freshly greased" not in usual[0].working
    explained = [explanation(c, K) for c in (settled, fresh)]
    assert explained[0] is not None and explained[1] is not None
    assert explained[1].high > explained[0].high and explained[1].share_below < explained[0].share_below


def test_grease_life_spans_more_than_one_method() -> None:
    """Booser 1974 (from memory); half of the life is the interval (bearing maker A, 2006); 10 K (bearing maker D)."""
    cool, hot = (numbers(point={**LOADED, "usual_temperature": t}, grease=OIL)["grease_life"] for t in (70.0, 90.0))
    for item in (cool, hot):
        assert item.low is not None and item.high is not None
        assert item.low <= item.value <= item.high and item.low < item.high  # type: ignore[operator]
    assert "twice the handbook interval" in cool.working
    assert "halved each 10 K" in hot.working and "halved each 10 K" not in cool.working
    assert "from memory" in hot.source


def test_oil_that_runs_far_over_its_usual_temperature_ages_faster() -> None:
    """Khonsari and Booser 2003: 10^(4750/(T0 + 273) − 4750/(T + 273)); 60 to 100 °C is a factor of 34."""
    found = numbers(point={**LOADED, "usual_temperature": 60.0, "running_temperature": 100.0}, grease=OIL)
    assert "oil ages 34 times as fast" in found["grease_life"].working


def test_explained_heat_stands_for_the_complaint_and_counts_for_little() -> None:
    before, after, found = answered(point={**WARM, "running_temperature": 33.0}, grease=OIL, complaint="hot")
    assert found.holds is True
    assert heat_factor(before) > 4
    assert 1 / MOST_ESTIMATED <= heat_factor(after) <= MOST_ESTIMATED
    assert "explain" in after.by_sign[HOT].words


def test_unexplained_heat_leaves_the_complaint_as_it_is() -> None:
    before, after, found = answered(point={**WARM, "running_temperature": 95.0}, grease=OIL, complaint="hot")
    assert found.holds is False
    assert heat_factor(after) == pytest.approx(heat_factor(before))


@pytest.mark.parametrize("fields", [{"seen": {"hotter_than_usual": "yes"}}, {"measured": {"temperature_rise": 20.0}}])
def test_what_was_seen_or_measured_at_this_point_goes_before_the_model(fields: dict[str, Any]) -> None:
    before, after, _ = answered(point={**WARM, "running_temperature": 33.0}, grease=OIL, complaint="hot", **fields)
    assert after == before


@settings(max_examples=25, deadline=None)
@given(st.floats(26.0, 120.0), st.floats(0.1, 10.0))
def test_the_graded_heat_has_no_step_and_never_falls(temperature: float, more: float) -> None:
    factors = [heat_factor(answered(point={**WARM, "running_temperature": t}, grease=OIL, complaint="hot")[1])
               for t in (temperature, temperature + more)]
    assert factors[0] <= factors[1] + 1e-9
    assert factors[0] >= 1 / MOST_ESTIMATED - 1e-9
