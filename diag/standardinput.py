"""Standard input, for the commands that take `-` in place of a file."""

from __future__ import annotations

import sys
from typing import BinaryIO

from diag.errors import Fault, InputError

__all__ = ["STDIN", "stream"]

STDIN = "standard input"


def stream() -> BinaryIO:
    """Its bytes as they are. Raises InputError when the caller has closed it."""
    if sys.stdin is None:
        raise InputError(Fault("is closed; give the name of a file", STDIN))
    return sys.stdin.buffer
