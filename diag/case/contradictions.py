"""Values of a case that cannot be true together: one small function a rule.

A rule looks at a whole case and yields what clashes: the key to look at, and what would be right. Strange but
possible things (a grease hotter than its dropping point, say) are no contradiction: they are findings.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

from diag import units
from diag.case.model import Bearing, Case, FeedLine, Grease, Manual, Pin, Slide, Swing

__all__ = ["CHECKS", "Clash", "find"]

_WIDEST = 4.0  # width ÷ outside diameter; drawn-cup needle rollers reach about 1.5 (from memory)
_LARGEST_RATIO = 20.0  # outside ÷ bore; thick rings reach about 4, beyond 20 the unit is wrong (judgement)
_STROKE_SLACK = 2.0  # factor between amount and strokes × grams per stroke that rounding may make


class Clash(NamedTuple):
    """Key path to look at, and what is wrong with what would be right."""

    key: str
    what: str


Check = Callable[[Case], Iterator[Clash]]


def find(case: Case) -> list[Clash]:
    """All contradictions of a case, in the order of the rules."""
    return [clash for check in CHECKS for clash in check(case)]


def bore_not_below_outside(case: Case) -> Iterator[Clash]:
    b = case.point.bearing
    if b.bore is not None and b.outside is not None and b.bore >= b.outside:
        yield Clash("point.bearing.bore", f"{_mm(b.bore)} is not below outside {_mm(b.outside)}; "
                                          "the bore is the smaller one")


def rings_too_thick(case: Case) -> Iterator[Clash]:
    b = case.point.bearing
    if b.bore is not None and b.outside is not None and b.outside > _LARGEST_RATIO * b.bore:
        yield Clash("point.bearing.outside", f"{_mm(b.outside)} is over {_LARGEST_RATIO:g} times the bore "
                                             f"{_mm(b.bore)}; check the units of both")


def width_absurd(case: Case) -> Iterator[Clash]:
    b = case.point.bearing
    if b.width is not None and b.outside is not None and b.width > _WIDEST * b.outside:
        yield Clash("point.bearing.width", f"{_mm(b.width)} is over {_WIDEST:g} times the outside diameter "
                                           f"{_mm(b.outside)}; check the units of both")


def fatigue_limit_not_below_static_rating(case: Case) -> Iterator[Clash]:
    b = case.point.bearing
    if b.fatigue_load_limit and b.static_rating and b.fatigue_load_limit >= b.static_rating:
        yield Clash("point.bearing.fatigue_load_limit",
                    f"{units.show(b.fatigue_load_limit, 'force')} is not below the static rating "
                    f"{units.show(b.static_rating, 'force')}; it is a small share of it, check N and kN")


def surroundings_upside_down(case: Case) -> Iterator[Clash]:
    s = case.point.surroundings
    if s.coldest is not None and s.hottest is not None and s.coldest > s.hottest:
        yield Clash("point.surroundings.coldest", f"{_deg(s.coldest)} is above hottest {_deg(s.hottest)}; "
                                                  "swap the two")


def temperature_range_empty(case: Case) -> Iterator[Clash]:
    for path, part in _ranged(case):
        low, high = part.lowest_temperature, part.highest_temperature
        if low is not None and high is not None and low >= high:
            yield Clash(f"{path}.lowest_temperature",
                        f"{_deg(low)} is not below highest_temperature {_deg(high)}; swap the two")


def viscosity_rises_with_heat(case: Case) -> Iterator[Clash]:
    for path, grease in _greases(case):
        thick, thin = grease.viscosity_40, grease.viscosity_100
        if thick is not None and thin is not None and thin >= thick:
            yield Clash(f"{path}.viscosity_100",
                        f"{units.show(thin, 'viscosity')} is not below viscosity_40 "
                        f"{units.show(thick, 'viscosity')}; oil thins with heat")


def used_above_dropping_point(case: Case) -> Iterator[Clash]:
    for path, grease in _greases(case):
        high, drop = grease.highest_temperature, grease.dropping_point
        if high is not None and drop is not None and high > drop:
            yield Clash(f"{path}.highest_temperature", f"{_deg(high)} is above dropping_point {_deg(drop)}; "
                                                       "a grease works well below it")


def turns_and_swings(case: Case) -> Iterator[Clash]:
    if case.point.speed and case.point.swing != Swing():
        speed = units.show(case.point.speed, "speed")
        yield Clash("point.swing", f"a point that turns at {speed} doesn't swing; give speed or swing")


def parts_of_another_kind(case: Case) -> Iterator[Clash]:
    point = case.point
    sections = (("bearing", point.bearing != Bearing(), "rolling_bearing"),
                ("pin", point.pin != Pin(), "pin_bushing"),
                ("slide", point.slide != Slide(), "slideway"))
    for name, stated, kind in sections:
        if stated and point.kind and point.kind != kind:
            yield Clash(f"point.{name}", f"is for a {kind}, but the point is a {point.kind}; "
                                         f"leave it out or set point.kind to {kind}")


def sealed_for_life_yet_fed(case: Case) -> Iterator[Clash]:
    if case.point.feed != "sealed_for_life":
        return
    for name in ("amount", "every", "since_last", "strokes", "grams_per_stroke"):
        if getattr(case.regreasing, name) is not None:
            yield Clash(f"regreasing.{name}", "a point that is sealed_for_life is never regreased; "
                                              "leave this out or name the real point.feed")
    if case.point.drain == "open":
        yield Clash("point.drain", "a point that is sealed_for_life has no open drain; give none, "
                                   "or name the real point.feed")
    if "regreasing" in case.history.since:
        yield Clash("history.since", "a point that is sealed_for_life is never regreased; leave regreasing "
                                     "out, or name the real point.feed")


def sealed_bearing_regreased(case: Case) -> Iterator[Clash]:
    """Sealed spherical rollers are left alone: many have a groove to be greased through."""
    bearing = case.point.bearing
    if bearing.sealing != "sealed" or bearing.type == "spherical_roller":
        return
    if case.point.feed in ("hand_gun", "lubricator", "central_system"):
        yield Clash("point.feed", "a sealed bearing takes no grease from outside; give sealed_for_life or hand_packed "
                                  "here, or shielded or open as point.bearing.sealing")
    for name in ("amount", "strokes"):
        if getattr(case.regreasing, name) is not None:
            yield Clash(f"regreasing.{name}", "a sealed bearing takes no grease from outside; leave this "
                                              "out, or give shielded or open as point.bearing.sealing")


def feed_line_without_feed(case: Case) -> Iterator[Clash]:
    if case.point.feed in ("hand_packed", "sealed_for_life") and case.point.feed_line != FeedLine():
        yield Clash("point.feed_line", f"a {case.point.feed} point has no feed line; leave it out, "
                                       "or name the real point.feed")


def amount_against_strokes(case: Case) -> Iterator[Clash]:
    r = case.regreasing
    if not (r.amount and r.strokes and r.grams_per_stroke):
        return
    pumped = r.strokes * r.grams_per_stroke
    if max(pumped, r.amount) > _STROKE_SLACK * min(pumped, r.amount):
        amount, stroke, total = (units.show(m, "mass") for m in (r.amount, r.grams_per_stroke, pumped))
        yield Clash("regreasing.amount", f"{amount} is not {r.strokes:g} strokes of {stroke}, which make "
                                         f"{total}; correct one of them")


CHECKS: tuple[Check, ...] = (
    bore_not_below_outside, rings_too_thick, width_absurd, fatigue_limit_not_below_static_rating,
    surroundings_upside_down, temperature_range_empty, viscosity_rises_with_heat, used_above_dropping_point,
    turns_and_swings, parts_of_another_kind, sealed_for_life_yet_fed, sealed_bearing_regreased,
    feed_line_without_feed, amount_against_strokes,
)


def _greases(case: Case) -> tuple[tuple[str, Grease], ...]:
    return ("grease", case.grease), ("earlier_grease", case.earlier_grease)


def _ranged(case: Case) -> tuple[tuple[str, Grease | Manual], ...]:
    return *_greases(case), ("point.manual", case.point.manual)


def _mm(value: float) -> str:
    return units.show(value, "length")


def _deg(value: float) -> str:
    return units.show(value, "temperature", digits=4)
