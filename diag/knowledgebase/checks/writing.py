"""How texts are written: `°C` is always a temperature and `K` always a difference of temperatures.

US display turns both into °F, one with and one without the 32 degrees between the scales; only this rule tells which.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import msgspec

from diag.knowledgebase.checks.base import Found, records, rule
from diag.knowledgebase.knowledge import Knowledge

__all__ = ["misnamed"]

_NUMBERS = r"-?[\d.]+(?:(?: to | or | and |–)-?[\d.]+)?"
_ABOUT = r"(?:about |over |under |up to |at least |at most |more than |less than )*"
_CELSIUS = rf"{_NUMBERS} ?(?:°C|degC)"
_DIFFERENCE = re.compile(
    rf"\b(?:rises?|falls?|drops?|changes?|swings?|differences?|margins?|steps?) of {_ABOUT}{_CELSIUS}"
    rf"|\b(?:by|within|each|every|another|minus) {_ABOUT}{_CELSIUS}"
    rf"|{_CELSIUS} (?:over|above|below|under|hotter|warmer|cooler|colder|higher|lower|up|down|rise|too)\b"
)
_TEMPERATURE = re.compile(rf"\b(?:at|runs|heated to) (?:about )?{_NUMBERS} K\b")


def misnamed(text: str) -> str:
    """The words in which a difference stands in °C or a temperature in K; empty when there are none."""
    found = _DIFFERENCE.search(text) or _TEMPERATURE.search(text)
    return found[0] if found else ""


@rule("misnamed_degrees", "error")
def misnamed_degrees(knowledge: Knowledge) -> Iterator[Found]:
    """A difference of temperatures in °C, or a temperature in K: US display would tell it wrong."""
    for place, text in _texts(knowledge):
        if words := misnamed(text):
            yield place, f"“{words}”: write K for a difference of temperatures, °C for a temperature"


def _texts(knowledge: Knowledge) -> Iterator[Found]:
    for place, record in records(knowledge):
        for name in record.__struct_fields__:
            value = getattr(record, name)
            if not isinstance(value, msgspec.Struct):
                yield from _strings(f"{place}.{name}", value)
    for name in knowledge.standards:
        yield from _strings(f"standards.{name}", knowledge.standard(name))


def _strings(place: str, value: Any) -> Iterator[Found]:
    """Texts of plain data, with their places; records inside are gone through by themselves."""
    if isinstance(value, str):
        yield place, value
    elif isinstance(value, dict):
        for key, item in value.items():
            yield from _strings(f"{place}.{key}", item)
    elif isinstance(value, tuple | list):
        for at, item in enumerate(value):
            yield from _strings(f"{place}[{at}]", item)
