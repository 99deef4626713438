"""What the log says unasked: failures that come back at a point, and one mix-up at several points."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol

from diag.case.words import plain
from diag.caselog.model import Record
from diag.knowledgebase import Knowledge

__all__ = ["warnings_for"]

# Groups of causes that come from what is handed out, not from the point where they show.
_MIX_UPS = frozenset({"people", "compatibility"})


class Records(Protocol):
    """As much of the store as is needed here."""

    def each(self) -> Iterable[Record]: ...


def warnings_for(record: Record, store: Records, knowledge: Knowledge) -> tuple[str, ...]:
    """Sentences on repeats that this record is part of, none when it is the first of its kind."""
    others = [r for r in store.each() if r.id != record.id and _same_site(r, record)]
    return (*_same_point(record, others, knowledge), *_same_mix_up(record, others, knowledge))


def _same_point(record: Record, others: Iterable[Record], knowledge: Knowledge) -> tuple[str, ...]:
    """A point is known by its machine and its name; a planned change is no failure."""
    if not (record.machine and record.point) or record.complaint == "planning":
        return ()
    same = [r for r in others if _spot(r) == _spot(record) and r.complaint != "planning"]
    if not same:
        return ()
    told = "; ".join(_told(r, knowledge) for r in same)
    return (f"Not the first time at {record.place}: {len(same) + 1} cases in the log. The others: {told}. "
            "Ask what was not cured, or what brings it back.",)


def _same_mix_up(record: Record, others: Iterable[Record], knowledge: Knowledge) -> tuple[str, ...]:
    return tuple(words for cause in _mix_ups(record, knowledge)
                 if (words := _elsewhere(cause, record, others, knowledge)))


def _elsewhere(cause: str, record: Record, others: Iterable[Record], knowledge: Knowledge) -> str:
    """One sentence when other points have the same mix-up, empty otherwise."""
    found = [r for r in others if _spot(r) != _spot(record) and cause in _mix_ups(r, knowledge)]
    if not found or not record.place:
        return ""
    places = "; ".join(f"{r.place} ({r.id}, {_known(r)})" for r in found if r.place)
    return places and (f"{knowledge.causes[cause].name}: here and also at {places}. The same mix-up at several "
                       "points comes from what is handed out: look at stock, labels, guns and the lubrication list.")


def _mix_ups(record: Record, knowledge: Knowledge) -> list[str]:
    """What was confirmed, else what was suspected, as far as it is a mix-up."""
    confirmation = record.confirmation
    causes = confirmation.causes if confirmation and confirmation.causes else record.suspected
    return [c for c in causes if c in knowledge.causes and knowledge.causes[c].group in _MIX_UPS]


def _told(record: Record, knowledge: Knowledge) -> str:
    confirmation = record.confirmation
    causes = confirmation.causes if confirmation and confirmation.causes else record.suspected[:1]
    names = " and ".join(knowledge.causes[c].name if c in knowledge.causes else c for c in causes)
    held = {True: ", what was done held", False: ", what was done did not hold", None: ""}[record.held]
    return f"{record.id} of {record.added[:10]} ({f'{names}, {_known(record)}' if names else 'no cause found'}{held})"


def _known(record: Record) -> str:
    confirmation = record.confirmation
    if confirmation is None or confirmation.how == "unconfirmed":
        return "suspected"
    return f"confirmed by {confirmation.how}"


def _spot(record: Record) -> tuple[str, str]:
    return plain(record.machine), plain(record.point)


def _same_site(one: Record, other: Record) -> bool:
    """Sites differ only where both are told."""
    return not (one.site and other.site) or plain(one.site) == plain(other.site)
