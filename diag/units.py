"""Quantities as people type them, to floats in one canonical unit per dimension, and back for show.

The legal units stand in `units.txt`. pint is imported on the first quantity only that needs a conversion.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal

from diag.errors import InputError
from diag.numbertext import fold, leading_number, quoted

__all__ = [
    "DIMENSIONS", "Dimension", "System", "check", "convert", "figure", "parse", "parse_noting", "show",
    "write",
]

System = Literal["metric", "us"]
ABSOLUTE_ZERO = -273.15  # °C


@dataclass(frozen=True, slots=True)
class Dimension:
    """What a quantity measures: canonical unit (as pint, shown and written), its US unit, examples."""

    what: str
    unit: str
    text: str
    written: str
    examples: str
    us_unit: str = ""  # empty: the same unit in both systems
    us_text: str = ""
    large: tuple[float, str] | None = None  # from this many on, shown in thousands under this name
    us_large: tuple[float, str] | None = None  # (factor, name): shown divided by factor from there on
    decimals: int | None = None  # fixed decimals for show; None: three significant digits
    bare: bool = False  # a number without a unit is understood


DIMENSIONS: dict[str, Dimension] = {
    "length": Dimension("a length", "millimeter", "mm", "mm", "90 mm or 3.5 in", "inch", "in"),
    "temperature": Dimension("a temperature", "degree_Celsius", "°C", "degC", "95 degC or 203 degF",
                             "degree_Fahrenheit", "°F", decimals=0),
    "temperature_difference": Dimension("a temperature difference", "kelvin", "K", "K", "15 K or 27 degF",
                                        "delta_degree_Fahrenheit", "°F", decimals=0),
    "speed": Dimension("a speed of rotation", "rpm", "rpm", "rpm", "1450 rpm or 1450 1/min"),
    "rate": Dimension("a rate", "rpm", "1/min", "1/min", "6 1/min"),
    "linear_speed": Dimension("a sliding speed", "meter / second", "m/s", "m/s", "0.5 m/s or 100 ft/min",
                              "foot / minute", "ft/min"),
    "viscosity": Dimension("a viscosity", "centistokes", "mm²/s", "mm2/s",
                           "220 mm2/s, 220 cSt, VG 220 or 1000 SUS at 100 degF"),
    "force": Dimension("a force", "newton", "N", "N", "4.2 kN or 950 lbf", "pound_force", "lbf",
                       large=(1000, "kN")),
    "mass": Dimension("a mass", "gram", "g", "g", "20 g or 0.7 oz", "ounce", "oz",
                      large=(1000, "kg"), us_large=(16, "lb")),
    "time": Dimension("a time", "hour", "h", "h", "2000 h, 2 weeks or 3 months"),
    "pressure": Dimension("a pressure", "megapascal", "MPa", "MPa", "5 MPa, 50 bar or 725 psi", "psi", "psi"),
    "angle": Dimension("an angle", "degree", "°", "deg", "40 deg"),
    "percent": Dimension("a share", "percent", "%", "%", "5 %"),
    "velocity": Dimension("a vibration velocity", "millimeter / second", "mm/s", "mm/s",
                          "4.5 mm/s or 0.18 in/s", "inch / second", "in/s"),
    "voltage": Dimension("a voltage", "volt", "V", "V", "0.8 V or 800 mV"),
    "level": Dimension("a level", "decibel", "dB", "dB", "12 dB"),
    "hardness": Dimension("a hardness", "rockwell_c", "HRC", "HRC", "58 HRC"),
    "shore_change": Dimension("a change of Shore hardness", "shore", "Shore", "Shore", "-6 Shore"),
    "concentration": Dimension("a concentration", "ppm", "mg/kg", "mg/kg", "120 mg/kg or 120 ppm"),
    "penetration": Dimension("a cone penetration", "tenth_mm", "0.1 mm", "dmm",
                             "265 (tenths of a millimetre)", bare=True),
    "number": Dimension("a number", "", "", "", "3", bare=True),
    "volume": Dimension("a volume", "milliliter", "cm³", "cm3", "30 cm3 or 1.8 in3", "inch ** 3", "in³"),
    "pressure_velocity": Dimension("a pressure times a speed", "megapascal * meter / second", "MPa m/s", "MPa m/s",
                                   "0.5 MPa m/s", "psi * foot / minute", "psi ft/min"),
    "power": Dimension("a power", "watt", "W", "W", "150 W or 2 hp", large=(1000, "kW")),
}

# What the trade calls a unit without meaning the SI one: a load in "lb" and a weld load in "kg" are forces.
_LOCAL_UNITS = {"force": {"lb": "lbf", "lbs": "lbf", "kg": "kgf", "pound": "lbf", "pounds": "lbf"}}
# What nearly every case is written in: pint (some 90 ms) is left alone for these, and a test holds the factors to it.
_FACTORS = {
    "length": {"cm": 10.0, "m": 1000.0, "in": 25.4},
    "speed": {"1/min": 1.0},
    "force": {"kN": 1000.0},
    "mass": {"kg": 1000.0},
    "time": {"d": 24.0, "day": 24.0, "days": 24.0, "week": 168.0, "weeks": 168.0, "month": 730.5, "months": 730.5,
             "year": 8766.0, "years": 8766.0},
}
_FAHRENHEIT = ("degF", "F", "°F")  # the one common unit with an offset, likewise
_DELTA = {"degree_Celsius": "delta_degree_Celsius", "degree_Fahrenheit": "delta_degree_Fahrenheit"}

# Spellings that pint's grammar can't take, on folded text (see numbertext.fold).
_TURNS = r"(?:1|r|u|t|x|rev|revs|revolutions?|turns?|cycles?|strokes?|swings?|times)"
_SPELLINGS = tuple((re.compile(f"^(?:{pattern})$", re.IGNORECASE), unit) for pattern, unit in (
    (r"1/10 ?mm|0[.,]1 ?mm|tenths?(?: of an? mm| mm)?", "dmm"),
    (rf"{_TURNS}? ?(?:/|per|a) ?min(?:ute)?|min(?:\*\*|\^)?-1|r\.?p\.?m\.?|cpm", "rpm"),
    (r"(?:running|operating|working|service) (?:h|hours?|hrs?)", "h"),
    (r"%|per ?cent|wt ?-? ?%|mass ?-? ?%|vol ?-? ?%|% ?(?:by )?(?:mass|weight|volume)", "percent"),
    (r"shore(?: ?[ad])?|(?:shore(?: ?[ad])? )?points?", "shore"),
    (r"rockwell ?c|rc", "HRC"),
    (r"mg ?/ ?kg", "ppm"),
    (r'"|inch(?:es)?|in\.', "in"),
    (r"(?:deg(?:rees?|\.)?|°) ?(?:c|celsius|centigrade)\.?", "degC"),
    (r"(?:deg(?:rees?|\.)?|°) ?(?:f|fahrenheit)\.?", "degF"),
    (r"(?:deg(?:rees?|\.)?|°) ?k", "K"),
    (r"°|degrees?", "deg"),
))
_SAFE = re.compile(r"[a-z_]+(?:\*\*[23])?(?:[*/][a-z_]+(?:\*\*[23])?){0,3}", re.IGNORECASE)

_ACIDITY = re.compile(r"^ph ?(?=[0-9])|(?<=[0-9]) ?ph$", re.IGNORECASE)  # "pH 6.5", a number without a unit
_PERIODS = {"hourly": "1 h", "daily": "1 d", "weekly": "1 week", "fortnightly": "2 weeks",
            "monthly": "1 month", "quarterly": "3 months", "yearly": "1 year", "annually": "1 year"}
_ONCE = re.compile(r"^(?:(?:once )?(?:every|each|per|an?|one)|once) (?=[a-z])", re.IGNORECASE)
_EVERY = re.compile(r"^(?:once )?(?:every|each|after) ", re.IGNORECASE)

_GRADE = re.compile(r"^(?:iso[ -]?)?vg[ -]?([0-9]+(?:[.,][0-9]+)?)$", re.IGNORECASE)
_GRADE_AT = 40.0  # °C, ISO 3448: the class is the midpoint viscosity at 40 °C
_AT = re.compile(r"^(?P<amount>.+?) ?(?:\bat\b|@) ?(?P<temperature>.+)$", re.IGNORECASE)
_SAYBOLT = re.compile(r"^(?P<number>.+?) ?(?:sus|ssu|saybolt(?: universal)?(?: seconds?)?)$", re.IGNORECASE)
_SAME_TEMPERATURE = 0.5  # K; a stated temperature this near is the wanted one
_FURTHEST_SHIFT = 5.0  # K; from 100 °F to 40 °C and from 210 °F to 100 °C, not further


def parse(text: str, dimension: str, at: float = 40.0) -> float:
    """The value of `text` in the canonical unit of `dimension`; see `parse_noting`."""
    return parse_noting(text, dimension, at)[0]


def parse_noting(text: str, dimension: str, at: float = 40.0) -> tuple[float, str]:
    """The value in the canonical unit, and what had to be assumed to get it (empty: nothing).

    `dimension` is a key of DIMENSIONS; `at` [°C] is where a viscosity is wanted. `unknown` is the caller's.
    Errors: InputError for no number, a missing, unknown or wrong unit, a temperature under absolute zero.
    """
    folded = fold(text)
    if dimension == "viscosity":
        return _viscosity(folded, at)
    if dimension == "time":
        folded = _spell_period(folded)
    value = _canonical(folded, dimension)
    return check(value, dimension), ""


def check(value: float, dimension: str) -> float:
    """A canonical `value`, unchanged. Errors: InputError for a temperature below absolute zero."""
    if dimension == "temperature" and value < ABSOLUTE_ZERO:
        raise InputError(f"{value:.5g} °C is below absolute zero ({ABSOLUTE_ZERO} °C)")
    return value


def convert(value: float, dimension: str, system: System) -> tuple[float, str]:
    """A canonical `value` in the unit of the system, and that unit's name."""
    kind = DIMENSIONS[dimension]
    if system == "metric" or not kind.us_unit:
        return value, kind.text
    source = _DELTA.get(kind.unit, kind.unit) if "delta" in kind.us_unit else kind.unit
    return float(_registry().convert(value, source, kind.us_unit)), kind.us_text


