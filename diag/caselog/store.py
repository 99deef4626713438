"""The store: adds, reads, confirms. What a method has returned from is on the disk.

Works on SQLite and PostgreSQL alike. Every method that saves is one transaction: all of it, or nothing and an
InputError in one line.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple, Self

import msgspec
from sqlalchemy import Connection, Engine, func, insert, select

from diag.case.model import Case
from diag.case.words import nearest
from diag.caselog import engine as db
from diag.caselog import locations
from diag.caselog.migrate import upgrade, version
from diag.caselog.model import Action, Event, How, Record
from diag.caselog.rows import Draft, event_row, new_record, read_event, read_record, record_row, short_id, stamps
from diag.caselog.schema import EVENT, HEAD, RECORD
from diag.errors import Fault, InputError
from diag.findings import Findings

__all__ = ["Brought", "Store"]

_PORTION = 100  # records read at once


class Brought(NamedTuple):
    """What an import did."""

    added: int  # records that were new
    known: int  # records that were here already
    events: int  # events that were new to a record here already


class Store:
    """A case log. `open` makes one where there is none, `existing` doesn't."""

    def __init__(self, engine: Engine, place: str) -> None:
        self._engine = engine
        self.place = place

    @classmethod
    def open(cls, named: str | Path | None = None) -> Self:
        """The log of a path or URL (None: DIAG_LOG, else the user's data folder), made or migrated as needed.

        Raises InputError.
        """
        where = locations.place(named)
        path = locations.file_of(where)
        if path is not None:
            _check_folder(path, make=not named)
        store = cls(db.connect(where), db.shown(where))
        store._bring_up_to_date()
        return store

    @classmethod
    def existing(cls, named: str | Path | None = None) -> Self | None:
        """The log if there is one, None otherwise; never makes one. Raises InputError."""
        where = locations.place(named)
        path = locations.file_of(where)
        if path is not None and not (path.is_file() and path.stat().st_size):
            return None
        store = cls(db.connect(where), db.shown(where))
        if store._version() is None:
            return None
        store._bring_up_to_date()
        return store

    def _version(self) -> str | None:
        with db.reading(self._engine, self.place) as connection:
            return version(connection)

    def _bring_up_to_date(self) -> None:
        if self._version() != HEAD:
            with db.saving(self._engine, self.place) as connection:
                upgrade(connection, f"case log {self.place}")

    # -- saving

    def add(self, text: str, case: Case, findings: Findings, notes: Sequence[str] = (),
            work: Sequence[str] = ()) -> str:
        """Store a case as judged: `text` is its YAML as written. Gives its id. Raises InputError."""
        with db.saving(self._engine, self.place) as connection:
            record = new_record(_new_id(connection), text, case, findings)
            connection.execute(insert(RECORD), record_row(record))
            self._append(connection, record.id, _told(notes, work))
        return record.id

    def note(self, record: str, notes: Sequence[str] = (), work: Sequence[str] = (),
             action: tuple[str, str | None] | None = None) -> str:
        """Write down notes, work done, and an action (text, due as YYYY-MM-DD). Gives the key of the action or ""."""
        drafts = [Draft("action", text=action[0], due=action[1])] if action else []
        keys = self._save(record, [*_told(notes, work), *drafts])
        return keys[-1] if action else ""

    def confirm(self, record: str, causes: Sequence[str], how: How, held: bool | None = None) -> None:
        """Close a case: what it was and how that is known; and whether what was done held, if known."""
        self._save(record, [Draft("confirmed", causes=tuple(causes), how=how), *_outcome(held)])

    def tell_outcome(self, record: str, held: bool) -> None:
        """Whether what was done held, without a new word on the cause."""
        self._save(record, _outcome(held))

    def reopen(self, record: str, why: str = "") -> None:
        """Open a case again: its confirmation and outcome count no longer, but stay in its history."""
        self._save(record, [Draft("reopened", text=why)])

    def done(self, action: str) -> Record:
        """Tick an action off. Gives its record. Raises InputError when there is none, or it is done already."""
        with db.saving(self._engine, self.place) as connection:
            record = self._record_of_action(connection, action)
            self._append(connection, record, [Draft("done", action=action)])
        return self.get(record)

    def keep_inquiry(
        self, record: str, data: Mapping[str, Any], actions: Sequence[tuple[str, str | None]] = ()
    ) -> None:
        """Keep the answers of an inquiry, and actions (text, due) agreed in it."""
        drafts = [Draft("action", text=text, due=due) for text, due in actions]
        self._save(record, [Draft("inquiry", data=dict(data)), *drafts])

    def bring_in(self, records: Iterable[Record]) -> Brought:
        """Merge records of another log by union: all of them, or nothing. Raises InputError on a clash."""
        added = known = events = 0
        with db.saving(self._engine, self.place) as connection:
            for record in records:
                here = next(iter(self._records(connection, [record.id])), None)
                fresh = _fresh_events(record, here, self.place)
                if here is None:
                    connection.execute(insert(RECORD), record_row(record))
                if fresh:
                    connection.execute(insert(EVENT), [event_row(record.id, e) for e in fresh])
                added, known = added + (here is None), known + (here is not None)
                events += len(fresh) if here is not None else 0
        return Brought(added, known, events)

    def _save(self, record: str, drafts: Sequence[Draft]) -> list[str]:
        with db.saving(self._engine, self.place) as connection:
            self._require(connection, record)
            return self._append(connection, record, drafts)

    def _append(self, connection: Connection, record: str, drafts: Sequence[Draft]) -> list[str]:
        """Events in the order given, each later than all before. The record is locked until the commit."""
        connection.execute(select(RECORD.c.id).where(RECORD.c.id == record).with_for_update())
        last = connection.execute(select(func.max(EVENT.c.at)).where(EVENT.c.record == record)).scalar()
        times = stamps(last, len(drafts))
        events = [draft.event(at) for draft, at in zip(drafts, times, strict=True)]
        if events:
            connection.execute(insert(EVENT), [event_row(record, e) for e in events])
        return [e.key for e in events]

    # -- reading

    def get(self, record: str) -> Record:
        """One record. Raises InputError that names the nearest id when there is none."""
        with db.reading(self._engine, self.place) as connection:
            self._require(connection, record)
            return self._records(connection, [record])[0]

    def each(self, machine: str = "", point: str = "", only_open: bool = False) -> Iterator[Record]:
        """Records, oldest first; machine and point by a part of their names, whatever the case.

        Flat memory, and no lock is held while the caller looks at a record.
        """
        with db.reading(self._engine, self.place) as connection:
            order = select(RECORD.c.id).order_by(RECORD.c.added, RECORD.c.id)
            ids = list(connection.execute(order).scalars())
        for start in range(0, len(ids), _PORTION):
            with db.reading(self._engine, self.place) as connection:
                portion = self._records(connection, ids[start:start + _PORTION])
            yield from (r for r in portion if _matches(r, machine, point) and (r.open or not only_open))

    def all(self, machine: str = "", point: str = "", only_open: bool = False) -> list[Record]:
        """What `each` gives, as a list."""
        return list(self.each(machine, point, only_open))

    def search(self, words: str) -> Iterator[Record]:
        """Records that hold every word: in the case, in notes, work and reasons, in causes confirmed."""
        wanted = words.casefold().split()
        for record in self.each():
            hay = _haystack(record)
            if all(word in hay for word in wanted):
                yield record

    def actions(self, only_open: bool = True) -> list[tuple[Record, Action]]:
        """Actions with their records, the first due first, those without a day last."""
        found = [(r, a) for r in self.each() for a in r.actions if not (only_open and a.done)]
        return sorted(found, key=lambda pair: (pair[1].due or "9999", pair[0].added, pair[1].key))

    def _records(self, connection: Connection, ids: Sequence[str]) -> list[Record]:
        """Records of these ids, oldest first, each with its events, oldest first."""
        events: dict[str, list[Event]] = {}
        query = select(EVENT).where(EVENT.c.record.in_(ids)).order_by(EVENT.c.at, EVENT.c.key)
        for row in connection.execute(query).mappings():
            events.setdefault(row["record"], []).append(read_event(row))
        chosen = select(RECORD).where(RECORD.c.id.in_(ids)).order_by(RECORD.c.added, RECORD.c.id)
        return [read_record(row, events.get(row["id"], [])) for row in connection.execute(chosen).mappings()]

    def _require(self, connection: Connection, record: str) -> None:
        if connection.execute(select(RECORD.c.id).where(RECORD.c.id == record)).scalar() is None:
            near = nearest(record, connection.execute(select(RECORD.c.id)).scalars().all())
            hint = f"; the nearest is {near}" if near else "; `diag log list` shows all"
            raise InputError(Fault(f"there is no case {record!r}{hint}", f"case log {self.place}"))

    def _record_of_action(self, connection: Connection, action: str) -> str:
        place = f"case log {self.place}"
        agreed = select(EVENT.c.record).where(EVENT.c.key == action, EVENT.c.what == "action")
        record = connection.execute(agreed).scalar()
        if record is None:
            raise InputError(Fault(f"there is no action {action!r}; `diag log due` shows the open ones", place))
        if connection.execute(select(EVENT.c.key).where(EVENT.c.action == action)).first():
            raise InputError(Fault(f"action {action} is done already", place))
        return str(record)


