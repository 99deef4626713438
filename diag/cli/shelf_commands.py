"""`diag shelf`: which of these data sheets or labels meets the specification of a case."""

from __future__ import annotations

from collections.abc import Sequence

from diag import knowledgebase
from diag.cli.output import put
from diag.cli.reading import read
from diag.report import json
from diag.report.figures import System
from diag.review import review
from diag.shelf.judge import judge_shelf
from diag.shelf.page import page
from diag.shelf.sheets import read_sheets

__all__ = ["shelf"]


def shelf(case_name: str, sheet_names: Sequence[str], as_json: bool, units: System) -> None:
    """Read, judge, print. Raises InputError."""
    knowledge = knowledgebase.load()
    case = read(case_name, knowledge)
    sheets = read_sheets(sheet_names, knowledge)
    found = review(case, knowledge)
    if as_json:
        put(json.text(judge_shelf(sheets, case, found, knowledge)))
    else:
        put(page(judge_shelf(sheets, case, found, knowledge, units), case, found, knowledge, units))
