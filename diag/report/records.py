"""Knowledge records as the rows that lists and `show` give, in the terminal's JSON and the page's alike."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches
from typing import Any

from diag.errors import InputError
from diag.knowledgebase import Knowledge

__all__ = ["cause_rows", "record", "sign_rows"]

_TABLES = (
    "causes",
    "retired",
    "conditions",
    "questions",
    "signs",
    "circumstances",
    "readings",
    "remedies",
    "cautions",
    "sources",
    "thickeners",
    "base_oils",
    "additives",
    "applications",
    "trade_facts",
    "compatibility",
)


def sign_rows(knowledge: Knowledge) -> list[dict[str, Any]]:
    """Every sign with its question, in the order of the files."""
    return [_sign(sign, knowledge) for sign in knowledge.signs]


def _sign(sign: str, knowledge: Knowledge) -> dict[str, Any]:
    question = knowledge.questions[knowledge.question_of[sign]]
    return {
        "id": sign,
        "text": knowledge.signs[sign].text,
        "condition": knowledge.signs[sign].condition,
        "question": question.id,
        "stage": question.stage,
    }


def cause_rows(knowledge: Knowledge) -> list[dict[str, Any]]:
    """Every cause with role and base-rate words."""
    known = knowledge.causes.values()
    return [{"id": c.id, "name": c.name, "role": c.role, "base_rate": c.base_rate} for c in known]


def record(wanted: str, knowledge: Knowledge) -> dict[str, Any]:
    """Table name → record; one id can stand in several tables (a cause and a condition may share it). A sign comes
    with the ways people name it (`sayings`).

    Raises InputError for an id that isn't there.
    """
    tables: dict[str, Mapping[str, Any]] = {name: getattr(knowledge, name) for name in _TABLES}
    found = {name: table[wanted] for name, table in tables.items() if wanted in table}
    if not found:
        ids = [known for table in tables.values() for known in table]
        near = get_close_matches(wanted, ids, 3)
        hint = f"near it: {', '.join(near)}" if near else "see diag knowledge causes and signs"
        raise InputError(f"no record {wanted}; {hint}")
    if wanted in knowledge.signs and wanted in knowledge.sayings():
        found["sayings"] = knowledge.sayings()[wanted]
    return found
