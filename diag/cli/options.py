"""Arguments and options that several commands share, declared once."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

import typer

__all__ = ["AsJson", "BatchFormat", "CaseFile", "NoExperience", "NoText", "UnitSystem", "Units", "Working"]


class UnitSystem(StrEnum):
    """Units of the page; JSON is always metric."""

    metric = "metric"
    us = "us"


class BatchFormat(StrEnum):
    """What leaves a batch."""

    jsonl = "jsonl"
    csv = "csv"


CaseFile = Annotated[str, typer.Argument(metavar="CASE", help="Case file in YAML; - reads standard input.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON instead of the page.")]
Units = Annotated[UnitSystem, typer.Option("--units", help="Units of all that is shown; JSON is always metric.")]
NoExperience = Annotated[bool, typer.Option("--no-experience", help="Leave out what confirmed cases of the log teach.")]
NoText = Annotated[bool, typer.Option("--no-text", help="Leave out what the free text under said tells.")]
Working = Annotated[bool, typer.Option("--working", help="Show the working of every number.")]
Report = Annotated[str, typer.Option("--report", metavar="OUT", help="Write the report too: OUT.html or OUT.pdf.")]
