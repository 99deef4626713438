"""What the calculations of amount, interval and heat share: spans, factors, and the guard of their inputs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np

from diag.errors import InputError
from diag.tribology._ranges import Reals

__all__ = ["Factor", "Span", "require_at_least", "require_positive", "row_span"]


class Span(NamedTuple):
    """A low, a typical and a high number [any], with where they come from."""

    low: float
    typical: float
    high: float
    source: tuple[str, ...] = ()
    confidence: str = ""

    def scaled(self, factor: float) -> Span:
        """Each of the three numbers times `factor` [-]."""
        return self._replace(low=factor * self.low, typical=factor * self.typical, high=factor * self.high)


class Factor(NamedTuple):
    """One correction and why it was applied; `value` [-] multiplies."""

    name: str
    value: float
    why: str
    source: tuple[str, ...]
    confidence: str


def require_positive(unit: str, **values: Reals | None) -> None:
    """Refuse what is not above 0: InputError names the first value, its unit and what would be right."""
    for name, value in values.items():
        if value is not None and not np.all(np.asarray(value) > 0):
            raise InputError(f"{_worded(name, value, unit)}: give a value above 0")


def require_at_least(least: float, unit: str, **values: Reals | None) -> None:
    """Refuse what is below `least`: InputError names the first value, its unit and what would be right."""
    for name, value in values.items():
        if value is not None and not np.all(np.asarray(value) >= least):
            raise InputError(f"{_worded(name, value, unit)}: give {least:g} or more")


def row_span(row: Mapping[str, Any], origin: Mapping[str, Any]) -> Span:
    """A table row with low and high, and typical or their mean, as a Span with the source of `origin`."""
    low, high = float(row["low"]), float(row["high"])
    typical = float(row.get("typical", (low + high) / 2))
    return Span(low, typical, high, tuple(origin["source"]), origin["confidence"])


def _worded(name: str, value: Reals, unit: str) -> str:
    return f"{name.replace('_', ' ')} {float(np.min(value)):g} {unit}".rstrip()
