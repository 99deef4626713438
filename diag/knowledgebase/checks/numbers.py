"""Numbers: in their ranges, with a source, and adding up to a believable crowd of causes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from graphlib import TopologicalSorter

from diag.knowledgebase.checks.base import Found, records, rule
from diag.knowledgebase.checks.references import is_number, level_words
from diag.knowledgebase.knowledge import Knowledge
from diag.knowledgebase.model import ALL_KINDS, Kind

# A technician who looks as told still slips: no report is surer than this, none rarer (judgement).
MOST_REPORT = 0.95
LEAST_FALSE_REPORT = 0.02
# How many causes a point has for which help was asked (judgement; see words.yaml).
SUM_OF_CAUSES = (1.3, 1.7)
NO_CAUSE = (0.10, 0.35)
# Sources that are no publication: a number of its own needs a better one.
UNPUBLISHED = frozenset({"practice", "memory", "judgement"})


@rule("word_range", "error")
def word_ranges(knowledge: Knowledge) -> Iterator[Found]:
    """A level word whose number is out of the range in which it can mean anything."""
    words = knowledge.words
    for table in ("chance", "leak", "report", "false_report", "base_rate"):
        for word, number in getattr(words, table).items():
            if not 0 < number < 1:
                yield f"words.{table}.{word}", f"{number} is no chance between 0 and 1"
    for word, number in words.report.items():
        if number > MOST_REPORT:
            yield f"words.report.{word}", f"{number} is over {MOST_REPORT}: slips happen"
    for word, number in words.false_report.items():
        if number < LEAST_FALSE_REPORT:
            yield f"words.false_report.{word}", f"{number} is under {LEAST_FALSE_REPORT}: slips happen"
    for word, number in words.strength.items():
        if not number > 0:
            yield f"words.strength.{word}", f"{number} is no odds factor over 0"
    if not words.soft_odds > 1:
        yield "words.soft_odds", f"{words.soft_odds} is no odds over 1"
    if not 0 < words.trust <= 1:
        yield "words.trust", f"{words.trust} is no power over 0 and up to 1"


@rule("number_without_source", "error")
def numbers_without_source(knowledge: Knowledge) -> Iterator[Found]:
    """A likelihood written as a number in place of a word, without a publication that prints it."""
    for place, record, _, word in level_words(knowledge):
        named = set(getattr(record, "source", ()))
        if is_number(word) and not named - UNPUBLISHED:
            yield place, f"the number {word} names no publication; use a level word"


@rule("verified_without_source", "warning")
def verified_without_source(knowledge: Knowledge) -> Iterator[Found]:
    """A fact called verified or cross-checked that rests on practice or memory only."""

    for place, record in records(knowledge):
        named = getattr(record, "source", ())
        sure = getattr(record, "confidence", "") in ("verified", "cross-checked")
        if sure and not set((named,) if isinstance(named, str) else named) - UNPUBLISHED:
            yield place, "is called verified but names no publication"


@rule("recalled_must", "error")
def recalled_musts(knowledge: Knowledge) -> Iterator[Found]:
    """A demand on the grease that rests on memory and is called a must: what is recalled may only advise."""
    for cause in knowledge.causes.values():
        for number, demand in enumerate(cause.remedy.requires):
            if demand.strength == "must" and demand.confidence == "from-memory":
                yield f"causes.{cause.id}.remedy.requires[{number}]", "is recalled from memory: should at the most"


@rule("sum_of_base_rates", "warning")
def sums_of_base_rates(knowledge: Knowledge) -> Iterator[Found]:
    """The expected number of causes at a rolling bearing, links included, out of its band."""
    total = sum(marginals(knowledge, "rolling_bearing").values())
    low, high = SUM_OF_CAUSES
    if not low <= total <= high:
        yield "causes", f"the chances of all causes at a rolling bearing sum to {total:.2f}, not {low}-{high}"


@rule("no_cause_band", "warning")
def chances_of_no_cause(knowledge: Knowledge) -> Iterator[Found]:
    """The chance that a rolling bearing someone asked about has no cause at all, out of its band."""
    none = math.prod(1 - base for base in base_rates(knowledge, "rolling_bearing").values())
    low, high = NO_CAUSE
    if not low <= none <= high:
        yield "causes", f"the chance of no cause at a rolling bearing is {none:.2f}, not {low} to {high}"


def base_rates(knowledge: Knowledge, kind: Kind) -> dict[str, float]:
    """Cause → chance of itself, at a point of this kind."""
    assert kind in ALL_KINDS
    return {
        c.id: knowledge.level("base_rate", c.base_rate[kind])
        for c in knowledge.causes.values()
        if kind in c.base_rate
    }


def marginals(knowledge: Knowledge, kind: Kind) -> dict[str, float]:
    """Cause → chance with the causes that lead to it, before anything is known of the point.

    Noisy-OR along the links; the parents of a cause are taken as independent, which is off by a few
    thousandths where they share a parent, far less than the band is wide.
    """
    chances = base_rates(knowledge, kind)
    parents: dict[str, list[tuple[str, float]]] = {c: [] for c in chances}
    for cause in knowledge.causes.values():
        for link in cause.leads_to:
            if kind in link.kinds and cause.id in chances and link.cause in chances:
                parents[link.cause].append((cause.id, knowledge.level("chance", link.chance)))
    order = TopologicalSorter({c: [p for p, _ in ps] for c, ps in parents.items()}).static_order()
    for cause_id in order:
        missed = math.prod(1 - chances[p] * q for p, q in parents[cause_id])
        chances[cause_id] = 1 - (1 - chances[cause_id]) * missed
    return chances
