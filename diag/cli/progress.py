"""A bar on standard error, where a person is there to see it."""

from __future__ import annotations

import sys
from collections.abc import Callable

__all__ = ["bar"]

_WIDE = 40


def bar(what: str) -> Callable[[int, int], None] | None:
    """A function of (done, of how many) that draws the bar anew; None where standard error is no terminal."""
    if not sys.stderr.isatty():
        return None

    def draw(done: int, total: int) -> None:
        filled = _WIDE * done // total if total else _WIDE
        end = "\n" if done >= total else ""
        sys.stderr.write(f"\r{what} [{'#' * filled}{'.' * (_WIDE - filled)}] {done}/{total}{end}")
        sys.stderr.flush()

    return draw
