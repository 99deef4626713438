"""Rules of advice that may never break, over random cases and beliefs."""

from __future__ import annotations

from dataclasses import replace

import pytest
from changeover_world import K, changeover, must
from hypothesis import given, settings
from hypothesis import strategies as st

from diag.case.model import BASE_OILS, EXPOSURES, THICKENERS, Bearing, Case, Grease, History, Point
from diag.findings import Changeover
from diag.remedy.changeover import LEADS, SWITCHES
from diag.remedy.compatibility import must_strip
from diag.remedy.requirement import compare, from_grease

KINDS = ("rolling_bearing", "pin_bushing", "slideway")
PURGES = ("purge_same", "purge_and_switch")
NEEDS = (must("nlgi", "in", ("2",)), must("viscosity_40", "min", 150.0), must("thickener", "avoid", ("sodium",)))


def maybe(values: tuple[str, ...]) -> st.SearchStrategy[str | None]:
    return st.sampled_from((None, *values))


greases = st.builds(Grease, thickener=maybe(THICKENERS), base_oil=maybe(BASE_OILS), nlgi=maybe(("1", "2")),
                    viscosity_40=st.sampled_from((None, 68.0, 220.0)))
points = st.builds(
    Point, kind=st.sampled_from(KINDS), drain=maybe(("open", "closed", "none")),
    feed=maybe(("hand_gun", "lubricator", "hand_packed", "sealed_for_life")),
    bearing=st.builds(Bearing, sealing=maybe(("open", "shielded", "sealed")), bore=st.sampled_from((None, 60.0)),
                      outside=st.sampled_from((None, 130.0)), width=st.sampled_from((None, 31.0))),
    safety_critical=st.sampled_from((None, False, True)),
    exposure=st.lists(st.sampled_from(EXPOSURES), max_size=2).map(tuple))
cases = st.builds(
    Case, complaint=maybe(("hot", "noisy", "leaking", "failed", "planning")), point=points, grease=greases,
    earlier_grease=st.one_of(st.just(Grease()), greases),
    history=st.builds(History, since=st.lists(st.sampled_from(("regreasing", "changeover")), max_size=2).map(tuple)))
beliefs = st.fixed_dictionaries({
    "causes": st.dictionaries(st.sampled_from(tuple(K.causes)), st.floats(0, 1), min_size=1, max_size=4),
    "conditions": st.dictionaries(st.sampled_from(tuple(K.conditions)), st.floats(0, 1), max_size=3),
    "signs": st.dictionaries(st.sampled_from(tuple(K.signs)), st.sampled_from((None, 0.0, 0.2, 0.8, 1.0)), max_size=3),
    "level": st.sampled_from(("run_on", "watch", "stop_soon", "stop_now")),
})
Beliefs = dict[str, object]
random_cases = settings(max_examples=250, deadline=None)


def advise(case: Case, belief: Beliefs) -> Changeover:
    return changeover(case, needs=NEEDS, **belief)  # type: ignore[arg-type]


@random_cases
@given(cases, beliefs)
def test_no_switch_while_a_mechanical_or_electrical_cause_leads(case: Case, belief: Beliefs) -> None:
    causes: dict[str, float] = belief["causes"]  # type: ignore[assignment]
    most = max(causes.values())
    # Where two are equally likely and one of them is of the machine, it leads with the other.
    leaders = [c for c, p in causes.items() if p == most]
    found = advise(case, belief)
    if most >= LEADS and any(K.remedies[K.causes[c].remedy.class_].not_the_grease for c in leaders):
        assert found.repair_first and found.action not in SWITCHES


@pytest.mark.parametrize("causes", [
    {"overheating_external": 1.0, "additive_attack_on_yellow_metal": 1.0},
    {"additive_attack_on_yellow_metal": 1.0, "overheating_external": 1.0}])
def test_of_two_equal_causes_the_one_no_grease_cures_leads(causes: dict[str, float]) -> None:
    found = changeover(Case(point=Point(kind="rolling_bearing")), needs=NEEDS, causes=causes)
    assert found.repair_first and found.action not in SWITCHES


