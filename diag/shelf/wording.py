"""Properties that a label says in words: thickener, oil, additives, colour, and words that only sell."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

from diag.shelf.lexicon import Labels, Lexicon, pattern_of
from diag.shelf.model import Claim
from diag.shelf.reading import Reading
from diag.shelf.statements import blank

__all__ = ["colour", "selling", "water_class", "worded"]

_CAN_BE_DENIED = {"ep": "no", "solid_lubricant": "none", "tack": "no"}
_WATER_CLASS = re.compile(r"(?<!\d)(?P<stage>[0-3])\s?-\s?(?:40|90)(?!\d)")


def worded(statement: str, lexicon: Lexicon) -> tuple[str, list[Reading]]:
    """Closed words of a statement, denied ones included, and the statement without them."""
    found: list[Reading] = []
    rest = statement
    for match in lexicon.words.finditer(statement):
        property, word = lexicon.word_meanings[int((match.lastgroup or "k0")[1:])]
        rest = blank(rest, *match.span())
        denial = _denial(statement, match, property, lexicon)
        if property and not denial:
            found.append(Reading(property, word, match.group()))
        elif property in _CAN_BE_DENIED:
            found.append(Reading(property, _CAN_BE_DENIED[property], denial))
    return rest, found


def _denial(statement: str, match: re.Match[str], property: str, lexicon: Lexicon) -> str:
    """The words that deny a match, with it; "" where nothing does.

    A list of what is left out names additives: `free of lead, graphite` goes on behind its comma, a soap or an oil
    there (`free of graphite, lithium soap`) is what the grease is made of.
    """
    before = lexicon.denied_before.search(statement[:match.start()])
    if before and (property in _CAN_BE_DENIED or "," not in before.group()):
        return statement[before.start():match.end()]
    after = lexicon.denied_after.match(statement[match.end():])
    return statement[match.start():match.end() + after.end()] if after else ""


def water_class(statement: str, labels: Labels) -> Iterator[Reading]:
    """The class of DIN 51807, such as `1-90`, under words for it."""
    found = _WATER_CLASS.search(statement)
    if found and _pattern(labels.water_classes).search(statement):
        yield Reading("water_washout", f"stage {found['stage']}", statement)


def colour(statement: str, labels: Labels) -> Iterator[Reading]:
    """The colour where it is said to be one: `Farbe: braun`, `red grease`; in a name it is only a name."""
    names = "|".join(labels.colours)
    keys = "|".join(labels.colour_keys)
    keyed = re.search(rf"(?:{keys})\s?[:=]?\s(?P<colour>[A-Za-zäöüß -]{{3,30}})", statement, re.I)
    plain = re.search(rf"(?<![A-Za-z])(?P<colour>{names})\s(?:grease|fett)", statement, re.I)
    found = keyed or plain
    if found:
        yield Reading("colour", found["colour"].strip().casefold(), found.group().strip())


def selling(statement: str, lexicon: Lexicon) -> Iterator[Claim]:
    """Words of a statement that sell and say nothing."""
    for group in lexicon.labels.sells:
        for match in _pattern(group.words).finditer(statement):
            yield Claim(words=match.group(), why=group.why)
    labels = lexicon.labels
    tacky = any(r.property == "tack" and r.value == "yes" for r in worded(statement, lexicon)[1])
    if tacky and _pattern(labels.water).search(statement):
        yield Claim(words=statement, why=labels.reasons["tack"])


@lru_cache(maxsize=32)
def _pattern(words: tuple[str, ...]) -> re.Pattern[str]:
    return pattern_of(words)
