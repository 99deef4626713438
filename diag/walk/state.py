"""Where a walk stands, and what one step asks."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from diag.case.model import Case

__all__ = ["Choice", "Given", "Pass", "Step", "StepKind", "Walk"]

StepKind = Literal["one", "many", "look", "free", "gate", "done"]
Pass = Literal["answered", "skipped", "unknown"]


@dataclass(frozen=True, slots=True)
class Given:
    """A step that was put and left, with the key paths it wrote; `back` removes just those."""

    step: str
    wrote: tuple[str, ...] = ()
    how: Pass = "answered"
    words: str = ""  # a gate's answer: yes or no


@dataclass(frozen=True, slots=True)
class Walk:
    case: Case = field(default_factory=Case)
    trail: tuple[Given, ...] = ()

    def put(self, step: str) -> Given | None:
        """The step as it was left, None when it wasn't put yet."""
        return next((g for g in self.trail if g.step == step), None)


@dataclass(frozen=True, slots=True)
class Choice:
    key: str  # the closed word or sign that the number stands for
    text: str


@dataclass(frozen=True, slots=True)
class Step:
    """One question.

    `kind`: `one` or `many` of closed words; `look`: signs, several may hold; `free`: a quantity or words;
    `gate`: yes or no to a whole group of questions; `done`: nothing more to ask.
    """

    id: str
    kind: StepKind
    text: str
    how: str = ""
    why: str = ""
    choices: tuple[Choice, ...] = ()
    single: bool = False  # of the signs of a look only one can hold
    cautions: tuple[str, ...] = ()
    settled: str = ""  # why nothing more needs to be asked; empty while unsettled
