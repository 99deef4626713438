"""What a log tells, field for field as `diag trend --json` prints it. Times in h, temperatures in °C, changes in K."""

from __future__ import annotations

from typing import Literal

from diag.findings import Part

__all__ = ["FOLLOWED", "Column", "Estimate", "Event", "Followed", "Role", "Trend", "TroubleFound", "Verdict"]

Role = Literal["time", "temperature", "surroundings", "load", "speed", "ignored"]
Verdict = Literal["settled", "settled_late", "falling", "level", "stays", "climbs_on", "runs_away", "no_rise",
                  "too_early", "creeps_up", "drifts_up", "drifts_down", "steady",
                 "started", "steady_for_weeks"]

Followed = Literal["load", "surroundings"]
FOLLOWED: tuple[Followed, ...] = ("load", "surroundings")


class Estimate(Part, kw_only=True, frozen=True):
    """A number with its 95 % interval."""

    value: float
    low: float
    high: float
    unit: str


class Column(Part, kw_only=True, frozen=True):
    """One column of the file, what it was taken for, and why."""

    name: str
    role: Role
    unit: str
    how: str


class TroubleFound(Part, kw_only=True, frozen=True):
    """A stretch that was missing or left out: hours from the first reading, length and how many readings."""

    kind: Literal["gap", "drop_out", "flat_line", "spikes", "unreadable"]
    at_h: float
    hours: float
    readings: int
    words: str


class Event(Part, kw_only=True, frozen=True):
    """The regreasing: hours from the first reading; `known` by the person, else found as a step."""

    at_h: float
    known: bool
    words: str


class Trend(Part, kw_only=True, frozen=True):
    """All facts of one log. None: the log can't tell. Rises count from `baseline`, with the swings taken out."""

    schema: int
    file: str
    columns: tuple[Column, ...]
    notes: tuple[str, ...]  # how separator, numbers and time stamps were read
    start: str | None  # time stamp of the first reading
    hours: float
    readings: int
    troubles: tuple[TroubleFound, ...]
    event: Event | None
    baseline: float
    now: float
    highest: float
    highest_rise: float | None
    rise_now: float | None
    hours_after: float | None  # from the event to the last reading
    time_constant: Estimate | None
    fall_constant: Estimate | None
    level_after_h: float | None  # from the event to the highest course
    back_after_h: float | None  # from the event to the fall near the baseline
    drift: Estimate | None  # K/day before the event, or over the whole log
    climb_now: Estimate | None  # K/h over the last 2 to 6 h
    daily_swing: float | None
    load_swing: float | None
    surroundings_swing: float | None
    over_surroundings: float | None
    over_surroundings_before: float | None
    noise: float
    verdict: Verdict
    words: str
    follows: tuple[Followed, ...]
