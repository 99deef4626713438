"""What a circumstance is worked out from, and the logic of yes, no and not known."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from diag.case.model import Case
from diag.findings import Computed
from diag.knowledgebase.knowledge import Knowledge

__all__ = ["FUNCTIONS", "Found", "Holds", "Scene", "all_of", "any_of", "circumstance", "listed", "none_of"]

Holds = bool | None  # None = not known


class Found(NamedTuple):
    """Whether a circumstance holds, by what value, in words."""

    holds: Holds
    value: Any = None
    unit: str = ""
    working: str = ""


@dataclass
class Scene:
    """The case, its numbers, and the circumstances established so far."""

    case: Case
    computed: Mapping[str, Computed]
    knowledge: Knowledge
    look: Callable[[Scene, str], Found]
    known: dict[str, Found] = field(default_factory=dict)

    def find(self, circumstance_id: str) -> Found:
        """A circumstance, worked out on first use."""
        if circumstance_id not in self.known:
            self.known[circumstance_id] = self.look(self, circumstance_id)
        return self.known[circumstance_id]

    def holds(self, circumstance_id: str) -> Holds:
        return self.find(circumstance_id).holds

    def number(self, computed_id: str) -> float | None:
        """A computed number, None when it could not be worked out."""
        item = self.computed.get(computed_id)
        return item.value if item is not None and isinstance(item.value, float) else None


Function = Callable[[Scene], Found]
FUNCTIONS: dict[str, Function] = {}


def circumstance(name: str) -> Callable[[Function], Function]:
    """Enters a function under the name by which circumstances.yaml calls it."""

    def enter(function: Function) -> Function:
        FUNCTIONS[name] = function
        return function

    return enter


def any_of(parts: Iterable[Holds]) -> Holds:
    """True when one holds, False when all are known not to, else not known."""
    found = list(parts)
    if any(part is True for part in found):
        return True
    return None if any(part is None for part in found) else False


def all_of(parts: Iterable[Holds]) -> Holds:
    """True when all hold, False when one is known not to, else not known."""
    found = list(parts)
    if any(part is False for part in found):
        return False
    return None if any(part is None for part in found) else True


def none_of(holds: Holds) -> Holds:
    """The contrary; not known stays not known."""
    return None if holds is None else not holds


def listed(stated: tuple[str, ...], *words: str) -> Holds:
    """One of the words is in the list; an empty list says nothing."""
    return bool(set(words) & set(stated)) if stated else None
