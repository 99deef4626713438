"""A sentence instead of an answer: what was read out of it, confirmed or struck out in one go."""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import replace

from diag.case.model import Case
from diag.errors import InputError
from diag.knowledgebase import Knowledge
from diag.numbertext import fold
from diag.walk.revise import with_values
from diag.walk.state import Choice, Given, Step, Walk
from diag.words import Reading, news, read
from diag.words.quantities import quantities

__all__ = ["SAID", "confirming", "kept", "struck", "told", "unconfirmed"]

_SURE = {"yes": "", "probably": "probably: ", "unknown": "not known: ", "probably_not": "probably not: ", "no": "not: "}
SAID = "said"  # the step under which the case's own `said` was gone through; typed sentences are said:1, said:2 ...


def told(case: Case, line: str, knowledge: Knowledge) -> Reading | None:
    """What a line typed at any question says of the point; None when nothing was read from it."""
    if len(line.split()) < 2 or not case.point.kind:
        return None
    found = read(line, case.point.kind, knowledge)
    return found if found.signs or found.quantities else None


def unconfirmed(walk: Walk, knowledge: Knowledge) -> Reading | None:
    """What `said` of the case adds and nobody has gone through yet."""
    case = walk.case
    if not case.said or not case.point.kind or walk.put(SAID) is not None:
        return None
    found = news(case, read(case.said, case.point.kind, knowledge), knowledge)
    return found if found.signs or found.quantities else None


def confirming(reading: Reading, knowledge: Knowledge) -> Step:
    """The step that shows what was read out of the case's own words, one choice an item, in the order of `kept`."""
    signs = [Choice(s.sign, f"{_SURE[reading.worded[s.sign]]}{knowledge.signs[s.sign].text}") for s in reading.signs]
    numbers = [Choice(q.path, f"{q.path.split('.')[-1].replace('_', ' ')}: {q.text}") for q in reading.quantities]
    return Step(SAID, "many", "Is this what you meant?", "Read out of your own words. Take the tick off what is wrong.",
                "What you leave ticked counts in full, as if you had chosen it from a list, and isn't asked again.",
                (*signs, *numbers))


def struck(line: str, count: int) -> frozenset[int]:
    """Numbers to strike out, from 1: none for an empty line or yes, all for `none`. Raises InputError."""
    typed = line.lower().strip()
    if typed in ("", "y", "yes", "ok"):
        return frozenset()
    if typed in ("none", "no", "n", "0"):
        return frozenset(range(1, count + 1))
    numbers = [part for part in re.split(r"[,\s]+", typed) if part]
    wrong = [n for n in numbers if not n.isdecimal() or not 1 <= int(n) <= count]
    if wrong:
        raise InputError(f"{wrong[0]} is not on the list; Enter keeps all, numbers strike out, none drops all")
    return frozenset(map(int, numbers))


def kept(walk: Walk, reading: Reading, out: Collection[int], words: str, knowledge: Knowledge) -> Walk:
    """The walk with what was read, but for the items numbered in `out` (signs first, then quantities, from 1).

    Of the case's own `said` (`words` empty) struck signs become unknown, and the words of struck quantities are
    taken out of it, so that neither is read again.
    Raises InputError when a value contradicts the case.
    """
    own = not words
    values: dict[str, str] = {}
    for number, sign in enumerate(reading.signs, 1):
        if number not in out or own:
            values[f"seen.{sign.sign}"] = "unknown" if number in out else reading.worded[sign.sign]
    dropped: set[str] = set()
    for number, quantity in enumerate(reading.quantities, len(reading.signs) + 1):
        if number not in out:
            values[quantity.path] = quantity.text
        elif own:
            dropped.add(quantity.path)
    count = sum(given.step.startswith(SAID) for given in walk.trail) + 1
    given = Given(SAID if own else f"{SAID}:{count}", tuple(values), "answered", words)
    case = with_values(walk.case, values, knowledge) if values else walk.case
    if dropped:
        case = replace(case, said=_silenced(case, dropped, knowledge))
    return replace(walk, case=case, trail=(*walk.trail, given))


def _silenced(case: Case, paths: Collection[str], knowledge: Knowledge) -> str:
    """The own words without the parts that quantities of these keys are read from, later mentions included."""
    text = fold(case.said or "")
    while parts := [q.words for q in quantities(text, case.point.kind, knowledge.phrases) if q.path in paths]:
        shorter = text.replace(parts[0], "(…)")
        if shorter == text:
            break
        text = shorter
    return text
