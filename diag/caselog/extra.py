"""The optional libraries of this room."""

from __future__ import annotations

from importlib.util import find_spec

from diag.errors import InputError

__all__ = ["needs_log"]

_LIBRARIES = ("sqlalchemy", "alembic", "platformdirs", "psycopg")


def needs_log() -> None:
    """Nothing when the extra is installed. Errors: InputError that says how to get it."""
    missing = [name for name in _LIBRARIES if find_spec(name) is None]
    if missing:
        raise InputError(f"the case log needs {' and '.join(missing)}: pip install 'diag[log]'")
