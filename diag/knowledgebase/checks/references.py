"""Ids that must lead somewhere, and links that must not lead in a circle."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from graphlib import CycleError, TopologicalSorter
from typing import Any

import msgspec

from diag.knowledgebase import model
from diag.knowledgebase.checks.base import Found, records, rule
from diag.knowledgebase.decision import FieldCheck
from diag.knowledgebase.knowledge import Knowledge
from diag.knowledgebase.rules import ComplaintSign

# The ids other tools rely on; they may not be renamed.
CONTRACT_CAUSES = (
    "over_greasing", "under_greasing", "viscosity_too_low", "viscosity_or_consistency_too_high",
    "oil_separation", "thermal_or_oxidative_hardening", "overheating_external", "water_washout",
    "water_ingress_corrosion", "incompatible_thickener_mix", "incompatible_oil_or_seal", "shear_softening",
    "solid_contamination", "insufficient_ep", "unsuitable_solids_or_tack_at_speed", "fretting_corrosion",
    "false_brinelling", "electrical_erosion", "misalignment", "preload_or_tight_fit",
    "overload_or_unbalance", "seal_failure", "chemical_attack", "normal_transient", "fatigue",
    "wrong_grease_applied", "storage_ageing",
)

# Which ids of which table a record points at.
POINTERS: tuple[tuple[type[msgspec.Struct], str, Callable[[Any], tuple[str, ...]]], ...] = (
    (model.Effect, "conditions", lambda r: (r.condition,)),
    (model.Link, "causes", lambda r: (r.cause,)),
    (model.LookAlike, "causes", lambda r: (r.cause,)),
    (model.CircumstanceEffect, "circumstances", lambda r: (r.fact,)),
    (model.Need, "circumstances", lambda r: (r.fact,)),
    (model.Remedy, "remedies", lambda r: (r.class_,)),
    (model.Option, "conditions", lambda r: (r.condition,)),
    (model.Question, "cautions", lambda r: r.cautions),
    (model.Question, "pictures", lambda r: (r.picture,) if r.picture else ()),
    (model.Picture, "signs", lambda r: r.signs),
    (model.Inseparable, "causes", lambda r: r.causes),
    (model.ReadingSign, "signs", lambda r: (r.sign,)),
    (ComplaintSign, "signs", lambda r: (r.sign,)),
    (FieldCheck, "causes", lambda r: r.causes),
)


@rule("dangling_id", "error")
def dangling_ids(knowledge: Knowledge) -> Iterator[Found]:
    """An id that no record has."""
    for place, record in records(knowledge):
        for cls, table, ids in POINTERS:
            if isinstance(record, cls):
                known = getattr(knowledge, table)
                for wanted in ids(record):
                    if wanted not in known:
                        yield place, f"no such id in {table}: {wanted}"


@rule("dangling_source", "error")
def dangling_sources(knowledge: Knowledge) -> Iterator[Found]:
    """A source that sources.yaml doesn't have, and a fact with no source at all."""
    for place, record in records(knowledge):
        named = getattr(record, "source", None)
        if named is None:
            continue
        if not named:
            yield place, "no source; name one, or practice or memory"
        for source in (named,) if isinstance(named, str) else named:
            if source not in knowledge.sources:
                yield place, f"no such id in sources: {source}"


@rule("dangling_source_of_table", "error")
def dangling_sources_of_tables(knowledge: Knowledge) -> Iterator[Found]:
    """A list of source ids in a table of standards/ with an id that sources.yaml doesn't have."""
    for name in knowledge.standards:
        unknown = {s for s in _sources_in(knowledge.standard(name)) if s not in knowledge.sources}
        for source in sorted(unknown):
            yield f"standards/{name}.yaml", f"no such id in sources: {source}"


def _sources_in(data: Any) -> Iterator[str]:
    """Ids of every `source: [...]` inside; a sentence in its place is no id."""
    if isinstance(data, dict):
        found = data.get("source")
        yield from found if isinstance(found, list) else ()
        for item in data.values():
            yield from _sources_in(item)
    elif isinstance(data, list):
        for item in data:
            yield from _sources_in(item)


@rule("unknown_word", "error")
def unknown_words(knowledge: Knowledge) -> Iterator[Found]:
    """A level word that words.yaml doesn't have (a number with a source is legal)."""
    for place, _, table, word in level_words(knowledge):
        numbers: dict[str, float] = getattr(knowledge.words, table)
        if word not in numbers and not is_number(word):
            yield place, f"{word} is no {table} word; legal: {', '.join(numbers)}, or a sourced number"


@rule("link_cycle", "error")
def link_cycles(knowledge: Knowledge) -> Iterator[Found]:
    """Causes that lead to each other in a circle: the network must be without one."""
    links = {c.id: [link.cause for link in c.leads_to] for c in knowledge.causes.values()}
    try:
        TopologicalSorter(links).prepare()
    except CycleError as error:
        yield "causes", f"leads_to runs in a circle: {' - '.join(reversed(error.args[1]))}"


@rule("missing_contract_cause", "warning")
def missing_contract_causes(knowledge: Knowledge) -> Iterator[Found]:
    """A cause id that other tools rely on and that no record carries."""
    for cause in CONTRACT_CAUSES:
        if cause not in knowledge.causes:
            yield "causes", f"no record for {cause}"


def level_words(knowledge: Knowledge) -> Iterator[tuple[str, msgspec.Struct, str, str]]:
    """Place, record, table of words.yaml and word, for each level word in use."""
    for place, record in records(knowledge):
        if isinstance(record, (model.Effect, model.Link)):
            yield f"{place}.chance", record, "chance", record.chance
        elif isinstance(record, model.Condition):
            yield f"{place}.leak", record, "leak", record.leak
        elif isinstance(record, model.Option):
            yield f"{place}.if_true", record, "report", record.if_true
            yield f"{place}.if_false", record, "false_report", record.if_false
        elif isinstance(record, model.CircumstanceEffect):
            yield f"{place}.holds", record, "strength", record.holds
            yield f"{place}.if_not", record, "strength", record.if_not
        elif isinstance(record, model.Cause):
            for kind, word in record.base_rate.items():
                yield f"{place}.base_rate.{kind}", record, "base_rate", word


def is_number(word: str) -> bool:
    try:
        float(word)
    except ValueError:
        return False
    return True
