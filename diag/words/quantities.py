"""Numbers with units in free text, each put where its clause says it belongs."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from diag import units
from diag.errors import InputError
from diag.knowledgebase.model import Kind
from diag.knowledgebase.phrases import Phrases, QuantityRule
from diag.numbertext import fold
from diag.words.sentences import plain_words

__all__ = ["FromWords", "quantities"]

# Number and unit as typed: "190 F", "about 1750 rpm", "2-1/2 in", "4.5 mm/s", "12 dB".
_NUMBER = r"(?<![\w.,/-])(?P<number>(?:minus |-)?\d+(?:[.,]\d+)*(?:[ -]\d+/\d+|/\d+)?)"
_UNITS = {
    "temperature": r"(?:deg(?:rees?|\.)? ?|° ?)?(?:c|f|celsius|fahrenheit)|deg(?:c|f)",
    "speed": r"r\.?p\.?m\.?|(?:rev|turns|revolutions)s? ?(?:/|per|a) ?min(?:ute)?",
    "velocity": r"mm/s(?:ec)?|in/s(?:ec)?|ips",
    "length": r"mm|cm|inch(?:es)?|in|\"",
    "mass": r"g|grams?|oz|ounces?|kg",
    "time": r"h|hrs?|hours?|days?|weeks?|wks?|months?|years?|yrs?|min(?:utes)?",
    "level": r"db",
    "voltage": r"mv|v|volts?",
}
_FOUND = {d: re.compile(rf"{_NUMBER} ?(?P<unit>{unit})(?![\w/])", re.IGNORECASE) for d, unit in _UNITS.items()}
_CLAUSE = re.compile(r"[;,:()]\s|[.!?](?:\s|$)|\s-\s|\b(?:but|then|however)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class FromWords:
    """A value read out of a text: key of the case file, the quantity as `units` reads it, its value, the words."""

    path: str
    text: str
    value: float
    words: str


def quantities(text: str, kind: Kind, phrases: Phrases) -> tuple[FromWords, ...]:
    """Each key at most once, the first mention counts. What can't be read for sure is left."""
    found: dict[str, FromWords] = {}
    for clause in _clauses(fold(text)):
        for one in _of_clause(_with_figures(clause, phrases), clause, kind, phrases):
            found.setdefault(one.path, one)
    return tuple(found.values())


def _clauses(text: str) -> Iterator[str]:
    return (part.strip() for part in _CLAUSE.split(text) if part.strip())


def _with_figures(clause: str, phrases: Phrases) -> str:
    """The clause with numbers in words as figures and times spelt out: `last month` → `1 month ago`."""
    for words, time in phrases.times.items():
        back = "" if words.startswith(("every", "once")) else " ago"
        every = "every " if not back else ""
        clause = re.sub(rf"\b{words}\b", f"{every}{time}{back}", clause, flags=re.IGNORECASE)
    for word, number in phrases.number_words.items():
        clause = re.sub(rf"\b{word}\b", str(number), clause, flags=re.IGNORECASE)
    return clause


def _of_clause(clause: str, words: str, kind: Kind, phrases: Phrases) -> Iterator[FromWords]:
    said = f" {' '.join('#' if word[0].isdigit() else word for word in plain_words(clause))} "
    for dimension, pattern in _FOUND.items():
        rules = [r for r in phrases.quantities if r.dimension == dimension and _fits(r, said, kind)]
        hits = list(pattern.finditer(clause))
        if rules and hits:
            yield from _read(rules, _typed(dimension, _past(hits, clause) or hits), words)


def _fits(rule: QuantityRule, said: str, kind: Kind) -> bool:
    near, with_ = (not wanted or _any(said, wanted) for wanted in (rule.near, rule.with_))
    return kind in rule.kinds and near and with_ and not _any(said, rule.not_near)


def _any(said: str, wanted: Iterable[str]) -> bool:
    return any(f" {words} " in said for words in wanted)


def _past(hits: list[re.Match[str]], clause: str) -> list[re.Match[str]]:
    """The times that are said to be `ago`: in "greased 1 day ago, quiet for 1 hour" the first."""
    return [hit for hit in hits if clause[hit.end():].lstrip().lower().startswith("ago")]


def _typed(dimension: str, hits: list[re.Match[str]]) -> str:
    """The last of several ("from 70 C to 95 C"), spelt as `units` wants it."""
    hit = hits[-1]
    unit = hit["unit"].lower()
    if dimension == "temperature":
        unit = "degF" if unit.endswith(("f", "fahrenheit")) else "degC"
    unit = {"wk": "week", "wks": "week", "yr": "year", "yrs": "year"}.get(unit, unit)
    return f"{hit['number']} {'in/s' if unit == 'ips' else unit}"


def _read(rules: list[QuantityRule], typed: str, words: str) -> Iterator[FromWords]:
    try:
        value = units.parse(typed, rules[0].dimension)
    except InputError:
        return  # such as 1,450 rpm, which may be two things: better asked than guessed
    yield FromWords(rules[0].path, typed, value, words)
