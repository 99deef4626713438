"""The regreasing interval of a case: the methods side by side, and what dirt and water leave of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from diag.case.model import Case

if TYPE_CHECKING:
    from diag.tribology.common import Span
    from diag.tribology.interval import Interval, Service
    from diag.tribology.interval_cap import Cap

__all__ = ["Advised", "advised", "service_of"]


class Advised(NamedTuple):
    """Interval of a point: what the methods span [h], and that held at the cap for dirt and water [h]."""

    methods: tuple[Interval, ...]
    span: Span
    cap: Cap | None
    held: Span

    @property
    def shortened(self) -> bool:
        """Dirt or water hold the likely interval, not the bearing."""
        return self.held.typical < self.span.typical


def advised(case: Case, usual: float | None, table: dict[str, Any]) -> Advised | None:
    """The interval at the usual temperature [°C] or None; None unless type, speed, bore and outside are known.

    table: standards/interval.yaml. Raises InputError above the speed at which the formula ends.
    """
    from diag.tribology.interval import side_by_side, spread
    from diag.tribology.interval_cap import dirty_cap, held

    service = service_of(case, usual, table)
    if service is None:
        return None
    found = side_by_side(service, table)
    span, cap = spread(found), dirty_cap(service, table)
    return Advised(found, span, cap, held(span, cap))


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
    shaking = shaking_level(table, velocity, shock)
    if shaking == "none" and "vibration" in exposure:
        shaking = "moderate"
    return Service(
        bearing_type=bearing.type, rpm=point.speed, bore=bearing.bore, outside=bearing.outside,
        temperature=usual, shaft=point.shaft or "horizontal", turning_ring=bearing.turning_ring or "inner",
        dirt="medium" if "dust" in exposure else "low", water=_water(exposure), shaking=shaking,
        cage=bearing.cage, load=point.load.force, dynamic_rating=bearing.dynamic_rating)


def _water(exposure: set[str]) -> str:
    if exposure & {"wash_down", "submerged", "steam"}:
        return "washed"
    return "splash" if "splash" in exposure else "damp" if "outdoors" in exposure else "none"
