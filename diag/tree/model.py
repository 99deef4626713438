"""The parts of a compiled tree; plain data, as `diag tree --json` prints it."""

from __future__ import annotations

from typing import Any

import msgspec

from diag.findings import StopIf

__all__ = ["Advice", "Branch", "Leaf", "Look", "Node", "Tree"]


class Advice(msgspec.Struct, frozen=True, kw_only=True):
    """What to do as far as it is known: `diag review` names the same cause for these answers."""

    cause: str  # id; empty where nothing leads
    name: str
    check: str
    remedy: str
    caution: str


class Leaf(msgspec.Struct, frozen=True, kw_only=True, tag="leaf"):
    """`probability`: that the cause named is present after the answers on the way here (the lowest, if merged)."""

    advice: Advice
    probability: float
    stop: bool  # it must stand
    more: bool  # `diag ask` would go on from here


class Branch(msgspec.Struct, frozen=True, kw_only=True):
    """Answers that lead to the same advice. `typed`: each as `diag ask` takes it; `chance`: that one of them is
    given, once the question is reached."""

    answers: tuple[str, ...]
    typed: tuple[str, ...]
    chance: float
    urgent: str  # why it must stop now, where one of these answers means that
    to: Any  # Look or Leaf


class Look(msgspec.Struct, frozen=True, kw_only=True, tag="look"):
    """A question. `passed`: (step, answer) of the steps before it that paper doesn't ask: quantities are not known
    (`?`), gates are passed (`yes`)."""

    step: str
    text: str
    how: str
    stage: str
    cautions: tuple[str, ...]
    passed: tuple[tuple[str, str], ...]
    branches: tuple[Branch, ...]
    unsure: Advice  # for who can't tell


Node = Look | Leaf


class Tree(msgspec.Struct, frozen=True, kw_only=True):
    """`stop_signs`, `stop_if`: what stops the machine at any place in the tree."""

    kind: str
    complaint: str
    depth: int
    knowledge: str
    stop_signs: tuple[str, ...]
    stop_if: tuple[StopIf, ...]
    before_work: tuple[str, ...]
    passed: tuple[tuple[str, str], ...]
    root: Node
