"""`diag knowledge ...`: look into the records and run the lint rules."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from difflib import get_close_matches
from typing import Any

import msgspec
import yaml

from diag import knowledgebase
from diag.circumstances import FUNCTIONS
from diag.cli.output import put
from diag.errors import InputError, KnowledgeError
from diag.knowledgebase import Knowledge
from diag.knowledgebase.model import ALL_KINDS, Kind
from diag.report import json
from diag.report.layout import label, paragraph

__all__ = ["causes", "check", "show", "signs"]

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
    "compatibility",
)


def check(as_json: bool) -> None:
    """Every issue; raises KnowledgeError when one of them is an error."""
    from diag.inference.network import compiled  # numpy, which no other of these commands needs

    knowledge = knowledgebase.load()
    widths: dict[Kind, int] = {kind: compiled(knowledge, kind).width for kind in ALL_KINDS}
    issues = knowledgebase.check(knowledge, width=widths.__getitem__, functions=FUNCTIONS)
    errors = [str(issue) for issue in issues if issue.severity == "error"]
    if as_json:
        put(json.text([asdict(issue) for issue in issues]))
    else:
        width = "width of the network: " + ", ".join(f"{label(kind)} {found}" for kind, found in widths.items())
        counts = f"{len(errors)} errors, {len(issues) - len(errors)} warnings"
        put("\n".join([*map(str, issues), width, counts]))
    if errors:
        raise KnowledgeError(*errors)


def signs(as_json: bool) -> None:
    """Signs under their questions, in the order of the files."""
    knowledge = knowledgebase.load()
    if as_json:
        put(json.text([_sign(sign, knowledge) for sign in knowledge.signs]))
        return
    lines = []
    for question in knowledge.questions.values():
        lines += ["", *paragraph(f"{question.text} ({label(question.stage)})")]
        lines += [line for o in question.options for line in paragraph(o.text, 2, f"{o.sign}: ")]
    put("\n".join(lines[1:]))


def _sign(sign: str, knowledge: Knowledge) -> dict[str, Any]:
    question = knowledge.questions[knowledge.question_of[sign]]
    return {
        "id": sign,
        "text": knowledge.signs[sign].text,
        "condition": knowledge.signs[sign].condition,
        "question": question.id,
        "stage": question.stage,
    }


def causes(as_json: bool) -> None:
    """All causes with role and base-rate words."""
    known = knowledgebase.load().causes.values()
    if as_json:
        put(json.text([{"id": c.id, "name": c.name, "role": c.role, "base_rate": c.base_rate} for c in known]))
        return
    lines = []
    for cause in known:
        rates = ", ".join(f"{label(kind)} {label(word)}" for kind, word in cause.base_rate.items())
        lines += paragraph(f"{cause.name} ({cause.role}; {rates})", 0, f"{cause.id}: ")
    put("\n".join(lines))


def show(record: str, as_json: bool) -> None:
    """One record of any kind by its id. Raises InputError for an id that isn't there."""
    knowledge = knowledgebase.load()
    found = _find(record, knowledge)
    if as_json:
        put(json.text(found))
    else:
        put("\n\n".join(f"{label(kind)}:\n{_readable(value)}" for kind, value in found.items()))


def _find(record: str, knowledge: Knowledge) -> dict[str, Any]:
    """Table name → record; one id can stand in several tables (a cause and a condition may share it)."""
    tables: dict[str, Mapping[str, Any]] = {name: getattr(knowledge, name) for name in _TABLES}
    found = {name: table[record] for name, table in tables.items() if record in table}
    if not found:
        ids = [known for table in tables.values() for known in table]
        near = get_close_matches(record, ids, 3)
        hint = f"near it: {', '.join(near)}" if near else "see diag knowledge causes and signs"
        raise InputError(f"no record {record}; {hint}")
    return found


def _readable(record: Any) -> str:
    data = msgspec.to_builtins(record)
    return yaml.safe_dump(data, allow_unicode=True, sort_keys=False, width=78).rstrip()