def show(value: float, dimension: str, system: System = "metric", digits: int | None = None) -> str:
    """A canonical `value` for people: "71 °C", "160 °F", "4.2 kN". `digits` are significant ones.

    Whole digits are never rounded away. Without `digits`: temperatures whole, everything else to three.
    """
    kind = DIMENSIONS[dimension]
    number, unit = convert(value, dimension, system)
    large = kind.large if system == "metric" else kind.us_large or (kind.large if not kind.us_unit else None)
    if large and abs(number) >= large[0]:
        number, unit = number / large[0], large[1]
    whole = digits is None and kind.decimals is not None
    text = figure(number, kind.decimals or 0) if whole else figure(number, _decimals(number, digits or 3))
    return _joined(text, unit)


def figure(number: float, decimals: int) -> str:
    """The number [-] to so many decimals, without trailing zeros or a minus before zero."""
    text = f"{number:.{decimals}f}"
    trimmed = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if trimmed == "-0" else trimmed


def write(value: float, dimension: str) -> str:
    """A canonical `value` as text for a case file: it reads back to exactly the same float."""
    number = str(int(value)) if value == int(value) and abs(value) < 1e15 else repr(float(value))
    return f"{number} {DIMENSIONS[dimension].written}".rstrip()


def _decimals(number: float, digits: int) -> int:
    if number == 0:
        return 0
    return max(0, digits - 1 - math.floor(math.log10(abs(number))))


