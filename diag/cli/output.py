"""Where results leave the program."""

from __future__ import annotations

import sys

__all__ = ["put"]


def put(text: str) -> None:
    """Print a result at once, so that a reader who has gone is noticed here."""
    sys.stdout.write(text.rstrip("\n") + "\n")
    sys.stdout.flush()
