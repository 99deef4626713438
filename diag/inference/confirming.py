"""Which confirmations of a cause can be had at this very point: none that its kind, seal, drain or place rules out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import msgspec

if TYPE_CHECKING:
    from diag.case.model import Case
    from diag.findings import Causes, CircumstanceFound
    from diag.knowledgebase.knowledge import Knowledge
    from diag.knowledgebase.model import Cause, Confirmation

__all__ = ["narrowed", "possible"]

_INSIDE = ("opened", "cleaned")


def possible(cause: Cause, case: Case, circumstances: Mapping[str, CircumstanceFound], may_turn: bool,
             opened: bool = False) -> tuple[Confirmation, ...]:
    """In the order of the record. `may_turn`: nobody has to stop it now; `opened`: other work opens it anyway."""
    turning = may_turn and case.complaint != "failed"
    closed = not opened and case.complaint != "failed" and _known(circumstances, "sealed_for_life") is True

    def can_be_had(test: Confirmation) -> bool:
        if test.stage == "running" and not turning and not test.desk:
            return False
        if test.stage in _INSIDE and closed:
            return False
        met = all(_known(circumstances, need.fact) in (None, need.be) for need in test.needs)
        return case.point.kind in test.kinds and met

    return tuple(test for test in cause.confirm if can_be_had(test))


def narrowed(causes: Causes, case: Case, circumstances: Mapping[str, CircumstanceFound], may_turn: bool,
             knowledge: Knowledge) -> Causes:
    """The causes, each with those of its confirmations only that can be had here."""
    return tuple(msgspec.structs.replace(part, confirm=tuple(
        f"{test.test}: {test.criterion}"
        for test in possible(knowledge.causes[part.id], case, circumstances, may_turn))) for part in causes)


def _known(circumstances: Mapping[str, CircumstanceFound], fact: str) -> bool | None:
    found = circumstances.get(fact)
    return None if found is None else found.holds
