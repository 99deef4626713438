"""A file's text as a `Log`: sorted hours, °C, and the other columns beside them."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from diag.errors import Fault, InputError
from diag.trend import columns, stamps, table
from diag.trend.result import Column, Role, TroubleFound

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Array = npt.NDArray[np.floating[Any]]
else:
    Array = Any

__all__ = ["Log", "read_log"]

_LEAST_READINGS = 20
_LEAST_HOURS = 2.0


@dataclass(frozen=True)
class Log:
    """Readings in order of time; hours [h] from the first one, temperature [°C], inputs by role (nan: missing)."""

    name: str
    hours: Array
    temperature: Array
    inputs: dict[Role, Array]
    raw_zero: float  # °C that a dead sensor reads as 0 in the unit of the file
    start: str | None = None
    event: float | None = None  # h from the first reading, when a person named it
    columns: tuple[Column, ...] = ()
    notes: tuple[str, ...] = ()
    troubles: tuple[TroubleFound, ...] = field(default=())


def read_log(raw: bytes, name: str, event: str = "", column: str = "") -> Log:
    """The log of a file's bytes; `event` is the moment of regreasing, `column` the temperature column wanted.

    Errors: InputError, one line, for what can't be read or is too short (under 20 readings or 2 h).
    """
    text, encoding = table.decode(raw, name)
    cells = table.split(text, name)
    found = columns.roles(cells, column)
    times = _times(cells, found)
    inputs, described = _inputs(cells, found)
    notes = tuple(filter(None, (encoding, *cells.notes, f"times: {times.how}")))
    return _assembled(cells, found, times, inputs, described, notes, event)


def _times(cells: table.Table, found: columns.Roles) -> stamps.Times:
    joined = [" ".join(row[k] for k in found.time).strip() for row in cells.rows]
    header = " ".join(cells.header[k] for k in found.time) if cells.header else ""
    return stamps.read_times(joined, header, cells.name)


def _inputs(cells: table.Table, found: columns.Roles) -> tuple[dict[Role, list[float]], list[Column]]:
    """The numbers of each role, temperatures in °C, and how each column was understood."""
    values: dict[Role, list[float]] = {}
    described = [columns.described(cells, k, "time", "", found.how.get(k, "")) for k in found.time]
    wanted: dict[Role, int] = {"temperature": found.temperature, **found.others}
    for role, index in wanted.items():
        values[role], column = _of_role(cells, role, index, found.how.get(index, ""))
        described.append(column)
    described += [columns.described(cells, k, "ignored", "", "not needed") for k in found.ignored]
    return values, described


def _of_role(cells: table.Table, role: Role, index: int, how: str) -> tuple[list[float], Column]:
    got, header = columns.numbers(cells.column(index)), _header(cells, index)
    if all(v != v for v in got.values):
        raise InputError(Fault("holds no numbers", cells.name, header or f"column {index + 1}"))
    if role not in ("temperature", "surroundings"):
        return got.values, columns.described(cells, index, role, got.unit, how)
    letter, told = columns.temperature_unit(header, got.unit, got.values, role == "surroundings")
    unit = "K" if letter == "K" else f"°{letter}"
    return columns.to_celsius(got.values, letter), columns.described(cells, index, role, unit, f"{how}; {told}")


def _header(cells: table.Table, index: int) -> str:
    return cells.header[index] if cells.header else ""


def _assembled(cells: table.Table, found: columns.Roles, times: stamps.Times, inputs: dict[Role, list[float]],
               described: list[Column], notes: tuple[str, ...], event: str) -> Log:
    import numpy as np
    import pandas as pd

    frame = pd.DataFrame({"time": times.hours, **inputs})
    readable = frame[frame["time"].notna()]
    if not readable["time"].is_monotonic_increasing:
        notes = (*notes, "rows were not in order of time: sorted")
    one_each = readable.groupby("time", sort=True).mean()
    if len(one_each) < len(readable):
        notes = (*notes, f"{len(readable) - len(one_each)} readings shared a time stamp: averaged")
    clock = one_each.index.to_numpy(dtype=np.float64)
    _require_enough(cells.name, clock, one_each["temperature"])
    first = float(clock[0])
    moment = stamps.moment(event, times, clock.tolist()) - first if event else None
    start = None if times.zero is None else f"{times.zero + pd.Timedelta(hours=first):%Y-%m-%d %H:%M}"
    zero = columns.to_celsius([0.0], next(c.unit for c in described if c.role == "temperature")[-1])[0]
    lost = _unreadable(cells, found, len(cells.rows) - len(readable))
    arrays = {role: one_each[role].to_numpy(dtype=np.float64) for role in inputs}
    return Log(cells.name, clock - first, arrays.pop("temperature"), arrays, zero, start, moment, tuple(described),
               notes, lost)


def _require_enough(name: str, clock: Array, temperature: Any) -> None:
    filled = int(temperature.notna().sum())
    span = float(clock[-1] - clock[0]) if len(clock) else 0.0
    if filled < _LEAST_READINGS or span < _LEAST_HOURS:
        raise InputError(Fault(f"holds {filled} temperatures over {span:.3g} h; at least {_LEAST_READINGS} over "
                               f"{_LEAST_HOURS:.0f} h are wanted", name))


def _unreadable(cells: table.Table, found: columns.Roles, no_time: int) -> tuple[TroubleFound, ...]:
    got = columns.numbers(cells.column(found.temperature))
    empty = sum(v != v for v in got.values) - got.unreadable
    parts = [f"{empty} without a temperature" if empty else "",
             f"{got.unreadable} with words for a temperature (“{got.example}”)" if got.unreadable else "",
             f"{no_time} without a readable time" if no_time else "",
             f"{cells.ragged} with too many cells" if cells.ragged else ""]
    count = empty + got.unreadable + no_time + cells.ragged
    words = f"rows left out: {', '.join(filter(None, parts))}"
    return (TroubleFound(kind="unreadable", at_h=0.0, hours=0.0, readings=count, words=words),) if count else ()