def _joined(number: str, unit: str) -> str:
    if unit in ("", "°"):
        return number + unit
    return f"{number} × {unit}" if unit[0].isdigit() and unit != "1/min" else f"{number} {unit}"


def _canonical(folded: str, dimension: str) -> float:
    kind = DIMENSIONS[dimension]
    value, unit = _split(_ACIDITY.sub("", folded) if not kind.unit else folded, kind)
    if not unit and not kind.bare:
        raise InputError(f"{quoted(folded)} has no unit; give a unit, such as {kind.examples}")
    if not unit or unit in (kind.written, kind.text):
        return value  # exact, and pint isn't needed
    if not kind.unit:
        raise InputError(f"{quoted(folded)} has a unit; give {kind.what} alone, such as {kind.examples}")
    result = _clean(_converted(value, unit, dimension, folded))
    if not math.isfinite(result):
        raise InputError(f"{quoted(folded)} is too large")
    return result


def _converted(value: float, unit: str, dimension: str, folded: str) -> float:
    factor = _FACTORS.get(dimension, {}).get(unit)
    if factor:
        return value * factor
    if dimension == "temperature" and unit in _FAHRENHEIT:
        return (value - 32) / 1.8
    return _by_registry(value, _unit_name(unit, dimension, folded), dimension, folded)


