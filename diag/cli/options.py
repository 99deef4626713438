"""Arguments and options that several commands share, declared once."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

import typer

__all__ = ["AsJson", "CaseFile", "NoText", "UnitSystem", "Units", "Working"]


class UnitSystem(StrEnum):
    """Units of the page; JSON is always metric."""

    metric = "metric"
    us = "us"


CaseFile = Annotated[str, typer.Argument(metavar="CASE", help="Case file in YAML; - reads standard input.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON instead of the page.")]
Units = Annotated[UnitSystem, typer.Option("--units", help="Units of the page.")]
NoText = Annotated[bool, typer.Option("--no-text", help="Leave out what the free text under said tells.")]
Working = Annotated[bool, typer.Option("--working", help="Show the working of every number.")]
