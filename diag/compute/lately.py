"""Whether fresh grease went in so lately that it still makes heat of its own."""

from __future__ import annotations

from diag.case.model import Case

__all__ = ["DAY", "greased_lately"]

# What means that fresh grease went in (`history.since`).
GREASED = ("regreasing", "changeover", "bearing_change", "overhaul")
DAY = 24.0  # h


def greased_lately(case: Case, within_h: float = DAY) -> bool | None:
    """Greased or repacked within this time [h]; None when nothing is stated."""
    if case.regreasing.since_last is not None:
        return case.regreasing.since_last <= within_h
    if set(GREASED) & set(case.history.since) and case.history.onset in ("sudden", "hours"):
        return True
    return None
