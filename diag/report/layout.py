"""Plain text on 80 columns: wrapped paragraphs, bullets and numbers, without colour or ruled lines."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

__all__ = ["WIDTH", "bullets", "chance", "heading", "numbered", "paragraph", "percent"]

WIDTH = 80

# Lower edge of each band of probability and the words for it; the choice of words is judgement.
_CHANCES = (
    (0.90, "almost certain"),
    (0.65, "most likely"),
    (0.40, "as likely as not"),
    (0.20, "quite possible"),
    (0.08, "possible, not likely"),
    (0.02, "unlikely"),
    (0.00, "very unlikely"),
)


def paragraph(text: str, indent: int = 0, lead: str = "") -> list[str]:
    """`text` wrapped to 80 columns, hanging under itself after `lead`."""
    first = " " * indent + lead
    lines = textwrap.wrap(
        " ".join(text.split()),
        WIDTH,
        initial_indent=first,
        subsequent_indent=" " * len(first),
        break_on_hyphens=False,
    )
    return lines or ([first.rstrip()] if lead else [])


def bullets(texts: Iterable[str], indent: int = 2) -> list[str]:
    """One bullet for each text."""
    return [line for text in texts for line in paragraph(text, indent, "- ")]


def numbered(texts: Sequence[str], indent: int = 2) -> list[str]:
    """Steps with right-aligned numbers from 1."""
    wide = len(str(len(texts)))
    return [line for number, text in enumerate(texts, 1) for line in paragraph(text, indent, f"{number:>{wide}}. ")]


def heading(text: str) -> list[str]:
    """A blank line and the title in capitals, so that it stands out without any drawing."""
    return ["", *paragraph(text.upper())]


def percent(probability: float) -> str:
    """A probability [0 to 1] in whole percent; never a false 0 or 100."""
    if probability < 0.01:
        return "under 1 %"
    if probability > 0.99:
        return "over 99 %"
    return f"about {100 * probability:.0f} %"


def chance(probability: float) -> str:
    """Words and percent for a probability [0 to 1]."""
    words = next(words for edge, words in _CHANCES if probability >= edge)
    return f"{words}, {percent(probability)}"
