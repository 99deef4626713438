"""The log on even steps, and the outside inputs as the point feels them: through its own thermal lag."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from diag.trend.log import Log
from diag.trend.result import Role

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Array = npt.NDArray[np.floating[Any]]
else:
    Array = Any

__all__ = ["Grid", "daily", "even", "felt"]

_MOST = 1500  # steps; keeps a fit under a second
_CYCLE_SPAN = 36.0  # h; a shorter log can't tell a daily swing from a drift
_LEAST_SWING = 0.5  # of the unit; an input that hardly moves explains nothing


@dataclass(frozen=True)
class Grid:
    """Even steps [h]; temperature [°C], nan where nothing was read; inputs filled, less their mean over the log.

    `cycle`: a daily swing is looked for, since the surroundings weren't logged and the log is long enough.
    """

    step: float
    hours: Array
    temperature: Array
    inputs: dict[Role, Array]
    cycle: bool

    @property
    def span(self) -> float:
        return float(self.hours[-1] - self.hours[0])


def even(log: Log, begin: float, end: float) -> Grid:
    """The part of the log from `begin` to `end` [h] as means over even steps."""
    import numpy as np

    step = max(float(np.median(np.diff(log.hours))), (end - begin) / _MOST)
    edges = begin + step * (np.arange(int((end - begin) / step) + 2) - 0.5)
    centres = edges[:-1] + step / 2
    moving = {role: v - np.nanmean(v) for role, v in log.inputs.items() if _moves(v)}
    inputs = {role: _filled(centres, log.hours, values) for role, values in moving.items()}
    cycle = "surroundings" not in inputs and float(log.hours[-1]) >= _CYCLE_SPAN
    return Grid(step, centres, _means(edges, log.hours, log.temperature), inputs, cycle)


def _moves(values: Array) -> bool:
    import numpy as np

    known = values[np.isfinite(values)]
    return len(known) > 0 and float(np.ptp(known)) > _LEAST_SWING


def _means(edges: Array, hours: Array, values: Array) -> Array:
    import numpy as np

    count, _ = np.histogram(hours, edges)
    total, _ = np.histogram(hours, edges, weights=values)
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)


def _filled(centres: Array, hours: Array, values: Array) -> Array:
    """The input at the centres, straight lines over what is missing; flat at the ends."""
    import numpy as np

    known = np.isfinite(values)
    return np.interp(centres, hours[known], values[known])


def felt(values: Array, step: float, lag: float) -> Array:
    """First-order response to `values`: τ·dT/dt = input − T, with τ = `lag` [h] and even `step` [h].

    Between two readings the input counts as their mean: a switch lies anywhere between them.
    """
    import numpy as np
    from scipy.signal import lfilter

    keep = float(np.exp(-step / lag))
    means = np.r_[values[0], (values[1:] + values[:-1]) / 2]
    out, _ = lfilter([1 - keep], [1, -keep], means, zi=[keep * means[0]])
    return np.asarray(out)


def daily(grid: Grid) -> list[Array]:
    """Sine and cosine of the day, where the grid has a cycle."""
    import numpy as np

    if not grid.cycle:
        return []
    angle = 2 * np.pi * grid.hours / 24
    return [np.sin(angle), np.cos(angle)]
