"""Brings a log to today's tables, in one transaction, whichever version it was written with."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Connection, inspect, text

from diag.caselog.schema import HEAD, VERSION_TABLE
from diag.errors import Fault, InputError

__all__ = ["upgrade", "version"]

_FOLDER = Path(__file__).parent / "migrations"
_ONE_AT_A_TIME = 4_705_021  # any number that all copies of this program agree on


def version(connection: Connection) -> str | None:
    """Number of the last migration that ran; None where there is no log yet."""
    if not inspect(connection).has_table(VERSION_TABLE):
        return None
    found = connection.execute(text(f"SELECT version_num FROM {VERSION_TABLE}")).scalar()
    return None if found is None else str(found)


def upgrade(connection: Connection, place: str, target: str = HEAD) -> None:
    """Run the migrations that are missing up to `target`, inside the caller's transaction.

    Raises InputError for a log written by a newer program. Two programs that come at once wait for each other:
    SQLite by the caller's write lock, PostgreSQL by a lock of its own.
    """
    if connection.dialect.name == "postgresql":
        connection.execute(text(f"SELECT pg_advisory_xact_lock({_ONE_AT_A_TIME})"))
    found = version(connection)
    if found is not None and found > HEAD:
        newer = f"was written by a newer diag (tables {found}, this one knows {HEAD}); update the program"
        raise InputError(Fault(newer, place))
    if found != target:
        _run(connection, target)


def _run(connection: Connection, target: str) -> None:
    from alembic import command  # a quarter of a second, and only a new or old log needs it
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(_FOLDER).replace("%", "%%"))
    config.attributes["connection"] = connection
    command.upgrade(config, target)
