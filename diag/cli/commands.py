"""What the commands do: read, call one function of the library, print."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

import msgspec

from diag.case.model import Case
from diag.cli.experience import read_with_log
from diag.cli.output import put
from diag.findings import Findings
from diag.knowledgebase import Knowledge
from diag.remedy import cautions, greasing
from diag.report import json, terminal
from diag.report.figures import System
from diag.report.parts import grease, regreasing
from diag.report.worded import worded
from diag.review import review as review_case

__all__ = ["regrease", "review", "show_review", "spec"]


def review(
    name: str, as_json: bool, units: System, working: bool, text: bool, suppose: Sequence[str], experience: bool,
    report: str = "", opinion: str = "",
) -> None:
    """`diag review`: the page or the whole contract.

    `text`: with what `said` tells; `suppose`: answers not stored; `experience`: with what the log teaches;
    `report`: a file to be written beside it; `opinion`: a model of `diag learn` to be asked too.
    """
    if report:
        from diag.report import filing  # of use to this option alone

        filing.check_name(report)  # before anything is read or printed
    case, knowledge = read_with_log(name, experience)
    if suppose:
        from diag.cli.supposing import noted, supposed

        case = supposed(case, suppose, knowledge)
        if not as_json:
            put("\n".join(noted(suppose)))
    show_review(case, knowledge, as_json, units, working, text, report, opinion)


def show_review(
    case: Case, knowledge: Knowledge, as_json: bool, units: System, working: bool, text: bool = True, report: str = "",
    opinion: str = "",
) -> None:
    """Review a case and print it; a report that is asked for is written first. Raises InputError."""
    found = review_case(case, knowledge, text)
    if opinion:
        from diag.secondopinion import keep  # of use to this option alone
        from diag.secondopinion.opinion import beside

        found = beside(found, case, keep.load(Path(opinion), knowledge), knowledge, text)
    if report:
        from diag.report import filing

        filing.save(report, found, case, knowledge, units, date.today())
    put(json.text(found) if as_json else terminal.page(found, case, knowledge, units, working))


def spec(name: str, as_json: bool, units: System, card: bool, text: bool, experience: bool) -> None:
    """`diag spec`: the grease specification alone."""
    case, found, _ = _reviewed(name, text, experience)
    if as_json:
        put(json.text(found.spec))
    elif card:
        put(grease.card(found.spec, terminal.title(case), units))
    else:
        put(_page(case, grease.grease(worded(found, units), units)))


def regrease(name: str, as_json: bool, units: System, working: bool, text: bool, experience: bool) -> None:
    """`diag regrease`: the plan alone, and how to give the next dose."""
    case, found, knowledge = _reviewed(name, text, experience)
    if as_json:
        put(json.text(found.regrease))
        return
    steps = greasing.steps(case, found, knowledge)
    dose = msgspec.structs.replace(found.changeover, steps=steps)
    care = cautions.collect(case, dose, {c.id: c for c in found.circumstances}, knowledge)
    not_now, plan, steps, care = worded((greasing.why_not_now(found), found.regrease, steps, care), units)
    lines = [
        *regreasing.now(not_now),
        *regreasing.regreasing(plan, units, working),
        *regreasing.how_to(steps, care),
    ]
    put(_page(case, lines))


def _reviewed(name: str, text: bool, experience: bool) -> tuple[Case, Findings, Knowledge]:
    case, knowledge = read_with_log(name, experience)
    return case, review_case(case, knowledge, text), knowledge


def _page(case: Case, lines: list[str]) -> str:
    return "\n".join([terminal.title(case), *lines])
