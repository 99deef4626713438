"""Free text as sentences of tokens: words, numbers and their stems, cut into clauses.

Stems are cut by rule, not looked up: English trade talk needs plurals, -ing and -ed brought together, no more.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from diag.knowledgebase.phrases import Phrases
from diag.numbertext import fold

__all__ = ["NOT", "Sentence", "Token", "plain_words", "same_words", "sentences", "stem"]

NOT = "not"
# A full stop ends a sentence but not a shortened word ("poss. no grease reaching it").
_SHORTENED = ("poss", "approx", "acc", "temp", "gr", "brg", "distr", "vib", "resp", "incl")
_SHORT = "".join(rf"(?<!\b{word}\.)" for word in _SHORTENED)
_SENTENCE = re.compile(rf"(?<=[.!?]){_SHORT}\s+|\n\s*\n|[;]\s*", re.IGNORECASE)
_PIECE = re.compile(r"[a-z]+(?:'[a-z]+)?|\d+(?:[.,/]\d+)*|[,:()]| - ")
_CONTRACTED = (("won't", "will not"), ("can't", "can not"), ("cannot", "can not"), ("ain't", "is not"),
               ("i'd ", "i would "))
_NOT_SHORT = re.compile(r"n't\b")
_IS_SHORT = re.compile(r"\b(it|there|that|he|she|what)'s\b")
_UNTYPED = re.compile(r"\b(is|are|was|were|has|have|had|do|does|did|should|would|could)nt\b")  # "doesnt"
_VOWEL = re.compile("[aeiouy]")


@dataclass(frozen=True, slots=True)
class Token:
    """One word: as typed in lower case, its stem, and whether it carries no meaning of its own.

    `clause` is what stands between commas, `but` and new subjects; `scope` the part of it a denial can reach.
    """

    word: str
    stem: str
    clause: int
    scope: int
    filler: bool


@dataclass(frozen=True, slots=True)
class Sentence:
    """`asks`: it ends in a question mark."""

    text: str
    tokens: tuple[Token, ...]
    asks: bool

    def words(self, clause: int | None = None) -> str:
        """Words of one clause, or of all, with a blank at both ends for whole-word search."""
        return f" {' '.join(t.word for t in self.tokens if clause in (None, t.clause))} "


def sentences(text: str, phrases: Phrases) -> tuple[Sentence, ...]:
    """The sentences of a text, in order; cost linear in its length."""
    same = same_words(phrases)
    return tuple(_sentence(part, phrases, same) for part in _SENTENCE.split(text.strip()) if part.strip())


def plain_words(text: str) -> list[str]:
    """Words and numbers in lower case, contractions taken apart, punctuation kept where it bounds a clause."""
    folded = (text if text.isascii() else fold(text)).lower()
    unshortened = "'" not in folded and "nt" not in folded and "cannot" not in folded
    if unshortened and folded.replace(" ", "").isalpha():
        return folded.split()
    if not unshortened:
        for short, long in _CONTRACTED:
            folded = folded.replace(short, long)
        folded = _IS_SHORT.sub(r"\1 is", folded)
        folded = _UNTYPED.sub(r"\1 not", _NOT_SHORT.sub(" not", folded))
    return [piece.partition("'")[0].strip() for piece in _PIECE.findall(folded)]


def stem(word: str, same: Mapping[str, str]) -> str:
    """The stem under which a word is compared; words taken for one another (`same_words`) share it."""
    cut = _cut(word)
    # What was hosed down is no hose: a verb's form counts for its group only where it is named there.
    return same.get(word) or (cut if word.endswith(("ed", "ing")) else same.get(cut, cut))


def same_words(phrases: Phrases) -> dict[str, str]:
    """Word or cut word → the stem of its group; every one-word denial → NOT."""
    found = {word: _cut(group[0]) for group in phrases.same for word in group}
    # "greased" is another word than "grease", though both are cut alike.
    found |= {_cut(w): head for w, head in found.items() if not w.endswith(("ed", "ing"))}
    return found | {word: NOT for word in phrases.negations if " " not in word}


def _sentence(part: str, phrases: Phrases, same: Mapping[str, str]) -> Sentence:
    words = plain_words(part)
    tokens: list[Token] = []
    clause = scope = 0
    for at, word in enumerate(words):
        breaks = not word[:1].isalnum() or word in phrases.clause_words or _starts_statement(words, at, phrases)
        clause += breaks
        scope += breaks or word in phrases.turning_words
        if word[:1].isalnum():
            numbered = word == "no" and "".join(words[at + 1:at + 2])[:1].isdigit()  # "fan no. 3" denies nothing
            tokens.append(Token(word, word if numbered else stem(word, same), clause, scope, word in phrases.fillers))
    return Sentence(" ".join(part.split()), tuple(tokens), part.rstrip().endswith("?"))


def _starts_statement(words: list[str], at: int, phrases: Phrases) -> bool:
    """`and` begins a clause when what follows could stand alone; "no noise and heat" is one denial.

    A subject with its verb begins one too, unless a word such as `think` or `when` leads up to it.
    """
    if at + 1 >= len(words):
        return False
    if words[at] == "and":
        return words[at + 1] in phrases.statement_starts
    leads = at > 0 and words[at - 1] not in phrases.carriers
    return leads and words[at] in phrases.subjects and words[at + 1] in phrases.verbs


@cache
def _cut(word: str) -> str:
    """A word without plural, -ing, -ed, final e: `squealing` → `squeal`, `rattles` → `rattl`."""
    if len(word) <= 3 or not word.isalpha():
        return word
    if word.endswith("ies"):
        return word[:-3] + "y"
    if word.endswith("s") and word[-2] not in "suiv":
        word = word[:-1]
    for ending in ("ing", "ed"):
        base = word.removesuffix(ending)
        if base != word and len(base) >= 3 and _VOWEL.search(base):
            word = base[:-1] if base[-1] == base[-2] and base[-1] not in "lsz" else base
            break
    return word.removesuffix("e") if len(word) > 3 else word
