"""The report as one HTML text: style and drawings inside, no script, nothing fetched from anywhere."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Sequence
from datetime import date
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from diag import __version__
from diag.case.model import Case
from diag.errors import InputError
from diag.findings import Findings
from diag.knowledgebase import Knowledge
from diag.report import values
from diag.report.chart import Curve
from diag.report.figures import System

if TYPE_CHECKING:
    from jinja2 import Environment

__all__ = ["policy", "text"]

_TEMPLATES = Path(__file__).parent / "templates"


def text(
    found: Findings, case: Case, knowledge: Knowledge, system: System, made: date, candidates: Sequence[Curve] = ()
) -> str:
    """The whole report. `made`: the day it is made, which nothing in here asks a clock for.

    Errors: InputError when the template library isn't installed.
    """
    return _environment().get_template("report.html").render(
        page=values.page(found, case, knowledge, system, candidates),
        card=values.card(found, case, system),
        regrease=values.regrease_card(found, case, knowledge, system),
        told=values.told(case, knowledge, system),
        made=f"Made {made.isoformat()} with diag {__version__}.",
        style=_style(),
        policy=policy(),
    )


def policy() -> str:
    """Only this very style counts: should anything ever slip through the escaping, the browser leaves it inert."""
    digest = base64.b64encode(hashlib.sha256(_style().encode()).digest()).decode()
    return f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"


def _style() -> str:
    return (_TEMPLATES / "report.css").read_text("utf-8")


@cache
def _environment() -> Environment:
    """Templates that escape everything and know no undefined names."""
    if find_spec("jinja2") is None:
        raise InputError("the report needs jinja2: pip install 'diag[web]'")
    from jinja2 import Environment, FileSystemLoader, StrictUndefined  # only who wants a report waits for it

    return Environment(
        loader=FileSystemLoader(_TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
