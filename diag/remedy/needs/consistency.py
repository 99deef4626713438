"""NLGI grade and stability of the body: by feed, cold, shaft and motion."""

from __future__ import annotations

from collections.abc import Iterator

from diag.findings import Requirement
from diag.remedy.needs.duty import Duty, number, require

__all__ = ["LONG_LINE_MM", "needs"]

LONG_LINE_MM = 3000.0  # common practice: from a few metres on, a hand-gun grade is hard to move


def needs(duty: Duty) -> Iterator[Requirement]:
    """The NLGI grades that serve, and worked stability where the point churns or shakes."""
    grades, because = _grades(duty)
    yield require("nlgi", "in", grades, "must", because, "common practice")
    if "vibration" in duty.case.point.exposure:
        yield require("worked_stability", "is", "good", "should",
                      "vibration works the grease soft; ask for prolonged worked penetration or roll stability",
                      "ASTM D217, D1831; common practice")
    if duty.case.point.feed in ("lubricator", "central_system"):
        yield require("oil_separation", "max", 5.0, "should",
                      "under standing pressure a bleeding grease leaves soap in the line",
                      "ASTM D1742, DIN 51817; common practice", "%")


def _grades(duty: Duty) -> tuple[tuple[str, ...], str]:
    point = duty.case.point
    cold = point.surroundings.coldest is not None and point.surroundings.coldest < number(duty, "cold_start_below")
    long_line = (point.feed_line.length or 0) > LONG_LINE_MM
    if point.feed == "central_system" or long_line:
        return (("0", "1") if cold else ("1", "2")), "a long line moves a soft grease only"
    if point.shaft == "vertical" and not cold:
        return ("2", "3"), "on a vertical shaft a soft grease slumps"
    if cold:
        return ("1", "2"), "cold starts: a grade softer than the usual 2 where it gets stiff"
    if duty.rolling and duty.fast:
        return ("2", "3"), "a fast bearing wants a grease that clears the way and stays aside"
    return ("2",), "the usual grade"
