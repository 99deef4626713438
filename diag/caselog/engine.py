"""The database connection: when a transaction begins, how long it waits, how its faults are worded."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError
from sqlalchemy.pool import NullPool

from diag.caselog.locations import file_of
from diag.errors import Fault, InputError

__all__ = ["connect", "reading", "saving", "shown"]

_PATIENCE = 5  # seconds to wait for another writer

# Names of SQLite and states of PostgreSQL (SQL standard) that have better words than their own.
_WORDS = {
    "SQLITE_BUSY": "another program is writing to it and keeps it locked; try again when that is done",
    "55P03": "another program is writing to it and keeps it locked; try again when that is done",
    "SQLITE_FULL": "the disk is full",
    "53100": "the disk is full",
    "SQLITE_IOERR": "the disk is full or failing",
    "SQLITE_READONLY": "it may only be read",
    "SQLITE_CANTOPEN": "it can't be opened; its folder must exist and be writable",
    "SQLITE_NOTADB": "it is no case log",
    "SQLITE_CORRUPT": "it is damaged; import the last export into a new log",
}


def connect(where: str) -> Engine:
    """The engine of a place. Nothing is opened yet. Raises InputError for a malformed URL."""
    path = file_of(where)
    return _postgres(where) if path is None else _sqlite(str(path))


def _sqlite(path: str) -> Engine:
    url = URL.create("sqlite", database=path)
    engine = create_engine(url, poolclass=NullPool, connect_args={"timeout": _PATIENCE})
    event.listen(engine, "connect", _prepare)
    event.listen(engine, "begin", _begin)
    return engine


def _prepare(connection: Any, _: Any) -> None:
    """Our own BEGIN instead of the driver's late one, and every commit on the disk before it counts."""
    connection.isolation_level = None
    connection.execute("PRAGMA synchronous = EXTRA")
    connection.execute("PRAGMA foreign_keys = ON")


def _begin(connection: Connection) -> None:
    """A writer takes its lock at once: waiting later, with something read, could only end in giving up."""
    saves = connection.get_execution_options().get("diag_saves")
    connection.exec_driver_sql("BEGIN IMMEDIATE" if saves else "BEGIN")


def _postgres(where: str) -> Engine:
    options = {"connect_timeout": _PATIENCE, "options": f"-c lock_timeout={_PATIENCE}s"}
    try:
        return create_engine(where, poolclass=NullPool, connect_args=options)
    except (ArgumentError, ValueError):
        raise InputError(Fault("is no database address; give postgresql://HOST/DATABASE", "--log")) from None


def shown(where: str) -> str:
    """The place for messages, without a password."""
    return where if file_of(where) else make_url(where).set(drivername="postgresql").render_as_string(True)


@contextmanager
def saving(engine: Engine, place: str) -> Iterator[Connection]:
    """One transaction that is on the disk when the block has ended without a fault.

    Raises InputError in one line, with nothing saved, when it can't be.
    """
    with _told(place, "nothing was saved"), engine.connect() as opened:
        connection = opened.execution_options(diag_saves=True)
        with connection.begin():
            yield connection


@contextmanager
def reading(engine: Engine, place: str) -> Iterator[Connection]:
    """One state of the log for all that is read in the block. Raises InputError."""
    with _told(place, "it can't be read"), engine.connect() as connection, connection.begin():
        yield connection


@contextmanager
def _told(place: str, outcome: str) -> Iterator[None]:
    try:
        yield
    except DBAPIError as error:
        raise InputError(Fault(f"{outcome}: {_reason(error)}", f"case log {place}")) from None


def _reason(error: DBAPIError) -> str:
    """Our words, else the first line of the database's."""
    name = str(getattr(error.orig, "sqlite_errorname", None) or getattr(error.orig, "sqlstate", None))
    general = "_".join(name.split("_")[:2])  # SQLITE_BUSY_SNAPSHOT is a kind of SQLITE_BUSY
    return _WORDS.get(name) or _WORDS.get(general) or str(error.orig).strip().split("\n")[0]
