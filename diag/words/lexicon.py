"""The ways people name signs, indexed by stem, with the weight each stem carries (TF-IDF).

A stem that few signs share says much, one that many share says little: weight = ln(signs ÷ signs with it) + 1.
Built once a process; scikit-learn does the same and takes 1.5 s to import.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from diag.knowledgebase import Knowledge
from diag.knowledgebase.model import Kind, Option
from diag.knowledgebase.phrases import Phrases, Sayings
from diag.words.sentences import NOT, plain_words, same_words, stem

__all__ = ["Lexicon", "Phrase", "lexicon"]

_NEAR = 82.0  # least likeness, 0 to 100, for a misspelt word: one wrong letter in six (judgement)
_LONG_ENOUGH = 6  # shorter words differ in one letter and mean another thing ("belt", "bolt")


@dataclass(frozen=True, slots=True)
class Phrase:
    """One way of naming a sign (`denies`: of saying that it is not so), as stems that must be met.

    `condition`: what the sign speaks of. `order`: the telling stems as they follow each other.
    """

    sign: str
    condition: str
    stems: frozenset[str]
    order: tuple[str, ...]
    exact: tuple[str, ...]  # all stems in order, where fillers matter; empty where only `stems` count
    denies: bool
    loose: bool  # the words fit another thing as well


@dataclass(frozen=True)
class Lexicon:
    """Phrases of one kind of point, the signs that have each stem, and all stems known."""

    phrases: tuple[Phrase, ...]
    weights: Mapping[str, float]
    by_stem: Mapping[str, tuple[int, ...]]  # stem → numbers of the phrases that have it
    known: frozenset[str]
    how_said: frozenset[str]  # words that deny, hedge or end something and name nothing
    spelt: Mapping[str, str]  # long words of the phrases → their stems

    def weight(self, stems: Iterable[str]) -> float:
        """Sum of the weights [-] of some stems."""
        return sum(self.weights.get(s, 0.0) for s in stems)

    def nearest(self, word: str, stem: str) -> str:
        """The stem of a word, of the known word it is near to where it is misspelt."""
        if stem in self.known or len(word) < _LONG_ENOUGH or not word.isalpha():
            return stem
        from rapidfuzz import fuzz, process  # 20 ms to import, and only a misspelt word needs it

        found = process.extractOne(word, self.spelt.keys(), scorer=fuzz.ratio, score_cutoff=_NEAR)
        return self.spelt[found[0]] if found and found[0][0] == word[0] else stem


_BUILT: dict[tuple[str, Kind], Lexicon] = {}
_MOST_BUILT = 6  # three kinds, two versions of the knowledge


def lexicon(knowledge: Knowledge, kind: Kind) -> Lexicon:
    """The ways of naming the signs that a point of this kind can have. About 40 ms once, then kept."""
    key = (knowledge.fingerprint, kind)
    if key not in _BUILT:
        while len(_BUILT) >= _MOST_BUILT:
            _BUILT.pop(next(iter(_BUILT)))
        _BUILT[key] = _build(knowledge, kind)
    return _BUILT[key]


def _build(knowledge: Knowledge, kind: Kind) -> Lexicon:
    words = _Words(knowledge.phrases)
    phrases = tuple(_phrases(knowledge, kind, words))
    spelt = {word: one for word, (one, _) in words.items() if len(word) >= _LONG_ENOUGH}
    stems_of: dict[str, set[str]] = defaultdict(set)
    for phrase in phrases:
        stems_of[phrase.sign] |= phrase.stems
    signs_with = Counter(s for stems in stems_of.values() for s in stems)
    weights = {s: math.log(len(stems_of) / n) + 1 for s, n in signs_with.items()}
    by_stem: dict[str, list[int]] = {}
    for number, phrase in enumerate(phrases):
        for one in phrase.stems:
            by_stem.setdefault(one, []).append(number)
    known = frozenset(weights) | {words[w][0] for w in _asked(knowledge)}
    numbers = {s: tuple(n) for s, n in by_stem.items()}
    return Lexicon(phrases, weights, numbers, known, _how_said(knowledge.phrases), spelt)


def _how_said(general: Phrases) -> frozenset[str]:
    lists = (general.negations, general.rare_words, general.no_denial, general.ended, general.ended_last,
             general.back_again, general.hedges, general.leading_hedges, general.clause_words, general.turning_words)
    return frozenset(word for words in lists for phrase in words for word in plain_words(phrase))


class _Words(dict[str, tuple[str, bool]]):
    """Word → its stem, and whether it is a filler; worked out once for each word."""

    def __init__(self, general: Phrases) -> None:
        super().__init__()
        self._same, self._fillers = same_words(general), frozenset(general.fillers)

    def __missing__(self, word: str) -> tuple[str, bool]:
        self[word] = stem(word, self._same), word in self._fillers
        return self[word]


def _phrases(knowledge: Knowledge, kind: Kind, general: _Words) -> Iterator[Phrase]:
    sayings = knowledge.sayings()
    for option in _served(knowledge, kind):
        ways = sayings.get(option.sign, Sayings())
        for words in ways.say:
            yield _phrase(option, words, general)
        for words in ways.hint:
            yield _phrase(option, words, general, loose=True)
        for words in ways.deny:
            yield _phrase(option, words, general, denies=True)


def _served(knowledge: Knowledge, kind: Kind) -> Iterator[Option]:
    for question in knowledge.questions.values():
        for option in question.options:
            if kind in question.kinds and kind in option.kinds and kind in knowledge.conditions[option.condition].kinds:
                yield option


def _phrase(option: Option, words: str, general: _Words, denies: bool = False, loose: bool = False) -> Phrase:
    """With a single word of meaning the fillers count too: "is hot" is a statement, "hot" may be a lunch."""
    said = [general[word] for word in plain_words(words) if word[0].isalnum()]
    order = tuple([s for s, filler in said if not filler])
    stems = frozenset(order or [s for s, _ in said])
    exact = tuple([s for s, _ in said]) if len(said) > 1 and len(stems) - (NOT in stems) == 1 else ()
    return Phrase(option.sign, option.condition, stems, order, exact, denies, loose)


def _asked(knowledge: Knowledge) -> set[str]:
    """Words that are no misspelling: everything the questions say, and the general words."""
    general = knowledge.phrases
    texts = [o.text for o in knowledge.signs.values()]
    texts += [text for q in knowledge.questions.values() for text in (q.text, q.how, q.why)]
    texts += [*general.hedges, *general.no_statement, *general.fillers, *general.clause_words]
    return set(plain_words(" ".join(texts)))
