"""Finds a regreasing that nobody noted: the largest sudden rise, when it stands out from all others."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from diag.trend.grid import even, felt
from diag.trend.log import Log
from diag.trend.result import Event

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Array = npt.NDArray[np.floating[Any]]
else:
    Array = Any

__all__ = ["locate"]

_WINDOW = 3.0  # h on either side
_LEAST_K = 4.0  # a smaller step isn't told from weather or load (judgement)
_STANDS_OUT = 6.0  # times the usual difference of neighbouring windows (judgement)
_TAUS = (0.25, 0.5, 1.0, 2.0, 4.0)  # h


def locate(log: Log) -> Event | None:
    """The event that a person named, else a step that stands out, else None."""
    if log.event is not None:
        return Event(at_h=log.event, known=True, words="as you gave it")
    found = _largest_step(log)
    if found is None:
        return None
    at, height = found
    return Event(at_h=at, known=False, words=f"found in the log as a rise of about {height:.0f} K; nobody said so")


def _largest_step(log: Log) -> tuple[float, float] | None:
    import numpy as np

    span = float(log.hours[-1])
    if span < 3 * _WINDOW:
        return None
    grid = even(log, 0.0, span)
    width = max(3, round(_WINDOW / grid.step))
    lifted = _without_inputs(grid.temperature, grid.inputs, grid.step)
    rises = _differences(lifted, width)
    usual = float(np.nanmedian(np.abs(rises)))
    top = int(np.nanargmax(rises)) if np.isfinite(rises).any() else 0
    if not rises[top] > max(_LEAST_K, _STANDS_OUT * usual):
        return None
    near = slice(max(0, top - 2 * width), min(len(lifted), top + width))
    return _begin(grid.hours[near], lifted[near]), float(rises[top])


def _without_inputs(temperature: Array, inputs: dict[Any, Array], step: float) -> Array:
    """The temperature less what surroundings, load and speed explain, felt with the usual lag."""
    import numpy as np

    known = np.isfinite(temperature)
    # Differences, so that the step itself, one moment among many, hardly weighs in.
    columns = np.column_stack([felt(v, step, 1.0) for v in inputs.values()]) if inputs else None
    if columns is None:
        return temperature
    both = known[1:] & known[:-1]
    weights, *_ = np.linalg.lstsq(np.diff(columns, axis=0)[both], np.diff(temperature)[both], rcond=None)
    return np.asarray(temperature - columns @ weights)


def _differences(values: Array, width: int) -> Array:
    """Median of the `width` readings from here on, less that of the `width` before; nan near the ends."""
    import numpy as np
    import pandas as pd

    before = pd.Series(values).rolling(width, min_periods=max(2, width // 2)).median().to_numpy()
    out = np.full(len(values), np.nan)
    out[:-width] = before[width:] - before[:-width]
    return out


def _begin(hours: Array, values: Array) -> float:
    """When the rise began: the start, with a level before and the answer to a step and a ramp after, that fits best."""
    import numpy as np

    known = np.isfinite(values)
    hours, values = hours[known], values[known]

    def waste(start: float, tau: float) -> float:
        u = np.maximum(hours - start, 0.0)
        rise = 1 - np.exp(-u / tau)
        columns = np.column_stack([np.ones_like(hours), rise, u - tau * rise])
        weights, *_ = np.linalg.lstsq(columns, values, rcond=None)
        left = values - columns @ weights
        return float(left @ left)

    starts = hours[2:-2:max(1, len(hours) // 120)]
    best = min(((waste(s, tau), float(s)) for s in starts for tau in _TAUS), default=(0.0, float(hours[0])))
    return best[1]
