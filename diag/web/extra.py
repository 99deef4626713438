"""The optional libraries of this room."""

from __future__ import annotations

from importlib.util import find_spec

from diag.errors import InputError

__all__ = ["needs_web"]

_LIBRARIES = ("fastapi", "jinja2", "uvicorn")


def needs_web() -> None:
    """Nothing when the extra is installed. Errors: InputError that says how to get it."""
    missing = [name for name in _LIBRARIES if find_spec(name) is None]
    if missing:
        raise InputError(f"the page needs {' and '.join(missing)}: pip install 'diag[web]'")
