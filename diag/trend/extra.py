"""The optional libraries of this room."""

from __future__ import annotations

from importlib.util import find_spec

from diag.errors import InputError

__all__ = ["needs_tables"]

_LIBRARIES = ("pandas", "matplotlib")


def needs_tables() -> None:
    """Nothing when the extra is installed. Errors: InputError that says how to get it."""
    missing = [name for name in _LIBRARIES if find_spec(name) is None]
    if missing:
        raise InputError(f"reading logs needs {' and '.join(missing)}: pip install 'diag[tables]'")
