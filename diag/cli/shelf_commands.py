"""`diag shelf`: which of these data sheets or labels meets the specification of a case."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from diag.case.model import Case
from diag.cli.experience import read_with_log
from diag.cli.output import put
from diag.knowledgebase import Knowledge
from diag.report import filing, json
from diag.report.chart import CANDIDATES, Curve, oil_curve
from diag.report.figures import System
from diag.review import review
from diag.shelf.judge import judge_shelf
from diag.shelf.model import Sheet
from diag.shelf.page import page
from diag.shelf.sheets import read_sheets

__all__ = ["shelf"]


def shelf(case_name: str, sheet_names: Sequence[str], as_json: bool, units: System, experience: bool,
          report: str = "") -> None:
    """Read, judge, print; `report`: the report of the review too, the best of the shelf in its chart.

    Raises InputError.
    """
    if report:
        filing.check_name(report)
    case, knowledge = read_with_log(case_name, experience)
    sheets = read_sheets(sheet_names, knowledge)
    found = review(case, knowledge)
    judged = judge_shelf(sheets, case, found, knowledge, "metric" if as_json else units)
    if report:
        best = _curves([j.sheet for j in judged], sheets, case, knowledge)
        filing.save(report, found, case, knowledge, units, date.today(), best)
    put(json.text(judged) if as_json else page(judged, case, found, knowledge, units))


def _curves(ranked: Sequence[str], sheets: Sequence[Sheet], case: Case, knowledge: Knowledge) -> list[Curve]:
    """The oils of the best greases, as many as a chart can tell apart; one of unknown viscosity has none."""
    greases = {sheet.name: sheet.grease for sheet in sheets}
    curves = (oil_curve(name, replace(case, grease=greases[name]), knowledge) for name in ranked)
    return [curve for curve in curves if curve][:CANDIDATES]