def _split(folded: str, kind: Dimension) -> tuple[float, str]:
    """Number and unit; a penetration in "1/10 mm" must not be read as a fraction."""
    tenths = re.match(r"^(.*[0-9]) ?x? ?(?:1/10|0[.,]1) ?mm$", folded) if kind.unit == "tenth_mm" else None
    try:
        return (leading_number(tenths[1])[0], "dmm") if tenths else leading_number(folded)
    except InputError as error:
        give = "" if ";" in str(error) else f"; give {kind.what}"
        raise InputError(f"{error}{give}, such as {kind.examples}") from None


def _unit_name(unit: str, dimension: str, folded: str) -> str:
    """The unit in pint's own words. Errors: InputError when `units.txt` has no such unit."""
    kind = DIMENSIONS[dimension]
    spelled = next((name for pattern, name in _SPELLINGS if pattern.match(unit)), unit)
    local = _LOCAL_UNITS.get(dimension, {}).get(spelled.lower(), spelled)
    name = _known(_expression(local))
    if name is None:
        raise InputError(f"{quoted(folded)}: {quoted(unit)} is no unit known here; "
                         f"give {kind.what}, such as {kind.examples}")
    return _DELTA.get(name, name) if dimension == "temperature_difference" else name


def _expression(unit: str) -> str:
    powers = re.sub(r"([A-Za-z])(?:\^|\*\*)?([23])\b", r"\1**\2", unit)
    squared = re.sub(r"\b(?:sq|square) ?\.? ?([a-z]+)", r"\1**2", powers, flags=re.IGNORECASE)
    return re.sub(r" ?(/|\bper\b) ?", "/", squared, flags=re.IGNORECASE).strip(" .")


def _known(expression: str) -> str | None:
    """Pint's name of the unit as typed, else in small letters, else None."""
    import pint

    if not _SAFE.fullmatch(expression):
        return None
    for spelling in (expression, expression.lower()):
        try:
            return str(_registry().parse_units(spelling))
        except pint.UndefinedUnitError:
            continue
    return None


def _by_registry(value: float, unit: str, dimension: str, folded: str) -> float:
    """`value` in pint's `unit` as a number in the canonical one. Errors: InputError for a unit of another kind."""
    import pint

    kind = DIMENSIONS[dimension]
    try:
        return float(_registry().convert(value, unit, kind.unit))
    except (pint.DimensionalityError, pint.OffsetUnitCalculusError):
        given = _what_is(unit)
        raise InputError(f"{quoted(folded)} is {given}; give {kind.what}, such as {kind.examples}") from None


