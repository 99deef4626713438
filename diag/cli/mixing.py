"""`diag mix`: what the published tables say of two greases. Apart from the review, which it doesn't need."""

from __future__ import annotations

from diag import knowledgebase
from diag.cli.output import put
from diag.cli.reading import read_grease
from diag.remedy import compatibility
from diag.report import json
from diag.report.layout import paragraph
from diag.report.parts import changeover

__all__ = ["mix"]


def mix(old: str, new: str, as_json: bool) -> None:
    """Print the verdict and each table's words. Raises InputError for a grease that can't be read."""
    knowledge = knowledgebase.load()
    found = compatibility.judge(read_grease(old, knowledge), read_grease(new, knowledge), knowledge)
    if as_json:
        put(json.text(found))
        return
    verdict = paragraph(changeover.verdict_words(found))
    put("\n".join([f"{old} and {new}", "", *verdict, *changeover.tables(found)]))