def _told(notes: Sequence[str], work: Sequence[str]) -> list[Draft]:
    return [*(Draft("work", text=t) for t in work), *(Draft("note", text=t) for t in notes)]


def _outcome(held: bool | None) -> list[Draft]:
    return [] if held is None else [Draft("outcome", held=held)]


def _check_folder(path: Path, make: bool) -> None:
    """The folder of a log; made only where no place was named to us (DIAG_LOG, or the usual one)."""
    if path.is_dir():
        raise InputError(Fault("is a folder; name the file of the log", str(path)))
    if make:
        _make_folder(path.parent)
    elif not path.absolute().parent.is_dir():
        raise InputError(Fault("there is no such folder; make it first", str(path.absolute().parent)))


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(Fault(f"can't be made for the case log ({error.strerror})", str(folder))) from None


def _new_id(connection: Connection) -> str:
    while True:
        found = short_id()
        if connection.execute(select(RECORD.c.id).where(RECORD.c.id == found)).scalar() is None:
            return found


def _matches(record: Record, machine: str, point: str) -> bool:
    pairs = ((machine, record.machine), (point, record.point))
    return all(wanted.casefold() in name.casefold() for wanted, name in pairs)


def _haystack(record: Record) -> str:
    told = (part for e in record.events for part in (e.text, *e.causes))
    parts = (record.id, record.title, record.site, record.machine, record.point, record.case, *told)
    return "\n".join(parts).casefold()


def _fresh_events(record: Record, here: Record | None, place: str) -> list[Event]:
    """Events that aren't here yet. Raises InputError when an id or key stands for something else here."""
    if here is None:
        return list(record.events)
    held = {e.key: e for e in here.events}
    same = msgspec.structs.replace(record, events=here.events) == here
    if not same or any(held.get(e.key, e) != e for e in record.events):
        raise InputError(Fault(f"{record.id} stands for another case here; nothing was imported", f"case log {place}"))
    return [e for e in record.events if e.key not in held]
