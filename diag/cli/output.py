"""Where results leave the program."""

from __future__ import annotations

import os
import sys

from diag.errors import InputError

__all__ = ["ReaderGoneError", "put", "put_part"]


class ReaderGoneError(Exception):
    """Whoever read our output has closed it (`| head`); no OSError, which typer would turn into a failure."""


def put(text: str) -> None:
    """Print a result as whole lines. Raises as `put_part`."""
    put_part(text.rstrip("\n") + "\n")


def put_part(text: str) -> None:
    """Print at once, so that a reader who has gone is noticed here.

    Raises ReaderGoneError, and InputError where the output can't be kept (a full disk, a closed descriptor).
    """
    if sys.stdout is None:
        raise InputError("standard output is closed; send it to a terminal, a file or a pipe")
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except BrokenPipeError:
        _drop_what_is_buffered()
        raise ReaderGoneError from None
    except OSError as error:
        _drop_what_is_buffered()
        raise InputError(f"standard output can't be written ({error.strerror}); nothing or only part of it is there"
                         ) from None


def _drop_what_is_buffered() -> None:
    """So that it doesn't raise again while Python shuts down."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
