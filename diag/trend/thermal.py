"""The point as a first-order thermal body: time constant and heat after the event, fitted with their intervals.

    τ·dT/dt = T_end(t) − T,  T_end = base + k·surroundings + m·load + after the event a·1 + b·exp(−t/τ_f) + c·t

A lasting step a, a pulse b that dies away with the excess grease (τ_f), or a ramp c. Linear terms are solved
exactly for each (τ, τ_f) of a coarse grid; `curve_fit` then refines all together and gives the covariance,
widened by the autocorrelation of what is left. The simplest form that explains the log wins (BIC).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from itertools import product
from typing import TYPE_CHECKING, Any, Literal

from diag.trend.grid import Grid, daily, felt
from diag.trend.result import Estimate, Role

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Array = npt.NDArray[np.floating[Any]]
else:
    Array = Any

__all__ = ["Fit", "Shape", "autocorrelation", "best", "fit", "outer", "swings"]

Shape = Literal["none", "step", "pulse", "ramp"]
_TAUS = (0.1, 0.25, 0.5, 0.9, 1.5, 2.5, 4.0, 7.0)  # h, first guesses; housings of some kg take 0.3 to 3 h
_FALLS = (3.0, 6.0, 12.0, 24.0, 48.0)  # h
_LEAST_FALL = 2.0  # h (judgement)
_USUAL_LAG = 1.0  # h, for the inputs where no event shows the lag
_Z95 = 1.96


@dataclass(frozen=True)
class Fit:
    """The best form, its curve [°C] on the grid, the swings [K] by name, and what is left over."""

    shape: Shape
    time_constant: Estimate | None
    fall_constant: Estimate | None
    curve: Array
    fall: float  # h, of the pulse
    lag: float  # h, with which the inputs are felt
    weights: Array  # K per unit of each input and of the day's sine and cosine
    noise: float  # K, standard deviation of what is left
    readings: int
    free: int  # parameters
    widening: float  # of intervals, for the autocorrelation of what is left

    @property
    def wander(self) -> float:
        """Slow straying [K] in what is left: the part that neighbouring readings share."""
        squared = self.widening**2
        return float(self.noise * ((squared - 1) / (squared + 1)) ** 0.5)

    def badness(self, widening: float) -> float:
        """Bayesian information criterion [-] with as many independent readings as the common `widening` leaves."""
        from math import log

        count = self.readings / widening**2
        return 2 * count * log(max(self.noise, 1e-6)) + self.free * log(max(count, 2.0))


def fit(grid: Grid, event: float | None) -> Fit:
    """The simplest form that explains the log; without an event only base, drift and swings."""
    if event is None:
        return _fitted(grid, None, "none")
    shapes: tuple[Shape, ...] = ("none", "step", "pulse", "ramp")
    tried = [_fitted(grid, event, shape) for shape in shapes]
    return best([found for found in tried if _sensible(found)])


def best(tried: list[Fit]) -> Fit:
    """The one of the least badness, all judged by one widening: that of the fit which leaves the least pattern."""
    widening = min(found.widening for found in tried)
    return min(tried, key=lambda found: found.badness(widening))


def _sensible(found: Fit) -> bool:
    """Excess grease leaves over hours, more slowly than the housing warms; a quicker pulse is a guise of the step."""
    fall = found.fall
    return found.shape != "pulse" or (fall >= _LEAST_FALL and fall >= 1.5 * found.lag)


def _columns(grid: Grid, event: float | None, shape: Shape, tau: float, fall: float) -> Array:
    """Everything that enters linearly, one column each: base, drift or rise, inputs, day."""
    import numpy as np

    base = [np.ones_like(grid.hours)]
    rise = [grid.hours - grid.hours.mean()] if event is None else list(_rise(grid.hours - event, shape, tau, fall))
    return np.column_stack([*base, *rise, *outer(grid, tau)])


def outer(grid: Grid, lag: float) -> list[Array]:
    """What acts from outside: each input as it is felt, and the sine and cosine of the day."""
    return [*(felt(values, grid.step, lag) for values in grid.inputs.values()), *daily(grid)]


def _rise(since: Array, shape: Shape, tau: float, fall: float) -> Iterator[Array]:
    """Responses of the body to a step, a dying pulse and a ramp of heat that begin at 0."""
    import numpy as np

    u = np.maximum(since, 0.0)
    if shape != "none":
        yield 1 - np.exp(-u / tau)
    if shape == "pulse":
        yield fall / (fall - tau) * (np.exp(-u / fall) - np.exp(-u / tau))
    if shape == "ramp":
        yield u - tau * (1 - np.exp(-u / tau))


def _fitted(grid: Grid, event: float | None, shape: Shape) -> Fit:
    import numpy as np

    known = np.isfinite(grid.temperature)
    read = grid.temperature[known]

    def solved(tau: float, fall: float) -> tuple[float, Array, Array]:
        columns = _columns(grid, event, shape, tau, fall)
        weights, *_ = np.linalg.lstsq(columns[known], read, rcond=None)
        left = read - columns[known] @ weights
        return float(left @ left), weights, left

    tau, fall = _coarse(grid, event, shape, solved)
    times = _refined(grid, event, shape, tau, fall, solved(tau, fall)[1], known) if shape != "none" else None
    tau, fall = times[:2] if times else (tau, fall)
    _, weights, left = solved(tau, fall)
    columns = _columns(grid, event, shape, tau, fall)
    scale = _widening(left)
    free = columns.shape[1] + {"none": 0, "pulse": 2}.get(shape, 1)
    constants = _estimates(times, scale, grid) if times else (None, None)
    return Fit(shape, *constants, columns @ weights, fall, tau, weights[len(weights) - len(outer(grid, tau)):],
               float(np.std(left)), len(read), free, scale)


def _coarse(grid: Grid, event: float | None, shape: Shape, solved: Any) -> tuple[float, float]:
    """The best pair of a grid of time constants. Without a rise only the lag of the inputs is left to find."""
    if event is None or (shape == "none" and not grid.inputs):
        return _USUAL_LAG, _FALLS[0]
    falls = _FALLS if shape == "pulse" else _FALLS[:1]
    pairs = [(tau, fall) for tau, fall in product(_TAUS, falls) if shape != "pulse" or fall > 1.2 * tau]
    return min(pairs, key=lambda pair: solved(*pair)[0])


def _refined(grid: Grid, event: float | None, shape: Shape, tau: float, fall: float, weights: Array, known: Any
             ) -> tuple[float, float, float, float] | None:
    """τ and τ_f [h] and the standard errors of their logarithms; None when the fit doesn't close."""
    import warnings

    import numpy as np
    from scipy.optimize import OptimizeWarning, curve_fit

    pulse = shape == "pulse"
    model = partial(_model, grid, event, shape, known)
    start = np.r_[np.log([tau, fall] if pulse else [tau]), weights]
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", OptimizeWarning)
            best, spread = curve_fit(model, grid.hours[known], grid.temperature[known], p0=start, maxfev=2000)
    except (RuntimeError, ValueError, OptimizeWarning, FloatingPointError):
        return None
    errors = np.sqrt(np.diag(spread))
    found = float(np.exp(best[0])), float(np.exp(best[1])) if pulse else fall
    if not np.isfinite(errors[:2]).all() or not grid.step / 20 < found[0] < 10 * grid.span:
        return None
    return *found, float(errors[0]), float(errors[1]) if pulse else 0.0


