"""Which column is what, and the numbers in it: roles by header words, decimal marks, units by header, cell or
plausibility."""

from __future__ import annotations

import re
from dataclasses import dataclass
from statistics import median

from diag.errors import Fault, InputError
from diag.trend.result import Column, Role
from diag.trend.table import Table

__all__ = ["Numbers", "Roles", "described", "numbers", "roles", "temperature_unit", "to_celsius"]

# Header words, lower case, looked for in this order: "ambient temp" is of the surroundings, not of the point.
_WORDS: tuple[tuple[Role, str], ...] = (
    ("time", r"time|date|stamp|zeit|datum|elapsed|^t\b(?!\W*[cfk]\b)"
             r"|^(?:h|hr|hrs|hours?|min|minutes?|s|sec|seconds?|days?|stunden)\b"),
    ("surroundings", r"ambient|surround|room|outdoor|outside|weather|umgebung|au(?:ss|ß)en|raum|\bair\b"),
    ("temperature", r"temp|°|º|deg\.? ?[cfk]\b|celsius|fahrenheit|kelvin|\b[cfk][\])]?$"),
    ("speed", r"speed|rpm|drehzahl|1/min|min-1"),
    ("load", r"load|current|amp|strom|power|torque|\bkw\b|[\[( ]a[\])]?$|last\b|leistung"),
    ("temperature", r"bearing|housing|lager|^t\d+\b"),
)
_UNIT = re.compile(r"(?:°|º|deg(?:rees?)?\.?|[\[(_, ])\s*([CFK])\b|(celsius)|(fahrenheit)|(kelvin)", re.IGNORECASE)
_NUMBER = re.compile(r"([-+−]?(?:\d+(?:[.,]\d+)?|[.,]\d+)(?:[eE][-+]?\d+)?)\s*([^\d\s.,:/+-]\D{0,12}|1/min)?")
_HOTTEST_C = 150.0  # a point whose usual reading is above is taken for °F (judgement)
_WARM_ROOM = 45.0  # surroundings whose usual reading is above are taken for °F (judgement)


@dataclass(frozen=True)
class Roles:
    """Column numbers: one or two of time (date and time apart), one of temperature, the others by role."""

    time: tuple[int, ...]
    temperature: int
    others: dict[Role, int]
    ignored: tuple[int, ...]
    how: dict[int, str]


@dataclass(frozen=True)
class Numbers:
    """Values (nan: no number), the unit found in the cells, and how many filled cells were no number."""

    values: list[float]
    unit: str
    unreadable: int
    example: str


def roles(table: Table, wanted: str = "") -> Roles:
    """What each column is; `wanted` names the temperature column. Errors: InputError when none can be told."""
    names = table.header or tuple("" for _ in table.rows[0])
    guessed = [_role(name) for name in names]
    how = {k: "by its header" for k, role in enumerate(guessed) if role}
    time = _time_columns(table, guessed, how)
    temperature = _temperature_column(table, names, guessed, time, how, wanted)
    others: dict[Role, int] = {}
    for k, role in enumerate(guessed):
        if role in ("surroundings", "load", "speed") and k != temperature and k not in time:
            others.setdefault(role, k)
    taken = {*time, temperature, *others.values()}
    return Roles(time, temperature, others, tuple(k for k in range(len(names)) if k not in taken), how)


def _role(name: str) -> Role | None:
    lower = name.lower().strip()
    return next((role for role, words in _WORDS if re.search(words, lower)), None) if lower else None


def _time_columns(table: Table, guessed: list[Role | None], how: dict[int, str]) -> tuple[int, ...]:
    found = [k for k, role in enumerate(guessed) if role == "time"]
    if not found and guessed[0] is not None:
        raise InputError(Fault("no column of times; name one with a header such as “time” or “hours”", table.name))
    if not found:
        how[0] = "the first column"
        return (0,)
    pair = found[:2]
    # Date and time of day in two columns: the one has no colon, the other nothing but a time.
    if len(pair) == 2 and ":" not in table.rows[0][pair[0]] and re.match(r"\d{1,2}:\d\d", table.rows[0][pair[1]]):
        return tuple(pair)
    return (found[0],)


def _temperature_column(table: Table, names: tuple[str, ...], guessed: list[Role | None], time: tuple[int, ...],
                        how: dict[int, str], wanted: str) -> int:
    if wanted:
        matches = [k for k, name in enumerate(names) if name.lower() == wanted.lower().strip()]
        if not matches:
            known = ", ".join(name for name in names if name) or "there is no header"
            raise InputError(Fault(f"no column “{wanted}”; columns: {known}", table.name))
        how[matches[0]] = "as asked"
        return matches[0]
    found = [k for k, role in enumerate(guessed) if role == "temperature" and k not in time]
    if found:
        several = "the first of several temperatures; --column takes another"
        how[found[0]] = "by its header" if len(found) == 1 else several
        return found[0]
    free = [k for k, role in enumerate(guessed) if role is None and k not in time]
    if not free:
        raise InputError(Fault("no column of temperatures; name one with a header such as “bearing °C”", table.name))
    how[free[0]] = "the first column of numbers beside the time, its header says nothing"
    return free[0]


def numbers(cells: list[str]) -> Numbers:
    """The numbers of a column, with decimal point or comma, with or without a unit behind them."""
    values, units, bad = [], set(), []
    for cell in cells:
        found = _NUMBER.fullmatch(cell.strip())
        values.append(float(found[1].replace(",", ".").replace("−", "-")) if found else float("nan"))
        if found and found[2]:
            units.add(found[2].strip())
        elif not found and cell.strip():
            bad.append(cell.strip())
    return Numbers(values, units.pop() if len(units) == 1 else "", len(bad), bad[0][:20] if bad else "")


def temperature_unit(header: str, cell_unit: str, values: list[float], surroundings: bool = False) -> tuple[str, str]:
    """`C`, `F` or `K`, and how it was told: header, cells, else by plausibility."""
    places = ((f" {header}", "unit by its header"), (cell_unit and f" {cell_unit}", "unit by its cells"))
    for text, how in places:
        if found := _UNIT.search(text):
            letter = found[1] or (found[2] or found[3] or found[4])[0]
            return letter.upper(), how
    usual = median(v for v in values if v == v)
    if usual > (_WARM_ROOM if surroundings else _HOTTEST_C):
        return "F", f"no unit given; taken as °F because {usual:.0f} would be too hot in °C"
    return "C", "no unit given; taken as °C by plausibility, write °F into the header if that is wrong"


def to_celsius(values: list[float], unit: str) -> list[float]:
    """Temperatures in °C from `unit` C, F or K."""
    if unit == "F":
        return [(v - 32) / 1.8 for v in values]
    return [v - 273.15 for v in values] if unit == "K" else list(values)


def described(table: Table, index: int, role: Role, unit: str, how: str) -> Column:
    """The column as the result shows it."""
    name = table.header[index] if table.header and table.header[index] else f"column {index + 1}"
    return Column(name=name, role=role, unit=unit, how=how)
