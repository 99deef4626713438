"""The word lists of standards/labels.yaml, typed, with their patterns compiled once."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeVar

import msgspec

from diag.errors import Fault, KnowledgeError
from diag.knowledgebase import Knowledge
from diag.knowledgebase.model import Confidence, Record

__all__ = ["Labels", "Lexicon", "Measure", "Sells", "lexicon", "pattern_of"]

T = TypeVar("T")
_LETTER = "0-9A-Za-zÄÖÜäöüß"
_UMLAUTS = {"ä": "(?:ä|ae|a)", "ö": "(?:ö|oe|o)", "ü": "(?:ü|ue|u)", "ß": "(?:ß|ss)"}


class Measure(Record, frozen=True):
    """A property that is a number: its dimension, believable span in canonical units, and its words."""

    dimension: str
    plausible: tuple[float, float]
    words: tuple[str, ...]


class Sells(Record, frozen=True):
    """Words that only sell, and why they tell nothing."""

    words: tuple[str, ...]
    why: str


class Judged(Record, kw_only=True, frozen=True):
    """A number of judgement."""

    value: float
    unit: str
    source: tuple[str, ...]
    confidence: Confidence
    note: str


class Weights(Record, kw_only=True, frozen=True):
    """Shares of fit by strength of a demand; a note counts for nothing."""

    must: float
    should: float
    not_stated: float
    source: tuple[str, ...]
    confidence: Confidence
    note: str


class Costs(Record, kw_only=True, frozen=True):
    """Cost of changing over, on the scale of fit."""

    same: float
    compatible: float
    borderline: float
    strip: float
    source: tuple[str, ...]
    confidence: Confidence
    note: str


class Labels(Record, kw_only=True, frozen=True):
    """The file, key by key; what each list does is said there."""

    source: tuple[str, ...]
    confidence: Confidence
    measures: dict[str, Measure]
    not_ours: tuple[str, ...]
    words: dict[str, dict[str, tuple[str, ...]]]
    too_short: tuple[str, ...]
    other_sense: tuple[str, ...]
    synthetic: tuple[str, ...]
    water: tuple[str, ...]
    water_classes: tuple[str, ...]
    endings: tuple[str, ...]
    nlgi: tuple[str, ...]
    colours: tuple[str, ...]
    colour_keys: tuple[str, ...]
    denied_before: tuple[str, ...]
    denied_after: tuple[str, ...]
    of_others: tuple[str, ...]
    abbreviations: tuple[str, ...]
    sells: tuple[Sells, ...]
    reasons: dict[str, str]
    asks: dict[str, str]
    beyond_need: Judged
    drop_reach: Judged
    highest_most: Judged
    highest_reach: Judged
    weights: Weights
    changing: Costs


@dataclass(frozen=True, slots=True)
class Lexicon:
    """Compiled patterns; the tables say what a matched pattern number stands for."""

    labels: Labels
    keywords: re.Pattern[str]  # groups k0, k1, ... in the order of `keyword_meanings`
    keyword_meanings: tuple[str, ...]  # measure id, "" for words of no property
    words: re.Pattern[str]
    word_meanings: tuple[tuple[str, str], ...]  # (property, word), ("", "") for another sense
    others: re.Pattern[str]
    denied_before: re.Pattern[str]
    denied_after: re.Pattern[str]


def lexicon(knowledge: Knowledge) -> Lexicon:
    """The lexicon of a knowledge. Raises KnowledgeError when labels.yaml breaks its schema."""
    try:
        labels = msgspec.convert(knowledge.standard("labels"), Labels)
    except msgspec.ValidationError as error:
        raise KnowledgeError(Fault(str(error), place="standards/labels.yaml")) from error
    synonyms = {"thickener": knowledge.synonyms["thickener"], "base_oil_type": knowledge.synonyms["base_oil"],
                "additive": knowledge.synonyms["additive"]}
    return _compiled(msgspec.json.encode((labels, synonyms)))


@lru_cache(maxsize=4)
def _compiled(key: bytes) -> Lexicon:
    labels, synonyms = msgspec.json.decode(key, type=tuple[Labels, dict[str, dict[str, tuple[str, ...]]]])
    keywords = {word: name for name, measure in labels.measures.items() for word in measure.words}
    keywords |= dict.fromkeys(labels.not_ours, "")
    words = _words(labels, synonyms)
    keyed, meanings = _alternation(keywords, ())
    worded, word_meanings = _alternation(words, labels.endings)
    before = f"(?<![{_LETTER}])(?:{_any(labels.denied_before)})(?![{_LETTER}])[^.!;:]{{0,40}}$"
    # "EP grease free of graphite" denies the graphite, not the EP before it.
    after = rf"^\s?-?\s?(?:{_any(labels.denied_after)})(?![{_LETTER}]|\s+(?:of|from|von)\b)"
    return Lexicon(labels, keyed, meanings, worded, word_meanings, pattern_of(labels.of_others),
                   re.compile(before, re.IGNORECASE), re.compile(after, re.IGNORECASE))


def _words(labels: Labels, synonyms: Mapping[str, Mapping[str, tuple[str, ...]]]) -> dict[str, tuple[str, str]]:
    """Phrase → property and word. The lists of labels.yaml go before the synonyms."""
    found: dict[str, tuple[str, str]] = {}
    for property in ("thickener", "base_oil_type"):
        for word, others in synonyms[property].items():
            found |= {other.casefold(): (property, word) for other in others}
    for solid in labels.words["solid_lubricant"]:
        found |= {other.casefold(): ("solid_lubricant", solid) for other in synonyms["additive"].get(solid, ())}
    found = {phrase: meaning for phrase, meaning in found.items() if phrase not in labels.too_short}
    found |= {phrase: (property, word) for property, table in labels.words.items()
              for word, phrases in table.items() for phrase in phrases}
    return found | dict.fromkeys(labels.other_sense, ("", ""))


def pattern_of(phrases: Iterable[str]) -> re.Pattern[str]:
    """Any of the phrases as whole words, in any case."""
    return re.compile(f"(?<![{_LETTER}])(?:{_any(phrases)})(?![{_LETTER}])", re.IGNORECASE)


def _alternation(table: Mapping[str, T], endings: tuple[str, ...]) -> tuple[re.Pattern[str], tuple[T, ...]]:
    """One pattern for all phrases, longest first, each in a group of its own."""
    phrases = sorted(table, key=len, reverse=True)
    tail = rf"(?:[\s-]?(?:{_any(endings)}))?" if endings else ""
    groups = "|".join(f"(?P<k{i}>{_spelled(phrase)}{tail})" for i, phrase in enumerate(phrases))
    return (re.compile(f"(?<![{_LETTER}])(?:{groups})(?![{_LETTER}])", re.IGNORECASE),
            tuple(table[phrase] for phrase in phrases))


def _any(phrases: Iterable[str]) -> str:
    return "|".join(_spelled(phrase) for phrase in sorted(phrases, key=len, reverse=True))


def _spelled(phrase: str) -> str:
    """The phrase as a pattern: loose about blanks, hyphens, points, umlauts."""
    parts = [re.escape(part) for part in re.split(r"[\s-]+", phrase)]
    spelled = r"[\s.\-]{0,3}".join(parts)
    return "".join(_UMLAUTS.get(letter, letter) for letter in spelled)
