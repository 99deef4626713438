"""Numbers with the words they stand under: temperatures, tests, penetration, NLGI grades."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import lru_cache

from diag.knowledgebase import Knowledge
from diag.remedy.requirement import StatedValue
from diag.shelf.lexicon import Lexicon, Measure, pattern_of
from diag.shelf.numbers import Figure, Keyword, figures, header_unit, keywords, scale_of, value_of
from diag.shelf.reading import Reading
from diag.shelf.statements import blank

__all__ = ["Carried", "Measured", "grades", "measured"]

_SERVICE = ("service", "lowest_temperature", "highest_temperature")
_DIRECTIONS = _SERVICE[1:]
_LEAST_SPAN = 60.0  # K; a range of temperatures without words, so wide, is what the grease works in
_GRADE = r"(?:000|00|[0-6])"
_GRADES = re.compile(rf"[\s:#.]{{0,4}}(?P<one>{_GRADE})(?:\s?[/-]\s?(?P<other>{_GRADE})|[.,](?P<half>5))?"
                     r"(?![\w°%]|[.,]\d)(?:\s?\(\s?\d{3}\s?[/-]\s?\d{3}\s?\))?")
_EP_GRADE = re.compile(r"(?<![A-Za-z])EP[\s-]?(?P<one>000|00|[0-3])(?![\w.,])")


@dataclass(frozen=True, slots=True)
class Carried:
    """Words of the statement before that still wait for their number."""

    measure: str = ""
    unit: str = ""


@dataclass(slots=True)
class Measured:
    """What the numbers of a statement say."""

    readings: list[Reading] = field(default_factory=list)
    peaks: list[str] = field(default_factory=list)  # short peaks of temperature, in their words
    carried: Carried = Carried()


def grades(statement: str, lexicon: Lexicon) -> tuple[str, list[Reading]]:
    """NLGI grades of a statement, and the statement without them; `EP 2` names one where nothing else does."""
    found: list[Reading] = []
    for words in _grade_words(lexicon.labels.nlgi).finditer(statement):
        match = _GRADES.match(statement, words.end())
        if match:
            found.append(Reading("nlgi", _grade(match), statement[words.start():match.end()].strip()))
            statement = blank(statement, words.start(), match.end())
    short = _EP_GRADE.search(statement)
    if short and not found:
        found.append(Reading("nlgi", short["one"], short.group()))
        statement = blank(statement, *short.span("one"))
    return statement, found


@lru_cache(maxsize=4)
def _grade_words(words: tuple[str, ...]) -> re.Pattern[str]:
    return pattern_of(words)


def _grade(match: re.Match[str]) -> StatedValue:
    if match["half"]:
        return match["one"], str(int(match["one"]) + 1)
    return (match["one"], match["other"]) if match["other"] and match["other"] != match["one"] else match["one"]


def measured(statement: str, carried: Carried, lexicon: Lexicon, knowledge: Knowledge) -> Measured:
    """The readings of a statement whose grades, codes and viscosities are taken out already."""
    keys = keywords(statement, lexicon)
    masked = statement
    for key in keys:
        if re.search(r"\d", statement[key.start:key.end]):
            masked = blank(masked, key.start, key.end)
    found, numbers = Measured(), list(figures(masked))
    keys = _leading(keys, numbers, lexicon)
    for figure in numbers:
        under = _stands_under(figure, keys, carried, statement, lexicon)
        if under is not None:
            worded = replace(figure, unit=figure.unit or under.unit, words=under.words or figure.words)
            _read(found, worded, under.measure, lexicon, knowledge)
    if keys and not numbers:
        found.carried = Carried(keys[-1].measure, header_unit(statement[keys[-1].end:]))
    return found


def _leading(keys: list[Keyword], numbers: list[Figure], lexicon: Lexicon) -> list[Keyword]:
    """Without words inside a number's span, and without `up to` or `minimum` that only follow a test's name."""
    outside = [k for k in keys if not any(n.start <= k.start < n.end for n in numbers)]
    kept: list[Keyword] = []
    for key in outside:
        waiting = kept and not any(kept[-1].end <= n.start < key.start and _fits(kept[-1].measure, n, lexicon)
                                   for n in numbers)
        if not (waiting and key.measure in _DIRECTIONS and kept[-1].measure not in _SERVICE):
            kept.append(key)
    return kept


@dataclass(frozen=True, slots=True)
class _Under:
    """The measure a number stands under, the unit of its header, and both in their words."""

    measure: str
    unit: str = ""
    words: str = ""


def _stands_under(figure: Figure, keys: list[Keyword], carried: Carried, statement: str, lexicon: Lexicon
                  ) -> _Under | None:
    """The measure whose words stand nearest before the number, else those after it; None without any.

    Under words that don't fit it a number is a test condition (`washout @ 79 °C`), save a range of temperatures.
    """
    last = next((k for k in reversed(keys) if k.end <= figure.start), None)
    if last is not None and _fits(last.measure, figure, lexicon):
        words = _one_line(statement[last.start:figure.end])
        return _Under(last.measure, header_unit(statement[last.end:figure.start]), words)
    if last is None and carried.measure and _fits(carried.measure, figure, lexicon):
        return _Under(carried.measure, carried.unit)
    after = [k for k in keys if k.start >= figure.end and "," not in statement[figure.end:k.start]]
    if last is None and after and figure.unit and _fits(after[0].measure, figure, lexicon):
        return _Under(after[0].measure, words=statement[figure.start:after[0].end])
    return _Under("service") if figure.dimension == "temperature" and figure.second else None


def _one_line(words: str) -> str:
    """Without the gaps that blanked test methods leave."""
    return " ".join(words.replace(" ,", ",").split())


def _fits(measure: str, figure: Figure, lexicon: Lexicon) -> bool:
    """A number with a unit stands under words of its own dimension; words of no property take any.

    A range from the cold up is none of dropping points: `drop point > 260 °C, service -20 to 120 °C`.
    """
    if not measure or not figure.dimension:
        return True
    own = lexicon.labels.measures[measure]
    if measure == "dropping_point" and figure.second and value_of(figure.first, figure.unit, own) is None:
        return False
    return own.dimension == figure.dimension


def _read(found: Measured, figure: Figure, name: str, lexicon: Lexicon, knowledge: Knowledge) -> None:
    if not name or name == "viscosity":
        return
    measure = lexicon.labels.measures[name]
    if measure.dimension == "temperature":
        _temperature(found, figure, name, lexicon.labels.measures)
        return
    values = [v for text in (figure.first, figure.second) if text
              and (v := value_of(text, figure.unit, measure)) is not None]
    if not values:
        return
    value: StatedValue = values[0] if len(values) == 1 else (min(values), max(values))
    if name == "penetration":
        name, value = "nlgi", _grade_of(sum(values) / len(values), knowledge)
    found.readings.append(Reading(name, value, figure.words))


def _temperature(found: Measured, figure: Figure, name: str, measures: dict[str, Measure]) -> None:
    """A peak is only named; a range of service gives both limits; a bare number needs words that are plain."""
    scale = scale_of(figure.unit)
    if name == "peak_temperature":
        found.peaks.append(figure.words)
    elif figure.second and name in _SERVICE:
        found.readings += _range(figure, measures, bare_allowed=name == "service" or scale != "")
    elif scale or name == "dropping_point":
        name = "highest_temperature" if name == "service" else name
        texts = [t for t in (figure.first, figure.second) if t]
        values = [v for t in texts if (v := value_of(t, figure.unit, measures[name])) is not None]
        if values:
            found.readings.append(Reading(name, min(values), figure.words, scale))


def _range(figure: Figure, measures: dict[str, Measure], bare_allowed: bool) -> Iterator[Reading]:
    low, high = (value_of(text, figure.unit, measures["service"]) for text in (figure.first, figure.second))
    if low is not None and high is not None and high - low >= _LEAST_SPAN and bare_allowed:
        yield Reading("lowest_temperature", low, figure.words, scale_of(figure.unit))
        yield Reading("highest_temperature", high, figure.words, scale_of(figure.unit))


def _grade_of(penetration: float, knowledge: Knowledge) -> StatedValue:
    """NLGI grade of a worked penetration [0.1 mm]; between two grades both."""
    table: dict[str, dict[str, list[float]]] = knowledge.standard("nlgi")["grades"]
    for grade, row in table.items():
        if row["penetration"][0] <= penetration <= row["penetration"][1]:
            return grade
    near = sorted(table, key=lambda g: abs(sum(table[g]["penetration"]) / 2 - penetration))[:2]
    return tuple(sorted(near, key=lambda g: -table[g]["penetration"][0]))
