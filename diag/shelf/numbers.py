"""Numbers on a label: quantities and spans with their units, and the words each stands under."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from diag import units
from diag.errors import InputError
from diag.shelf.lexicon import Lexicon, Measure
from diag.shelf.reading import Scale

__all__ = ["NUMBER", "Figure", "Keyword", "figures", "header_unit", "keywords", "scale_of", "spellings", "value_of"]

NUMBER = (r"(?:(?<![\w.,])(?:[-+]\s?|minus |plus ))?(?<![\w.,])"
          r"(?:\d{1,3}(?:[ ']\d{3})+(?!\d)|\d+(?:[.,]\d+)*)")
_TEMPERATURE = (r"°\s?[CF](?![a-z])|(?:deg(?:rees?|\.)?|grad)\s?(?:celsius|centigrade|fahrenheit|[CF](?![a-z]))|"
                r"celsius|fahrenheit|[CF](?![a-z0-9])")
_UNIT_TABLE = {
    "temperature": _TEMPERATURE,
    "percent": r"%",
    "force": r"kgf|kp|kg|lbf|lbs?|kn|n(?![a-z*])",
    "pressure": r"mbar|hpa|kpa|mpa|bar|psi",
    "number": r"mm\s?/\s?min",
    "penetration": r"(?:x\s?)?(?:0[.,]1|1/10)\s?mm|dmm",
    "mass": r"oz|g(?![a-z])|ml",
}
_UNIT = "|".join(f"(?P<{name}{{n}}>{pattern})" for name, pattern in _UNIT_TABLE.items())
_SEPARATOR = r"\s?(?:-|to|up to|bis|through|thru|until|and|und|/|\.{2,3}|~)\s?"
_QUANTITY = re.compile(rf"(?P<first>{NUMBER})\s?(?:{_UNIT.format(n=1)})?"
                       rf"(?:{_SEPARATOR}(?P<second>(?:[-+]\s?|minus |plus )?\d+(?:[.,]\d+)*)\s?"
                       rf"(?:{_UNIT.format(n=2)})?)?", re.IGNORECASE)
MBAR = 10_000.0  # in a megapascal: flow pressures are given in mbar everywhere
_HEADER = re.compile(rf"(?<![\w])(?:{_TEMPERATURE}|kgf|%|mbar)(?![\w])", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Keyword:
    """Words that say what a number is: a measure of labels.yaml, "" for one that is not ours."""

    measure: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Figure:
    """One number, or two that span a range, as printed."""

    first: str
    second: str  # "" for a single number
    unit: str  # as printed, "" when none stands there
    dimension: str  # "" when no unit stands there
    start: int
    end: int
    words: str


def keywords(statement: str, lexicon: Lexicon) -> list[Keyword]:
    """The words of a statement under which numbers can stand, in order."""
    return [Keyword(lexicon.keyword_meanings[int((m.lastgroup or "k0")[1:])], *m.span())
            for m in lexicon.keywords.finditer(statement)]


def figures(statement: str) -> Iterator[Figure]:
    """The quantities of a statement, in order; a range is one."""
    at = 0
    while (match := _QUANTITY.search(statement, at)) is not None:
        figure = _figure(match, statement)
        yield figure
        at = max(figure.end, at + 1)


def _figure(match: re.Match[str], statement: str) -> Figure:
    """A range only where both ends have one unit: `98 °C and 4 %` or `300 °F / 149 °C` are two quantities."""
    one, other = _unit(match, 1), _unit(match, 2)
    joined = match["second"] and (not one[0] or not other[0] or (one[0] == other[0] and _same_scale(one, other)))
    if not joined:
        end = match.start("second") if match["second"] else match.end()
        end = max(match.end("first"), *(match.end(f"{name}1") for name in _UNIT_TABLE))
        return Figure(match["first"], "", one[1], one[0], match.start(), end, statement[match.start():end].strip())
    # A unit behind the second number is also that of a bare first one, and the other way round.
    return Figure(match["first"], match["second"], one[1] or other[1], one[0] or other[0], match.start(), match.end(),
                  match.group().strip())


def _same_scale(one: tuple[str, str], other: tuple[str, str]) -> bool:
    return one[0] != "temperature" or scale_of(one[1]) == scale_of(other[1])


def scale_of(unit: str) -> Scale:
    """The temperature scale of a printed unit; "" for none."""
    if not unit:
        return ""
    return "F" if unit.casefold().replace("deg", "").strip("°. ").startswith("f") else "C"


def _unit(match: re.Match[str], which: int) -> tuple[str, str]:
    for name in _UNIT_TABLE:
        if match[f"{name}{which}"]:
            return name, match[f"{name}{which}"]
    return "", ""


def header_unit(text: str) -> str:
    """The unit that a table's header names: `Dropping point, °C`."""
    found = _HEADER.search(text)
    return found.group() if found else ""


def value_of(number: str, unit: str, measure: Measure) -> float | None:
    """The number in canonical units; None when it can't be what its words say.

    A comma or point before three digits is read the way that is believable, and not at all when both are.
    """
    values = {v for text in spellings(number) if (v := _parsed(text, unit, measure)) is not None}
    low, high = measure.plausible
    believable = [v for v in values if low <= v <= high]
    return believable[0] if len(believable) == 1 else None


def spellings(number: str) -> tuple[str, ...]:
    """`500.000` and `1,000` are thousands or decimals."""
    plain = number.replace("minus ", "-").replace("plus ", "").replace("+", "").replace(" ", "")
    if re.fullmatch(r"-?\d{1,3}[.,]\d{3}", plain):
        return re.sub("[.,]", "", plain), plain.replace(",", ".")
    return (plain,)


def _parsed(number: str, unit: str, measure: Measure) -> float | None:
    try:
        value = units.parse(f"{number} {_unit_words(unit, measure)}".strip(), measure.dimension)
    except InputError:
        return None
    return value * MBAR if measure.dimension == "pressure" else value


def _unit_words(unit: str, measure: Measure) -> str:
    """The printed unit as diag.units knows it."""
    if measure.dimension == "temperature":
        return "degF" if scale_of(unit) == "F" else "degC"
    if measure.dimension in ("number", "penetration"):
        return ""
    bare = {"percent": "%", "pressure": "mbar"}.get(measure.dimension, "")
    return {"kp": "kgf", "": bare}.get(unit.casefold(), unit)
