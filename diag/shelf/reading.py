"""One property read from a label, before it is believed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from diag.remedy.requirement import StatedValue

__all__ = ["Reading", "Scale"]

Scale = Literal["C", "F", ""]


@dataclass(frozen=True, slots=True)
class Reading:
    """`value` in the canonical unit; `scale` is the temperature scale as printed, "" for a bare number."""

    property: str
    value: StatedValue
    words: str
    scale: Scale = "C"
