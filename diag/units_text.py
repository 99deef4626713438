"""Quantities inside our own sentences, in the units that a person wants to read.

A rule of writing makes that safe: in our texts `°C` is always a temperature and `K` always a difference of
temperatures; `diag knowledge check` holds the knowledge to it. What a unit becomes stands in `units.DIMENSIONS`, as
for the numbers that stand in fields.
"""

from __future__ import annotations

import math
import re
from functools import cache

from diag.units import DIMENSIONS, System, convert, figure, parse

__all__ = ["in_text"]

# How metric units are spelt in texts. What is read the same everywhere (mm²/s, rpm, h, W, V, dB, kgf of weld loads)
# is not in here.
_METRIC = {
    "MPa m/s": "pressure_velocity", "MPa": "pressure", "bar": "pressure", "kPa": "pressure",
    "mm/s": "velocity", "m/s": "linear_speed", "cm³": "volume",
    "°C": "temperature", "degC": "temperature", "K": "temperature_difference",
    "mm": "length", "cm": "length", "m": "length", "kN": "force", "N": "force", "kg": "mass", "g": "mass",
}
_US = r"(?:°F|degF|F|inch(?:es)?|in³|in/s|in|ft/min|ft|oz|lbf|lbs?|psi ft/min|psi)"
_FEET = 12  # in; what is told in metres is told in feet

_NUMBER = r"[-−]?(?:\d{1,3}(?:[, ]\d{3})+|\d+)(?:\.\d+)?"
_NUMBERS = rf"{_NUMBER}(?:(?:, {_NUMBER})*(?:–|-| to | or | and ){_NUMBER})?"
# Not inside a word or a code (KP2K-20), not the factor of a unit (265 × 0.1 mm), not the number of a standard.
_START = r"(?<![\w.,−/-])(?<!×)(?<!× )" + "".join(f"(?<!{w} )" for w in ("DIN", "ISO", "ASTM", "NLGI", "VG", "grade"))
_END = r"(?![\w²³·^]|/(?!h\b|day\b)|-\w)"
_UNIT = f"(?:{'|'.join(_METRIC)})"
_BRACKETED = rf"(?:,? \({_NUMBERS} ?{_UNIT}\))"
_QUANTITY = re.compile(
    r"(?P<own>“[^”]*”)|(?P<test>(?<=at )(?:40 and )?(?:40|100) °C(?= |$|[,;:.)?]))|"
    rf"{_START}(?:(?P<us>{_NUMBERS} ?{_US}){_END}{_BRACKETED}+|"
    rf"(?P<numbers>{_NUMBERS}) ?(?P<unit>{_UNIT}){_END}"
    rf"(?:(?: \((?P<told>{_NUMBERS} ?{_US})\)| or (?P<or>{_NUMBERS} ?{_US}){_END}){_BRACKETED}*)?)"
)
_ONE = re.compile(_NUMBER)


def in_text(text: str, system: System) -> str:
    """A sentence of ours with its metric quantities in the units of the system; `metric` leaves it as it is.

    A value told in both systems stands once. Numbers keep their precision: the place of their last digit, and
    whole degrees for temperatures. What stands between “ and ” is a person's own and stays, and so do 40 and 100 °C
    as the test temperatures of a viscosity: data sheets name them so everywhere.

    >>> in_text("over 110 °C, or 28 K over its usual 60 to 70 °C", "us")
    'over 230 °F, or 50 °F over its usual 140 to 158 °F'
    >>> in_text("a flat over 0.5 mm; 2 to 3 g; below 30 psi (2 bar)", "us")
    'a flat over 0.02 in; 0.07 to 0.11 oz; below 30 psi'
    """
    return text if system == "metric" else _QUANTITY.sub(_converted, text)


def _converted(found: re.Match[str]) -> str:
    if found["test"] and re.search("iscosit|mm²/s", found.string):
        return found["test"]
    if found["test"]:
        return _spelt(found["test"].removesuffix(" °C"), "°C")
    told = found["own"] or found["us"] or found["told"] or found["or"]
    return told or _spelt(found["numbers"], found["unit"])


def _spelt(numbers: str, unit: str) -> str:
    """One number or several, and their unit."""
    kind = DIMENSIONS[_METRIC[unit]]
    values = {typed: _in_us(typed, unit) for typed in _ONE.findall(numbers)}
    large = (_FEET, "ft") if unit == "m" else kind.us_large
    big = large is not None and (unit == "m" or max(map(abs, values.values())) >= large[0])
    divisor, name = large if large and big else (1, kind.us_text)

    def rounded(one: re.Match[str]) -> str:
        place = _place(one[0])
        whole = None if kind.decimals is None else max(kind.decimals, -_tens(place))
        return _figure(values[one[0]] / divisor, -_tens(place * _step(unit) / divisor) if whole is None else whole)

    return f"{_ONE.sub(rounded, numbers)} {name}"


def _in_us(typed: str, unit: str) -> float:
    number = float(re.sub("[, ]", "", typed).replace("−", "-"))
    return convert(number * _factor(unit), _METRIC[unit], "us")[0]


@cache
def _factor(unit: str) -> float:
    """From a metric unit to the canonical one of its dimension."""
    return parse(f"1 {unit}", _METRIC[unit])


@cache
def _step(unit: str) -> float:
    """How much one of the metric unit is in the US one; of a temperature, as a difference."""
    return _in_us("1", unit) - _in_us("0", unit)


def _place(typed: str) -> float:
    """The place of the last digit that counts: 0.1 of `2.5`, 1 of `20` and `6`, 10 of `150` and `100`."""
    digits = re.sub("[^0-9.]", "", typed)
    if "." in digits:
        return 10.0 ** -len(digits.partition(".")[2])
    zeros = len(digits) - len(digits.rstrip("0"))
    return 10.0 ** max(0, min(zeros, len(digits) - 2))


def _tens(step: float) -> int:
    return math.floor(math.log10(step) + 1e-9)


def _figure(number: float, decimals: int) -> str:
    """To so many decimals, or to tens and hundreds where they are negative; thousands apart from 10,000 on."""
    near = round(number, decimals)
    return f"{near:,.0f}" if abs(near) >= 10_000 else figure(near, max(0, decimals))
