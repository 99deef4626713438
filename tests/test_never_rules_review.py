"""The rules of advice that may never break, over random whole cases through the one review."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from strategies import KINDS, K, cases, greases, hot_and_greased, signs_of

from diag.case import contradictions
from diag.case.model import Bearing, Case, Grease, History, Point, Swing
from diag.findings import Findings, Requirement
from diag.remedy.requirement import compare, from_grease
from diag.review import review

PURGES = ("purge_same", "purge_and_switch")
SWITCHES = ("purge_and_switch", "strip_clean_and_switch")
RESTRICTED = {"oxygen", "explosive_atmosphere", "drinking_water"}
few = settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
Check = Callable[[Case, Findings], None]
RULES: list[Check] = []


def rule(check: Check) -> Check:
    RULES.append(check)
    return check


def restricted(case: Case) -> bool:
    return case.point.safety_critical is True or bool(RESTRICTED & set(case.point.exposure))


def advised(found: Findings) -> tuple[str, ...]:
    """The action and every action of the cost table."""
    return (found.changeover.action, *(c.action for c in found.changeover.expected_costs))


@rule
def no_switch_while_the_machine_leads(case: Case, found: Findings) -> None:
    best = found.causes[0]
    if best.probability >= 0.3 and K.remedies[K.causes[best.id].remedy.class_].not_the_grease:
        assert found.not_the_grease and found.changeover.repair_first
        assert not set(advised(found)) & set(SWITCHES)


@rule
def a_demand_holds_what_its_relation_says(case: Case, found: Findings) -> None:
    for demand in found.spec.requirements:
        value = demand.value
        if demand.relation in ("min", "max"):
            assert isinstance(value, float | int)
        elif demand.relation == "range":
            assert isinstance(value, tuple) and len(value) == 2 and float(value[0]) <= float(value[1])
        elif demand.relation == "ignore":
            assert value is None
        else:
            assert value and all(isinstance(word, str) for word in (value if isinstance(value, tuple) else (value,)))


@rule
def both_parts_agree_on_repair(case: Case, found: Findings) -> None:
    assert found.not_the_grease == found.changeover.repair_first


@rule
def no_purge_across_odd_oils_or_clay_and_polyurea(case: Case, found: Findings) -> None:
    old, new = case.earlier_grease, case.grease
    if old == Grease() or new == Grease():
        return
    oils, soaps = {old.base_oil, new.base_oil}, {old.thickener, new.thickener}
    odd = len(oils) == 2 and None not in oils and oils & {"pfpe", "silicone"}
    if odd or ("clay" in soaps and soaps & {"polyurea", "polyurea_conventional"}):
        assert not set(advised(found)) & set(PURGES)


@rule
def no_bearing_kept_on_rust_or_pitch_marks(case: Case, found: Findings) -> None:
    bars = {"rust_marks", "marks_at_element_pitch"}
    spoilt = any(d in ("yes", "probably") and K.signs[s].condition in bars for s, d in case.seen.items())
    if case.point.kind == "rolling_bearing" and spoilt:
        assert set(advised(found)) == {"replace_part"}


@rule
def unknown_old_grease_is_not_pushed_through(case: Case, found: Findings) -> None:
    if "changeover" in case.history.since and case.earlier_grease == Grease():
        assert not set(advised(found)) & set(PURGES)
        assert found.changeover.compatibility.verdict in ("unknown", "incompatible")


@rule
def smoke_means_stop(case: Case, found: Findings) -> None:
    if case.seen.get("smoke_or_burnt_smell") in ("yes", "probably"):
        assert found.urgency.level == "stop_now"
        assert restricted(case) or found.changeover.steps[0].startswith("Stop")


@rule
def a_grease_that_meets_every_must_stays(case: Case, found: Findings) -> None:
    musts = [r for r in found.spec.requirements if r.strength == "must"]
    if musts and all(compare(r, from_grease(case.grease)) == "meets" for r in musts):
        assert not set(advised(found)) & set(SWITCHES)


@rule
def no_purge_where_it_cannot_work(case: Case, found: Findings) -> None:
    point = case.point
    if point.drain == "none" or point.feed in ("hand_packed", "sealed_for_life") \
            or point.bearing.sealing in ("sealed", "shielded"):
        assert not set(advised(found)) & set(PURGES)


@rule
def restricted_duty_gets_no_switch_no_interval_and_no_costs(case: Case, found: Findings) -> None:
    if restricted(case):
        assert found.changeover.action in ("keep", "wait_and_watch", "replace_part")
        assert found.changeover.expected_costs == () and found.regrease.interval_h is None
        assert any("approved programme" in step for step in found.changeover.steps)
        assert not any(s.startswith(("Push through", "Dose", "Fill", "Afterwards")) for s in found.changeover.steps)


@rule
def the_list_of_donts_is_never_empty(case: Case, found: Findings) -> None:
    never = found.changeover.never
    assert "feel near turning parts or reach past a guard" in never
    if found.urgency.level == "stop_now":
        assert any("hose or air-blast a hot bearing" in text for text in never)
    if found.changeover.action in ("strip_clean_same", "strip_clean_and_switch", "replace_part"):
        assert any("compressed air" in text for text in never)
    if found.changeover.action in PURGES and case.point.kind == "rolling_bearing":
        assert any("closed drain" in text for text in never)


@rule
def the_choice_has_a_cost_and_its_bands_hold(case: Case, found: Findings) -> None:
    costs = found.changeover.expected_costs
    assert restricted(case) or found.changeover.action in {c.action for c in costs}
    assert all(0 <= c.low <= c.cost <= c.high for c in costs)
    assert [c.cost for c in costs] == sorted(c.cost for c in costs)


@rule
def a_machine_that_must_stop_is_not_left_as_it_is(case: Case, found: Findings) -> None:
    if found.urgency.level == "stop_now" and not restricted(case):
        assert found.changeover.steps[0].startswith("Stop")


@rule
def each_caution_stands_once_and_before_a_step(case: Case, found: Findings) -> None:
    ids = [c.id for c in found.cautions]
    assert len(set(ids)) == len(ids)
    assert all(c.before in found.changeover.steps for c in found.cautions)


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(cases)
def test_no_rule_breaks_in_any_case(case: Case) -> None:
    found = review(case, K)
    for check in RULES:
        check(case, found)


@few
@given(hot_and_greased)
def test_hot_after_greasing_with_a_closed_drain_gets_no_grease(case: Case) -> None:
    found = review(case, K)
    assert not set(advised(found)) & {*PURGES, "adjust_regreasing"}
    assert not any(step.startswith(("Push through", "Dose")) for step in found.changeover.steps)


MACHINE = ("path_skewed", "band_all_round_both_rings", "flutes_seen")


@few
@given(cases, st.sampled_from(MACHINE))
def test_sign_of_the_machine_never_leads_to_another_grease(case: Case, sign: str) -> None:
    assume(case.point.kind == "rolling_bearing")
    case = replace(case, seen={sign: "yes"}, complaint="hot")
    found = review(case, K)
    no_switch_while_the_machine_leads(case, found)
    both_parts_agree_on_repair(case, found)


@few
@given(cases, st.sampled_from([s for s in signs_of("rolling_bearing")
                               if K.signs[s].condition in ("rust_marks", "marks_at_element_pitch")]))
def test_bearing_with_rust_or_pitch_marks_is_replaced(case: Case, sign: str) -> None:
    point = replace(case.point, kind="rolling_bearing")
    case = Case(complaint=case.complaint, point=Point(kind="rolling_bearing", drain=point.drain, feed=point.feed),
                grease=case.grease, seen={sign: "yes"})
    assert review(case, K).changeover.action == "replace_part"


@few
@given(cases)
def test_smoke_stops_any_machine(case: Case) -> None:
    case = replace(case, seen={**case.seen, "smoke_or_burnt_smell": "yes"})
    assume("smoke_or_burnt_smell" in signs_of(case.point.kind))
    found = review(case, K)
    smoke_means_stop(case, found)
    assert restricted(case) or found.changeover.action not in ("keep", "adjust_regreasing", *PURGES)


@few
@given(greases, greases, st.sampled_from(KINDS))
def test_planned_change_across_odd_oils_is_stripped(old: Grease, new: Grease, kind: str) -> None:
    old, new = replace(old, base_oil="pfpe"), replace(new, base_oil="mineral")
    found = review(Case(complaint="planning", point=Point(kind=kind), grease=new, earlier_grease=old), K)  # type: ignore[arg-type]
    assert not set(advised(found)) & set(PURGES)


@few
@given(cases, st.sampled_from(sorted(RESTRICTED)))
def test_duty_under_a_programme_is_left_to_it(case: Case, exposure: str) -> None:
    case = replace(case, point=replace(case.point, exposure=(exposure,)))
    restricted_duty_gets_no_switch_no_interval_and_no_costs(case, review(case, K))


SIZED = Bearing(type="deep_groove_ball", bore=60.0, outside=130.0, width=31.0)


def viscosity(found: Findings) -> list[Requirement]:
    return [r for r in found.spec.requirements if r.property == "viscosity_40"]


@lru_cache
def sized(running: float | None, usual: float, speed: float, additives: tuple[str, ...], force: float) -> Findings:
    point = Point(kind="rolling_bearing", bearing=SIZED, speed=speed, running_temperature=running,
                  usual_temperature=usual)
    return review(Case(complaint="hot", point=replace(point, load=replace(point.load, force=force)), grease=Grease(
        thickener="lithium", base_oil="mineral", viscosity_40=100.0, additives=additives)), K)


@few
@given(st.sampled_from((80.0, 98.0, 115.0)), st.sampled_from((50.0, 65.0)), st.sampled_from((100.0, 1475.0)))
def test_fault_heat_makes_the_wanted_grease_no_thicker(running: float, usual: float, speed: float) -> None:
    hot, calm = sized(running, usual, speed, (), 4000.0), sized(usual, usual, speed, (), 4000.0)
    assert viscosity(hot) and [r.value for r in viscosity(hot)] == [r.value for r in viscosity(calm)]
    ratios = {c.id for c in hot.computed}
    assert {"viscosity_ratio", "viscosity_ratio_usual"} <= ratios  # both are shown


@few
@given(st.sampled_from((50.0, 65.0)), st.sampled_from((100.0, 1475.0)), st.sampled_from((4000.0, 30_000.0)))
def test_ep_never_lowers_the_required_viscosity(usual: float, speed: float, force: float) -> None:
    plain, ep = sized(usual, usual, speed, (), force), sized(usual, usual, speed, ("ep",), force)
    assert viscosity(plain) and [r.value for r in viscosity(plain)] == [r.value for r in viscosity(ep)]


@pytest.mark.parametrize("kind", KINDS)
def test_bare_point_gets_advice_that_changes_nothing(kind: str) -> None:
    found = review(Case(point=Point(kind=kind), history=History()), K)  # type: ignore[arg-type]
    assert found.changeover.action in ("keep", "wait_and_watch")
    assert not contradictions.find(Case(point=Point(kind=kind)))  # type: ignore[arg-type]


def test_surroundings_alone_open_no_joint() -> None:
    pin = Case(point=Point(kind="pin_bushing", exposure=("dust", "outdoors"), swing=Swing(angle=60.0, rate=4.0)))
    assert review(pin, K).changeover.action == "keep"


def test_restricted_duty_in_the_own_words_counts_until_it_is_denied() -> None:
    told = Case(title="passenger hoist drum bearing", complaint="hot", point=Point(kind="rolling_bearing"))
    found = review(told, K)
    assert found.changeover.action not in SWITCHES and found.regrease.interval_h is None
    denied = review(replace(told, point=replace(told.point, safety_critical=False)), K)
    assert not next(c for c in denied.circumstances if c.id == "restricted_duty").holds


def test_a_point_that_must_not_turn_is_not_watched_in_service() -> None:
    hot = Point(kind="rolling_bearing", running_temperature=89.0, usual_temperature=60.0)
    found = review(Case(complaint="hot", point=hot), K)
    assert found.urgency.level == "stop_now" and found.changeover.action == "wait_and_watch"
    assert found.changeover.steps[0].startswith("Stop:")
    assert not any(step.startswith(("Log:", "Watch:")) for step in found.changeover.steps)
