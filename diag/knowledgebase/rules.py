"""The shape of two small files of rules: what a complaint says of a sign, and the limits of urgency."""

from __future__ import annotations

from typing import Literal

from diag.knowledgebase.model import ALL_KINDS, Confidence, Kind, Record

__all__ = ["ComplaintSign", "Limit", "Limits", "TransientRule", "UrgentLevel"]


UrgentLevel = Literal["stop_now", "stop_soon", "watch"]


class ComplaintSign(Record, kw_only=True, frozen=True):
    """Who comes with this complaint has, as good as said, this sign; `degree` yes or probably."""

    complaint: Literal["hot", "noisy", "leaking", "stiff", "loose", "failed", "planning"]
    sign: str
    degree: Literal["yes", "probably"]
    kinds: tuple[Kind, ...] = ALL_KINDS
    source: tuple[str, ...] = ("practice",)
    confidence: Confidence = "judgement"


class Limit(Record, kw_only=True, frozen=True):
    """A number that a reading should stay under, in the unit beside it."""

    value: float
    unit: str
    text: str
    source: tuple[str, ...]
    confidence: Confidence


class TransientRule(Record, kw_only=True, frozen=True):
    """The rise after greasing: how long it may last and when to look again, hours."""

    greased_within_h: float
    climbing_stop_h: float  # still climbing after this: stop
    look_again_h: float
    source: tuple[str, ...]
    confidence: Confidence


class Limits(Record, kw_only=True, frozen=True):
    """limits.yaml: temperatures in °C, changes in K, velocity in mm/s, level in dB, times in h."""

    seal: dict[str, Limit]  # by seal material
    ring: dict[Kind, Limit]  # steel of the rings; a kind that is missing has no such limit
    housing_watch: Limit  # a point without outside heat: look into it above
    housing_soon: Limit
    baseline_stop: Limit  # change from its own usual temperature
    baseline_watch: Limit
    dropping_point_margin: Limit  # least distance under the dropping point
    vibration: dict[UrgentLevel, Limit]
    ultrasound: dict[UrgentLevel, Limit]
    transient: TransientRule
    look_again_h: dict[Literal["stop_now", "stop_soon", "watch", "run_on"], float | None]
