"""What an answer changes: words typed by a person become values of the case."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

from diag.case.model import Case
from diag.errors import InputError
from diag.knowledgebase import Knowledge
from diag.walk.revise import with_values, without
from diag.walk.state import Given, Step, Walk

__all__ = ["answer", "back", "pass_over"]

_ITEM = re.compile(r"(?P<no>-?)(?P<number>\d+)(?P<soft>\??)")
_WANTED = "give the numbers of what you see, such as 1 3; 0 for none of these; ? when not sure"
NOT_SURE = frozenset({"?", "not sure", "unknown", "don't know", "dont know"})


def answer(walk: Walk, step: Step, text: str, knowledge: Knowledge) -> Walk:
    """The walk after `text` was given to `step`.

    Looks take several numbers (`2?` probably, `-2` looked and not there), 0 for none of these; choices take
    numbers or the word itself; free steps a quantity with its unit. `?` passes any step over as not known.

    Raises InputError, one line that says what would be right.
    """
    typed = " ".join(text.split())
    if not typed:
        raise InputError(_wanted(step))
    if typed.lower() in NOT_SURE:
        return pass_over(walk, step, sure=True)
    if step.kind == "gate":
        return _left(walk, step, walk.case, (), _gate(typed, step))
    values = _values(step, typed)
    return _left(walk, step, with_values(walk.case, values, knowledge) if values else walk.case, tuple(values))


def pass_over(walk: Walk, step: Step, sure: bool = False) -> Walk:
    """The walk with this step left without an answer: skipped, or (`sure`) known to be unknown."""
    given = Given(step.id, how="unknown" if sure else "skipped")
    return replace(walk, trail=(*walk.trail, given))


def back(walk: Walk, knowledge: Knowledge) -> Walk:
    """The walk before its last step; the same walk when nothing was asked yet."""
    if not walk.trail:
        return walk
    *earlier, last = walk.trail
    case = without(walk.case, last.wrote, knowledge) if last.wrote else walk.case
    return Walk(case, tuple(earlier))


def _left(walk: Walk, step: Step, case: Case, wrote: tuple[str, ...], words: str = "") -> Walk:
    return Walk(case, (*walk.trail, Given(step.id, wrote, "answered", words)))


def _wanted(step: Step) -> str:
    if step.kind == "free":
        return f"give a quantity with its unit{f', such as {step.how}' if step.how else ''}; or ? when not known"
    return _WANTED if step.kind in ("look", "many") else "give one number; ? when not sure"


def _gate(typed: str, step: Step) -> str:
    return {"1": "yes", "2": "no", "y": "yes", "n": "no"}.get(typed.lower(), "") or _word(typed, step)


def _values(step: Step, typed: str) -> dict[str, Any]:
    path = step.id.removeprefix("fact:")
    if step.kind == "look":
        return _signs(step, typed)
    if step.kind == "free":
        return {path: typed}
    if step.kind == "one":
        return {path: _word(typed, step)}
    words = [] if typed == "0" else [_word(part, step) for part in re.split(r"[,\s]+", typed) if part]
    return {path: words} if words else {}


def _word(typed: str, step: Step) -> str:
    """The closed word behind a number; words typed out go to the case reader, which knows synonyms."""
    keys = [choice.key for choice in step.choices]
    if typed.isdecimal() and not _numbers_are_words(step):
        if not 1 <= int(typed) <= len(keys):
            raise InputError(f"{typed} is not on the list; {_wanted(step)}")
        return keys[int(typed) - 1]
    if step.kind == "gate" and typed.lower() not in keys:
        raise InputError(f"{typed} is neither 1 (yes) nor 2 (no)")
    return typed.lower()


def _numbers_are_words(step: Step) -> bool:
    """NLGI grades are numbers themselves: there the grade is typed, not its place on the list."""
    return all(choice.key.isdecimal() for choice in step.choices)


def _signs(step: Step, typed: str) -> dict[str, Any]:
    if typed.lower() in ("0", "none", "none of these"):
        return {f"seen.{choice.key}": "no" for choice in step.choices}
    found = {}
    for part in re.split(r"[,\s]+", typed):
        match = _ITEM.fullmatch(part)
        if match is None or not 1 <= int(match["number"]) <= len(step.choices):
            raise InputError(f"{part} is not on the list; {_WANTED}")
        found[f"seen.{step.choices[int(match['number']) - 1].key}"] = _degree(match["no"], match["soft"])
    if step.single and sum(degree in ("yes", "probably") for degree in found.values()) > 1:
        raise InputError("only one of these can hold; give the one that fits best")
    return found


def _degree(no: str, soft: str) -> str:
    if soft:
        return "probably_not" if no else "probably"
    return "no" if no else "yes"
