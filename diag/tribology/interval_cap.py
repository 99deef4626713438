"""What dirt and water leave of a regreasing interval, and what dose goes with the shorter one.

The table is knowledge/standards/interval.yaml, as plain data. A shorter interval is no reason for more grease: the
dose goes down in proportion, but for what it takes to push dirt out of an open outlet.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from diag.tribology.common import Span, require_positive
from diag.tribology.interval import Service

__all__ = ["Cap", "dirty_cap", "dose_for", "flush_grams", "held"]

WET = ("splash", "washed")


class Cap(NamedTuple):
    """Longest times between greasings [h] by one table: the short end for the worst places."""

    low: float
    high: float
    text: str
    source: tuple[str, ...]
    confidence: str


def dirty_cap(service: Service, table: Mapping[str, Any]) -> Cap | None:
    """The fan maker's times for a dirty point; the same for a wet one, by judgement; None for a clean, dry one.

    service: the point, without a temperature taken as up to 150 °F [-]; table: interval.yaml [-].
    Returns Cap [h]. Range: any speed; calendar times, so hours of a point that runs all the time.
    Source: air-handler fan maker, bearing manual; water as dirt: judgement.
    """
    wet = service.water in WET
    if service.dirt == "low" and not wet:
        return None
    part = table["dirty_cap"]
    fahrenheit = 32.0 if service.temperature is None else 1.8 * service.temperature + 32
    row = next(r for r in part["rows"] if r["to_f"] is None or fahrenheit <= r["to_f"])
    confidence = part["confidence"] if service.dirt != "low" else part["water_confidence"]
    return Cap(float(row["low"]), float(row["high"]), row["text"], tuple(part["source"]), confidence)


def held(span: Span, cap: Cap | None) -> Span:
    """An interval held at a cap: where the likely one is longer, the cap's own range stands for it.

    span: what the methods span [h]; cap: from `dirty_cap` [h] or None.
    Returns Span [h], never longer than `span`. Source: comparison of the two.

    >>> held(Span(5000.0, 8000.0, 9000.0), Cap(168.0, 730.0, "", (), ""))[:3]
    (168.0, 730.0, 730.0)
    """
    if cap is None or span.high <= cap.high:
        return span
    if span.typical <= cap.high:
        return span._replace(high=cap.high)
    return Span(min(span.low, cap.low), cap.high, cap.high, cap.source, cap.confidence)


def flush_grams(table: Mapping[str, Any], outside: float, width: float) -> float:
    """Least dose that pushes dirt out of an open outlet, a weekly one: 0.002·D·B.

    table: interval.yaml [-]; outside: D [mm]; width: B [mm].
    Returns grams [g]. Raises InputError for a size not above 0. Source: a bearing maker's factor, from memory.
    """
    require_positive("mm", outside_diameter=outside, width=width)
    return float(table["dirty_cap"]["flush"]["factor"]) * outside * width


def dose_for(dose: float, interval: float, shortened: float, least: float = 0.0) -> float:
    """Dose for a shortened interval: in proportion, not under `least`, never over the whole dose.

    dose: whole dose [g] for the whole interval [h]; interval, shortened: [h]; least: what flushing needs [g].
    Returns grams [g]. Raises InputError for a dose or interval not above 0. Source: definition.

    >>> dose_for(20.0, 4000.0, 1000.0), dose_for(20.0, 4000.0, 1000.0, least=8.0)
    (5.0, 8.0)
    """
    require_positive("g", dose=dose)
    require_positive("h", interval=interval, shortened_interval=shortened)
    return min(dose, max(dose * shortened / interval, least))
