"""The log as JSON lines, one record a line, and back: what goes out comes in again byte for byte."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, datetime
from typing import BinaryIO

import msgspec

from diag.caselog.model import Event, Record
from diag.errors import Fault, InputError

__all__ = ["lines", "records"]

_SCHEMA = 1
_LONGEST = 16 * 1_048_576  # bytes in a line; a record is some 60 kB


class _Line(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    schema: int
    record: Record


def lines(records: Iterable[Record]) -> Iterator[bytes]:
    """One line of JSON for each record, with its line end."""
    for record in records:
        yield msgspec.json.encode(_Line(schema=_SCHEMA, record=record)) + b"\n"


def records(stream: BinaryIO, name: str) -> Iterator[Record]:
    """Records of an export, one at a time; blank lines are passed over.

    Raises InputError, placed `name:line`, at the first line that is none.
    """
    for number, line in enumerate(iter(lambda: stream.readline(_LONGEST + 1), b""), 1):
        if line.strip():
            yield _record(line, f"{name}:{number}")


def _record(line: bytes, place: str) -> Record:
    if len(line) > _LONGEST:
        raise InputError(Fault("the line is longer than any record", place))
    try:
        found = msgspec.json.decode(line, type=_Line)
        _check(found.record)
    except (msgspec.MsgspecError, ValueError) as error:
        raise InputError(Fault(f"is no record of a case log ({error})", place)) from None
    if found.schema != _SCHEMA:
        raise InputError(Fault(f"schema {found.schema} is unknown to this program, which reads {_SCHEMA}", place))
    return found.record


def _check(record: Record) -> None:
    """What types can't say. Raises ValueError, or msgspec.MsgspecError for findings without causes."""
    _ = record.suspected  # decodes the causes
    if b"\\u0000" in msgspec.json.encode(record):  # PostgreSQL can't hold it
        raise ValueError("holds the control character U+0000")
    datetime.fromisoformat(record.added)
    for event in record.events:
        _check_event(event)


def _check_event(event: Event) -> None:
    datetime.fromisoformat(event.at)
    if event.due:
        date.fromisoformat(event.due)
    needed = {"confirmed": event.how, "outcome": event.held, "done": event.action, "inquiry": event.data}
    if needed.get(event.what, True) is None:
        raise ValueError(f"event {event.key}, {event.what}, lacks what it tells")
