"""Checks of the machine that come before any grease is bought: which, with what, and the limit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from diag.knowledgebase.decision import FieldCheck
from diag.remedy.situation import Situation

__all__ = ["LIKELY", "before", "inside", "turning", "worded"]

LIKELY = 0.2  # a cause of the machine from this probability on is checked before grease is bought (judgement)
_STAGES = ("running", "stopped", "opened", "cleaned", "lab")


def before(s: Situation) -> tuple[FieldCheck, ...]:
    """Checks for the likely causes that no grease cures, of what need not be opened: running first, then stopped.

    A machine that must stop now, or whose part has failed, is not measured running.
    """
    return _sorted(c for c in _wanted(s) if c.stage == "stopped" or (turning(s) and c.stage == "running"))


def turning(s: Situation) -> bool:
    """It may be measured running."""
    return s.urgency.level != "stop_now" and s.case.complaint != "failed"


def inside(s: Situation) -> tuple[FieldCheck, ...]:
    """Checks of what only the opened, cleaned part shows: for work that opens it anyway."""
    return _sorted(c for c in _wanted(s) if c.stage not in ("running", "stopped"))


def _sorted(found: Iterable[FieldCheck]) -> tuple[FieldCheck, ...]:
    return tuple(sorted(found, key=lambda c: _STAGES.index(c.stage)))


def _wanted(s: Situation) -> Iterator[FieldCheck]:
    likely, drive = set(_likely(s)), s.case.point.drive
    return (c for c in s.knowledge.field_checks.values()
            if likely & set(c.causes) and s.kind in c.kinds and c.drive in ("", drive or c.drive))


def worded(check: FieldCheck, s: Situation) -> str:
    """What, with what, the limit, and how sure the limit is."""
    sure = s.knowledge.cite(check.source, check.confidence)
    only = f"Where a {check.drive} drives it: " if check.drive and s.case.point.drive is None else ""
    return f"{only}{check.check}; with {check.tool}; limit: {check.limit} [{sure}]"


def _likely(s: Situation) -> Iterator[str]:
    for name, chance in s.posterior.causes.items():
        remedy = s.knowledge.remedies[s.knowledge.causes[name].remedy.class_]
        if remedy.not_the_grease and chance >= LIKELY:
            yield name
