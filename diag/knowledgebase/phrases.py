"""The shapes of phrases.yaml and sayings/*.yaml: general words, and the ways people name each sign."""

from __future__ import annotations

import msgspec

from diag.knowledgebase.model import ALL_KINDS, Confidence, Kind, Record

__all__ = ["Phrases", "QuantityRule", "Sayings"]


class Sayings(Record, kw_only=True, frozen=True):
    """How one sign is named. `say`: plainly; `hint`: likely, but the words fit other things too; `deny`: that it is
    not so, without a plain "no" before it.
    """

    say: tuple[str, ...] = ()
    hint: tuple[str, ...] = ()
    deny: tuple[str, ...] = ()


class QuantityRule(Record, kw_only=True, frozen=True):
    """Where a number with a unit of `dimension` belongs; the first rule that fits its clause counts.

    `near` and `with`: one of these stands in the clause (empty: no demand); `not_near`: none does. `#` is a number.
    """

    path: str  # key of the case file
    dimension: str  # of diag.units
    near: tuple[str, ...] = ()
    with_: tuple[str, ...] = msgspec.field(name="with", default=())
    not_near: tuple[str, ...] = ()
    kinds: tuple[Kind, ...] = ALL_KINDS


class Phrases(Record, kw_only=True, frozen=True):
    """Words in plain lower-case English; what each list does is said in the file."""

    source: tuple[str, ...]
    confidence: Confidence
    anchors: tuple[str, ...]
    negations: tuple[str, ...]
    rare_words: tuple[str, ...]
    no_denial: tuple[str, ...]
    ended: tuple[str, ...]
    ended_last: tuple[str, ...]
    back_again: tuple[str, ...]
    hedges: tuple[str, ...]
    leading_hedges: tuple[str, ...]
    no_statement: tuple[str, ...]
    long_past: tuple[str, ...]
    present: tuple[str, ...]
    comparisons: tuple[str, ...]
    clause_words: tuple[str, ...]
    turning_words: tuple[str, ...]
    statement_starts: tuple[str, ...]
    subjects: tuple[str, ...]
    verbs: tuple[str, ...]
    carriers: tuple[str, ...]
    fillers: tuple[str, ...]
    same: tuple[tuple[str, ...], ...]
    quantities: tuple[QuantityRule, ...]
    times: dict[str, str]
    number_words: dict[str, int]
