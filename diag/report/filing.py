"""The report as a file: the ending chooses between a page and a PDF."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from diag.case import replace_file
from diag.case.model import Case
from diag.errors import Fault, InputError
from diag.findings import Findings
from diag.knowledgebase import Knowledge
from diag.report import html, pdf
from diag.report.chart import Curve
from diag.report.figures import System

__all__ = ["check_name", "save"]

_ENDINGS = (".html", ".pdf")


def check_name(name: str) -> None:
    """Said before any work is done. Errors: InputError for another ending, or a folder that isn't there."""
    if Path(name).suffix.lower() not in _ENDINGS:
        raise InputError(Fault("a report ends in .html or .pdf", name))
    if not Path(name).parent.is_dir():
        raise InputError(Fault("the folder doesn't exist", name))


def save(
    name: str, found: Findings, case: Case, knowledge: Knowledge, system: System, made: date,
    candidates: Sequence[Curve] = (),
) -> None:
    """Write the report whole or not at all. Errors: InputError for what can't be made or written."""
    check_name(name)
    text = html.text(found, case, knowledge, system, made, candidates)
    content = pdf.content(text, system) if Path(name).suffix.lower() == ".pdf" else text.encode("utf-8")
    try:
        replace_file(Path(name), content)
    except OSError as error:
        raise InputError(Fault(f"can't be written ({error.strerror})", name)) from None
