"""Random whole cases for hypothesis: any mixture that the reader of case files would take."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from hypothesis import strategies as st

from diag import knowledgebase
from diag.case import contradictions
from diag.case.model import (
    ADDITIVES,
    BASE_OILS,
    BEARING_TYPES,
    DEGREES,
    EXPOSURES,
    THICKENERS,
    Bearing,
    Case,
    FeedLine,
    Grease,
    History,
    Load,
    Manual,
    ManualRegreasing,
    Pin,
    Point,
    Regreasing,
    Surroundings,
    Swing,
)

__all__ = ["KINDS", "K", "cases", "greases", "hot_and_greased", "points", "seen", "signs_of"]

K = knowledgebase.load()
KINDS = ("rolling_bearing", "pin_bushing", "slideway")
COMPLAINTS = ("hot", "noisy", "leaking", "stiff", "loose", "failed", "planning")
SINCE = ("regreasing", "changeover", "bearing_change", "overhaul", "wash_down", "long_stop", "welding_or_drive_work",
         "process_change")


def maybe(*values: Any) -> st.SearchStrategy[Any]:
    """One of the values, or not stated."""
    return st.sampled_from((None, *values))


def some(words: tuple[str, ...], most: int = 2) -> st.SearchStrategy[tuple[str, ...]]:
    return st.lists(st.sampled_from(words), max_size=most, unique=True).map(tuple)


greases = st.builds(
    Grease, thickener=maybe(*THICKENERS), base_oil=maybe(*BASE_OILS), nlgi=maybe("0", "1", "2", "3"),
    viscosity_40=maybe(22.0, 68.0, 150.0, 220.0, 460.0), highest_temperature=maybe(90.0, 140.0),
    additives=some(ADDITIVES))
# Sizes stand together: a real bearing of 60 mm bore, or none given.
bearings = st.builds(
    lambda size, **rest: Bearing(**size, **rest),
    size=st.sampled_from(({}, {"bore": 60.0, "outside": 130.0, "width": 31.0})), type=maybe(*BEARING_TYPES),
    sealing=maybe("open", "shielded", "sealed"), dynamic_rating=maybe(80_000.0))
manuals = st.builds(
    Manual, thickener=maybe("lithium", "polyurea", "sodium"), nlgi=maybe("1", "2"), viscosity_40=maybe(100.0, 460.0),
    additives=some(ADDITIVES, 1),
    regreasing=st.builds(ManualRegreasing, amount=maybe(5.0, 200.0), every=maybe(100.0, 20_000.0)))


def points(kind: str) -> st.SearchStrategy[Point]:
    rolling = kind == "rolling_bearing"
    return st.builds(
        Point, kind=st.just(kind), bearing=bearings if rolling else st.just(Bearing()),
        pin=st.builds(Pin, diameter=maybe(80.0), length=maybe(120.0)) if kind == "pin_bushing" else st.just(Pin()),
        speed=maybe(30.0, 1475.0, 3000.0) if rolling else st.none(),
        swing=st.just(Swing()) if kind != "pin_bushing" else st.builds(Swing, angle=maybe(40.0), rate=maybe(6.0)),
        load=st.builds(Load, level=maybe("light", "normal", "heavy", "shock"), force=maybe(4000.0)),
        running_temperature=maybe(45.0, 75.0, 98.0, 130.0), usual_temperature=maybe(45.0, 70.0),
        surroundings=st.builds(Surroundings, coldest=maybe(-20.0, 5.0), hottest=maybe(35.0)),
        shaft=maybe("horizontal", "vertical"), exposure=some(EXPOSURES), safety_critical=maybe(True, False),
        drive=maybe("direct", "belt", "inverter"), drain=maybe("open", "closed", "none"),
        feed=maybe("hand_gun", "lubricator", "central_system", "hand_packed", "sealed_for_life"),
        feed_line=st.builds(FeedLine, length=maybe(2000.0), bore=maybe(4.0)), manual=manuals)


def signs_of(kind: str) -> tuple[str, ...]:
    """Signs that can be seen at a point of this kind."""
    return tuple(s for s, o in K.signs.items() if kind in o.kinds and kind in K.conditions[o.condition].kinds
                 and kind in K.questions[K.question_of[s]].kinds)


def seen(kind: str, most: int = 6) -> st.SearchStrategy[dict[str, Any]]:
    return st.dictionaries(st.sampled_from(signs_of(kind)), st.sampled_from(DEGREES), max_size=most)


def _of_kind(kind: str) -> st.SearchStrategy[Case]:
    return st.builds(
        Case, complaint=maybe(*COMPLAINTS), point=points(kind), grease=st.one_of(st.just(Grease()), greases),
        earlier_grease=st.one_of(st.just(Grease()), greases),
        regreasing=st.builds(Regreasing, amount=maybe(25.0), every=maybe(1500.0), since_last=maybe(3.0, 700.0)),
        history=st.builds(History, onset=maybe("sudden", "hours", "weeks"), since=some(SINCE)), seen=seen(kind))


cases = st.sampled_from(KINDS).flatmap(_of_kind).filter(lambda case: not contradictions.find(case))


def _hot_and_greased(case: Case) -> Case:
    history = replace(case.history, since=("regreasing",))
    return replace(case, complaint="hot", history=history, point=replace(case.point, drain="closed"))


hot_and_greased = cases.map(_hot_and_greased).filter(lambda case: not contradictions.find(case))
