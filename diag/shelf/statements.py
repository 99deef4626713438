"""A label cut into statements: one spelling of signs, no standard numbers, no other greases."""

from __future__ import annotations

import re
from collections.abc import Iterator

from diag.numbertext import fold
from diag.shelf.lexicon import Lexicon

__all__ = ["blank", "statements", "without_methods"]

_CUTS = re.compile(r"[;|•▪●✓→*]\s|[•▪●✓]|\s\|\s")
_SENTENCE = re.compile(r"(?<=[A-Za-zäöüß0-9!?)])[.!?]\s+(?=[A-ZÄÖÜ])")
_DEGREES = str.maketrans({"º": "°", "˚": "°"})
# Test methods and standards; "ISO VG 220" and "ISO 220" are no such numbers, DIN 51807 is followed by its class.
_METHOD = re.compile(
    r"(?<![A-Za-z])(?:(?:ASTM|IP|FTM|JIS|DIN|EN|ISO|NF)[\s-]?)+(?:[A-Z][\s-]?)?(?:T\s?)?\d{3,6}"
    r"(?:[-/.]\d{1,2}(?!\d))*|(?<![A-Za-z])ASTM\s?D?[\s-]?\d{2,5}|(?<![A-Za-z0-9])D[\s-]?\d{3,4}(?!\d)")
_CLASS_NUMBER = re.compile(r"ISO[\s-]?\d{1,3}$")


def statements(text: str, lexicon: Lexicon) -> Iterator[str]:
    """The statements of a label, folded, in order; those about other greases are left out."""
    for line in text.splitlines():
        for piece in _CUTS.split(line.translate(_DEGREES)):
            for sentence in _sentences(fold(piece), lexicon.labels.abbreviations):
                if sentence and not lexicon.others.search(sentence):
                    yield sentence


def _sentences(line: str, abbreviations: tuple[str, ...]) -> Iterator[str]:
    """Cut at points that end a sentence: not after `pt.` or `Nr.`."""
    start = 0
    for point in _SENTENCE.finditer(line):
        last = re.split(r"[\s/-]", line[start:point.start()])[-1].casefold()
        if last not in abbreviations:
            yield line[start:point.start()]
            start = point.end()
    yield line[start:]


def blank(text: str, start: int, end: int) -> str:
    """The text with a part blanked, so that places stay."""
    return text[:start] + " " * (end - start) + text[end:]


def without_methods(statement: str) -> str:
    """The statement with numbers of test methods and standards blanked."""
    for method in _METHOD.finditer(statement):
        if not _CLASS_NUMBER.match(method.group()):
            statement = blank(statement, *method.span())
    return statement
