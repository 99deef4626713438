"""The facts of a log as a page of 80 columns."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from diag import units
from diag.answers import Answer
from diag.case.model import Case
from diag.findings import Urgency
from diag.knowledgebase import Knowledge
from diag.numbertext import shown
from diag.report.figures import System, duration
from diag.report.layout import bullets, heading, paragraph
from diag.report.parts.urgency import urgency as urgency_part
from diag.report.worded import worded, worded_knowledge
from diag.trend.result import Column, Estimate, Trend, TroubleFound
from diag.wordtext import label

__all__ = ["page"]


def page(trend: Trend, found: Sequence[Answer], urgency: Urgency, case: Case, knowledge: Knowledge, system: System,
         written: Sequence[str] = ()) -> str:
    """The whole page; `written` says what went into the case file."""
    trend, urgency, written = worded((trend, urgency, written), system)
    knowledge = worded_knowledge(knowledge, system)
    lines = [*paragraph(f"Temperature log {trend.file}"), *heading("What it does"), *paragraph(trend.words)]
    lines += urgency_part(urgency, case, system)
    lines += [*heading("The course"), *bullets(_course(trend, system))]
    if trend.event is None or not trend.event.known:
        lines += paragraph("If you know when it was greased, say so with --event; that makes the answer surer.")
    lines += [*heading("How the file was read"), *bullets(_reading(trend))]
    if trend.troubles:
        lines += [*heading("Missing or left out"), *bullets(_trouble(t) for t in trend.troubles)]
    lines += [*heading("What this answers"), *_answered(found, knowledge)]
    if written:
        lines += [*heading("Into the case file"), *bullets(written)]
    return "\n".join(lines)


def _course(trend: Trend, system: System) -> Iterator[str]:
    """Each fact that the log can tell, in the reader's unit."""
    def level(value: float) -> str:
        return units.show(value, "temperature", system)

    def change(value: float) -> str:
        return units.show(value, "temperature_difference", system, 2)

    yield f"usual level {level(trend.baseline)}, now {level(trend.now)}, highest reading {level(trend.highest)}"
    if trend.event is not None:
        yield f"event {trend.event.at_h:.1f} h after the first reading, {trend.event.words}"
    if trend.highest_rise is not None and trend.rise_now is not None:
        yield f"rise after the event {change(trend.highest_rise)} at most, {change(trend.rise_now)} at the end"
    yield from _times(trend)
    yield from _slopes(trend, change)
    for name, swing in (("the day", trend.daily_swing), ("the load", trend.load_swing),
                        ("the surroundings", trend.surroundings_swing)):
        if swing is not None:
            yield f"swings with {name} by {change(swing)}; taken out above"
    if trend.over_surroundings is not None:
        before = trend.over_surroundings_before
        was = f", {change(before)} before the event" if before is not None else ""
        yield f"over its surroundings by {change(trend.over_surroundings)}{was}"


def _times(trend: Trend) -> Iterator[str]:
    if trend.time_constant is not None:
        yield f"time constant {_hours(trend.time_constant)}: two thirds of a change are done after it"
    if trend.level_after_h is not None:
        yield f"level, or at its highest, {duration(trend.level_after_h)} after the event"
    if trend.fall_constant is not None:
        yield f"then falls by two thirds in {_hours(trend.fall_constant)}"
    if trend.back_after_h is not None:
        yield f"back near its usual level {duration(trend.back_after_h)} after the event"


def _slopes(trend: Trend, change: Callable[[float], str]) -> Iterator[str]:
    for name, found, per in (("drift before the event" if trend.event else "drift", trend.drift, "a day"),
                             ("slope at the end of the log", trend.climb_now, "an hour")):
        if found is not None:
            yield (f"{name} {change(found.value)} {per}, surely between {change(found.low)} and {change(found.high)}")


def _hours(found: Estimate) -> str:
    return f"{shown(found.value, 2)} h (95 %: {shown(found.low, 2)} to {shown(found.high, 2)} h)"


def _reading(trend: Trend) -> Iterator[str]:
    start = f", the first at {trend.start}" if trend.start else ""
    yield f"{trend.readings} readings over {duration(trend.hours)}{start}"
    yield from trend.notes
    yield from map(_column, trend.columns)


def _column(column: Column) -> str:
    unit = f" in {column.unit}" if column.unit else ""
    return f"“{column.name}”: {column.role}{unit} ({column.how})"


def _trouble(found: TroubleFound) -> str:
    if found.kind == "unreadable":
        return found.words
    lasting = f", for {duration(found.hours)}" if found.hours and found.kind != "gap" else ""
    return f"{label(found.kind)} {found.at_h:.1f} h after the first reading{lasting}: {found.words}"


def _answered(found: Sequence[Answer], knowledge: Knowledge) -> list[str]:
    if not found:
        return paragraph("No sign yet; go on logging.")
    return bullets(f"{knowledge.signs[answer.sign].text}: {label(answer.degree)}" for answer in found)
