"""What a sheet says, and what the shelf check finds: the structures behind `diag shelf --json`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import msgspec

from diag.case.model import Grease
from diag.findings import Verdict as Compatible
from diag.remedy.requirement import StatedValue, Verdict

__all__ = ["UNITS", "Changing", "Claim", "Result", "Sheet", "ShelfSheet", "Understood"]

# Canonical unit of each property that is a number.
UNITS = {"viscosity_40": "mm2/s", "viscosity_100": "mm2/s", "viscosity_at_running": "mm2/s", "viscosity_index": "",
         "lowest_temperature": "degC", "highest_temperature": "degC", "dropping_point": "degC",
         "speed_factor": "mm/min", "water_washout": "%", "water_spray_off": "%", "oil_separation": "%",
         "four_ball_weld": "N", "flow_pressure": "mbar"}


class Understood(msgspec.Struct, frozen=True, kw_only=True):
    """One property as read, in canonical units, and the words it was read from."""

    property: str
    value: StatedValue
    unit: str
    words: str


class Claim(msgspec.Struct, frozen=True, kw_only=True):
    """Words that sell or can't be right, and why."""

    words: str
    why: str


class Result(msgspec.Struct, frozen=True, kw_only=True):
    """One demand against one sheet; `ask` is the question for the supplier where it is not stated."""

    property: str
    verdict: Verdict
    stated: str | None
    wanted: str
    ask: str | None
    strength: Literal["must", "should", "note"]


class Changing(msgspec.Struct, frozen=True, kw_only=True):
    """What it takes to change from the grease in service to this one."""

    compatibility: Compatible
    strip: str | None  # why it can't be purged
    cost: float  # on the scale of fit


class ShelfSheet(msgspec.Struct, frozen=True, kw_only=True):
    """One sheet judged; `meets`: every must is met, and what is not stated is not met."""

    sheet: str
    meets: bool
    results: tuple[Result, ...]
    understood: tuple[Understood, ...]
    claims: tuple[Claim, ...]
    fit: float  # 0 to 1
    changing: Changing


@dataclass(frozen=True, slots=True)
class Sheet:
    """A data sheet or label as read, before it meets a specification."""

    name: str
    grease: Grease  # thickener, oil and what else a case file could hold of it
    stated: dict[str, StatedValue]
    understood: tuple[Understood, ...]
    claims: tuple[Claim, ...]
    questions: dict[str, str]  # property → what its own words leave open
