"""The service a regreasing interval is worked out for, from the case."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from diag.case.model import Case

if TYPE_CHECKING:
    from diag.tribology.interval import Service

__all__ = ["service_of"]


def service_of(case: Case, usual: float | None, table: dict[str, Any]) -> Service | None:
    """Words and numbers of the interval methods; None unless type, speed, bore and outside are known.

    usual: usual temperature [°C] or None; table: standards/interval.yaml.
    """
    from diag.tribology.interval import Service, shaking_level

    point, exposure = case.point, set(case.point.exposure)
    bearing = point.bearing
    if bearing.type is None or not point.speed or bearing.bore is None or bearing.outside is None:
        return None
    velocity, shock = case.measured.get("vibration_velocity"), point.load.level == "shock"
    shaking = "moderate" if "vibration" in exposure else shaking_level(table, velocity, shock)
    return Service(
        bearing_type=bearing.type, rpm=point.speed, bore=bearing.bore, outside=bearing.outside,
        temperature=usual, shaft=point.shaft or "horizontal", turning_ring=bearing.turning_ring or "inner",
        dirt="medium" if "dust" in exposure else "low", water=_water(exposure), shaking=shaking,
        cage=bearing.cage, load=point.load.force, dynamic_rating=bearing.dynamic_rating)


def _water(exposure: set[str]) -> str:
    if exposure & {"wash_down", "submerged", "steam"}:
        return "washed"
    return "splash" if "splash" in exposure else "damp" if "outdoors" in exposure else "none"
