"""Which temperature a grease is sized at: the usual one, never the one a fault makes."""

from __future__ import annotations

from collections.abc import Mapping

from diag.case.model import Case
from diag.findings import CircumstanceFound, Computed

__all__ = ["usual_temperature"]

# A rise with such a beginning is a fault or a transient until shown otherwise.
RECENT_ONSET = {"sudden", "hours", "days", "weeks"}
LASTING_HEAT = {"radiant_heat", "steam"}


def usual_temperature(case: Case, computed: Mapping[str, Computed],
                      circumstances: Mapping[str, CircumstanceFound] | None = None
                      ) -> tuple[float | None, str]:
    """The usual temperature [°C] and where it comes from; (None, reason) when nothing may stand for it.

    Stated; else the computed band's middle; else the measured one when its heat is genuine and lasting:
    there from the start or from lasting heat outside, or no complaint of heat and no rise. `circumstances`
    may add what they know of outside heat.
    """
    point = case.point
    if point.usual_temperature is not None:
        return point.usual_temperature, "stated as usual"
    if (expected := computed.get("expected_temperature")) is not None and isinstance(expected.value, float):
        return expected.value, "computed from friction and cooling"
    if point.running_temperature is None:
        return None, "no usual temperature is known"
    if not _genuine_and_lasting(case, circumstances or {}):
        return None, "the measured heat may be a fault's, so it doesn't stand for the usual temperature"
    return point.running_temperature, "measured, and no sign that it isn't usual"


def _genuine_and_lasting(case: Case, circumstances: Mapping[str, CircumstanceFound]) -> bool:
    """The measured heat belongs to the point: no recent rise, or lasting heat from outside."""
    recent = case.history.onset in RECENT_ONSET or case.measured.get("temperature_rise", 0.0) > 0
    outside = circumstances.get("outside_heat")
    lasting = bool(LASTING_HEAT & set(case.point.exposure)) or (outside is not None and outside.holds is True)
    if recent:
        return False
    return case.complaint != "hot" or lasting or case.history.onset == "since_start"
