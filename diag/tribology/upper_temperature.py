"""How hot a grease may run: margins below the dropping point, and limits by thickener and oil.

The margin takes floats or numpy arrays. The table is knowledge/standards/upper_temperatures.yaml, as plain
data. The dropping point itself is never a service limit.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np

from diag.errors import InputError
from diag.tribology._ranges import Reals, Result, plain
from diag.tribology.common import Span, row_span

__all__ = [
    "Limit", "base_oil_limit", "continuous_limit", "dropping_point_margin", "limits", "lowest",
    "thickener_limits", "usable_tops",
]  # fmt: skip

ABSOLUTE_ZERO = -273.15


class Limit(NamedTuple):
    """One upper limit [°C], what it rests on and what it says."""

    id: str
    top: float
    text: str
    source: tuple[str, ...]
    confidence: str


def dropping_point_margin(dropping_point: Reals, running_temperature: Reals) -> Result:
    """How far a grease runs below its dropping point: T_drop − T.

    dropping_point: T_drop [°C]; running_temperature: T [°C].
    Returns margin [K], below 0 when it runs above it; compare with the margins of `usable_tops`.
    Raises InputError below absolute zero. Source: definition.

    >>> dropping_point_margin(260.0, 177.0)  # NLGI figure for lithium complex
    83.0
    """
    _warm(dropping_point)
    _warm(running_temperature)
    return plain(np.asarray(dropping_point) - running_temperature)


def usable_tops(table: Mapping[str, Any], dropping_point: float) -> tuple[Limit, ...]:
    """The tops that the published margin rules give, the lowest first: it governs.

    table: upper_temperatures.yaml [-]; dropping_point: T_drop [°C].
    Returns limits [°C]: T_drop − 50, T_drop − 83, 75 % of T_drop in °F.
    Raises InputError below absolute zero.
    Source: trade articles on dropping point and temperature limits; NLGI.
    """
    _warm(dropping_point)
    found = [_ruled(rule, dropping_point) for rule in table["margin_rules"]]
    return tuple(sorted(found, key=lambda limit: limit.top))


def thickener_limits(
    table: Mapping[str, Any], thickener: str | None, base_oil: str | None = None
) -> tuple[Limit, ...]:
    """Tops of a thickener in the published tables, one per table; the lowest row where the oil isn't known.

    table: upper_temperatures.yaml [-]; thickener, base_oil: words of the case file [-] or None.
    Returns limits [°C], none for a thickener that isn't listed. Source: NLGI guide; bearing makers C and D.
    """
    found = []
    for name, part in table["thickeners"].items():
        tops = [float(r["top"]) for r in part["rows"] if _fits(r, thickener, base_oil)]
        if tops:
            text = f"top of {thickener} grease, table {name}"
            found.append(Limit(name, min(tops), text, tuple(part["source"]), part["confidence"]))
    return tuple(found)


def continuous_limit(
    table: Mapping[str, Any], thickener: str | None, base_oil: str | None = None
) -> Span | None:
    """Temperature above which grease life starts to fall; far below what is printed on the pack.

    table: upper_temperatures.yaml [-]; thickener, base_oil: words of the case file [-] or None.
    Returns Span [°C] over the rows that fit, None when none does. Source: bearing maker A.
    """
    part = table["continuous"]
    rows = [r for r in part["rows"] if _fits(r, thickener, base_oil)]
    if not rows:
        return None
    whole = {"low": min(r["low"] for r in rows), "high": max(r["high"] for r in rows)}
    return row_span(whole, part)


def base_oil_limit(table: Mapping[str, Any], base_oil: str | None) -> Span | None:
    """Range in which the oil starts to oxidise fast, in continuous service.

    table: upper_temperatures.yaml [-]; base_oil: word of the case file [-] or None.
    Returns Span [°C], None for an oil that isn't listed. Source: handbook practice, from memory.
    """
    part = table["base_oils"]
    row = next((r for r in part["rows"] if r["base_oil"] == base_oil), None)
    return row_span(row, part) if row else None


def limits(
    table: Mapping[str, Any], thickener: str | None = None, base_oil: str | None = None,
    dropping_point: float | None = None,
) -> tuple[Limit, ...]:  # fmt: skip
    """All upper limits that apply, the lowest first: margins, thickener tables, the oil's highest figure.

    table: upper_temperatures.yaml [-]; thickener, base_oil: words of the case file [-] or None;
    dropping_point: T_drop [°C] or None.
    Returns limits [°C]; the seal's and the DIN letter's limits are not among them.
    Raises InputError for a dropping point below absolute zero. Source: see the parts.
    """
    found = [*thickener_limits(table, thickener, base_oil)]
    if dropping_point is not None:
        found += usable_tops(table, dropping_point)
    oil = base_oil_limit(table, base_oil)
    if oil:
        found.append(Limit("base_oil", oil.high, f"{base_oil} oil, continuous", oil.source, oil.confidence))
    return tuple(sorted(found, key=lambda limit: limit.top))


def lowest(found: tuple[Limit, ...], memory: bool = True) -> Limit | None:
    """The limit that governs.

    found: limits [°C]; memory: whether figures recalled from memory may govern [-].
    Returns a limit [°C], None when there is none. Source: lowest answer governs.
    """
    governing = (f for f in found if memory or f.confidence != "from-memory")
    return min(governing, key=lambda f: f.top, default=None)


def _ruled(rule: Mapping[str, Any], dropping_point: float) -> Limit:
    if "minus" in rule:
        top = dropping_point - rule["minus"]
    else:
        top = (rule["share_f"] * (1.8 * dropping_point + 32) - 32) / 1.8
    return Limit(rule["id"], float(top), rule["text"], tuple(rule["source"]), rule["confidence"])


def _fits(row: Mapping[str, Any], thickener: str | None, base_oil: str | None) -> bool:
    if row["thickener"] != thickener:
        return False
    return base_oil is None or "base_oils" not in row or base_oil in row["base_oils"]


def _warm(temperature: Reals) -> None:
    if np.any(np.asarray(temperature) < ABSOLUTE_ZERO):
        raise InputError(f"temperature {float(np.min(temperature)):g} °C: nothing is colder than −273.15 °C")
