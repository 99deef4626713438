"""Where results leave the program."""

from __future__ import annotations

import os
import sys

__all__ = ["ReaderGoneError", "put", "put_part"]


class ReaderGoneError(Exception):
    """Whoever read our output has closed it (`| head`); no OSError, which typer would turn into a failure."""


def put(text: str) -> None:
    """Print a result as whole lines. Raises ReaderGoneError."""
    put_part(text.rstrip("\n") + "\n")


def put_part(text: str) -> None:
    """Print at once, so that a reader who has gone is noticed here. Raises ReaderGoneError."""
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except BrokenPipeError:
        # What is still buffered must not raise again while Python shuts down.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise ReaderGoneError from None
