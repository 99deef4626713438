"""What `diag log` does: read, call one method of the store, print. "Saved" is said only after the commit."""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from diag import knowledgebase, standardinput, yamltext
from diag.case import read_text, replace_file
from diag.case.words import nearest
from diag.caselog import export as jsonl
from diag.caselog import locations, page
from diag.caselog.model import How
from diag.caselog.repeats import warnings_for
from diag.cli.output import put
from diag.errors import Fault, InputError
from diag.extras import needs
from diag.knowledgebase import Knowledge
from diag.report import json
from diag.report.layout import paragraph
from diag.review import review

if TYPE_CHECKING:
    from diag.caselog.store import Store

__all__ = ["add", "confirm", "done", "due", "export", "import_", "list_", "note", "opened", "reopen", "search", "show"]

_NOT_TEXT = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff]")


def opened(log: str, make: bool = False) -> Store:
    """The log that was named, or the usual one; made only when something is to be kept. Raises InputError."""
    needs("the case log", "log")
    from diag.caselog.store import Store

    if make:
        return Store.open(log or None)
    store = Store.existing(log or None)
    if store is None:
        place = locations.place(log or None)
        where = place if locations.file_of(place) else "this database"
        raise InputError(Fault("there is no case log yet; `diag log add CASE` begins one", where))
    return store


def add(name: str, notes: Sequence[str], work: Sequence[str], log: str) -> None:
    """`diag log add`: review, keep, and say what the log knows of the like."""
    told = [_text(t, "--note") for t in notes], [_text(t, "--work") for t in work]
    needs("the case log", "log")
    knowledge = knowledgebase.load()
    shown = standardinput.STDIN if name == "-" else name
    written = standardinput.stream().read(yamltext.LARGEST + 1) if name == "-" else yamltext.file_bytes(name, shown)
    case = read_text(written, shown, knowledge)
    findings = review(case, knowledge)
    store = opened(log, make=True)
    record = store.add(written.decode(), case, findings, *told)
    put("\n".join([*paragraph(f"Saved as {record} in {store.place}."), *_raised(record, store, knowledge)]))


def list_(machine: str, point: str, only_open: bool, as_json: bool, log: str) -> None:
    """`diag log list`"""
    found = opened(log).each(machine, point, only_open)
    if as_json:
        put(json.text([page.facts(r) for r in found]))
    else:
        put("\n".join(page.list_lines(found, knowledgebase.load())) or "No such cases.")


def show(record: str, as_json: bool, log: str) -> None:
    """`diag log show`"""
    store, knowledge = opened(log), knowledgebase.load()
    found = store.get(record)
    warnings = warnings_for(found, store, knowledge)
    if as_json:
        put(json.text(page.facts(found, whole=True) | {"warnings": warnings}))
    else:
        put("\n".join(page.show_lines(found, warnings, knowledge)))


def search(words: str, as_json: bool, log: str) -> None:
    """`diag log search`"""
    found = opened(log).search(_text(words, "TEXT"))
    if as_json:
        put(json.text([page.facts(r) for r in found]))
    else:
        put("\n".join(page.list_lines(found, knowledgebase.load())) or "Nothing in the log holds these words.")


def note(record: str, notes: Sequence[str], work: Sequence[str], action: str, due: str, log: str) -> None:
    """`diag log note`"""
    if not (notes or work or action):
        raise InputError("nothing to note; give --note, --work or --action")
    if due and not action:
        raise InputError(Fault("belongs to an action; give --action too", "--due"))
    day = _day(due) if due else None
    told = [_text(t, "--note") for t in notes], [_text(t, "--work") for t in work]
    key = opened(log).note(record, *told, action=(_text(action, "--action"), day) if action else None)
    put(f"Saved with {record}." + (f" The action is {key}." if key else ""))


def confirm(record: str, causes: Sequence[str], by: How | None, held: bool | None, log: str) -> None:
    """`diag log confirm`"""
    if not (causes or by) and held is None:
        raise InputError("nothing to confirm; give --cause ID --by HOW, or --held yes|no")
    if causes and not by:
        raise InputError(Fault("is missing; say how the cause is known: inspection, laboratory or unconfirmed", "--by"))
    if by in ("inspection", "laboratory") and not causes:
        raise InputError(Fault(f"is missing; what did the {by} find?", "--cause"))
    knowledge = knowledgebase.load()
    for cause in causes:
        _check_cause(cause, knowledge)
    store = opened(log)
    if by:
        store.confirm(record, tuple(dict.fromkeys(causes)), by, held)
    elif held is not None:
        store.tell_outcome(record, held)
    put("\n".join([f"Saved with {record}.", *_raised(record, store, knowledge)]))


def reopen(record: str, why: str, log: str) -> None:
    """`diag log reopen`"""
    opened(log).reopen(record, _text(why, "--note") if why else "")
    put(f"{record} is open again.")


def due(as_json: bool, log: str) -> None:
    """`diag log due`"""
    found, today = opened(log).actions(), date.today()
    put(json.text(page.due_facts(found, today)) if as_json else "\n".join(page.due_lines(found, today)))


def done(action: str, log: str) -> None:
    """`diag log done`"""
    record = opened(log).done(action)
    put(f"Saved: {action} of {record.id} is done.")


def export(out: str, log: str) -> None:
    """`diag log export`: the file is written whole or not at all."""
    exported = list(jsonl.lines(opened(log).each()))
    try:
        replace_file(Path(out), b"".join(exported))
    except (OSError, ValueError) as error:
        raise InputError(Fault(f"can't be written ({getattr(error, 'strerror', None) or error})", out)) from None
    put(f"Exported {len(exported)} cases to {out}.")


def import_(name: str, log: str) -> None:
    """`diag log import`"""
    needs("the case log", "log")
    with _stream(name) as stream:
        store = opened(log, make=True)
        brought = store.bring_in(jsonl.records(stream, standardinput.STDIN if name == "-" else name))
    put(f"Imported {brought.added} new cases; {brought.known} were here already and got {brought.events} new entries.")


def _stream(name: str) -> BinaryIO:
    if name == "-":
        return io.BytesIO(standardinput.stream().read())
    try:
        return Path(name).open("rb")
    except (OSError, ValueError) as error:
        raise InputError(Fault(f"can't be read ({getattr(error, 'strerror', None) or error})", name)) from None


def _raised(record: str, store: Store, knowledge: Knowledge) -> list[str]:
    """What the log says unasked, as paragraphs."""
    found = warnings_for(store.get(record), store, knowledge)
    return [line for text in found for line in ("", *paragraph(text))]


def _text(typed: str, option: str) -> str:
    """What was typed, without blanks around it. Raises InputError for nothing, or what is no text."""
    if not typed.strip():
        raise InputError(Fault("is empty; give some words", option))
    if _NOT_TEXT.search(typed):
        raise InputError(Fault("holds control characters or is not UTF-8 text", option))
    return typed.strip()


def _day(typed: str) -> str:
    try:
        return date.fromisoformat(typed).isoformat()
    except ValueError:
        raise InputError(Fault(f"{typed!r} is no day; give it like 2026-03-31", "--due")) from None


def _check_cause(cause: str, knowledge: Knowledge) -> None:
    if cause not in knowledge.causes:
        near = nearest(cause, list(knowledge.causes))
        hint = f"did you mean {near}?" if near else "`diag knowledge causes` shows all"
        raise InputError(Fault(f"there is no cause {cause!r}; {hint}", "--cause"))
