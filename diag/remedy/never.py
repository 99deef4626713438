"""What not to do at this point now."""

from __future__ import annotations

from collections.abc import Iterator

from diag.findings import Action
from diag.remedy.situation import Situation

__all__ = ["never"]

_OPENED = ("strip_clean_same", "strip_clean_and_switch", "replace_part")
_PUMPED = ("adjust_regreasing", "purge_same", "purge_and_switch")


def never(s: Situation, action: Action, repair_first: bool) -> tuple[str, ...]:
    """The don'ts that this situation invites, gravest first."""
    return tuple(dict.fromkeys((*_heat(s), *_pumping(s, action), *_cleaning(s, action),
                                *_mixing(s), *_standing(s, repair_first))))


def _heat(s: Situation) -> Iterator[str]:
    if s.hot or s.urgency.level in ("stop_now", "stop_soon"):
        yield "hose or air-blast a hot bearing: the shock can crack it and drives water in"
    if s.urgency.level == "stop_now":
        yield "restart to see whether it goes away"
    if s.hot_after_greasing:
        yield "add more grease to a point that is hot after greasing"


def _pumping(s: Situation, action: Action) -> Iterator[str]:
    if s.kind == "rolling_bearing" and (action in _PUMPED or s.hot_after_greasing):
        yield "pump against a closed drain or on against back pressure: seals and shields give way"
    # A pin or a way lets grease out at its ends, so that dosing one that has no drain is no mistake.
    if s.no_purge is not None and (s.kind == "rolling_bearing" or action not in _PUMPED):
        yield f"try to purge it: {s.no_purge}"
    yield "feel near turning parts or reach past a guard"


def _cleaning(s: Situation, action: Action) -> Iterator[str]:
    if action in _OPENED:
        yield "spin a bearing with compressed air, or run it dry"
        yield "clean with petrol or chlorinated solvent, or leave solvent in the housing"
        yield "clean or wipe before the evidence is photographed and bagged"


def _mixing(s: Situation) -> Iterator[str]:
    if s.mix_reason is not None or s.switch_reason is not None:
        yield f"push one grease through with the other: {s.mix_reason or s.switch_reason}"
    yield "judge a grease by its colour"


def _standing(s: Situation, repair_first: bool) -> Iterator[str]:
    if repair_first:
        yield "buy another grease before the fault is mended: no grease cures it"
    if s.restricted:
        yield "change grease, amount or interval outside the approved programme"
