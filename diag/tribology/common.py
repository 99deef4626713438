"""What all calculations share: numbers that may be arrays, ranges, and the guard of their inputs.

Numbers are plain floats or numpy arrays in the unit the docstring names in brackets; `[-]` has no unit.
"""

from __future__ import annotations

from typing import Any, NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from diag.errors import InputError

__all__ = ["Factor", "Number", "Span", "plain", "require_at_least", "require_positive"]

Number: TypeAlias = float | NDArray[np.float64]


class Span(NamedTuple):
    """A low, a typical and a high number [any], with where they come from."""

    low: float
    typical: float
    high: float
    source: tuple[str, ...] = ()
    confidence: str = ""


class Factor(NamedTuple):
    """One correction and why it was applied; `value` [-] multiplies."""

    name: str
    value: float
    why: str
    source: tuple[str, ...]
    confidence: str


def require_positive(unit: str, **values: Number | None) -> None:
    """Refuse what is not above 0: InputError names the first value, its unit and what would be right."""
    for name, value in values.items():
        if value is not None and not np.all(np.asarray(value) > 0):
            raise InputError(f"{_words(name)} {_shown(value)} {unit}: give a value above 0")


def require_at_least(least: float, unit: str, **values: Number | None) -> None:
    """Refuse what is below `least`: InputError names the first value, its unit and what would be right."""
    for name, value in values.items():
        if value is not None and not np.all(np.asarray(value) >= least):
            raise InputError(f"{_words(name)} {_shown(value)} {unit}: give {least:g} or more")


def plain(value: Any) -> Number:
    """An array without dimensions as a float, anything else as it is: floats in, floats out."""
    return float(value) if np.ndim(value) == 0 else np.asarray(value, dtype=float)


def _words(name: str) -> str:
    return name.replace("_", " ")


def _shown(value: Number) -> str:
    return f"{float(np.min(value)):g}"
