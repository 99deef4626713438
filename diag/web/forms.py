"""Fields of a form to the words that `walk.answer` understands, and back to a form that shows what was typed."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import parse_qs

from diag import pictures
from diag.errors import InputError
from diag.knowledgebase import Knowledge
from diag.walk import SAID, Step
from diag.web.store import Draft

__all__ = ["FINER", "Option", "first", "options", "read", "words"]

MOST_FIELDS = 200
FINER = (
    ("", "as ticked"),
    ("probably", "probably so, not quite sure"),
    ("probably_not", "probably not so"),
    ("no", "looked: it is not so"),
)
_MARKS = {"yes": "{n}", "probably": "{n}?", "probably_not": "-{n}?", "no": "-{n}"}


@dataclass(frozen=True, slots=True)
class Option:
    """One choice of a step as the form shows it."""

    key: str
    text: str
    picture: str  # <svg> or empty
    ticked: bool
    finer: str


def read(body: bytes) -> Draft:
    """The fields of a form. Raises InputError for what no browser sends."""
    try:
        return parse_qs(body.decode("utf-8"), keep_blank_values=True, max_num_fields=MOST_FIELDS, errors="strict")
    except ValueError:  # too many fields, or bytes that are no UTF-8
        raise InputError("the form can't be read; load the page again and send it once more") from None


def first(fields: Draft, name: str) -> str:
    """The value of a field that stands once, empty when it is missing."""
    return fields.get(name, [""])[0]


def words(step: Step, fields: Draft) -> str:
    """What was chosen or typed, as one types it in the terminal. Raises InputError for an empty form."""
    if step.kind == "free":
        return _free(step, first(fields, "value"))
    if step.kind == "look":
        return "0" if first(fields, "do") == "none" else _look(step, fields)
    chosen = [key for key in fields.get("choice", []) if key]
    if step.kind == "many" and first(fields, "do") == "none":
        return "0"
    if not chosen:
        raise InputError("Nothing is chosen yet. Choose what fits, or press Not sure.")
    return " ".join(_place(step, key) for key in (chosen if step.kind == "many" else chosen[:1]))


def _free(step: Step, typed: str) -> str:
    if not typed.strip():
        example = f", such as {step.how}" if step.how else ""
        raise InputError(f"Nothing is typed yet. Give a quantity with its unit{example}, or press Not sure.")
    return typed


def _look(step: Step, fields: Draft) -> str:
    ticked = set(fields.get("choice", []))
    degrees = {c.key: first(fields, f"finer.{c.key}") or ("yes" if c.key in ticked else "") for c in step.choices}
    found = [
        _MARKS[degree].format(n=number)
        for number, degree in enumerate(degrees.values(), 1)
        if degree in _MARKS
    ]
    if not found:
        raise InputError("Nothing is ticked yet. Tick what you see, or press None of these, Not sure or Skip.")
    return " ".join(found)


def _place(step: Step, key: str) -> str:
    """The place on the list, or the word itself where the words are numbers (NLGI grades)."""
    keys = [choice.key for choice in step.choices]
    if key not in keys:
        raise InputError("That is not on the list. Choose one of these, or press Not sure.")
    return key if all(k.isdecimal() for k in keys) else str(keys.index(key) + 1)


def options(step: Step, draft: Draft, knowledge: Knowledge) -> list[Option]:
    """The choices of a step with their pictures, ticked as they were last; own words as they were read."""
    ticked = set(draft.get("choice", [c.key for c in step.choices] if step.id == SAID else []))
    return [
        Option(c.key, c.text, _picture(c.key, knowledge) if step.kind == "look" else "", c.key in ticked,
               first(draft, f"finer.{c.key}"))
        for c in step.choices
    ]


def _picture(sign: str, knowledge: Knowledge) -> str:
    found = pictures.for_sign(knowledge, sign)
    return pictures.svg(found) if found else ""
