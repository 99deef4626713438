"""Free text in the technician's words, read as signs and quantities.

Precision before recall: what isn't plainly said stays unread, and everything read is shown to the person.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import cast

from diag.case.model import Degree
from diag.findings import FromText
from diag.knowledgebase import Knowledge
from diag.knowledgebase.model import Kind
from diag.words.lexicon import Lexicon, lexicon
from diag.words.match import matches
from diag.words.polarity import degree_of
from diag.words.quantities import FromWords, quantities
from diag.words.sentences import Sentence, sentences

__all__ = ["Reading", "read"]


_LIKELY: dict[Degree, Degree] = {"yes": "probably", "no": "probably_not"}
_QUOTED = 20  # words of a clause quoted before and behind those met
_STRANGE = 2  # unknown words in a clause that make a single telling word only likely (judgement)


@dataclass(frozen=True, slots=True)
class Reading:
    """What a text says: signs in the order told, quantities by key, and the sentences that nothing was read from.

    `worded`: the degree of each sign as the person said it, without the doubt whether it was meant: what holds once the
    person has confirmed it.
    """

    signs: tuple[FromText, ...] = ()
    quantities: tuple[FromWords, ...] = ()
    unmatched: tuple[str, ...] = ()
    worded: Mapping[str, Degree] = field(default_factory=dict)


def read(text: str, kind: Kind, knowledge: Knowledge) -> Reading:
    """Signs and quantities of a text about a point of this kind. Pure; about 1 ms a sentence.

    A sign that is both stated and denied in one text counts as `probably`: the statement is the safer side.
    """
    index = lexicon(knowledge, kind)
    found: dict[str, FromText] = {}
    worded: dict[str, FromText] = {}
    silent: list[str] = []
    numbers = quantities(text, kind, knowledge.phrases)
    for sentence in sentences(text, knowledge.phrases):
        read_here = list(_signs(sentence, index, knowledge))
        for one, said in read_here:
            found[one.sign] = _joined(found.get(one.sign), one)
            worded[one.sign] = _joined(worded.get(one.sign), said)
        if not read_here and not any(n.words in sentence.text for n in numbers):
            silent.append(sentence.text)
    degrees = {one.sign: cast(Degree, one.degree) for one in _one_of_each(worded, knowledge)}
    return Reading(tuple(_one_of_each(found, knowledge)), numbers, tuple(silent), degrees)


def _one_of_each(found: dict[str, FromText], knowledge: Knowledge) -> Iterator[FromText]:
    """Where a question has only one answer, two that were read are each only likely."""
    stated = [knowledge.question_of[s] for s, one in found.items() if one.degree == "yes"]
    for sign, one in found.items():
        question = knowledge.questions[knowledge.question_of[sign]]
        torn = one.degree == "yes" and question.choose == "one" and stated.count(question.id) > 1
        yield FromText(sign=sign, degree="probably", words=one.words) if torn else one


def _signs(sentence: Sentence, index: Lexicon, knowledge: Knowledge) -> Iterator[tuple[FromText, FromText]]:
    """Each sign with the degree it is read with, and with the one it was worded with."""
    for match in matches(sentence, index):
        degree = degree_of(sentence, match.at, match.denies, knowledge.phrases)
        stray = _stray(sentence, match.at, index, knowledge)
        if stray is None or degree is None:
            continue
        sure = degree if match.firm and not stray else _LIKELY.get(degree, degree)
        words = _words(sentence, match.at)
        yield FromText(sign=match.sign, degree=sure, words=words), FromText(sign=match.sign, degree=degree, words=words)


def _stray(sentence: Sentence, at: frozenset[int], index: Lexicon, knowledge: Knowledge) -> bool | None:
    """One telling word among words the knowledge doesn't know: it may speak of another thing (True), and with no
    word that shows the point it most likely does (None).
    """
    telling = [n for n in at if not sentence.tokens[n].filler]
    clause = sentence.tokens[min(at)].clause
    around = [t for n, t in enumerate(sentence.tokens) if t.clause == clause and n not in at]
    strange = [t for t in around if not t.filler and t.word.isalpha()
               and index.nearest(t.word, t.stem) not in index.known]
    anchored = any(t.word in knowledge.phrases.anchors for t in around)
    if len(telling) > 1 or len(strange) < (_STRANGE if anchored else 1):
        return False
    return True if anchored or len(strange) < _STRANGE else None


def _words(sentence: Sentence, at: frozenset[int]) -> str:
    """The clauses that hold the words met, as they are quoted to the person; of a very long one what stands round."""
    clauses = {sentence.tokens[n].clause for n in at}
    said = [t.word for n, t in enumerate(sentence.tokens)
            if t.clause in clauses and min(at) - _QUOTED <= n <= max(at) + _QUOTED]
    return " ".join(said)


def _joined(earlier: FromText | None, later: FromText) -> FromText:
    if earlier is None or earlier.degree == later.degree:
        return earlier or later
    order: tuple[Degree, ...] = ("yes", "probably", "probably_not", "no")
    first, second = sorted((earlier, later), key=lambda one: order.index(one.degree))
    if second.degree in ("yes", "probably"):
        return first
    if first.degree in ("probably_not", "no"):
        return second
    return FromText(sign=later.sign, degree="probably", words=f"{earlier.words}; {later.words}")
