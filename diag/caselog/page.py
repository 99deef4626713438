"""Records on 80 columns, and as plain facts for JSON."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

import msgspec

from diag.caselog.model import Action, Event, Record
from diag.knowledgebase import Knowledge
from diag.report.layout import bullets, heading, paragraph
from diag.wordtext import joined, label

__all__ = ["due_facts", "due_lines", "facts", "list_lines", "show_lines"]

_FIELDS = ("id", "added", "site", "machine", "point", "kind", "complaint", "title", "open", "suspected",
           "confirmation", "held", "notes", "work", "actions", "knowledge", "version")


def facts(record: Record, whole: bool = False) -> dict[str, Any]:
    """What a list shows of a record; `whole` adds case, findings, inquiry and every event."""
    found = {name: getattr(record, name) for name in _FIELDS}
    more = ("case", "findings", "inquiry", "events") if whole else ()
    return found | {name: getattr(record, name) for name in more}


def list_lines(records: Iterable[Record], knowledge: Knowledge) -> list[str]:
    """Two lines or so for each record."""
    lines: list[str] = []
    for record in records:
        state = "open" if record.open else "closed"
        lines += paragraph(record.place or "(place not told)", 0, f"{record.id}  {record.added[:10]}  {state:<6}  ")
        told = "; ".join(part for part in (record.title, _verdict(record, knowledge)) if part)
        lines += paragraph(told, 8)
    return lines


def show_lines(record: Record, warnings: Sequence[str], knowledge: Knowledge) -> list[str]:
    """Everything that a person wants to know of one record."""
    name = record.title or record.place or label(record.kind)
    lines = [*paragraph(f"{record.id}: {name}"), *_facts(record, knowledge)]
    for title, texts in (("Seen in the log", warnings), ("What came after", _history(record, knowledge)),
                         ("Actions", [_action(a) for a in record.actions])):
        lines += [*heading(title), *bullets(texts)] if texts else []
    return [*lines, *heading("The case as written"), *record.case.rstrip("\n").splitlines()]


def due_lines(found: Sequence[tuple[Record, Action]], today: date) -> list[str]:
    """Open actions, the first due first."""
    if not found:
        return ["No open actions."]
    return [line for record, action in found
            for line in paragraph(f"{action.text} ({record.id}, {record.place or 'place not told'})", 0,
                                  f"{action.key}  {_when(action, today):<18}  ")]


def due_facts(found: Sequence[tuple[Record, Action]], today: date) -> list[dict[str, Any]]:
    return [{"case": r.id, "place": r.place, **msgspec.structs.asdict(a), "overdue": _overdue(a, today)}
            for r, a in found]


def _facts(record: Record, knowledge: Knowledge) -> list[str]:
    changed = "" if record.knowledge == knowledge.fingerprint else ", which has changed since"
    told = (
        ("Place", ", ".join(part for part in (record.site, record.place) if part)),
        ("Added", f"{record.added[:16].replace('T', ' ')} UTC, {'open' if record.open else 'closed'}"),
        ("Cause", _verdict(record, knowledge)),
        ("Judged", f"by diag {record.version} with knowledge {record.knowledge}{changed}"),
    )
    return [line for name, text in told if text for line in paragraph(text, 0, f"{name:<8}")]


def _verdict(record: Record, knowledge: Knowledge) -> str:
    """The cause in words, as confirmed, else as suspected; and whether the cure held."""
    held = {True: "; what was done held", False: "; what was done did not hold", None: ""}[record.held]
    return _cause(record, knowledge) + held


def _cause(record: Record, knowledge: Knowledge) -> str:
    confirmation = record.confirmation
    if confirmation and confirmation.causes:
        return _confirmed(confirmation.causes, confirmation.how, knowledge)
    if not record.suspected:
        return "no cause likely"
    return f"suspected: {_names(record.suspected, knowledge)}"


def _confirmed(causes: Sequence[str], how: str | None, knowledge: Knowledge) -> str:
    by = "held for the cause, unconfirmed" if how == "unconfirmed" else f"confirmed by {how}"
    return f"{_names(causes, knowledge)} ({by})" if causes else "closed without a cause"


def _names(causes: Sequence[str], knowledge: Knowledge) -> str:
    return joined([knowledge.causes[c].name if c in knowledge.causes else label(c) for c in causes])


def _history(record: Record, knowledge: Knowledge) -> list[str]:
    told = [(e.at, _event(e, knowledge)) for e in record.events]
    return [f"{at[:10]} {words}" for at, words in told if words]


def _event(event: Event, knowledge: Knowledge) -> str:
    """Words for what has no part of the page of its own."""
    outcome = "what was done held" if event.held else "what was done did not hold"
    words = {
        "note": f"note: {event.text}",
        "work": f"work done: {event.text}",
        "confirmed": _confirmed(event.causes, event.how, knowledge),
        "outcome": outcome,
        "reopened": f"reopened{': ' if event.text else ''}{event.text}",
    }
    return words.get(event.what, "")


def _action(action: Action) -> str:
    due = f", look again on {action.due}" if action.due else ""
    state = f"done {action.done[:10]}" if action.done else f"open{due}"
    return f"{action.key}: {action.text} ({state})"


def _when(action: Action, today: date) -> str:
    if not action.due:
        return "no day set"
    return f"{action.due}{' OVERDUE' if _overdue(action, today) else ''}"


def _overdue(action: Action, today: date) -> bool:
    return bool(action.due) and date.fromisoformat(str(action.due)) < today
