"""Optional libraries: said in one line when they are missing."""

from __future__ import annotations

from importlib.util import find_spec

from diag.errors import InputError

__all__ = ["needs"]

# What each extra of pyproject.toml brings, by the names under which it is imported.
_LIBRARIES = {
    "tables": ("matplotlib", "pandas", "scipy", "tqdm"),
    "log": ("alembic", "jinja2", "platformdirs", "psycopg", "sqlalchemy"),
    "learn": ("sklearn", "skops", "threadpoolctl"),
    "web": ("fastapi", "jinja2", "uvicorn"),  # weasyprint is asked for by who wants a PDF
}


def needs(what: str, extra: str) -> None:
    """Nothing when every library of `extra` can be imported.

    Errors: InputError that says what can't be done without them and how to get them.
    """
    missing = [name for name in _LIBRARIES[extra] if find_spec(name) is None]
    if missing:
        raise InputError(f"{what} needs {' and '.join(missing)}: pip install 'diag[{extra}]'")
