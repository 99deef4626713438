"""One log, all facts: the place where the parts of this room meet. Pure."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import msgspec

from diag.knowledgebase import Knowledge
from diag.trend import verdict as verdicts
from diag.trend.clean import clean
from diag.trend.course import course, slope
from diag.trend.event import locate
from diag.trend.grid import Grid, even
from diag.trend.log import Log
from diag.trend.result import FOLLOWED, Estimate, Event, Followed, Trend
from diag.trend.signs import rules_of
from diag.trend.thermal import Fit, best, fit, outer, swings

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Array = npt.NDArray[np.floating[Any]]
else:
    Array = Any

__all__ = ["Worked", "analyse", "work"]

_BEFORE, _AFTER = 72.0, 96.0  # h around the event in which the time constants show
_LONGEST_BEFORE, _LONGEST_AFTER = 14 * 24.0, 30 * 24.0  # h that the course looks at
_AS_GOOD = 4.0  # difference of BIC that tells hardly anything
_FOLLOWS_K = 8.0  # a swing this wide counts as following its cause (judgement)
_FOLLOWS_SHARE = 0.7  # of all that the temperature does outside the event
_HOT_SURROUNDINGS = 40.0  # °C; cooler surroundings are weather, and every point follows them
_LEAST_DRIFT_H = {False: 12.0, True: 36.0}  # by whether a daily swing must be told from the drift

Swings = dict[Any, Array]


@dataclass(frozen=True)
class Worked:
    """The facts with the curves behind them, as the plot needs them."""

    log: Log
    fitted: Grid
    fit: Fit
    grid: Grid
    steady: Array  # °C on `grid`, without what acts from outside
    trend: Trend


def analyse(log: Log, knowledge: Knowledge) -> Trend:
    """All facts of a log as read by `read_log`."""
    return work(log, knowledge).trend


def work(log: Log, knowledge: Knowledge) -> Worked:
    """The facts and the curves. A step found in the log is placed where the whole fit is best."""
    log = clean(log)
    event = locate(log)
    fitted, found, event = _placed(log, event)
    grid = _part(log, event, _LONGEST_BEFORE, _LONGEST_AFTER)
    outside = swings(found, grid)
    steady = grid.temperature - sum(outside.values(), 0.0 * grid.hours)
    trend = _trend(log, grid, found, steady, outside, event, knowledge)
    return Worked(log, fitted, found, grid, steady, trend)


def _part(log: Log, event: Event | None, before: float, after: float) -> Grid:
    end = float(log.hours[-1])
    if event is None:
        return even(log, max(0.0, end - before - after), end)
    return even(log, max(0.0, event.at_h - before), min(end, event.at_h + after))


def _placed(log: Log, event: Event | None) -> tuple[Grid, Fit, Event | None]:
    """The fit, and for an event found in the log its best moment, with the time constant's interval over all
    moments that fit about as well."""
    grid = _part(log, event, _BEFORE, _AFTER)
    if event is None or event.known:
        return grid, fit(grid, event.at_h if event else None), event
    moments = [event.at_h + grid.step * k / 2 for k in range(-8, 9)]
    tried = [(fit(grid, moment), moment) for moment in moments if 0 <= moment < grid.hours[-1]]
    chosen = best([found for found, _ in tried])
    moment = next(moment for found, moment in tried if found is chosen)
    widened = replace(chosen, time_constant=_over_all(chosen, [found for found, _ in tried]))
    return grid, widened, msgspec.structs.replace(event, at_h=moment)


def _over_all(chosen: Fit, tried: list[Fit]) -> Estimate | None:
    """The time constant with an interval that holds those of all fits about as good as the chosen one."""
    if chosen.time_constant is None:
        return None
    limit = chosen.badness(chosen.widening) + _AS_GOOD
    near = [f.time_constant for f in tried if f.time_constant and f.badness(chosen.widening) <= limit]
    return msgspec.structs.replace(chosen.time_constant, low=min(t.low for t in near), high=max(t.high for t in near))


def _trend(log: Log, grid: Grid, found: Fit, steady: Array, outside: Swings, event: Event | None,
           knowledge: Knowledge) -> Trend:
    at = event.at_h if event else None
    seen = course(grid.hours, steady, at)
    drift = _drift(grid, found, at)
    days = grid.span / 24
    rules = rules_of(knowledge)
    over, over_before = _over_surroundings(log, at)
    word = verdicts.judge(seen, drift, days, event is not None, found.wander, rules)
    if event is not None and not event.known and _stood(log, event.at_h, rules):
        word = "started"
    widths = {name: _swing(part) for name, part in outside.items()}
    rose = event is not None and word != "no_rise"
    return Trend(
        schema=1, file=log.name, columns=log.columns, notes=_notes(log, grid, seen.has_baseline), start=log.start,
        hours=float(log.hours[-1]), readings=len(log.hours), troubles=log.troubles, event=event,
        baseline=seen.baseline, now=seen.now, highest=float(log.temperature.max()),
        highest_rise=seen.highest_rise if event else None, rise_now=seen.rise_now if event else None,
        hours_after=seen.hours_after if event else None, time_constant=found.time_constant if rose else None,
        fall_constant=found.fall_constant if rose else None,
        level_after_h=seen.level_after if rose and word not in ("climbs_on", "runs_away", "too_early") else None,
        back_after_h=seen.back_after if word in ("settled", "settled_late") else None, drift=drift,
        climb_now=seen.climb_now, daily_swing=widths.get("daily"), load_swing=widths.get("load"),
        surroundings_swing=widths.get("surroundings"), over_surroundings=over,
        over_surroundings_before=over_before, noise=found.noise, verdict=word,
        words=verdicts.sentence(word, seen, days), follows=_follows(log, widths, found.noise),
    )


def _notes(log: Log, grid: Grid, has_baseline: bool) -> tuple[str, ...]:
    lost = () if has_baseline else ("no readings before the event: the rise counts from the first reading",)
    short = grid.span < float(log.hours[-1]) - 1
    part = (f"the course looks at the {grid.span / 24:.0f} days around the event",) if short else ()
    return (*log.notes, *lost, *part)


def _drift(grid: Grid, found: Fit, event: float | None) -> Estimate | None:
    """K a day before the event, or over the whole log, told apart from what acts from outside; None when the log is
    too short for that."""
    before = grid.hours <= (grid.hours[-1] if event is None else event - grid.step)
    if not before.any() or grid.hours[before][-1] - grid.hours[0] < _LEAST_DRIFT_H[grid.cycle]:
        return None
    beside = [column[before] for column in outer(grid, found.lag)]
    return slope(grid.hours[before], grid.temperature[before], float(grid.hours[0]), 24.0, beside)


def _stood(log: Log, event: float, rules: verdicts.Rules) -> bool:
    """Before a rise that was found the machine stood: no speed or load, or as cool as its surroundings."""
    import numpy as np

    before, after = (log.hours < event) & (log.hours >= event - 3), log.hours >= event
    for role in ("speed", "load"):
        values = log.inputs.get(role)
        if values is not None and np.nanmedian(values[before]) < 0.1 * np.nanmedian(values[after]):
            return True
    if "surroundings" in log.inputs:
        over = log.temperature[before] - log.inputs["surroundings"][before]
        return bool(np.nanmin(over) < rules.start_over_surroundings)
    return bool(np.min(log.temperature[before]) < rules.start_below)


def _swing(part: Array) -> float:
    """From the 5th to the 95th percentile [K]."""
    import numpy as np

    low, high = np.percentile(part, [5, 95])
    return float(high - low)


def _over_surroundings(log: Log, event: float | None) -> tuple[float | None, float | None]:
    """Temperature less surroundings [K] in the last two hours and before the event."""
    import numpy as np

    if "surroundings" not in log.inputs:
        return None, None
    over = log.temperature - log.inputs["surroundings"]
    last, before = log.hours >= log.hours[-1] - 2, log.hours < (event or 0.0)
    parts = [over[part & np.isfinite(over)] for part in (last, before)]
    now, then = (float(np.median(p)) if len(p) else None for p in parts)
    return now, then


def _follows(log: Log, widths: dict[Any, float], noise: float) -> tuple[Followed, ...]:
    """What moves the temperature more than all else does outside the event."""
    import numpy as np

    total = sum(widths.values()) + 2 * noise
    wide = [n for n in FOLLOWED if widths.get(n, 0.0) >= max(_FOLLOWS_K, _FOLLOWS_SHARE * total)]
    weather = "surroundings" in wide and np.nanmax(log.inputs["surroundings"]) < _HOT_SURROUNDINGS
    return tuple(n for n in wide if not (weather and n == "surroundings"))
