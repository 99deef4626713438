"""The grease a point must have: sized by duty, the manual kept, never thicker for a fault's heat."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diag.case.model import Bearing, Case, Grease, Load, Manual, Pin, Point, Seal, Surroundings
from diag.findings import Findings, Requirement
from diag.knowledgebase import load
from diag.remedy.merge import merge
from diag.remedy.needs.duty import require
from diag.report.parts.grease import demand as words_of
from diag.review import review
from diag.tribology.film import kappa
from diag.tribology.viscosity import viscosity_at
from diag.tribology.viscosity_index import v100_from_index

KNOWLEDGE = load()
FAN = Point(kind="rolling_bearing", speed=1480.0, usual_temperature=66.0,
            bearing=Bearing(type="deep_groove_ball", bore=60.0, outside=130.0, width=31.0))


def found(point: Point, **more: object) -> Findings:
    return review(Case(point=point, **more), KNOWLEDGE)  # type: ignore[arg-type]


def demand(findings: Findings, property: str, relation: str = "") -> Requirement | None:
    return next((r for r in findings.spec.requirements
                 if r.property == property and relation in ("", r.relation)), None)


@settings(max_examples=25, deadline=None)
@given(speed=st.integers(150, 3000), bore=st.integers(20, 150), usual=st.integers(40, 85))
def test_thinnest_oil_asked_for_gives_a_viscosity_ratio_of_one(speed: int, bore: int, usual: int) -> None:
    bearing = Bearing(type="deep_groove_ball", bore=float(bore), outside=2.0 * bore, width=bore / 2)
    point = replace(FAN, speed=float(speed), usual_temperature=float(usual), bearing=bearing)
    asked = demand(found(point), "viscosity_40")
    assert asked is not None and isinstance(asked.value, tuple)
    low = float(asked.value[0])
    if asked.strength == "must" and low > 10:  # thinner oils have no viscosity index of 95
        ratio = kappa(viscosity_at(usual, low, v100_from_index(low, 95)), speed, 1.5 * bore)
        assert ratio >= 0.98  # the printed figure has three digits


@settings(max_examples=20, deadline=None)
@given(fault=st.integers(70, 150))
def test_a_fault_temperature_never_thickens_the_grease(fault: int) -> None:
    sound = demand(found(FAN), "viscosity_40")
    hot = demand(found(replace(FAN, running_temperature=float(fault)), complaint="hot"), "viscosity_40")
    assert sound is not None and hot is not None
    assert hot.value == sound.value


def test_too_slow_for_any_oil_asks_for_the_thickest_with_ep_and_less_heat() -> None:
    findings = found(replace(FAN, speed=4.0, usual_temperature=150.0))
    asked, ep = demand(findings, "viscosity_40"), demand(findings, "ep")
    assert asked is not None and asked.strength == "should" and asked.value == (900.0, 1000.0)
    assert ep is not None and ep.strength == "must" and "does not lower" in " ".join(ep.because)
    assert any("heat" in words for words in findings.conflicts)


def test_cold_start_bounds_the_oil_from_above() -> None:
    mild = demand(found(FAN), "viscosity_40")
    cold = demand(found(replace(FAN, surroundings=Surroundings(coldest=-34.0))), "viscosity_40")
    assert mild is not None and cold is not None
    assert cold.value[1] < mild.value[1]  # type: ignore[index]
    assert any("-34" in words for words in cold.because)


@pytest.mark.parametrize("coldest", [-60.0, -80.0, -273.0])
@pytest.mark.parametrize("index", [-100.0, None, 500.0])
@pytest.mark.parametrize("kind", ["rolling_bearing", "pin_bushing", "slideway"])
def test_cold_beyond_every_oil_still_gets_an_answer(coldest: float, index: float | None, kind: str) -> None:
    point = Point(kind=kind, surroundings=Surroundings(coldest=coldest))  # type: ignore[arg-type]
    findings = found(point, grease=Grease(viscosity_index=index))
    asked = demand(findings, "viscosity_40")
    assert asked is not None and 0 < asked.value[0] < asked.value[1]  # type: ignore[index, operator]


def test_window_that_the_cold_closes_is_as_wide_as_a_grade() -> None:
    cold = Point(kind="pin_bushing", load=Load(level="heavy"), surroundings=Surroundings(coldest=-20.0))
    low, high = demand(found(cold), "viscosity_40").value  # type: ignore[union-attr, misc]
    assert low == pytest.approx(0.9 * high, rel=0.01)


def test_start_viscosity_lies_between_the_torque_rows_that_pass_and_those_that_fail() -> None:
    table = KNOWLEDGE.standard("cold_start")
    limit = KNOWLEDGE.standard("specification")["start_viscosity_most"]["value"]
    at_start: dict[bool, list[float]] = {True: [], False: []}
    for row in table["rows"]:
        v100 = v100_from_index(row["viscosity_40"], row["viscosity_index"])
        passes = row["start"] <= table["start_torque_most"]["value"] and \
            row["run"] <= table["running_torque_most"]["value"]
        at_start[passes].append(float(viscosity_at(row["at"], row["viscosity_40"], v100)))
    assert limit < max(at_start[True])
    assert limit < min(at_start[False])


def test_colour_is_of_no_account() -> None:
    colour = demand(found(FAN), "colour")
    assert colour is not None
    assert (colour.relation, colour.value, colour.strength) == ("ignore", None, "note")


def test_fast_bearing_wants_neither_solids_nor_tack() -> None:
    findings = found(FAN)
    solids, tack = demand(findings, "solid_lubricant", "avoid"), demand(findings, "tack", "avoid")
    assert solids and tack and tack.value == "yes"
    assert words_of(tack, "metric") == "tack: none"


def test_open_pin_may_have_tack_and_heavy_pin_moly_but_no_film_calculation() -> None:
    pin = Point(kind="pin_bushing", pin=Pin(diameter=80.0, length=100.0), load=Load(level="heavy"))
    findings = found(pin)
    tack, moly, oil = (demand(findings, p) for p in ("tack", "solid_lubricant", "viscosity_40"))
    assert tack is not None and tack.relation == "is" and "no proof of water resistance" in " ".join(tack.because)
    assert moly is not None and moly.value == "moly"
    assert oil is not None and oil.strength == "should" and oil.value == (320.0, 1000.0)


def test_driven_water_asks_for_a_thickener_that_holds_and_never_for_tack() -> None:
    findings = found(replace(FAN, exposure=("wash_down",)))
    serving, avoided = demand(findings, "thickener", "in"), demand(findings, "thickener", "avoid")
    assert serving is not None and "calcium_sulfonate" in serving.value  # type: ignore[operator]
    assert "lithium" not in serving.value  # type: ignore[operator]
    assert avoided is not None and avoided.value == ("sodium",)
    assert demand(findings, "tack", "is") is None


def test_epdm_seal_refuses_mineral_oil() -> None:
    oil = demand(found(replace(FAN, seal=Seal(material="epdm"))), "base_oil_type", "avoid")
    assert oil is not None and oil.strength == "must" and "mineral" in oil.value  # type: ignore[operator]


def test_manual_that_agrees_narrows_ours() -> None:
    asked = demand(found(replace(FAN, manual=Manual(viscosity_40=110.0))), "viscosity_40")
    assert asked is not None and asked.strength == "must"
    assert asked.value == pytest.approx((99.0, 121.0))


def test_manual_that_differs_keeps_its_must_and_the_difference_is_said() -> None:
    findings = found(replace(FAN, speed=60.0, usual_temperature=80.0, manual=Manual(viscosity_40=22.0)))
    both = [r for r in findings.spec.requirements if r.property == "viscosity_40"]
    assert {r.strength for r in both if "manual" in r.source} == {"must"}
    assert {r.strength for r in both if "manual" not in r.source} == {"should"}
    assert any(("manual" in words and "22" in words) or "19.8" in words for words in findings.manual_differences)


def test_ep_never_lowers_the_viscosity_asked_for() -> None:
    with_ep = demand(found(FAN, grease=Grease(additives=("ep",))), "viscosity_40")
    without = demand(found(FAN), "viscosity_40")
    assert with_ep is not None and without is not None and with_ep.value == without.value


def test_merge_draws_together_and_says_what_collides() -> None:
    agreeing, none = merge([require("dropping_point", "min", 180.0, "should", "a", "x"),
                            require("dropping_point", "min", 200.0, "must", "b", "y")])
    assert none == () and agreeing[0].value == 200.0 and agreeing[0].strength == "must"
    assert agreeing[0].because == ("a", "b") and agreeing[0].source == "x; y"
    kept, said = merge([require("nlgi", "in", ("2",), "must", "a gun", "x"),
                        require("nlgi", "in", ("0",), "should", "a long line", "y")])
    assert kept[0].value == ("2",) and len(said) == 1 and "a gun" in said[0] and "a long line" in said[0]


def test_dry_point_too_hot_for_every_soap_is_told_what_stands_it_and_which_oils_do_not() -> None:
    findings = found(replace(FAN, usual_temperature=150.0))
    thickener, oil = demand(findings, "thickener", "in"), demand(findings, "base_oil_type", "avoid")
    assert thickener is not None and thickener.value == ("silica", "ptfe")
    assert oil is not None and oil.strength == "should" and "mineral" in oil.value  # type: ignore[operator]
    assert "pfpe" not in oil.value  # type: ignore[operator]
