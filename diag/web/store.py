"""Walks of the page on disk: for each a case file, its trail, and what else was typed.

A walk is known by its short code alone. The code is the only thing of a request that becomes part of a file name,
and only after it fits a closed pattern.
"""

from __future__ import annotations

import fcntl
import re
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path

import msgspec

from diag import walkfile
from diag.case import replace_file
from diag.errors import Fault, InputError
from diag.knowledgebase import Knowledge
from diag.report.figures import System
from diag.walk import Walk

__all__ = ["CODE", "Draft", "Entry", "Kept", "NoSuchWalkError", "Start", "Store"]

# No letters or digits that are mistaken for each other when read out or written on a hand.
_LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"
CODE = re.compile(rf"[{_LETTERS}]{{6}}")

Draft = dict[str, list[str]]


class NoSuchWalkError(InputError):
    """No walk of this code is kept here."""


class Start(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What was said before the first question; it enters the case once its kind is known."""

    title: str = ""
    complaint: str = ""
    said: str = ""
    units: System = "metric"


class _Sidecar(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    schema: int
    start: Start
    drafts: dict[str, Draft]


@dataclass(frozen=True, slots=True)
class Kept:
    """A walk with its start and, for each step, the fields as they were last typed."""

    walk: Walk = field(default_factory=Walk)
    start: Start = field(default_factory=Start)
    drafts: dict[str, Draft] = field(default_factory=dict)

    def typed(self, step: str, fields: Draft) -> Kept:
        """With the fields of one step kept, whether they could be read or not."""
        return replace(self, drafts={**self.drafts, step: fields})


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of the list of walks."""

    code: str
    start: Start


@dataclass(frozen=True, slots=True)
class Store:
    """The folder of walks. Every method that reads or writes one is to be called under its lock."""

    folder: Path
    knowledge: Knowledge

    def new(self, start: Start) -> str:
        """Begin a walk under a code that nobody has; it is on the disk when this returns."""
        while True:
            code = "".join(secrets.choice(_LETTERS) for _ in range(6))
            with self.locked(code):
                if not self._beside(code).exists():
                    self.save(code, Kept(start=start))
                    return code

    @contextmanager
    def locked(self, code: str) -> Iterator[None]:
        """One reader and writer of a walk at a time, also across servers on the same folder."""
        with (self.folder / f".{self._checked(code)}.lock").open("w") as stream:
            fcntl.flock(stream, fcntl.LOCK_EX)
            yield

    def load(self, code: str) -> Kept:
        """The walk of a code. Raises NoSuchWalkError, InputError for files that were tampered with."""
        beside = self._read_beside(code)
        return Kept(walkfile.load(self.case_file(code), self.knowledge), beside.start, beside.drafts)

    def save(self, code: str, kept: Kept) -> None:
        """Keep all of a walk. Raises InputError when the disk refuses."""
        try:
            replace_file(self._beside(code), msgspec.json.encode(_Sidecar(1, kept.start, kept.drafts)))
            if kept.walk.case.point.kind:
                walkfile.save(self.case_file(code), kept.walk)
            else:
                self._forget_case(code)
        except OSError as error:
            raise InputError(Fault(f"can't be saved ({error.strerror})", code)) from None

    def recent(self, limit: int = 20) -> list[Entry]:
        """The walks changed last, the newest first."""
        found = [path for path in self.folder.glob("*.web.json") if CODE.fullmatch(path.name.split(".")[0])]
        found.sort(key=lambda path: path.stat().st_mtime, reverse=True)
        codes = [path.name.split(".")[0] for path in found[:limit]]
        return [Entry(code, self._read_beside(code).start) for code in codes]

    def case_file(self, code: str) -> Path:
        return self.folder / f"{self._checked(code)}.yaml"

    def _beside(self, code: str) -> Path:
        return self.folder / f"{self._checked(code)}.web.json"

    def _checked(self, code: str) -> str:
        if CODE.fullmatch(code) is None:
            raise NoSuchWalkError("there is no such code: a code has six letters and digits, such as k7m2xp")
        return code

    def _read_beside(self, code: str) -> _Sidecar:
        try:
            return msgspec.json.decode(self._beside(code).read_bytes(), type=_Sidecar)
        except FileNotFoundError:
            raise NoSuchWalkError(f"no case with the code {code} is kept on this server") from None
        except (OSError, msgspec.MsgspecError) as error:
            raise InputError(Fault(f"what was kept can't be read ({error})", code)) from None

    def _forget_case(self, code: str) -> None:
        """After going back behind the first question, so that a reload doesn't bring the old case back."""
        path = self.case_file(code)
        walkfile.sidecar(path).unlink(missing_ok=True)
        path.unlink(missing_ok=True)
