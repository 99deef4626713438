"""Faults that a person can mend, and how they are worded.

Only the outermost layer (command line, page) prints them and sets the exit status.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["DiagError", "Fault", "InputError", "KnowledgeError"]


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong: where it stands, what it is, what would be right."""

    what: str
    place: str = ""  # "case.yaml:7" or "row 3", empty when there is no file
    key: str = ""  # dotted path inside the document

    def __str__(self) -> str:
        where = ": ".join(part for part in (self.place, self.key) if part)
        return f"{where}: {self.what}" if where else self.what


class DiagError(Exception):
    """Base of every fault this project raises on purpose.

    `str()` is one line: the first fault, and how many more there are.
    """

    def __init__(self, *faults: Fault | str) -> None:
        self.faults = tuple(Fault(f) if isinstance(f, str) else f for f in faults)
        more = f" (+{len(self.faults) - 1} more)" if len(self.faults) > 1 else ""
        super().__init__(f"{self.faults[0]}{more}")


class InputError(DiagError):
    """What the person typed or the case file holds can't be used as it stands."""


class KnowledgeError(DiagError):
    """A knowledge file breaks its schema or points at something that doesn't exist."""
