"""Closed words and lists of them, for people to read."""

from __future__ import annotations

from collections.abc import Sequence

__all__ = ["joined", "label"]


def label(word: str) -> str:
    """An id or closed word as one reads it: `calcium_sulfonate` → `calcium sulfonate`."""
    return word.replace("_", " ")


def joined(parts: Sequence[str], last: str = "and") -> str:
    """`a, b and c`."""
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} {last} {parts[-1]}"