@random_cases
@given(cases, beliefs)
def test_no_purge_between_greases_that_must_be_stripped(case: Case, belief: Beliefs) -> None:
    found = advise(case, belief)
    met = case.earlier_grease != Grease() or "changeover" in case.history.since
    if met and must_strip(case.earlier_grease, case.grease, K):
        assert found.action not in PURGES


@random_cases
@given(greases, greases, points)
def test_planned_change_to_an_odd_oil_or_from_the_unknown_is_never_a_purge(old: Grease, new: Grease,
                                                                          point: Point) -> None:
    found = changeover(Case(complaint="planning", point=point, grease=new, earlier_grease=old))
    oils, thickeners = {old.base_oil, new.base_oil}, {old.thickener, new.thickener}
    odd = len(oils) > 1 and oils & {"pfpe", "silicone"}
    clash = "clay" in thickeners and thickeners & {"polyurea", "polyurea_conventional"}
    unknown = old.thickener in (None, "other")
    if new != Grease() and (odd or clash or unknown):
        assert found.action not in PURGES


@random_cases
@given(cases, beliefs)
def test_spoilt_part_is_never_kept(case: Case, belief: Beliefs) -> None:
    signs: dict[str, float | None] = belief["signs"]  # type: ignore[assignment]
    spoilt = any(case.point.kind in K.conditions[K.signs[s].condition].bars_keep
                 for s, weight in signs.items() if (weight or 0) >= 0.8)
    if spoilt:
        assert advise(case, belief).action == "replace_part"


@random_cases
@given(cases, beliefs)
def test_unknown_old_grease_counts_as_incompatible(case: Case, belief: Beliefs) -> None:
    unknown = replace(case, grease=Grease(), earlier_grease=Grease())
    found = advise(unknown, belief)
    assert found.action != "purge_and_switch"
    assert found.compatibility.verdict in ("unknown", "incompatible")


@random_cases
@given(cases, beliefs)
def test_grease_that_meets_every_must_stays_in_service(case: Case, belief: Beliefs) -> None:
    case = replace(case, grease=replace(case.grease, thickener="lithium", nlgi="2", viscosity_40=220.0))
    assert all(compare(r, from_grease(case.grease)) == "meets" for r in NEEDS)
    assert advise(case, belief).action not in SWITCHES


@random_cases
@given(cases, beliefs)
def test_no_purge_where_it_cannot_work(case: Case, belief: Beliefs) -> None:
    point = case.point
    if point.drain == "none" or point.feed in ("hand_packed", "sealed_for_life") \
            or point.bearing.sealing in ("sealed", "shielded"):
        assert advise(case, belief).action not in PURGES


@random_cases
@given(cases, beliefs)
def test_hot_after_greasing_with_a_closed_drain_gets_no_grease(case: Case, belief: Beliefs) -> None:
    case = replace(case, complaint="hot", point=replace(case.point, drain="closed"),
                   history=History(since=("regreasing",)))
    found = advise(case, belief)
    assert found.action not in (*PURGES, "adjust_regreasing")
    assert not any(step.startswith(("Push through", "Dose")) for step in found.steps)


@random_cases
@given(cases, beliefs)
def test_smoke_means_stop(case: Case, belief: Beliefs) -> None:
    belief = {**belief, "signs": {"smoke_or_burnt_smell": 1.0}, "level": "stop_now"}
    found = advise(case, belief)
    assert found.steps[0].startswith("Stop")
    assert found.action not in ("keep", "adjust_regreasing", *PURGES) or _restricted(case)


@random_cases
@given(cases, beliefs)
def test_restricted_duty_gets_no_switch_and_no_amount(case: Case, belief: Beliefs) -> None:
    case = replace(case, point=replace(case.point, safety_critical=True))
    found = advise(case, belief)
    assert found.action in ("keep", "wait_and_watch", "replace_part")
    assert any("approved programme" in step for step in found.steps)
    assert not any(step.startswith(("Push through", "Dose", "Fill", "Afterwards")) for step in found.steps)


@random_cases
@given(cases, beliefs)
def test_advice_always_has_reasons_steps_and_donts(case: Case, belief: Beliefs) -> None:
    found = advise(case, belief)
    assert found.why and found.steps and found.never
    assert "feel near turning parts or reach past a guard" in found.never


def _restricted(case: Case) -> bool:
    return case.point.safety_critical is True
