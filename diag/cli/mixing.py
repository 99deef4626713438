"""`diag mix`: what the published tables say of two greases. Apart from the review, which it doesn't need."""

from __future__ import annotations

from diag import knowledgebase
from diag.cli.output import put
from diag.cli.reading import read_grease
from diag.remedy import compatibility
from diag.report import json
from diag.report.figures import System
from diag.report.layout import bullets, paragraph
from diag.report.parts import changeover
from diag.report.worded import worded

__all__ = ["mix"]


def mix(old: str, new: str, as_json: bool, units: System = "metric") -> None:
    """Print the verdict with its reasons and how to settle it, then each table's words.

    Raises InputError for a grease that can't be read.
    """
    knowledge = knowledgebase.load()
    pair = read_grease(old, knowledge), read_grease(new, knowledge)
    found = compatibility.judge(*pair, knowledge)
    if as_json:
        put(json.text(found))
        return
    found, reasons = worded((found, compatibility.explain(*pair, found, knowledge)), units)
    verdict, told = paragraph(changeover.verdict_words(found)), bullets(reasons)
    put("\n".join([f"{old} and {new}", "", *verdict, *told, "", "Table by table:", *changeover.tables(found)]))
