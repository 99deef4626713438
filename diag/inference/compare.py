"""Two causes side by side: what agrees, what speaks for which, and the one check that settles it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from diag.errors import Fault, InputError
from diag.findings import Because, CausePart, Findings, Part
from diag.inference import separation
from diag.inference.network import compiled
from diag.wordtext import label

if TYPE_CHECKING:
    from diag.case.model import Case
    from diag.knowledgebase.knowledge import Knowledge

__all__ = ["Between", "Check", "Comparison", "compare"]

_SAME = 1.2  # factors within this ratio of one another speak for both causes alike (judgement)


class Between(Part, kw_only=True, frozen=True):
    """A finding and what it multiplies the odds of each cause by."""

    id: str
    text: str
    first: float
    second: float


class Check(Part, kw_only=True, frozen=True):
    """`log_odds` [nats]: expected between the two once it is done, the lesser of both directions, with every other
    cause at its base rate."""

    id: str
    text: str
    how: str
    stage: str
    minutes: float
    log_odds: float


class Comparison(Part, kw_only=True, frozen=True):
    """`same_work`: both are cured alike and need no telling apart. `apart`: what their records say tells them apart."""

    first: CausePart
    second: CausePart
    agree: tuple[Between, ...]
    for_first: tuple[Between, ...]
    for_second: tuple[Between, ...]
    apart: tuple[str, ...]
    check: Check | None
    same_work: str


def compare(found: Findings, case: Case, first: str, second: str, answered: Iterable[str], knowledge: Knowledge
            ) -> Comparison:
    """Raises InputError for causes that are unknown, the same, or can't occur at this kind of point."""
    one, other = (_part(found, cause, case, knowledge) for cause in (first, second))
    if first == second:
        raise InputError(Fault("name two different causes", key="--compare"))
    both = list(_between(one, other))
    remedy = knowledge.causes[first].remedy.class_
    same = remedy == knowledge.causes[second].remedy.class_
    return Comparison(
        first=one, second=other, agree=tuple(b for b in both if _lean(b) == 0),
        for_first=tuple(sorted((b for b in both if _lean(b) > 0), key=_ratio, reverse=True)),
        for_second=tuple(sorted((b for b in both if _lean(b) < 0), key=_ratio)),
        apart=_apart(first, second, knowledge), check=_check(found, case, (first, second), answered, knowledge),
        same_work=knowledge.remedies[remedy].text if same else "")


def _part(found: Findings, cause: str, case: Case, knowledge: Knowledge) -> CausePart:
    if cause not in knowledge.causes:
        raise InputError(Fault(f"{cause!r} is no cause; `diag knowledge causes` lists them", key="--compare"))
    if case.point.kind not in knowledge.causes[cause].base_rate:
        kind = label(case.point.kind)
        raise InputError(Fault(f"{cause} can't occur at a {kind}", key="--compare"))
    return next(c for c in found.causes if c.id == cause)


def _between(one: CausePart, other: CausePart) -> Iterable[Between]:
    """Every finding that moved either; 1 where it left a cause as it was."""
    first, second = _factors(one), _factors(other)
    for name in dict.fromkeys((*first, *second)):
        there = first.get(name) or second[name]
        yield Between(id=name, text=there.text, first=_factor(first, name), second=_factor(second, name))


def _factors(part: CausePart) -> Mapping[str, Because]:
    return {b.id: b for b in (*part.for_, *part.against, *part.circumstances)}


def _factor(of: Mapping[str, Because], name: str) -> float:
    return of[name].factor if name in of else 1.0


def _ratio(between: Between) -> float:
    """How far it speaks for the first rather than the second; a cause ruled out counts as a millionth."""
    return max(between.first, 1e-6) / max(between.second, 1e-6)


def _lean(between: Between) -> int:
    ratio = _ratio(between)
    return 1 if ratio > _SAME else -1 if ratio < 1 / _SAME else 0


def _apart(first: str, second: str, knowledge: Knowledge) -> tuple[str, ...]:
    return tuple(look.how for a, b in ((first, second), (second, first))
                 for look in knowledge.causes[a].look_alikes if look.cause == b)


def _check(found: Findings, case: Case, pair: tuple[str, str], answered: Iterable[str], knowledge: Knowledge
           ) -> Check | None:
    best = separation.best_look(compiled(knowledge, case.point.kind), pair, frozenset(answered), knowledge,
                                may_turn=found.urgency.level != "stop_now")
    if best is None:
        return None
    question, odds = best
    return Check(id=question.id, text=question.text, how=question.how, stage=question.stage,
                 minutes=question.minutes, log_odds=odds)