def _clean(value: float) -> float:
    """The value to 12 figures: 203 °F is 95 °C, without the dust of binary fractions."""
    return float(f"{value:.12g}")


def _what_is(unit: str) -> str:
    """The dimension that `unit` measures, in words."""
    registry = _registry()
    measured = registry.get_dimensionality(registry.parse_units(unit))
    for kind in DIMENSIONS.values():
        if kind.unit and registry.get_dimensionality(registry.parse_units(kind.unit)) == measured:
            return kind.what
    return f"in {unit}"


def _spell_period(folded: str) -> str:
    """ "every 2 weeks", "once a month" and "weekly" as a number with a unit."""
    named = _PERIODS.get(folded.lower(), folded)
    return _EVERY.sub("", _ONCE.sub("1 ", named))


def _viscosity(folded: str, at: float) -> tuple[float, str]:
    grade = _GRADE.match(folded)
    if grade:
        return _grade(grade[1], folded, at), ""
    stated = _AT.match(folded)
    amount = stated["amount"] if stated else folded
    temperature = parse(stated["temperature"], "temperature") if stated else None
    saybolt = _SAYBOLT.match(amount)
    if saybolt:
        return _from_saybolt(saybolt["number"], temperature, folded, at)
    if temperature is not None and abs(temperature - at) > _SAME_TEMPERATURE:
        raise InputError(f"{quoted(folded)} is at {temperature:.4g} °C; give the viscosity at {at:g} °C")
    return _canonical(amount, "viscosity"), ""


def _grade(number: str, folded: str, at: float) -> float:
    if abs(at - _GRADE_AT) > _SAME_TEMPERATURE:
        raise InputError(f"{quoted(folded)} is a class at 40 °C; give the viscosity at {at:g} °C in mm2/s")
    return leading_number(number)[0]


def _from_saybolt(number: str, temperature: float | None, folded: str, at: float) -> tuple[float, str]:
    """From SUS at its temperature to mm²/s at `at` [°C]. ASTM D2161, then D341 along a usual mineral oil."""
    from diag.tribology.viscosity import sus_to_cst  # numpy, and only for SUS

    if temperature is None:
        raise InputError(f"{quoted(folded)} lacks its temperature; write it like 1000 SUS at 100 degF")
    if abs(temperature - at) > _FURTHEST_SHIFT:
        raise InputError(f"{quoted(folded)} is at {temperature:.4g} °C, too far from the wanted {at:g} °C")
    seconds, rest = leading_number(number)
    if rest:
        raise InputError(f"{quoted(folded)} is no viscosity; write it like 1000 SUS at 100 degF")
    there = _clean(float(sus_to_cst(seconds, temperature * 1.8 + 32)))
    if abs(temperature - at) <= _SAME_TEMPERATURE:
        return there, ""
    here, index = _shifted(there, temperature, at)
    return here, (f"{folded} is {here:.3g} mm²/s at {at:g} °C "
                  f"(ASTM D2161, then D341 with a viscosity index of {index:g})")


def _shifted(viscosity: float, measured_at: float, wanted_at: float) -> tuple[float, float]:
    """Viscosity [mm²/s] at `wanted_at` [°C] of the usual oil that has `viscosity` at `measured_at` [°C]; its index.

    Over the few degrees from °F to °C the index hardly matters.
    """
    from diag.tribology.viscosity import viscosity_at
    from diag.tribology.viscosity_index import USUAL_INDEX, v40_from_viscosity, v100_from_index

    v40 = float(v40_from_viscosity(viscosity, measured_at, USUAL_INDEX))
    there = viscosity_at(wanted_at, v40, float(v100_from_index(v40, USUAL_INDEX)))
    return _clean(float(there)), USUAL_INDEX


@cache
def _registry() -> Any:
    """Our own small unit registry, read on first need: see `_FACTORS` for its price."""
    import pint

    return pint.UnitRegistry(Path(__file__).with_name("units.txt"), cache_folder=None)