def _model(grid: Grid, event: float | None, shape: Shape, known: Any, _: Array, *parameters: float) -> Array:
    import numpy as np

    count = 2 if shape == "pulse" else 1
    tau, fall = np.exp(np.clip([*parameters[:count], 0.0][:2], -6, 8))
    if shape == "pulse" and abs(fall - tau) < 1e-6 * tau:
        fall = tau * (1 + 1e-6)  # the two answers meet; the formula of unequal ones has a limit there
    columns = _columns(grid, event, shape, float(tau), float(fall))
    return np.asarray(columns[known] @ np.asarray(parameters[count:]))


def swings(found: Fit, grid: Grid) -> dict[Role | Literal["daily"], Array]:
    """What each input and the day do to the temperature [K] on `grid`, which may be longer than the fitted one."""
    parts = [column * weight for column, weight in zip(outer(grid, found.lag), found.weights, strict=True)]
    named: dict[Role | Literal["daily"], Array] = dict(zip(grid.inputs, parts, strict=False))
    if grid.cycle:
        named["daily"] = parts[-2] + parts[-1]
    return named


def _widening(left: Array) -> float:
    """How much wider than for independent readings an interval must be."""
    r = min(0.98, max(0.0, autocorrelation(left)))
    return float(((1 + r) / (1 - r)) ** 0.5)


def autocorrelation(left: Array) -> float:
    """Correlation [-] of neighbouring residuals."""
    import numpy as np

    centred = left - np.mean(left)
    total = float(centred @ centred)
    return float(centred[1:] @ centred[:-1]) / total if total > 0 else 0.0


def _estimates(times: tuple[float, float, float, float], scale: float, grid: Grid
               ) -> tuple[Estimate | None, Estimate | None]:
    """Intervals that are even on the logarithm; None for one that spans a factor over 10 either way."""
    tau, fall, tau_error, fall_error = times
    # Within a step nobody knows when things happened: a quarter of one is added to what the fit can't tell.
    blur = [grid.step / 4 / time for time in (tau, fall)]
    errors = [(scale * error) ** 2 + part**2 for error, part in zip((tau_error, fall_error), blur, strict=True)]
    return _estimate(tau, errors[0]**0.5), _estimate(fall, errors[1]**0.5) if fall_error else None


def _estimate(value: float, error: float) -> Estimate | None:
    import numpy as np

    factor = float(np.exp(min(_Z95 * error, 50.0)))
    return Estimate(value=value, low=value / factor, high=value * factor, unit="h") if factor < 10 else None
