"""Which cases of the log are like this one, what was done there, and whether it held.

Distance after Gower, A general coefficient of similarity, Biometrics 27 (1971): over what both cases tell,

    d = (Σ w · δ + u/2) / (Σ w + u),   δ in 0 … 1

with u units of weight for what nobody told, so that two cases which share one answer and tell nothing else are no
twins. Signs are Gower's dichotomous kind: a sign that both deny is no likeness. Weights: standards/similar.yaml.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, fields
from operator import attrgetter
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

import msgspec

from diag import units
from diag.answers import Answer, collect, from_text
from diag.case import read_text
from diag.case.model import Case
from diag.errors import InputError
from diag.report.layout import bullets, paragraph
from diag.report.worded import worded
from diag.words import heard
from diag.wordtext import joined, label

if TYPE_CHECKING:
    from diag.answers import Answers
    from diag.caselog.model import Record
    from diag.knowledgebase import Knowledge

__all__ = ["Found", "Similar", "facts", "lines", "nearest"]

_ALIKE, _UNLIKE = 0.25, 0.5  # a difference up to the first is named as a likeness, from the second as a difference
_NAMED = 6  # likenesses and differences named at most, weightiest first


class _Number(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    weight: float
    span: float
    ratio: Literal["yes", "no"] = "no"


class _Weights(msgspec.Struct, frozen=True):
    """standards/similar.yaml"""

    sign: float
    unknown: float
    words: dict[str, float]
    lists: dict[str, float]
    numbers: dict[str, _Number]


class _Compared(NamedTuple):
    """One thing that both cases tell: weight, difference [0 to 1], and its words."""

    weight: float
    difference: float
    words: str


@dataclass(frozen=True)
class _Told:
    """A case ready to be compared."""

    case: Case
    answers: Answers


@dataclass(frozen=True, slots=True)
class Similar:
    """A case of the log beside the one at hand. `distance` [0 to 1]: 0 would be the same in all that can be told."""

    record: Record
    distance: float
    compared: int
    alike: tuple[str, ...]
    unlike: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Found:
    """The nearest first; `unread`: ids of cases that today's knowledge can't read any more."""

    similar: tuple[Similar, ...]
    unread: tuple[str, ...] = field(default=())


def nearest(case: Case, records: Iterable[Record], knowledge: Knowledge, most: int = 5) -> Found:
    """The `most` records nearest to the case; at the same distance the younger first."""
    weights = msgspec.convert(knowledge.standard("similar"), _Weights)
    this, unread = _told(case, knowledge), []
    found: list[Similar] = []
    for record in records:
        try:
            other = _told(read_text(record.case, record.id, knowledge), knowledge)
        except InputError:
            unread.append(record.id)
            continue
        found.append(_similar(record, list(_compare(this, other, weights, knowledge)), weights.unknown))
    found.sort(key=lambda s: s.record.added, reverse=True)
    found.sort(key=lambda s: s.distance)
    return Found(tuple(found[:most]), tuple(unread))


def _told(case: Case, knowledge: Knowledge) -> _Told:
    full, read, _ = heard(case, knowledge)
    return _Told(full, collect(full, knowledge, from_text(read, knowledge)))


def _similar(record: Record, compared: Sequence[_Compared], unknown: float) -> Similar:
    unlike = sum(c.weight * c.difference for c in compared) + unknown / 2
    weightiest = sorted(compared, key=lambda c: -c.weight)
    return Similar(
        record, unlike / (sum(c.weight for c in compared) + unknown), len(compared),
        tuple(c.words for c in weightiest if c.difference <= _ALIKE)[:_NAMED],
        tuple(c.words for c in weightiest if c.difference >= _UNLIKE)[:_NAMED])


def _compare(one: _Told, other: _Told, weights: _Weights, knowledge: Knowledge) -> Iterator[_Compared]:
    """Everything that both tell."""
    for path, weight in weights.words.items():
        yield from _words(path, weight, *_values(path, one, other))
    for path, weight in weights.lists.items():
        yield from _lists(path, weight, *_values(path, one, other))
    for path, number in weights.numbers.items():
        yield from _numbers(path, number, *_values(path, one, other))
    for sign in knowledge.signs:
        pair = one.answers.by_sign.get(sign), other.answers.by_sign.get(sign)
        yield from _signs(knowledge.signs[sign].text, weights.sign, *pair)


def _values(path: str, one: _Told, other: _Told) -> tuple[Any, Any]:
    value = attrgetter(path)
    return value(one.case), value(other.case)


def _words(path: str, weight: float, one: str | None, other: str | None) -> Iterator[_Compared]:
    if one and other:
        told = label(one) if one == other else f"{label(one)}, there {label(other)}"
        yield _Compared(weight, float(one != other), f"{_name(path)}: {told}")


def _lists(path: str, weight: float, one: Sequence[str], other: Sequence[str]) -> Iterator[_Compared]:
    """Share of the members that only one has; an empty list tells nothing."""
    if one and other:
        shared = [label(w) for w in one if w in other]
        every = set(one) | set(other)
        told = joined(shared) if shared else f"{_listed(one)}, there {_listed(other)}"
        yield _Compared(weight, 1 - len(shared) / len(every), f"{_name(path)}: {told}")


def _numbers(path: str, number: _Number, one: float | None, other: float | None) -> Iterator[_Compared]:
    if one is None or other is None:
        return
    apart = abs(one - other) if number.ratio == "no" else _tenfolds(one, other)
    shown = [_quantity(path, value) for value in (one, other)]
    told = shown[0] if one == other else ", there ".join(shown)
    yield _Compared(number.weight, min(1.0, apart / number.span), f"{_name(path)}: {told}")


def _quantity(path: str, value: float) -> str:
    """With the unit of the case model; a count has none."""
    part: Any = Case()
    *sections, name = path.split(".")
    for section in sections:
        part = getattr(part, section)
    known = {f.name: f.metadata for f in fields(part)}[name]
    return units.show(value, known["dimension"]) if known["as"] == "quantity" else f"{value:g}"


def _tenfolds(one: float, other: float) -> float:
    """How many tenfolds apart; a standing machine is as far from a turning one as can be."""
    if one == other:
        return 0.0
    return abs(math.log10(one / other)) if min(one, other) > 0 else math.inf


def _signs(text: str, weight: float, one: Answer | None, other: Answer | None) -> Iterator[_Compared]:
    """Both answered, and not both denied. The complaint is compared as a word already."""
    if one is None or other is None or "complaint" in (one.origin, other.origin):
        return
    if one.weight is None or other.weight is None or (one.negative and other.negative):
        return
    yield _Compared(weight, abs(one.weight - other.weight), text)


def _name(path: str) -> str:
    return label(path.removeprefix("point.").replace(".", " "))


def _listed(words: Iterable[str]) -> str:
    return joined([label(w) for w in words])


# -- for the reader ------------------------------------------------------------------------------------------


def facts(found: Found) -> dict[str, Any]:
    """Plain facts for JSON."""
    return {"similar": [_facts(s) for s in found.similar], "unread": found.unread}


def _facts(one: Similar) -> dict[str, Any]:
    record = one.record
    return {
        "id": record.id, "added": record.added, "site": record.site, "machine": record.machine, "point": record.point,
        "title": record.title, "distance": one.distance, "compared": one.compared, "alike": one.alike,
        "unlike": one.unlike, "suspected": record.suspected, "confirmation": record.confirmation,
        "work": record.work, "held": record.held}


def lines(found: Found, knowledge: Knowledge, system: units.System = "metric") -> list[str]:
    """The nearest cases on 80 columns: what they share, what it was, what was done, whether it held."""
    if not found.similar:
        out = paragraph("There is no other case in the log.")
    else:
        out = [line for one in found.similar for line in _lines(one, knowledge, system)]
    if found.unread:
        out += ["", *paragraph(f"Not compared, since today's knowledge can't read them: {joined(found.unread)}.")]
    return out


def _lines(one: Similar, knowledge: Knowledge, system: units.System) -> list[str]:
    record = one.record
    name = "; ".join(part for part in (record.place, record.title) if part) or label(record.kind)
    told = (
        ("alike", "; ".join(worded(one.alike, system))),
        ("unlike", "; ".join(worded(one.unlike, system))),
        ("cause", _cause(record, knowledge)),
        ("done", "; ".join(record.work) or "not told"),
        ("held", {True: "yes", False: "no, it came back", None: "not told"}[record.held]))
    head = paragraph(name, 0, f"{record.id}  {record.added[:10]}  distance {one.distance:.2f}  ")
    return [*head, *bullets(f"{what}: {words}" for what, words in told if words), ""]


def _cause(record: Record, knowledge: Knowledge) -> str:
    confirmation = record.confirmation
    causes = confirmation.causes if confirmation and confirmation.causes else record.suspected
    if not causes:
        return "none found"
    sure = (f"confirmed by {confirmation.how}" if confirmation and confirmation.how != "unconfirmed"
            else "suspected, never confirmed")
    return f"{joined([knowledge.causes[c].name if c in knowledge.causes else label(c) for c in causes])} ({sure})"
