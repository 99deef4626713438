"""The course put into one word and one sentence. The numbers of the trade stand in knowledge/limits.yaml and
knowledge/standards/trend_signs.yaml."""

from __future__ import annotations

from dataclasses import dataclass

from diag.trend.course import Course
from diag.trend.result import Estimate, Verdict

__all__ = ["Rules", "judge", "sentence"]


@dataclass(frozen=True)
class Rules:
    """Thresholds, from the knowledge: hours after greasing, K, days."""

    steady_by_h: float  # a normal rise is steady by then
    back_by_h: float  # and back near the old value by then
    least_rise: float  # K; less is no rise
    least_climb: float  # K over the last hours; less is level
    start_over_surroundings: float  # K; a point as cool as that before a found rise stood still
    start_below: float  # °C; the same where the surroundings weren't logged
    creep_days: float
    creep_rise: float  # K over the whole log


def judge(course: Course, drift: Estimate | None, days: float, event: bool, wander: float, rules: Rules) -> Verdict:
    """One word for the course; `drift` in K/day over the whole log counts only without an event.

    `wander` [K] is how far the temperature strays slowly for no reason in sight: less than three times that is nothing.
    """
    if not event:
        return _without_event(course, drift, days, wander, rules)
    if course.highest_rise < max(rules.least_rise, 3 * wander):
        return "no_rise" if course.hours_after >= rules.steady_by_h else "too_early"
    if _climbs(course, wander, rules) and course.rise_now >= 0.8 * course.highest_rise:
        if course.speeding_up:
            return "runs_away"
        return "climbs_on" if course.hours_after >= rules.steady_by_h else "too_early"
    if course.back_after is not None:
        return "settled" if course.back_after <= rules.back_by_h else "settled_late"
    if _falls(course):
        return "falling"
    if course.hours_after < rules.steady_by_h:
        return "too_early"
    return "level" if course.hours_after <= rules.back_by_h else "stays"


def _climbs(course: Course, wander: float, rules: Rules) -> bool:
    """Surely rising at the end, and by more than a settling curve leaves over."""
    climb = course.climb_now
    if climb is None or climb.low <= 0:
        return False
    return climb.value * course.climb_hours >= max(rules.least_climb, 3 * wander, 0.1 * course.highest_rise)


def _falls(course: Course) -> bool:
    climb = course.climb_now
    return course.rise_now < 0.7 * course.highest_rise or (
        climb is not None and climb.high < 0 and course.rise_now < 0.9 * course.highest_rise)


def _without_event(course: Course, drift: Estimate | None, days: float, wander: float, rules: Rules) -> Verdict:
    if course.speeding_up and _climbs(course, wander, rules):
        return "runs_away"
    if drift is not None and abs(drift.value) * days >= max(rules.creep_rise, 3 * wander):
        if drift.low > 0:
            return "creeps_up" if days >= rules.creep_days else "drifts_up"
        if drift.high < 0:
            return "drifts_down"
    if _climbs(course, wander, rules):
        return "drifts_up"
    return "steady_for_weeks" if days >= 2 * rules.creep_days else "steady"


def sentence(verdict: Verdict, course: Course, days: float) -> str:
    """What the word means here, without temperatures, which the page shows in the reader's unit."""
    after, back, top = course.hours_after, course.back_after or 0.0, course.level_after
    return {
        "settled": f"It rose after the event, levelled off and was back near its old value {back:.0f} h later: it "
                   "settles within a day, as after a normal regreasing.",
        "settled_late": f"It rose, and came back near its old value only {back:.0f} h later: longer than the day that "
                        "a regreasing explains.",
        "falling": f"It rose, was hottest {top:.1f} h after the event and is coming down, {after:.0f} h after it.",
        "level": f"It rose and is level {after:.0f} h after the event; within a day of it, it should come down.",
        "stays": f"It went up and stays up: {after:.0f} h after the event it has not come down. No regreasing "
                 "explains that.",
        "climbs_on": f"It still climbs {after:.0f} h after the event; a normal rise is steady after 3 to 4 h.",
        "runs_away": "It climbs faster and faster: heat that feeds itself.",
        "started": "It rose from cold, as after a start; that says nothing of greasing. Name the greasing with "
                   "--event.",
        "no_rise": "The event left no rise.",
        "too_early": f"The log ends {after:.1f} h after the event: too early to say whether it settles.",
        "creeps_up": f"It creeps up over {days:.0f} days.",
        "drifts_up": f"It drifts up; {24 * days:.0f} hours are too short to call it creeping.",
        "drifts_down": "It drifts down.",
        "steady": "It is steady; no event and no drift to be seen.",
        "steady_for_weeks": f"It has been steady for {days:.0f} days; no event and no drift to be seen.",
    }[verdict]
