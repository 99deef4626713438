"""Which signs a sentence names, and with which of its words.

A phrase is met when its telling stems stand near each other in the sentence, in any order: all of them for short
phrases, most of their weight for long ones. A match inside a weightier one is dropped ("noisy" inside "noisy only
when cold"). Firm is what takes a yes: a phrase that means its sign only, that carries much of what is said there, and
no sign of something else nearly as well. The rest may be said, and isn't plainly said.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from diag.words.lexicon import Lexicon, Phrase
from diag.words.sentences import NOT, Sentence

__all__ = ["Match", "matches"]

_SHORT = 3  # stems up to which every one must be met
_ENOUGH = 0.85  # share of the weight of a longer phrase that must be met (tuned on the tuned sentences)
_MARGIN = 0.15  # share of the weight within which two signs of different conditions are too near to call (judgement)
# Share of the weight of all that a part of a sentence says that must be carried by a whole phrase, and by one met in
# part, for a yes. Set on sentences that no phrase was written after.
_PLAIN, _PLAIN_IN_PART = 0.4, 0.5
# Weight [-] of the words, at least: what many signs share is plain only where next to nothing else is said.
_TELLING, _ALL = 6.0, 0.9
_LONE = 0.2  # share of a clause under which a single telling word in it says nothing for sure
_UNKNOWN = 4.0  # weight [-] of a word that no phrase has
_GAPS = 2  # words of meaning that may stand between the stems of a phrase of two, two more for each further stem


@dataclass(frozen=True, slots=True)
class Match:
    """One sign named by some tokens of a sentence; `weight` [-] of the stems met.

    `loose`: the phrase fits other things too. `whole`: every telling stem of it is met. `share` [-] of what the part
    of the sentence says. `firm`: plain enough for a yes.
    """

    sign: str
    condition: str
    at: frozenset[int]
    weight: float
    denies: bool
    loose: bool
    whole: bool
    share: float
    firm: bool = True


def matches(sentence: Sentence, lexicon: Lexicon) -> list[Match]:
    """The signs named, in the order of the sentence; each sign at most once for the same words."""
    places = _places(sentence, lexicon)
    found: list[Match] = []
    for phrase in _candidates(places, lexicon):
        met = phrase.stems & places.keys()
        weight = lexicon.weight(met)
        if NOT in phrase.stems - met or not _enough(phrase, met, weight, lexicon):
            continue
        at = _together(sentence, places, tuple(met), phrase)
        if at and _close(sentence, phrase, at, places):
            found.append(Match(phrase.sign, phrase.condition, at, weight, phrase.denies, phrase.loose,
                               met == phrase.stems, _share(sentence, at, places, lexicon)))
    kept = _outermost(found, sentence, lexicon)
    firm = [replace(m, firm=_firm(m, kept)) for m in kept if not _lone(m, sentence)]
    return sorted(firm, key=lambda m: (min(m.at), m.sign))


def _share(sentence: Sentence, at: frozenset[int], places: Mapping[str, Sequence[int]], lexicon: Lexicon) -> float:
    """How much of the weight [-] of the parts of clauses they stand in some words carry, 0 to 1."""
    scopes = {sentence.tokens[n].scope for n in at}
    weights = {n: lexicon.weights.get(s, _UNKNOWN) for s, numbers in places.items() for n in numbers
               if sentence.tokens[n].scope in scopes and not sentence.tokens[n].filler
               and (n in at or sentence.tokens[n].word not in lexicon.how_said)}
    return sum(weights.get(n, 0.0) for n in at) / (sum(weights.values()) or 1.0)


def _telling(sentence: Sentence, at: frozenset[int]) -> list[int]:
    return [n for n in sorted(at) if not sentence.tokens[n].filler]


def _lone(match: Match, sentence: Sentence) -> bool:
    """One telling word that fits other things too, in a clause that speaks of more."""
    return match.loose and len(_telling(sentence, match.at)) == 1 and match.share < _LONE


def _places(sentence: Sentence, lexicon: Lexicon) -> dict[str, list[int]]:
    """Stem → numbers of the tokens that have it; misspelt words under the stem they are near to."""
    places: dict[str, list[int]] = defaultdict(list)
    for number, token in enumerate(sentence.tokens):
        places[lexicon.nearest(token.word, token.stem)].append(number)
    return dict(places)


def _candidates(places: Mapping[str, Sequence[int]], lexicon: Lexicon) -> Iterator[Phrase]:
    numbers = {n for one in places for n in lexicon.by_stem.get(one, ())}
    return (lexicon.phrases[n] for n in sorted(numbers))


def _enough(phrase: Phrase, met: frozenset[str], weight: float, lexicon: Lexicon) -> bool:
    if met == phrase.stems:
        return True
    return len(phrase.stems) > _SHORT and len(met) >= _SHORT and weight >= _ENOUGH * lexicon.weight(phrase.stems)


def _together(sentence: Sentence, places: Mapping[str, Sequence[int]], met: tuple[str, ...], phrase: Phrase
              ) -> frozenset[int]:
    """The tokens that meet the phrase, nearest to each other; empty when they stand too far apart."""
    if phrase.exact:
        return _in_a_row(sentence, phrase.exact)
    anchors = {n for s in met for n in places[s]}
    spans = {frozenset(_nearest(places[s], anchor) for s in met) for anchor in anchors}
    fitting = [at for at in spans if _near(sentence, at) and _in_order(sentence, phrase, at, places)]
    return min(fitting, key=lambda at: (max(at) - min(at), min(at)), default=frozenset())


def _nearest(ascending: Sequence[int], anchor: int) -> int:
    """The earlier of two that are equally near. By halving: one long sentence may have thousands of places."""
    at = bisect_left(ascending, anchor)
    return min(ascending[max(0, at - 1):at + 1], key=lambda n: abs(n - anchor))


def _in_order(sentence: Sentence, phrase: Phrase, at: frozenset[int], places: Mapping[str, Sequence[int]]) -> bool:
    """The order counts with a denial in it, in one clause with what it denies ("no grease at the right pin" isn't "not
    the right grease"; "not hot, I can hold it" isn't "can't hold it"), and across clauses ("the gun was full of grease,
    now the motor hums" isn't "motor full of grease").
    """
    clauses = {sentence.tokens[n].stem: sentence.tokens[n].clause for n in at}
    if NOT in phrase.stems:
        denied = phrase.order[phrase.order.index(NOT) + 1:][:1]
        return _ordered(phrase, at, places) and all(clauses.get(s, clauses[NOT]) == clauses[NOT] for s in denied)
    return len(set(clauses.values())) == 1 or _ordered(phrase, at, places)


def _ordered(phrase: Phrase, at: frozenset[int], places: Mapping[str, Sequence[int]]) -> bool:
    stands = [n for s in dict.fromkeys(phrase.order) for n in places.get(s, ()) if n in at]
    return stands == sorted(stands)


def _in_a_row(sentence: Sentence, wanted: tuple[str, ...]) -> frozenset[int]:
    stems = [t.stem for t in sentence.tokens]
    last = len(stems) - len(wanted)
    starts = (n for n in range(last + 1) if tuple(stems[n:n + len(wanted)]) == wanted)
    start = next(starts, None)
    return frozenset() if start is None else frozenset(range(start, start + len(wanted)))


def _near(sentence: Sentence, at: frozenset[int]) -> bool:
    """Few words of meaning between them, and for short phrases no bound of a clause."""
    clauses = {sentence.tokens[n].clause for n in at}
    return _gap(sentence, at) <= _GAPS * (len(at) - 1) and (len(clauses) == 1 or len(at) >= _SHORT)


def _close(sentence: Sentence, phrase: Phrase, at: frozenset[int], places: Mapping[str, Sequence[int]]) -> bool:
    """What is loose or a denial in itself must stand as it is said: in order, with next to nothing between."""
    if not phrase.loose and not phrase.denies:
        return True
    return _gap(sentence, at) <= (0 if phrase.denies else 1) and _ordered(phrase, at, places)


def _gap(sentence: Sentence, at: frozenset[int]) -> int:
    """Words of meaning between the first and the last of some words that are none of them."""
    return sum(n not in at and not sentence.tokens[n].filler for n in range(min(at), max(at)))


def _firm(match: Match, kept: Sequence[Match]) -> bool:
    telling = match.weight >= _TELLING or match.share >= _ALL
    plain = telling and match.share >= (_PLAIN if match.whole else _PLAIN_IN_PART)
    return not match.loose and plain and not any(_rivals(match, other) for other in kept)


def _rivals(match: Match, other: Match) -> bool:
    """The other takes some of the same words for a sign of another condition, nearly as well or better."""
    return (other.condition != match.condition and other.denies == match.denies and bool(other.at & match.at)
            and other.weight >= (1 - _MARGIN) * match.weight)


def _outweighs(other: Match, match: Match, sentence: Sentence, lexicon: Lexicon) -> bool:
    """The other has all its words among more, or most of its weight and more weight besides."""
    shared = match.at & other.at
    if match.at < other.at or match.at == other.at or not shared:
        return match.at < other.at
    common = lexicon.weight(sentence.tokens[n].stem for n in shared)
    return other.sign != match.sign and other.weight > match.weight and common > match.weight / 2


def _outermost(found: list[Match], sentence: Sentence, lexicon: Lexicon) -> list[Match]:
    """Without matches that another one outweighs; where two signs are named by the same words, neither."""
    best: dict[tuple[str, frozenset[int]], Match] = {}
    for match in sorted(found, key=lambda m: (m.loose, not m.whole)):  # of phrases met by the same words the plainest
        best.setdefault((match.sign, match.at), match)
    kept = [m for m in best.values() if not any(_outweighs(other, m, sentence, lexicon) for other in best.values())]
    shared: dict[frozenset[int], set[str]] = defaultdict(set)
    for match in kept:
        if not match.denies:  # one denial may hold of several signs: "the seal is fine"
            shared[match.at].add(match.sign)
    return [m for m in kept if m.denies or len(shared[m.at]) == 1]
