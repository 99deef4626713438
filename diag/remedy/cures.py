"""Which causes an action cures, and how likely it is that it leaves one behind."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from diag.findings import Action
from diag.knowledgebase import Knowledge
from diag.knowledgebase.model import Cause

__all__ = ["COVERS", "SAME", "STRIPPED", "SURPLUS", "Belief", "Independent", "counted", "left_by", "likeliest",
           "needed_action"]

STRIPPED: dict[Action, Action] = {"purge_same": "strip_clean_same", "purge_and_switch": "strip_clean_and_switch"}
SAME: dict[Action, Action] = {"purge_and_switch": "purge_same", "strip_clean_and_switch": "strip_clean_same"}
_WORN = "replace_bearing"  # the class of work that is nothing but a new part
_EMPTIED: tuple[Action, ...] = ("strip_clean_same", "strip_clean_and_switch", "replace_part")
SURPLUS = "dose_less"  # the class of work that lets surplus grease out
# Work on the machine that an action's own steps hold: a new part comes with new seals and a cleaned housing.
_BESIDE: dict[Action, frozenset[str]] = {"replace_part": frozenset({"seal_and_clean"})}
# What each action does besides itself: stripping takes out all that purging would, a new part starts clean.
COVERS: dict[Action, frozenset[Action]] = {
    "keep": frozenset(), "wait_and_watch": frozenset(),
    "adjust_regreasing": frozenset({"adjust_regreasing"}),
    "purge_same": frozenset({"purge_same"}),
    "strip_clean_same": frozenset({"purge_same", "strip_clean_same"}),
    "purge_and_switch": frozenset({"purge_same", "purge_and_switch"}),
    "strip_clean_and_switch": frozenset({"purge_same", "strip_clean_same", "purge_and_switch",
                                         "strip_clean_and_switch"}),
    "replace_part": frozenset({"purge_same", "strip_clean_same", "purge_and_switch", "strip_clean_and_switch",
                               "replace_part"}),
}


class Belief(Protocol):
    """How likely it is that at least one of these causes is present."""

    def any_of(self, sets: Sequence[frozenset[str]]) -> tuple[float, ...]: ...


@dataclass(frozen=True)
class Independent:
    """Causes taken as independent of one another: 1 − Π (1 − p). For want of the network."""

    causes: Mapping[str, float]

    def any_of(self, sets: Sequence[frozenset[str]]) -> tuple[float, ...]:
        return tuple(1 - math.prod(1 - self.causes.get(c, 0.0) for c in causes) for causes in sets)


def needed_action(cause: Cause, knowledge: Knowledge) -> Action:
    """The work that cures the cause: that of its class, stripped where its grease does not come out by purging."""
    action: Action = knowledge.remedies[cause.remedy.class_].action
    # For the wrong grease, purge or strip hangs on the pair alone, and a guard looks at that.
    if cause.purge.action == "strip" and cause.id != "wrong_grease_applied":
        return STRIPPED.get(action, action)
    return action


def likeliest(causes: Mapping[str, float], knowledge: Knowledge) -> str | None:
    """The most probable cause; None when none is possible.

    Of equals one that no grease cures, so that nobody switches while the machine may be at fault; else the first.
    """
    best = max(knowledge.causes, key=lambda c: (causes.get(c, 0.0), _of_the_machine(c, knowledge)), default=None)
    return best if best is not None and causes.get(best, 0.0) > 0 else None


def _of_the_machine(cause: str, knowledge: Knowledge) -> bool:
    return knowledge.remedies[knowledge.causes[cause].remedy.class_].not_the_grease


def counted(causes: Mapping[str, float], knowledge: Knowledge) -> tuple[str, ...]:
    """Causes likely enough to reckon with, and the likeliest one always; the rest is what any point carries."""
    best = likeliest(causes, knowledge)
    return tuple(c for c, p in causes.items() if p >= knowledge.costs.counted or c == best)


def left_by(action: Action, causes: Sequence[str], repaired: str | None, knowledge: Knowledge, *,
            let_out: bool = False) -> frozenset[str]:
    """The causes that the action leaves.

    `repaired` is the class of work done on the machine beside it; `let_out`: waiting opens the outlet here.
    """
    return frozenset(c for c in causes if not _cured(action, knowledge.causes[c], repaired, knowledge, let_out))


def _cured(action: Action, cause: Cause, repaired: str | None, knowledge: Knowledge, let_out: bool) -> bool:
    remedy = knowledge.remedies[cause.remedy.class_]
    if remedy.action == "wait_and_watch":
        return True  # it passes of itself, whatever is done
    if cause.remedy.class_ == SURPLUS and (action in _EMPTIED or (action == "wait_and_watch" and let_out)):
        return True  # the surplus leaves with the rest, or through the outlet while it is watched
    needed = needed_action(cause, knowledge)
    if not remedy.not_the_grease:
        return needed in COVERS[action]
    # Worn metal goes with the part; any other fault of the machine stays until it is mended itself.
    if cause.remedy.class_ not in {repaired, _WORN, *_BESIDE.get(action, ())}:
        return False
    return needed == "keep" or SAME.get(needed, needed) in COVERS[action]
