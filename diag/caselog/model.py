"""A record of the case log: the case as it was judged, and what came after. No database here."""

from __future__ import annotations

from typing import Annotated, Any, Literal

import msgspec

from diag.findings import Findings

__all__ = ["Action", "Confirmation", "Event", "How", "Id", "Record", "Stamp", "What"]

How = Literal["inspection", "laboratory", "unconfirmed"]
What = Literal["note", "work", "confirmed", "outcome", "reopened", "action", "done", "inquiry"]
Stamp = Annotated[str, msgspec.Meta(pattern=r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{6}Z$")]  # UTC
Day = Annotated[str, msgspec.Meta(pattern=r"^\d{4}-\d\d-\d\d$")]
Id = Annotated[str, msgspec.Meta(pattern=r"^[a-z][a-z0-9]{3,15}$")]

LEADS = 0.3  # a cause under it is no suspect; the same edge as in a review


class Event(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    """Something that happened to a record; never changed once it is stored."""

    key: Id  # unique in all logs; that of an action is what `done` names
    at: Stamp
    what: What
    text: str = ""
    causes: tuple[str, ...] = ()  # confirmed: ids of the knowledge of that day
    how: How | None = None  # confirmed
    held: bool | None = None  # outcome: did what was done hold?
    due: Day | None = None  # action: when to look again
    action: Id | None = None  # done: key of the action
    data: dict[str, Any] | None = None  # inquiry: the answers so far


class Action(msgspec.Struct, frozen=True, kw_only=True):
    """Something still to do or done, with the day to look again."""

    key: str
    text: str
    due: str | None
    done: str | None  # stamp, None while open


class Confirmation(msgspec.Struct, frozen=True, kw_only=True):
    """What it turned out to be. `unconfirmed` closes a case without telling anything for certain."""

    causes: tuple[str, ...]
    how: How
    at: str


class _CauseHead(msgspec.Struct, frozen=True):
    id: str
    probability: float


class _FindingsHead(msgspec.Struct, frozen=True):
    """The little of the findings that lists need; decoding all of it for each line would be slow."""

    causes: tuple[_CauseHead, ...] = ()


class Record(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One case with everything that came after, oldest event first."""

    id: Id
    added: Stamp
    site: str
    machine: str
    point: str
    kind: str
    complaint: str
    title: str
    case: str  # the YAML text as written
    findings: msgspec.Raw  # JSON of the contract, as judged on that day
    knowledge: str  # fingerprint of the knowledge it was judged with
    version: str  # of the program
    events: tuple[Event, ...] = ()

    @property
    def judged(self) -> Findings:
        """The findings as structures. Errors: msgspec.ValidationError for those of another schema."""
        return msgspec.json.decode(self.findings, type=Findings)

    @property
    def suspected(self) -> tuple[str, ...]:
        """Causes that the findings of that day held for likely, likeliest first."""
        head = msgspec.json.decode(self.findings, type=_FindingsHead)
        return tuple(c.id for c in sorted(head.causes, key=lambda c: -c.probability) if c.probability >= LEADS)

    @property
    def confirmation(self) -> Confirmation | None:
        """The latest one, None when there is none or the case was reopened since."""
        found = [e for e in self._since_reopened() if e.what == "confirmed"]
        if not found:
            return None
        return Confirmation(causes=found[-1].causes, how=found[-1].how or "unconfirmed", at=found[-1].at)

    @property
    def held(self) -> bool | None:
        """Did what was done hold? The latest word on it since the case was last reopened."""
        found = [e.held for e in self._since_reopened() if e.what == "outcome"]
        return found[-1] if found else None

    @property
    def open(self) -> bool:
        """Nobody has closed it yet, or it was reopened."""
        return self.confirmation is None

    @property
    def notes(self) -> tuple[str, ...]:
        return self._texts("note")

    @property
    def work(self) -> tuple[str, ...]:
        return self._texts("work")

    @property
    def actions(self) -> tuple[Action, ...]:
        """All actions, in the order in which they were agreed."""
        done = {e.action: e.at for e in self.events if e.what == "done"}
        return tuple(Action(key=e.key, text=e.text, due=e.due, done=done.get(e.key))
                     for e in self.events if e.what == "action")

    @property
    def inquiry(self) -> dict[str, Any] | None:
        """Answers of the inquiry as last saved."""
        found = [e.data for e in self.events if e.what == "inquiry"]
        return found[-1] if found else None

    @property
    def place(self) -> str:
        """Machine and point in words, empty when neither is named."""
        return ", ".join(part for part in (self.machine, self.point) if part)

    def _texts(self, what: What) -> tuple[str, ...]:
        return tuple(e.text for e in self.events if e.what == what)

    def _since_reopened(self) -> tuple[Event, ...]:
        last = max((i for i, e in enumerate(self.events) if e.what == "reopened"), default=-1)
        return self.events[last + 1:]
