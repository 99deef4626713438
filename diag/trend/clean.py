"""What a sensor or a logger did wrong: dead or stuck sensor, spikes, gaps. Found, said and left out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Literal

from diag.trend.log import Log
from diag.trend.result import TroubleFound

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Array = npt.NDArray[np.floating[Any]]
    Mask = npt.NDArray[np.bool_]
else:
    Array = Mask = Any

__all__ = ["clean"]

# All of these are judgement about loggers, not about bearings.
_COLDEST, _HOTTEST = -60.0, 400.0  # °C; outside no sensor on a greased point tells the truth
_DEAD_MARGIN = 10.0  # K between a dead sensor's zero and the usual reading
_SPIKE_K, _SPIKE_NOISE = 8.0, 8.0  # a reading this far from its neighbours, in K and in noise widths
_SPIKE_WINDOW = 7  # readings
_FLAT_HOURS, _FLAT_READINGS, _FLAT_RATIO = 3.0, 20, 8.0
_GAP_STEPS, _GAP_HOURS = 5.0, 0.5


def clean(log: Log) -> Log:
    """The log without what the sensor can't have meant, with the troubles listed in order of time."""
    found = [*log.troubles, *_gaps(log)]
    for kind, find in (("drop_out", _dead), ("flat_line", _stuck), ("spikes", _spikes)):
        mask = find(log)
        found += _described(log, mask, kind)
        log = _without(log, mask)
    return replace(log, troubles=tuple(sorted(found, key=lambda t: t.at_h)))


def _without(log: Log, mask: Mask) -> Log:
    import numpy as np

    keep = ~mask & np.isfinite(log.temperature)
    inputs = {role: values[keep] for role, values in log.inputs.items()}
    return replace(log, hours=log.hours[keep], temperature=log.temperature[keep], inputs=inputs)


def _dead(log: Log) -> Mask:
    """Readings of exactly zero far from the usual, and those no sensor can mean."""
    import numpy as np

    t = log.temperature
    usual = float(np.nanmedian(t))
    zero = (np.abs(t - log.raw_zero) < 1e-6) & (abs(usual - log.raw_zero) > _DEAD_MARGIN)
    return np.asarray(zero | (t < _COLDEST) | (t > _HOTTEST))


def _stuck(log: Log) -> Mask:
    """Runs of one value, hours long and far longer than the other runs of this log."""
    import numpy as np

    t = log.temperature
    starts = np.flatnonzero(np.r_[True, t[1:] != t[:-1]])
    counts = np.diff(np.r_[starts, len(t)])
    ends = starts + counts - 1
    lasting = log.hours[ends] - log.hours[starts]
    usual = float(np.percentile(counts, 90))
    flat = (lasting >= _FLAT_HOURS) & (counts >= max(_FLAT_READINGS, _FLAT_RATIO * usual))
    mask = np.zeros(len(t), dtype=np.bool_)
    # A log that is nearly all one run is a steady point on a coarse sensor, not a stuck one.
    if counts[flat].sum() < 0.5 * len(t):
        for start, end in zip(starts[flat], ends[flat], strict=True):
            mask[start + 1:end + 1] = True
    return mask


def _spikes(log: Log) -> Mask:
    """Single readings far from the median of their neighbours."""
    import numpy as np
    import pandas as pd

    t = pd.Series(log.temperature)
    off = (t - t.rolling(_SPIKE_WINDOW, center=True, min_periods=3).median()).abs().to_numpy()
    noise = 1.4826 * float(np.nanmedian(off))
    return np.asarray(off > max(_SPIKE_K, _SPIKE_NOISE * noise))


def _described(log: Log, mask: Mask, kind: Any) -> Iterator[TroubleFound]:
    """One trouble for all spikes; one for each stretch of the others."""
    import numpy as np

    where = np.flatnonzero(mask)
    if not len(where):
        return
    if kind == "spikes":
        worst = ", ".join(f"{v:.0f}" for v in log.temperature[where[:3]])
        yield _trouble(kind, log.hours[where[0]], 0.0, len(where), f"{len(where)} single readings far from their "
                       f"neighbours left out ({worst} °C{' …' if len(where) > 3 else ''})")
        return
    for part in np.split(where, np.flatnonzero(np.diff(where) > 1) + 1):
        begin, lasting = log.hours[part[0]], float(log.hours[part[-1]] - log.hours[part[0]])
        value = f"{log.temperature[part[0]]:.4g} °C"
        words = (f"sensor dead ({value})" if kind == "drop_out" else f"sensor stuck at {value}")
        yield _trouble(kind, begin, lasting, len(part), f"{words}, {len(part)} readings left out")


def _gaps(log: Log) -> Iterator[TroubleFound]:
    import numpy as np

    steps = np.diff(log.hours)
    usual = float(np.median(steps))
    for k in np.flatnonzero(steps > max(_GAP_STEPS * usual, _GAP_HOURS)):
        missed = round(steps[k] / usual) - 1
        yield _trouble("gap", log.hours[k], float(steps[k]), missed, f"nothing for {steps[k]:.3g} h")


def _trouble(kind: Literal["gap", "drop_out", "flat_line", "spikes"], at: Any, hours: float, readings: int, words: str
             ) -> TroubleFound:
    return TroubleFound(kind=kind, at_h=float(at), hours=hours, readings=int(readings), words=words)
