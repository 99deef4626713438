"""What a rule is: it looks at the whole knowledge and gives back issues; it neither prints nor raises.

An error makes answers wrong or a page fall over: nothing is released with one. A warning is a weakness that a
person should weigh: the record works.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, Literal

import msgspec

from diag.knowledgebase.knowledge import Knowledge
from diag.knowledgebase.model import ALL_KINDS, Cause, Kind

__all__ = ["RULES", "Finder", "Found", "Issue", "Rule", "Severity", "causes_of", "records", "rule"]

Severity = Literal["error", "warning"]
Found = tuple[str, str]  # place, words
Finder = Callable[[Knowledge], Iterator[Found]]


@dataclass(frozen=True, slots=True)
class Issue:
    """One thing a rule found: which rule, how grave, where, and in words."""

    rule: str
    severity: Severity
    place: str
    text: str

    def __str__(self) -> str:
        return f"{self.severity}: {self.place}: {self.text} [{self.rule}]"


@dataclass(frozen=True, slots=True)
class Rule:
    """One lint rule; `find` yields place and words."""

    id: str
    severity: Severity
    find: Finder

    def issues(self, knowledge: Knowledge) -> Iterator[Issue]:
        for place, text in self.find(knowledge):
            yield Issue(self.id, self.severity, place, text)


RULES: dict[str, Rule] = {}
TABLES = ("causes", "conditions", "questions", "circumstances", "readings", "remedies", "cautions",
          "complaints", "limits", "costs", "field_checks", "thickeners", "base_oils", "additives",
          "applications", "trade_facts", "compatibility", "pictures", "separability")


def rule(rule_id: str, severity: Severity) -> Callable[[Finder], Finder]:
    """Enters a finder into the registry."""

    def enter(find: Finder) -> Finder:
        RULES[rule_id] = Rule(rule_id, severity, find)
        return find

    return enter


def records(knowledge: Knowledge) -> Iterator[tuple[str, msgspec.Struct]]:
    """Every record of the knowledge, nested ones too, with its place such as `causes.x.produces[0]`."""
    for table in TABLES:
        yield from _inside(table, getattr(knowledge, table))


def _inside(place: str, value: Any) -> Iterator[tuple[str, msgspec.Struct]]:
    if isinstance(value, msgspec.Struct):
        yield place, value
        for name in value.__struct_fields__:
            yield from _inside(f"{place}.{name}", getattr(value, name))
    elif isinstance(value, dict):
        for key, item in value.items():
            yield from _inside(f"{place}.{key}", item)
    elif isinstance(value, tuple):
        for at, item in enumerate(value):
            yield from _inside(f"{place}[{at}]", item)


def causes_of(knowledge: Knowledge, condition: str, kind: Kind | None = None) -> tuple[Cause, ...]:
    """Causes that produce the condition, at a point of `kind` or at any."""
    kinds = ALL_KINDS if kind is None else (kind,)
    return tuple(
        cause
        for cause in knowledge.causes.values()
        if any(
            e.condition == condition and any(k in e.kinds and k in cause.base_rate for k in kinds)
            for e in cause.produces
        )
    )
