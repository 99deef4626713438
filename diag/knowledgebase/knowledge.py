"""All knowledge in one frozen object, with what is derived from it."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache, cached_property
from typing import Any, Literal

from diag.errors import Fault, InputError
from diag.knowledgebase.decision import CostTable, FieldCheck
from diag.knowledgebase.greases import (
    Additive,
    Application,
    BaseOil,
    CompatibilityTable,
    Thickener,
    TradeFact,
)
from diag.knowledgebase.model import (
    Cause,
    Caution,
    Circumstance,
    Condition,
    Inseparable,
    Option,
    Picture,
    Question,
    Reading,
    RemedyClass,
    Source,
    Words,
)
from diag.knowledgebase.phrases import Phrases, Sayings
from diag.knowledgebase.rules import ComplaintSign, Limits

__all__ = ["Knowledge", "LevelTable"]

UNWRITTEN = {"practice": "common practice", "memory": "from memory", "judgement": "judgement"}
LevelTable = Literal["chance", "leak", "report", "false_report", "base_rate", "strength"]


@dataclass(frozen=True)
class Knowledge:
    """Records by id, in the order of the files. Never changed after loading.

    `standard(name)` reads one table of standards/ on first use, since few commands need them; `sayings()` the ways
    people name the signs, by sign.
    """

    words: Words
    causes: dict[str, Cause]  # the active ones
    retired: dict[str, Cause]
    conditions: dict[str, Condition]
    questions: dict[str, Question]
    circumstances: dict[str, Circumstance]
    readings: dict[str, Reading]
    remedies: dict[str, RemedyClass]
    cautions: dict[str, Caution]
    sources: dict[str, Source]
    complaints: tuple[ComplaintSign, ...]
    limits: Limits
    costs: CostTable
    field_checks: dict[str, FieldCheck]
    phrases: Phrases
    thickeners: dict[str, Thickener]
    base_oils: dict[str, BaseOil]
    additives: dict[str, Additive]
    applications: dict[str, Application]
    trade_facts: dict[str, TradeFact]
    compatibility: dict[str, CompatibilityTable]
    synonyms: dict[str, Any]
    standards: tuple[str, ...]  # names for `standard`
    fingerprint: str
    standard: Callable[[str], Any] = field(compare=False, repr=False)
    sayings: Callable[[], Mapping[str, Sayings]] = field(compare=False, repr=False)
    base_rate_factors: Mapping[str, float] = field(default_factory=dict)
    pictures: dict[str, Picture] = field(default_factory=dict)
    separability: dict[str, Inseparable] = field(default_factory=dict)

    @cached_property
    def signs(self) -> dict[str, Option]:
        """Sign id → option."""
        return {o.sign: o for q in self.questions.values() for o in q.options}

    @cached_property
    def question_of(self) -> dict[str, str]:
        """Sign id → id of the question that asks for it."""
        return {o.sign: q.id for q in self.questions.values() for o in q.options}

    @cached_property
    def picture_of(self) -> dict[str, str]:
        """Sign id → id of the picture that shows it."""
        return {sign: p.id for p in self.pictures.values() for sign in p.signs}

    @cached_property
    def signs_of(self) -> dict[str, tuple[str, ...]]:
        """Condition id → its signs."""
        found: dict[str, list[str]] = {c: [] for c in self.conditions}
        for sign, option in self.signs.items():
            found.setdefault(option.condition, []).append(sign)
        return {c: tuple(signs) for c, signs in found.items()}

    def level(self, table: LevelTable, word: str) -> float:
        """The number of a level word; a number written out (with its source) stands for itself."""
        numbers: dict[str, float] = getattr(self.words, table)
        return numbers[word] if word in numbers else float(word)

    def reported(self, option: Option) -> tuple[float, float]:
        """P(reported | condition) and P(reported | not the condition) as counted: tempered by `words.trust`."""
        return _tempered(self.level("report", option.if_true), self.level("false_report", option.if_false),
                         self.words.trust)

    def cite(self, source: tuple[str, ...], confidence: str) -> str:
        """Where a fact comes from, for a reader: publisher and title, and how sure it is.

        What has no document behind it is named plainly: common practice, from memory, judgement.
        """
        titles = [UNWRITTEN.get(s) or self._title(s) for s in source]
        sure = confidence.replace("-", " ")
        return "; ".join(titles) if sure in titles else f"{'; '.join(titles)} ({sure})"

    def _title(self, source: str) -> str:
        named = self.sources.get(source, Source(title=source))
        return f"{named.publisher}: {named.title}" if named.publisher else named.title

    def with_base_rates(self, factors: Mapping[str, float]) -> Knowledge:
        """The same knowledge with the odds of each named cause's base rate times a factor (> 0, finite).

        The fingerprint stays: the records are the same, only this site's experience is added.
        Raises InputError for an unknown cause or a factor that is no positive number.
        """
        faults = [
            Fault(f"{f} is no positive factor" if c in self.causes else "no such cause", key=c)
            for c, f in factors.items()
            if c not in self.causes or not (math.isfinite(f) and f > 0)
        ]
        if faults:
            raise InputError(*faults)
        return replace(self, base_rate_factors=dict(factors))


@cache
def _tempered(true: float, false: float, trust: float) -> tuple[float, float]:
    """The two chances of the report whose odds, of a yes and of a no alike, are those of this one to a power.

    Solved from t / f = (true / false)^trust and (1 − t) / (1 − f) = ((1 − true) / (1 − false))^trust, so that what is
    tempered is still a report with chances between 0 and 1: questions, fit and posterior stay of one piece.
    """
    if trust == 1 or true == false:
        return true, false
    yes, no = (false / true) ** trust, ((1 - true) / (1 - false)) ** trust
    found = (1 - no) / (1 - no * yes)
    return found, found * yes
