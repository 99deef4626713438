"""Records and events as rows of the tables and back, and new ones from what is told."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

import msgspec
from sqlalchemy import RowMapping

from diag import __version__
from diag.case.model import Case
from diag.caselog.model import Event, How, Record, What
from diag.caselog.schema import RECORD
from diag.findings import Findings

__all__ = ["Draft", "event_row", "new_record", "read_event", "read_record", "record_row", "short_id", "stamps"]

_FIRST = "abcdefghjkmnpqrstuvwxyz"  # letters and figures that nobody mistakes for one another
_REST = _FIRST + "23456789"
_ID, _KEY = 6, 8  # characters: a chance under 1 % that any two ids of two logs of 2,000 cases meet
_STAMP = "%Y-%m-%dT%H:%M:%S.%fZ"


class Draft(msgspec.Struct, frozen=True):
    """An event before it gets its key and its time."""

    what: What
    text: str = ""
    causes: tuple[str, ...] = ()
    how: How | None = None
    held: bool | None = None
    due: str | None = None
    action: str | None = None
    data: dict[str, Any] | None = None

    def event(self, at: str) -> Event:
        return Event(key=_short(_KEY), at=at, **msgspec.structs.asdict(self))


def short_id() -> str:
    """A new id of a record; the store looks whether it is taken."""
    return _short(_ID)


def _short(length: int) -> str:
    return secrets.choice(_FIRST) + "".join(secrets.choice(_REST) for _ in range(length - 1))


def stamps(last: str | None, count: int) -> list[str]:
    """Times from now on [UTC], all later than `last` even when a clock was set back."""
    now = datetime.now(UTC).replace(tzinfo=None)
    start = max(now, datetime.strptime(last, _STAMP) + timedelta(microseconds=1)) if last else now
    return [(start + timedelta(microseconds=i)).strftime(_STAMP) for i in range(count)]


def new_record(record: str, text: str, case: Case, findings: Findings) -> Record:
    """A case as judged now, under the id `record`."""
    where = case.case
    return Record(
        id=record, added=stamps(None, 1)[0], site=where.site or "", machine=where.machine or "",
        point=where.point or "", kind=case.point.kind, complaint=case.complaint or "", title=case.title or "",
        case=text, findings=msgspec.Raw(msgspec.json.encode(findings)), knowledge=findings.knowledge,
        version=__version__)


def record_row(record: Record) -> dict[str, Any]:
    """A row of `diag_record`."""
    row = {column.name: getattr(record, column.name) for column in RECORD.columns}
    return {**row, "findings": bytes(record.findings).decode()}


def event_row(record: str, event: Event) -> dict[str, Any]:
    """A row of `diag_event`, for the record of that id."""
    row = {**msgspec.structs.asdict(event), "record": record, "causes": _json(event.causes)}
    return {**row, "data": None if event.data is None else _json(event.data)}


def _json(value: Any) -> str:
    return msgspec.json.encode(value).decode()


def read_record(row: RowMapping, events: Sequence[Event]) -> Record:
    """The record of a row, with its events."""
    return Record(**{**row, "findings": msgspec.Raw(row["findings"].encode()), "events": tuple(events)})


def read_event(row: RowMapping) -> Event:
    """The event of a row."""
    values = {name: row[name] for name in Event.__struct_fields__}
    data = None if row["data"] is None else msgspec.json.decode(row["data"])
    return Event(**{**values, "causes": tuple(msgspec.json.decode(row["causes"])), "data": data})

