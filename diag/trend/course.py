"""The course in numbers: levels, rises, slopes with intervals, on the temperature with its swings taken out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from diag.trend.result import Estimate
from diag.trend.thermal import autocorrelation

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Array = npt.NDArray[np.floating[Any]]
else:
    Array = Any

__all__ = ["Course", "course", "slope"]

_SMOOTH = 1.0  # h
_BASELINE = 24.0  # h before the event that count as its usual level
_Z95 = 1.96
_LEVEL_K, _LEVEL_SHARE = 0.5, 0.05  # as near to the highest as this counts as level
_NEAR_K, _NEAR_SHARE = 2.0, 0.25  # back near the baseline: within 2 K, or a quarter of the highest rise (judgement)


@dataclass(frozen=True)
class Course:
    """Levels [°C], rises [K] and times [h]; what follows the event counts from it."""

    baseline: float
    now: float
    highest_rise: float
    rise_now: float
    hours_after: float
    level_after: float
    back_after: float | None
    climb_now: Estimate | None  # K/h over the last hours
    climb_hours: float
    speeding_up: bool
    has_baseline: bool


def course(hours: Array, steady: Array, event: float | None) -> Course:
    """The numbers of a temperature `steady` [°C] without its swings; without an event, of the whole log."""
    import numpy as np

    known = np.isfinite(steady)
    hours, steady = hours[known], steady[known]
    begin = float(hours[0]) if event is None else event
    smooth = _smoothed(hours, steady)
    baseline, stated = _baseline(hours, steady, event)
    after = hours >= begin
    since, rise = hours[after] - begin, smooth[after] - baseline
    total = float(since[-1]) if len(since) else 0.0
    top = int(np.argmax(rise)) if len(rise) else 0
    window = min(6.0, max(2.0, total / 4))
    last = hours >= hours[-1] - min(2.0, max(0.5, total / 10))
    now = float(np.median(steady[last]))
    level = int(np.argmax(rise >= rise[top] - max(_LEVEL_K, _LEVEL_SHARE * rise[top])))
    return Course(baseline, now, float(rise[top]), now - baseline, total, float(since[level]),
                  _back(since, rise, top), slope(hours, steady, float(hours[-1]) - window), window,
                  _speeding_up(hours, steady, begin), stated)


def _smoothed(hours: Array, values: Array) -> Array:
    import numpy as np
    import pandas as pd

    step = float(np.median(np.diff(hours)))
    width = max(1, round(_SMOOTH / step))
    return pd.Series(values).rolling(width, center=True, min_periods=1).median().to_numpy()


def _baseline(hours: Array, values: Array, event: float | None) -> tuple[float, bool]:
    """The level before the event, and whether there was any; without one the first reading after it."""
    import numpy as np

    if event is None:
        return float(np.median(values[hours <= hours[0] + _BASELINE])), True
    before = (hours < event) & (hours >= event - _BASELINE)
    if before.sum() >= 3:
        return float(np.median(values[before])), True
    return float(values[0]), False


def _back(since: Array, rise: Array, top: int) -> float | None:
    """Hours until the rise is back near the baseline; None while it isn't."""
    import numpy as np

    near = max(_NEAR_K, _NEAR_SHARE * float(rise[top])) if len(rise) else 0.0
    below = np.flatnonzero(rise[top:] <= near)
    return float(since[top + below[0]]) if len(below) and rise[-1] <= 1.5 * near else None


def slope(hours: Array, values: Array, begin: float, unit_hours: float = 1.0, beside: list[Array] | None = None
          ) -> Estimate | None:
    """Slope from `begin` on in K per `unit_hours`, with a 95 % interval; None with under 10 readings.

    `beside` are other columns that explain the values. The interval is widened by the autocorrelation of the
    residuals.
    """
    import numpy as np

    part = (hours >= begin) & np.isfinite(values)
    y = values[part]
    columns = np.column_stack([c[part] for c in (hours / unit_hours, np.ones_like(hours), *(beside or []))])
    if len(y) < 10 or len(y) < 2 * columns.shape[1]:
        return None
    weights, *_ = np.linalg.lstsq(columns, y, rcond=None)
    left = y - columns @ weights
    r = min(0.98, max(0.0, autocorrelation(left)))
    spread = np.linalg.pinv(columns.T @ columns)[0, 0] * (left @ left) / (len(y) - columns.shape[1])
    half = _Z95 * float(np.sqrt(spread * (1 + r) / (1 - r)))
    value = float(weights[0])
    return Estimate(value=value, low=value - half, high=value + half, unit="K/day" if unit_hours == 24 else "K/h")


def _speeding_up(hours: Array, values: Array, begin: float) -> bool:
    """The last third of the climb is clearly steeper than the third before: heat that feeds itself."""
    import numpy as np

    third = min(8.0, (float(hours[-1]) - begin) / 3)
    middle = hours <= hours[-1] - third
    late, earlier = slope(hours, values, hours[-1] - third), slope(hours[middle], values[middle], hours[-1] - 2 * third)
    if late is None or earlier is None:
        return False
    steeper = late.value > 1.5 * max(earlier.value, 0.0) and late.low > earlier.high
    return bool(steeper and earlier.low > 0 and late.value * third > 4.0 and np.isfinite(late.value))
