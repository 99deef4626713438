"""What would have been right: words of the faults that name legal keys, words, signs and bounds."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields
from functools import cache
from typing import TYPE_CHECKING, Any

from diag import units
from diag.case.model import KINDS, Case
from diag.case.words import Synonyms, nearest
from diag.errors import InputError
from diag.numbertext import quoted
from diag.wordtext import joined

if TYPE_CHECKING:
    from diag.knowledgebase import Knowledge

__all__ = [
    "KIND_MISSING", "check_bounds", "kinds_of_sign", "unknown_key", "unknown_reading",
    "unknown_sign", "unknown_word",
]


KIND_MISSING = f"is missing; give {joined(KINDS, 'or')}"


def unknown_key(key: str, empty: bool, here: Sequence[str], knowledge: Knowledge) -> str:
    """Words for a key that isn't legal in its section: where it belongs, else the nearest legal one.

    `empty`: no value stands behind it.
    """
    if key[:1].isdigit() and empty:  # {amount: 1,2 g} is amount: 1 and a key "2 g" to YAML
        return f"{quoted(key)} is no key; write a number with a decimal point, or in quotes"
    if key[:1].isdigit():
        return f"{quoted(key)} is no key; a key is a name, legal here: {joined(here, 'or')}"
    elsewhere = _sections().get(key) or _table_of(key, knowledge)
    if elsewhere:
        return f"unknown key {quoted(key)}; it belongs under {joined(elsewhere, 'or')}"
    near = nearest(key, here)
    if near:
        return f"unknown key {quoted(key)}; did you mean {near}?"
    far = nearest(key, list(_sections()))
    if far:
        return f"unknown key {quoted(key)}; did you mean {far} under {joined(_sections()[far], 'or')}?"
    return f"unknown key {quoted(key)}; legal here: {joined(here, 'or')}"


def unknown_word(typed: str, legal: Sequence[str], synonyms: Synonyms) -> str:
    plain = typed.strip().lstrip("0")  # 02 is 2 with a zero too many; 00 is a grade of its own
    near = plain if plain in legal else nearest(typed, legal, synonyms)
    return f"{quoted(typed)} is not legal; " + (f"did you mean {near}?" if near else f"give {joined(legal, 'or')}")


def unknown_sign(typed: str, knowledge: Knowledge) -> str:
    near = nearest(typed, list(knowledge.signs))
    hint = f"did you mean {near}?" if near else "`diag knowledge signs` lists them"
    return f"{quoted(typed)} is no sign known here; {hint}"


def unknown_reading(key: str, where: str, knowledge: Knowledge) -> str:
    """Words for a key of `measured` or `lab`; a reading of the other table is named as such."""
    if key in knowledge.readings:
        return f"belongs under {knowledge.readings[key].where}"
    legal = [r.id for r in knowledge.readings.values() if r.where == where]
    near = nearest(key, legal)
    return "no reading of that name; " + (f"did you mean {near}?" if near else f"give {joined(legal, 'or')}")


def kinds_of_sign(sign: str, knowledge: Knowledge) -> tuple[str, ...]:
    """Kinds of point for which the question of this sign is asked and the sign is an answer."""
    question = knowledge.questions[knowledge.question_of[sign]]
    return tuple(kind for kind in knowledge.signs[sign].kinds if kind in question.kinds)


def check_bounds(value: float, typed: str, known: Mapping[str, Any]) -> None:
    """Errors: InputError for a value outside the bounds of its field, naming the bound."""
    dimension = known["dimension"]
    over, least, most = known.get("over"), known.get("least"), known.get("most")
    if over is not None and value <= over:
        raise InputError(f"{quoted(typed)} must be above {units.show(over, dimension)}")
    if least is not None and value < least:
        raise InputError(f"{quoted(typed)} must be at least {units.show(least, dimension)}")
    if most is not None and value > most:
        raise InputError(f"{quoted(typed)} must be at most {units.show(most, dimension)}")


def _table_of(key: str, knowledge: Knowledge) -> list[str]:
    """The table a sign or a reading belongs to."""
    if key in knowledge.signs:
        return ["seen"]
    return [knowledge.readings[key].where] if key in knowledge.readings else []


@cache
def _sections() -> dict[str, list[str]]:
    """Key → the sections it is legal in."""
    found: dict[str, list[str]] = {}
    for key, section in _walk(Case, ""):
        found.setdefault(key, []).append(section)
    return found


def _walk(cls: Any, path: str) -> Iterator[tuple[str, str]]:
    for f in fields(cls):
        kind = f.metadata["as"]
        if kind != "aside":
            yield f.name, path or "the top level"
        if kind == "part":
            yield from _walk(f.metadata["class"], f"{path}.{f.name}" if path else f.name)
