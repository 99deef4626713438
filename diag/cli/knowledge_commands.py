"""`diag knowledge ...`: look into the records and run the lint rules."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

import msgspec
import yaml

from diag import knowledgebase
from diag.circumstances import FUNCTIONS
from diag.cli.output import put
from diag.errors import KnowledgeError
from diag.knowledgebase.model import ALL_KINDS, Kind
from diag.report import json, records
from diag.report.layout import paragraph
from diag.wordtext import label

__all__ = ["causes", "check", "show", "signs"]

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
        put(json.text(records.sign_rows(knowledge)))
        return
    lines = []
    for question in knowledge.questions.values():
        lines += ["", *paragraph(f"{question.text} ({label(question.stage)})")]
        lines += [line for o in question.options for line in paragraph(o.text, 2, f"{o.sign}: ")]
    put("\n".join(lines[1:]))


def causes(as_json: bool) -> None:
    """All causes with role and base-rate words."""
    knowledge = knowledgebase.load()
    if as_json:
        put(json.text(records.cause_rows(knowledge)))
        return
    lines = []
    for cause in knowledge.causes.values():
        rates = ", ".join(f"{label(kind)} {label(word)}" for kind, word in cause.base_rate.items())
        lines += paragraph(f"{cause.name} ({cause.role}; {rates})", 0, f"{cause.id}: ")
    put("\n".join(lines))


def show(record: str, as_json: bool) -> None:
    """One record of any kind by its id. Raises InputError for an id that isn't there."""
    found = records.record(record, knowledgebase.load())
    if as_json:
        put(json.text(found))
    else:
        put("\n\n".join(f"{label(kind)}:\n{_readable(value)}" for kind, value in found.items()))


def _readable(record: Any) -> str:
    data = msgspec.to_builtins(record)
    return yaml.safe_dump(data, allow_unicode=True, sort_keys=False, width=78).rstrip()
