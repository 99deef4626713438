"""Words of closed sets as people spell them: synonyms, and the nearest word to a misspelt one."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache

__all__ = ["Synonyms", "find", "nearest", "plain"]

Synonyms = Mapping[str, Sequence[str]]

# A separator counts only between two figures: "12-hydroxy" is "12hydroxy", but "0-00" isn't "000".
_SEPARATORS = re.compile(r"(?<![0-9])[\s_\-./#()&+,]+|[\s_\-./#()&+,]+(?![0-9])")
_LIKE_ENOUGH = 65.0  # rapidfuzz ratio [%]; under it a guess confuses more than it helps


@lru_cache(maxsize=4096)
def plain(word: str) -> str:
    """The word without case, blanks, hyphens and underscores: "MoS₂" and "mos 2" become "mos2"."""
    return _SEPARATORS.sub("", unicodedata.normalize("NFKC", word).casefold())


def find(typed: str, legal: Iterable[str], synonyms: Synonyms) -> str | None:
    """The legal word that `typed` spells or is a synonym of, else None."""
    wanted = plain(typed)
    for word in legal:
        if plain(word) == wanted:
            return word
    for word in legal:
        if any(plain(other) == wanted for other in synonyms.get(word, ())):
            return word
    return None


def nearest(typed: str, legal: Iterable[str], synonyms: Synonyms | None = None) -> str | None:
    """The legal word nearest in spelling, by itself or by a synonym; None when none is near."""
    from rapidfuzz import fuzz, process  # only a fault needs it

    spelled = {other: word for word in legal for other in (*(synonyms or {}).get(word, ()), word)}
    found = process.extractOne(plain(typed), list(spelled), scorer=fuzz.ratio, processor=plain,
                               score_cutoff=_LIKE_ENOUGH)
    return spelled[found[0]] if found else None
