"""Time stamps in the forms loggers write: ISO, day or month first, clock alone, elapsed, seconds of an epoch.

All become hours from the first reading. pandas parses; what remains ambiguous is stated.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING

from diag.errors import Fault, InputError
from diag.trend.columns import numbers

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["Times", "moment", "read_times"]

_CLOCK = re.compile(r"(\d{1,4}):([0-5]\d)(?::([0-5]\d(?:[.,]\d+)?))?")
_ZONE = re.compile(r"(?:Z|[+-]\d\d:?\d\d)$")
_ELAPSED = ((r"\b(?:s|sec|secs|seconds?)\b", 1 / 3600, "seconds"), (r"\b(?:min|mins|minutes?)\b", 1 / 60, "minutes"),
            (r"\b(?:h|hr|hrs|hours?|stunden)\b", 1.0, "hours"), (r"\b(?:d|days?|tage)\b", 24.0, "days"))
_TIMES = ("%H:%M", "%H:%M:%S", "%H:%M:%S.%f", "%I:%M %p", "%I:%M:%S %p", "")
_WITH_NAMES = ("%d %b %Y", "%b %d %Y", "%b %d, %Y", "%d-%b-%Y", "%d-%b-%y", "%d %B %Y", "%B %d, %Y")
_READABLE = 0.8  # share of cells a form must fit
_SECONDS_OF_1990, _MILLI = 6.3e8, 1e11  # numbers above are seconds or milliseconds since 1970
_SERIAL = (20_000.0, 80_000.0)  # days since 1899-12-30, as spreadsheets count: 1954 to 2119


@dataclass(frozen=True)
class Times:
    """Hours since midnight, epoch or zero (nan: unreadable), what that zero is (None: elapsed), and how it was told."""

    hours: list[float]
    zero: pd.Timestamp | None
    how: str
    form: str = ""  # strptime form, empty for other kinds


def read_times(cells: list[str], header: str, name: str) -> Times:
    """The times of a column. Errors: InputError when no known form fits, or elapsed times have no unit."""
    filled = [c for c in cells if c.strip()]
    values = numbers(filled)
    if filled and not values.unit and values.unreadable <= (1 - _READABLE) * len(filled):
        return _of_numbers(cells, header, name)
    if filled and sum(bool(_CLOCK.fullmatch(c)) for c in filled) >= _READABLE * len(filled):
        return _of_clock(cells, header)
    return _of_dates(cells, name)


def _of_numbers(cells: list[str], header: str, name: str) -> Times:
    import pandas as pd

    values = numbers(cells).values
    usual = sorted(v for v in values if v == v)[sum(v == v for v in values) // 2]
    epoch = pd.Timestamp(1970, 1, 1)
    if usual > _MILLI:
        return Times([v / 3.6e6 for v in values], epoch, "milliseconds since 1970 (universal time)")
    if usual > _SECONDS_OF_1990:
        return Times([v / 3600 for v in values], epoch, "seconds since 1970 (universal time)")
    for words, factor, unit in _ELAPSED:
        if re.search(words, re.sub(r"[\[\]()_/]", " ", header.lower())):
            return Times([v * factor for v in values], None, f"elapsed {unit}, by the header")
    if _SERIAL[0] < usual < _SERIAL[1]:
        return Times([v * 24 for v in values], pd.Timestamp(1899, 12, 30), "day numbers of a spreadsheet")
    raise InputError(Fault("the times are bare numbers; name their unit in the header, such as “hours” or “min”", name,
                           header))


def _of_clock(cells: list[str], header: str) -> Times:
    found = [_CLOCK.fullmatch(c) for c in cells]
    hours = [int(m[1]) + int(m[2]) / 60 + float((m[3] or "0").replace(",", ".")) / 3600 if m else float("nan")
             for m in found]
    elapsed = re.search(r"elapsed|duration|dauer", header.lower()) or max(h for h in hours if h == h) >= 24
    if elapsed:
        return Times(hours, None, "elapsed hours:minutes")
    return Times(_past_midnight(hours), None, "clock times without a date; a new day where they start again")


def _past_midnight(hours: list[float]) -> list[float]:
    """Clock times, with 24 h more after each midnight that they pass."""
    found, days, before = [], 0, float("-inf")
    for hour in hours:
        if hour == hour:
            days += before - hour > 12
            before = hour
        found.append(hour + 24 * days)
    return found


def _of_dates(cells: list[str], name: str) -> Times:
    """Dates by the form that fits best; where day and month could be exchanged, by the steadier steps."""
    import pandas as pd

    texts = pd.Series([re.sub(r"(?<=\d)T(?=\d)|, ?(?=\d{1,2}:)", " ", c.strip()) for c in cells], dtype="str")
    zoned = int(texts.str.contains(_ZONE.pattern, regex=True).sum()) > len(cells) / 2
    found = [(form, parsed) for form in _forms(texts) if (parsed := _parsed(texts, form, zoned)) is not None]
    if not found:
        raise InputError(Fault(_unknown(texts, zoned), name))
    ranked = sorted(found, key=lambda f: (_roughness(f[1]), _month_first(f[0]) != _american(texts)))
    form, stamps = ranked[0]
    zero = pd.Timestamp(stamps.min().normalize())
    hours = ((stamps - zero) / pd.Timedelta(hours=1)).tolist()
    return Times(hours, zero, _words(form, zoned, _ambiguous(ranked)), form)


def _unknown(texts: pd.Series, zoned: bool) -> str:
    """What is wrong with stamps of which no form fits enough: unknown altogether, or too many spoilt."""
    patterns = texts.str.replace(r"\d", "9", regex=True)
    alike = texts[patterns == patterns[texts != ""].mode()[0]] if (texts != "").any() else texts
    if any(_parsed(alike, form, zoned) is not None for form in _forms(alike)):
        other = texts[(texts != "") & ~texts.isin(alike)]
        return f"{len(other)} of {len(texts)} time stamps can't be read, the first is “{other.iloc[0][:30]}”"
    example = next((text for text in texts if text), "")
    return f"“{example[:30]}” is no time stamp I know; write 2024-05-31 14:30, or hours in a column named “hours”"


def _forms(texts: pd.Series) -> list[str]:
    """Forms that could fit: with the separator of the dates and the times that occur."""
    first = next((t for t in texts if t), "")
    mark = next((c for c in first if c in "./-"), "-")
    orders = ("%Y{0}%m{0}%d", "%d{0}%m{0}%Y", "%d{0}%m{0}%y", "%m{0}%d{0}%Y", "%m{0}%d{0}%y")
    dates = [order.format(mark) for order in orders if mark != "." or not order.startswith("%m")]
    return ["ISO8601", *(f"{d} {t}".strip() for d, t in product([*dates, *_WITH_NAMES], _TIMES))]


def _parsed(texts: pd.Series, form: str, zoned: bool) -> pd.Series | None:
    """The stamps when the form fits nearly all of them; tried on a few first."""
    import pandas as pd

    for part in (texts.head(50), texts):
        try:
            stamps = pd.to_datetime(part, format=form, errors="coerce", utc=zoned)
        except ValueError:
            return None
        if stamps.notna().sum() < max(1, _READABLE * (part != "").sum()):
            return None
    return stamps.dt.tz_localize(None) if zoned else stamps


def _roughness(stamps: pd.Series) -> tuple[int, float]:
    """Steps back, and the largest step [h]: a wrong order of day and month makes leaps of a month."""
    steps = stamps.dropna().diff().dropna().dt.total_seconds() / 3600
    return (int((steps < 0).sum()), round(float(steps.max()), 3)) if len(steps) else (0, 0.0)


def _month_first(form: str) -> bool:
    return form.startswith("%m")


def _american(texts: pd.Series) -> bool:
    """AM and PM go with the month first."""
    return bool(texts.str.contains(r"[AaPp][Mm]$").any())


def _ambiguous(ranked: list[tuple[str, pd.Series]]) -> bool:
    """Another order of day and month fits as well and gives other stamps."""
    best = ranked[0]
    return any(_roughness(parsed) == _roughness(best[1]) and _month_first(form) != _month_first(best[0])
               and not parsed.equals(best[1]) for form, parsed in ranked[1:])


def _words(form: str, zoned: bool, ambiguous: bool) -> str:
    order = "month first" if _month_first(form) else "year first" if form.startswith(("ISO", "%Y")) else "day first"
    zone = ", brought to universal time" if zoned else ""
    doubt = "; day and month could be exchanged, nothing in the file tells" if ambiguous else ""
    return f"dates, {order}{zone}{doubt}"


def moment(text: str, times: Times, hours: list[float]) -> float:
    """A moment that a person names, on the scale of `times.hours`.

    Accepts a stamp in the form of the file or ISO, a clock time where the log meets it once, or elapsed hours.
    Errors: InputError when it can't be read or lies outside the log.
    """
    first, last = min(hours), max(hours)
    for found in _candidates(text.strip(), times, first, last):
        if first <= found <= last:
            return found
    span = f"{_shown(first, times)} to {_shown(last, times)}"
    raise InputError(Fault(f"“{text}” is no moment inside the log, which runs from {span}", key="--event"))


def _candidates(text: str, times: Times, first: float, last: float) -> list[float]:
    import pandas as pd

    if times.zero is None:
        return _elapsed_moment(text)
    if clock := _CLOCK.fullmatch(text):
        hour = int(clock[1]) + int(clock[2]) / 60
        midnight = pd.Timedelta(hours=first) + times.zero
        start = first - (midnight - midnight.normalize()) / pd.Timedelta(hours=1)
        met = [start + 24 * day + hour for day in range(int((last - start) // 24) + 1)]
        inside = [m for m in met if first <= m <= last]
        if len(inside) > 1:
            raise InputError(Fault(f"the log meets {text} {len(inside)} times; give the date too", key="--event"))
        return inside
    forms = dict.fromkeys((times.form, times.form.replace(":%S", ""), "%Y-%m-%d %H:%M", "ISO8601"))
    stamps = [pd.to_datetime(text, format=form, errors="coerce") for form in forms if form]
    return [(s.tz_localize(None) - times.zero) / pd.Timedelta(hours=1) for s in stamps if isinstance(s, pd.Timestamp)]


def _elapsed_moment(text: str) -> list[float]:
    if clock := _CLOCK.fullmatch(text):
        return [int(clock[1]) + int(clock[2]) / 60]
    found = re.fullmatch(r"(\d+(?:[.,]\d+)?)\s*(h|hours?|min|minutes?|d|days?)?", text)
    factors = {"m": 1 / 60, "d": 24.0}
    return [float(found[1].replace(",", ".")) * factors.get((found[2] or "h")[0], 1.0)] if found else []


def _shown(hours: float, times: Times) -> str:
    import pandas as pd

    if times.zero is None:
        return f"{hours:.4g} h"
    return (times.zero + pd.Timedelta(hours=hours)).strftime("%Y-%m-%d %H:%M")
