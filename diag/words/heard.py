"""A case with what its `said` adds: signs nobody answered, and quantities nobody gave."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields, replace
from typing import Any

from diag.case import contradictions
from diag.case.model import Case
from diag.findings import FromText
from diag.knowledgebase import Knowledge
from diag.words.quantities import FromWords
from diag.words.reading import Reading, read

__all__ = ["heard", "news"]


def heard(case: Case, knowledge: Knowledge) -> tuple[Case, tuple[FromText, ...], tuple[str, ...]]:
    """The case with the quantities of `said` where it had none; the signs read; a note for each quantity taken.

    What stands in the case is never overridden, an answer `unknown` included; a quantity that is out of its range
    or contradicts the case is left.
    """
    if not case.said or not case.point.kind:
        return case, (), ()
    found = news(case, read(case.said, case.point.kind, knowledge), knowledge)
    filled, notes = _filled(case, found.quantities, knowledge)
    return filled, found.signs, notes


def news(case: Case, found: Reading, knowledge: Knowledge) -> Reading:
    """What a reading adds to a case: signs without an answer, quantities without a value."""
    signs = tuple(one for one in found.signs if one.sign not in case.seen)
    numbers = tuple(one for one in found.quantities if _with(case, one, knowledge) is not None)
    return Reading(signs, numbers, found.unmatched, found.worded)


def _filled(case: Case, found: Sequence[FromWords], knowledge: Knowledge) -> tuple[Case, tuple[str, ...]]:
    notes = []
    for one in found:
        wider = _with(case, one, knowledge)
        if wider is not None and not contradictions.find(wider):
            case = wider
            name = one.path.removeprefix("point.").replace(".", ", ").replace("_", " ")
            notes.append(f"{name} {one.text}, from your words “{one.words}”")
    return case, tuple(notes)


def _with(case: Case, one: FromWords, knowledge: Knowledge) -> Case | None:
    """The case with one value more; None where it has that value, or the value can't be."""
    first, *rest = one.path.split(".")
    if first == "measured":
        reading = knowledge.readings[rest[0]]
        legal = _between(one.value, reading.least, reading.most) and reading.id not in case.measured
        return replace(case, measured={**case.measured, reading.id: one.value}) if legal else None
    found: Case | None = _set(case, [first, *rest], one.value)
    return found


def _set(part: Any, names: list[str], value: float) -> Any:
    """The part with the value at the end of the names; None where one stands there, or the value is out of bounds."""
    name, *deeper = names
    now = getattr(part, name)
    if deeper:
        inner = _set(now, deeper, value)
        return None if inner is None else replace(part, **{name: inner})
    rule = next(f.metadata for f in fields(part) if f.name == name)
    over = rule["over"]
    legal = now is None and (over is None or value > over) and _between(value, rule["least"], rule["most"])
    return replace(part, **{name: value}) if legal else None


def _between(value: float, least: float | None, most: float | None) -> bool:
    return (least is None or value >= least) and (most is None or value <= most)
