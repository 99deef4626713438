"""Optional libraries: said in one line when they are missing."""

from __future__ import annotations

from collections.abc import Sequence
from importlib.util import find_spec

from diag.errors import InputError

__all__ = ["needs"]


def needs(what: str, extra: str, libraries: Sequence[str]) -> None:
    """Nothing when all can be imported. Errors: InputError that says how to get them."""
    missing = [name for name in libraries if find_spec(name) is None]
    if missing:
        raise InputError(f"{what} needs {' and '.join(missing)}: pip install 'diag[{extra}]'")
