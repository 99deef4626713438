"""Urgency by rule: what stops a point, what is watched, and what can never calm it down."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diag.answers import collect
from diag.case.model import DEGREES, Case
from diag.circumstances import establish
from diag.compute import compute
from diag.findings import Urgency
from diag.knowledgebase import load
from diag.limits import upper_limits
from diag.urgency import CLIMBING, HOT, LEVELS, SETTLED, judge
from tests.tiny import case

K = load()
SIGNS = sorted(K.signs)
URGENT = sorted(s for s, o in K.signs.items() if o.urgency)
STOP_NOW = sorted(s for s, o in K.signs.items() if o.urgency == "stop_now")


def judged(built: Case) -> Urgency:
    computed = compute(built, K)[0]
    return judge(built, collect(built, K), establish(built, computed, K), computed, K)


def level(**fields: Any) -> str:
    return judged(case(**fields)).level


def rank(built: Case) -> int:
    return LEVELS.index(judged(built).level)


def test_the_conditions_the_rules_ask_for_exist() -> None:
    assert {HOT, CLIMBING, SETTLED} <= set(K.conditions)


def test_smoke_grinding_a_moved_shaft_and_climbing_heat_are_marked_in_the_knowledge() -> None:
    assert {"smoke_or_burnt_smell", "grinding_or_banging", "ring_turning_or_shaft_moved",
            "climbing_after_hours"} <= set(STOP_NOW)


@pytest.mark.parametrize("sign", STOP_NOW)
@pytest.mark.parametrize("degree", ["yes", "probably"])
def test_such_a_sign_stops_it(sign: str, degree: str) -> None:
    assert level(seen={sign: degree}) == "stop_now"
    assert level(seen={sign: "no"}) == "run_on"


def test_nothing_known_runs_on_and_says_when_to_stop() -> None:
    found = judged(case())
    assert (found.level, found.look_again_h) == ("run_on", None)
    assert [(s.reading, s.limit) for s in found.stop_if] == [
        ("temperature of the point (bearing ring of the standard kind)", 120.0),
        ("rise over its own usual temperature", 28.0)]
    assert all(s.source for s in found.stop_if)


@pytest.mark.parametrize(("fields", "expected"), [
    ({"point": {"running_temperature": 121.0}}, "stop_now"),
    ({"point": {"running_temperature": 119.0}}, "stop_soon"),
    ({"point": {"running_temperature": 101.0, "seal": {"material": "nbr"}}}, "stop_now"),
    ({"point": {"running_temperature": 111.0}, "grease": {"thickener": "lithium"}}, "stop_now"),
    ({"point": {"running_temperature": 111.0}, "grease": {"thickener": "lithium", "highest_temperature": 130.0}},
     "stop_soon"),
    ({"point": {"running_temperature": 85.0}, "grease": {"dropping_point": 130.0}}, "stop_now"),
    ({"point": {"running_temperature": 75.0}}, "watch"),
    ({"point": {"running_temperature": 75.0, "usual_temperature": 74.0}}, "run_on"),
    ({"point": {"running_temperature": 95.0, "exposure": ("radiant_heat",)}}, "run_on"),
    ({"point": {"running_temperature": 65.0}}, "run_on"),
    ({"point": {"running_temperature": 90.0, "usual_temperature": 60.0}}, "stop_now"),
    ({"measured": {"temperature_rise": 29.0}}, "stop_now"),
    ({"measured": {"temperature_rise": 12.0}}, "watch"),
    ({"measured": {"ultrasound_rise": 36.0}}, "stop_now"),
    ({"measured": {"vibration_velocity": 8.0}}, "stop_soon"),
    ({"complaint": "hot", "point": {"exposure": ("explosive_atmosphere",)}}, "stop_now"),
    ({"complaint": "leaking", "point": {"exposure": ("explosive_atmosphere",)}}, "watch"),
    ({"complaint": "hot"}, "watch"), ({"complaint": "planning"}, "run_on"), ({"complaint": "failed"}, "stop_now"),
    ({"complaint": "noisy", "point": {"safety_critical": True}}, "stop_soon"),
    ({"seen": {"stepped_up_and_stayed": "yes"}, "regreasing": {"since_last": 7.0}}, "watch"),
    ({"seen": {"climbing_after_hours": "probably"}, "regreasing": {"since_last": 7.0}}, "stop_now")])
def test_rules(fields: dict[str, Any], expected: str) -> None:
    assert level(**fields) == expected


def test_the_reason_names_number_and_limit() -> None:
    found = judged(case(point={"running_temperature": 125.0}))
    assert found.why[0] == "125 °C is over 120 °C, the limit of the bearing ring of the standard kind"


def test_general_words_are_spared_where_a_reason_speaks() -> None:
    assert judged(case(complaint="leaking")).why == ("it is leaking: watch it until the cause is found",)
    shaking = judged(case(complaint="leaking", measured={"vibration_velocity": 5.0})).why
    assert "5 mm/s is over 4.5 (r.m.s. velocity of the housing)" in shaking
    assert not any("it is leaking" in why for why in shaking)


def test_a_fresh_rise_may_be_normal_and_is_watched_with_a_limit_and_a_time() -> None:
    built = case(complaint="hot", regreasing={"since_last": 3.0}, seen={"rise_levelled_and_falls": "yes"})
    found = judged(built)
    assert (found.level, found.look_again_h) == ("watch", 4.0)
    assert any("greased within a day" in why for why in found.why)
    limits = {s.reading: s.limit for s in found.stop_if}
    assert limits["hours after greasing with the temperature still climbing"] == 6.0


@pytest.mark.parametrize("fields", [
    {"regreasing": {"since_last": 30.0}}, {"regreasing": {"since_last": 3.0}, "seen": {"climbing_after_hours": "yes"}},
    {"regreasing": {"since_last": 3.0}, "point": {"running_temperature": 125.0}}])
def test_otherwise_it_is_not_called_normal(fields: dict[str, Any]) -> None:
    assert not any("a rise is normal" in why for why in judged(case(complaint="hot", **fields)).why)


def test_limits_come_lowest_first() -> None:
    built = case(point={"seal": {"material": "polyurethane"}}, grease={"thickener": "lithium", "base_oil": "mineral"})
    assert [limit.value for limit in upper_limits(built, K)] == [80.0, 100.0, 110.0, 120.0]
    assert upper_limits(case(point={"kind": "slideway"}), K) == ()


SEEN = st.dictionaries(st.sampled_from(SIGNS), st.sampled_from(DEGREES), max_size=6)


@st.composite
def cases(draw: st.DrawFn) -> Case:
    temperature = st.none() | st.floats(-20, 160)
    point = {"kind": draw(st.sampled_from(["rolling_bearing", "pin_bushing", "slideway"])),
             "running_temperature": draw(temperature), "usual_temperature": draw(temperature),
             "exposure": draw(st.sampled_from([(), ("dust",), ("explosive_atmosphere",), ("radiant_heat",)])),
             "safety_critical": draw(st.sampled_from([None, True, False])),
             "seal": {"material": draw(st.sampled_from([None, "nbr", "fkm"]))}}
    return case(point=point, seen=draw(SEEN), regreasing={"since_last": draw(st.none() | st.floats(0, 50))},
                complaint=draw(st.sampled_from([None, "hot", "noisy", "leaking", "planning"])),
                measured=draw(st.dictionaries(st.just("temperature_rise"), st.floats(-20, 50), max_size=1)))


@settings(max_examples=100, deadline=None)
@given(cases(), st.sampled_from(URGENT), st.sampled_from(["yes", "probably"]))
def test_one_more_urgent_sign_never_calms_it(built: Case, sign: str, degree: str) -> None:
    before = {s: d for s, d in built.seen.items() if s != sign}
    more = replace(built, seen={**before, sign: degree})
    assert rank(more) >= rank(replace(built, seen=before))


@settings(max_examples=80, deadline=None)
@given(cases(), st.sampled_from(SIGNS))
def test_an_unknown_never_changes_it(built: Case, sign: str) -> None:
    before = {s: d for s, d in built.seen.items() if s != sign}
    assert judged(replace(built, seen={**before, sign: "unknown"})) == judged(replace(built, seen=before))


@settings(max_examples=60, deadline=None)
@given(cases())
def test_smoke_always_stops_it(built: Case) -> None:
    assert judged(replace(built, seen={**built.seen, "smoke_or_burnt_smell": "yes"})).level == "stop_now"


@settings(max_examples=60, deadline=None)
@given(cases(), st.floats(0, 60))
def test_hotter_is_never_less_urgent(built: Case, more: float) -> None:
    warm = replace(built, measured={}, point=replace(built.point, running_temperature=60.0))
    hotter = replace(warm, point=replace(warm.point, running_temperature=60.0 + more))
    assert rank(hotter) >= rank(warm)


@settings(max_examples=60, deadline=None)
@given(cases())
def test_a_watched_point_always_has_a_stop_limit_and_a_time(built: Case) -> None:
    found = judged(built)
    assert found.stop_if and found.why
    assert (found.look_again_h is not None) == (found.level in ("watch", "stop_soon"))
