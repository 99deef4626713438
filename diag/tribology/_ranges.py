"""Number types of all calculations here, ranges as data with the checks that use them, a root search."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, Literal, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from diag.errors import Fault, InputError

__all__ = [
    "VISCOSITY", "Array", "Range", "Reals", "Result", "checked", "checked_pair", "inside", "known", "plain",
    "rising_root",
]

Array: TypeAlias = NDArray[np.float64]
Reals: TypeAlias = float | Array
# A float when all arguments are numbers, else an array; numpy's own annotations say Any in the same place.
Result: TypeAlias = Any

STEPS = 60  # halvings: a bracket of nine decades shrinks to the last digit of a float


@dataclass(frozen=True, slots=True)
class Range:
    """Where a formula holds: least to most in `unit`; `over` leaves `least` itself out.

    `outside` says what happens beyond: a refusal, or a result that is an extrapolation.
    """

    least: float
    most: float
    unit: str
    over: bool = False
    outside: Literal["error", "extrapolation"] = "error"
    source: str = ""

    def __str__(self) -> str:
        unit = f" {self.unit}" if self.unit not in ("", "-") else ""
        if self.most == np.inf:
            return f"{'above' if self.over else 'at least'} {self.least:g}{unit}"
        return f"{'above ' if self.over else ''}{self.least:g} to {self.most:g}{unit}"


VISCOSITY = Range(0.21, 2e7, "mm²/s", source="ASTM D341, from memory")


def inside(value: ArrayLike, range_: Range) -> Result:
    """Whether a value lies in a range; NaN does not. Returns a bool, or an array of them."""
    number = np.asarray(value, dtype=np.float64)
    low = number > range_.least if range_.over else number >= range_.least
    found = low & (number <= range_.most)
    return bool(found) if found.ndim == 0 else found


def checked(name: str, value: ArrayLike, range_: Range) -> Array:
    """The value as an array; InputError names the first number outside the range and the range."""
    number = np.asarray(value, dtype=np.float64)
    bad = ~np.asarray(inside(number, range_))
    if bad.any():
        raise InputError(Fault(f"{name} {number[bad][0]:g}: give {range_}"))
    return number


def checked_pair(v40: ArrayLike, v100: ArrayLike, range_: Range = VISCOSITY) -> tuple[Array, Array]:
    """The viscosities of an oil at 40 and 100 °C; InputError when it would thicken with heat."""
    thick = checked("viscosity at 40 °C", v40, range_)
    thin = checked("viscosity at 100 °C", v100, range_)
    if np.any(thin >= thick):
        raise InputError(Fault("viscosity at 100 °C is not below that at 40 °C: give the thinner for 100 °C"))
    return thick, thin


def known(name: str, word: str, legal: Iterable[str]) -> str:
    """The word, when it is one of the legal ones; else InputError that lists them."""
    words = tuple(legal)
    if word not in words:
        raise InputError(Fault(f"{name} {word}: give one of {', '.join(words)}"))
    return word


def plain(value: ArrayLike) -> Result:
    """A Python float for a single number, the array otherwise."""
    number = np.asarray(value, dtype=np.float64)
    return float(number) if number.ndim == 0 else number


def rising_root(function: Callable[[Array], Array], least: Array, most: Array) -> Array:
    """Where a rising function of positive numbers crosses 0, by halving the ratio of the bracket's ends."""
    low, high = np.log(least), np.log(most)
    for _ in range(STEPS):
        middle = 0.5 * (low + high)
        above = function(np.exp(middle)) > 0
        low, high = np.where(above, low, middle), np.where(above, middle, high)
    return np.asarray(np.exp(0.5 * (low + high)), dtype=np.float64)
