"""What a clause does with a thing it names: states it, denies it, hedges, or states nothing."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache

from diag.case.model import Degree
from diag.knowledgebase.phrases import Phrases
from diag.words.sentences import NOT, Sentence, plain_words

__all__ = ["degree_of"]

_NUMBER = re.compile(r"\d\S*")
_REACH = 8  # words a denial reaches forward inside its clause (judgement)
_REACH_WITHOUT = 3  # "bearings without shields let grease through" denies the shields only
_LIST_PIECE = 3  # a comma-bounded piece this short may go on a list that a denial opened


def degree_of(sentence: Sentence, at: frozenset[int], denies: bool, phrases: Phrases) -> Degree | None:
    """yes, probably, probably_not or no of the thing named by the tokens `at`; None when nothing is stated.

    `denies`: the tokens themselves say that it is not so. A second denial on top states nothing.
    """
    clause = sentence.tokens[min(at)].clause
    said = sentence.words(clause)
    if sentence.asks or _states_nothing(said, phrases) or _long_past(sentence, said, phrases):
        return None
    if _open_list(sentence, at, phrases):
        return None
    denied = _denied(sentence, at, phrases)
    rare = not denied and _any(_around(sentence, clause, at), phrases.rare_words)
    if denies and (denied or rare):
        return None
    hedged = rare or _any(_around(sentence, clause, at), phrases.hedges) or _led_by_hedge(sentence, phrases)
    if denied or denies or rare:
        return "probably_not" if hedged else "no"
    return "probably" if hedged else "yes"


def _around(sentence: Sentence, clause: int, at: frozenset[int]) -> str:
    """The clause without the words that name the thing: "a bit hotter every week" is no hedge."""
    words = (t.word for n, t in enumerate(sentence.tokens) if t.clause == clause and n not in at)
    return f" {' '.join(words)} "


def _states_nothing(said: str, phrases: Phrases) -> bool:
    for words in phrases.comparisons:
        said = said.replace(f" {words} ", " ")
    return _any(said, phrases.no_statement)


def _long_past(sentence: Sentence, clause: str, phrases: Phrases) -> bool:
    """Told of another time, here or in the whole sentence where no word leads back to the present."""
    return any(_any(_NUMBER.sub("#", said), phrases.long_past) for said in (
        clause, *(() if _any(sentence.words(), phrases.present) else (sentence.words(),))))


def _led_by_hedge(sentence: Sentence, phrases: Phrases) -> bool:
    said = sentence.words()
    return any(said.startswith(f" {words} ") for words in phrases.leading_hedges)


def _any(said: str, wanted: Iterable[str]) -> bool:
    return any(_spoken(words) in said for words in wanted)


@cache
def _spoken(words: str) -> str:
    """Words of the phrases file as they stand in a clause, with a blank at both ends."""
    return f" {' '.join(words.split() if '#' in words else plain_words(words))} "


def _denied(sentence: Sentence, at: frozenset[int], phrases: Phrases) -> bool:
    """A denial before the thing, or its end told after it; twice denied is not denied."""
    if any(sentence.tokens[n].stem == NOT for n in at):
        return False  # the denial is part of the name: "won't turn"
    first = sentence.tokens[min(at)]
    before = any(_denial_before(sentence, n) for n in at)
    if before or _any(sentence.words(first.clause), phrases.no_denial):
        return before and not _any(sentence.words(first.clause), phrases.no_denial)
    return _ended(sentence, at, first.clause, phrases)


def _denial_before(sentence: Sentence, at: int) -> bool:
    near = list(enumerate(sentence.tokens))[max(0, at - _REACH):at]
    return any(t.stem == NOT and t.scope == sentence.tokens[at].scope
               and (t.word != "without" or at - n <= _REACH_WITHOUT) for n, t in near)


def _ended(sentence: Sentence, at: frozenset[int], clause: int, phrases: Phrases) -> bool:
    after = [t.word for n, t in enumerate(sentence.tokens) if n > max(at) and t.clause == clause]
    if not after or _any(sentence.words(), phrases.back_again):
        return False
    return after[-1] in phrases.ended_last or _any(f" {' '.join(after[:4])} ", phrases.ended)


def _open_list(sentence: Sentence, at: frozenset[int], phrases: Phrases) -> bool:
    """A short piece right after a denied one may share its denial ("no rust, pits"): it states nothing."""
    clause = sentence.tokens[min(at)].clause
    piece = [t for t in sentence.tokens if t.clause == clause]
    earlier = [t for t in sentence.tokens if t.clause == clause - 1]
    states = any(t.stem == NOT or t.word in phrases.statement_starts or t.word in phrases.clause_words for t in piece)
    return len(piece) <= _LIST_PIECE and not states and bool(earlier) and earlier[0].stem == NOT
