"""Where the log is: what was named, else DIAG_LOG, else a file in the user's data folder."""

from __future__ import annotations

import os
from pathlib import Path

from diag.errors import Fault, InputError

__all__ = ["POSTGRES", "VARIABLE", "file_of", "place"]

VARIABLE = "DIAG_LOG"
POSTGRES = "postgresql+psycopg"
_SCHEMES = {"postgresql": POSTGRES, "postgres": POSTGRES, POSTGRES: POSTGRES}


def place(named: str | Path | None = None) -> str:
    """Path of an SQLite file, or URL of a PostgreSQL database with the driver we use.

    Raises InputError for a URL of another kind.
    """
    found = str(named or os.environ.get(VARIABLE) or _usual())
    if "://" not in found:
        return found
    scheme, _, rest = found.partition("://")
    if scheme == "sqlite":
        return rest.removeprefix("/")  # sqlite:///file is a relative path, sqlite:////file an absolute one
    if scheme not in _SCHEMES:
        raise InputError(Fault("is no place for a log; give a file, or postgresql://HOST/DATABASE", f"{scheme}://"))
    return f"{_SCHEMES[scheme]}://{rest}"


def file_of(where: str) -> Path | None:
    """The file of a place; None for a database on a server."""
    return None if "://" in where else Path(where)


def _usual() -> Path:
    """A file in the user's data folder; the store makes the folder when it makes the file."""
    from platformdirs import user_data_path

    return user_data_path("diag", appauthor=False) / "caselog.sqlite"
