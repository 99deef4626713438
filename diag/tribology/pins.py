"""Pins and bushings: pressure, sliding speed, their product, what bushes stand, and how to grease them.

The formulas take floats or numpy arrays. The table is knowledge/standards/plain_bearings.yaml, as plain data.
The limits in it are from memory: guidance, after the maker's own data. No published wear limit was found: the
maker's counts, so no verdict on wear or ovality is given here.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np

from diag.errors import InputError
from diag.tribology._ranges import Reals, Result, plain
from diag.tribology.common import Span, require_at_least, require_positive, row_span

__all__ = [
    "Limits", "bush_limits", "central_system_cm3", "clearance_span", "clearance_volume_cm3", "duty_of",
    "interval_hours", "limits_of", "pressure_velocity", "sliding_area", "sliding_speed", "specific_pressure",
    "swing_speed",
]  # fmt: skip

DEPTH_MM, DEPTH_HOURS = 0.0254, 4.0  # 0.001 in over the area every 4 h


class Limits(NamedTuple):
    """What a greased bush or way stands: pressure [MPa], speed [m/s], pressure × speed [MPa m/s]."""

    material: str
    pressure: Span
    speed: Span
    pressure_velocity: Span


def specific_pressure(force: Reals, diameter: Reals, length: Reals) -> Result:
    """Load over the projected area: p = F/(d·L).

    force: F [N]; diameter: d of the pin [mm]; length: L that bears [mm].
    Returns pressure [MPa]. Raises InputError for a force below 0 or a size not above 0. Source: definition.

    >>> specific_pressure(60_000.0, 60.0, 50.0)
    20.0
    """
    require_at_least(0, "N", force=force)
    require_positive("mm", pin_diameter=diameter, pin_length=length)
    return plain(np.asarray(force) / (np.asarray(diameter) * length))


def sliding_speed(diameter: Reals, rpm: Reals) -> Result:
    """Speed at the surface of a turning pin: v = π·d·n/60 000.

    diameter: d [mm]; rpm: n [r/min].
    Returns speed [m/s]. Raises InputError for a diameter not above 0 or a speed below 0. Source: definition.

    >>> round(float(sliding_speed(60.0, 100.0)), 3)
    0.314
    """
    require_positive("mm", pin_diameter=diameter)
    require_at_least(0, "r/min", speed=rpm)
    return plain(np.pi * np.asarray(diameter) * rpm / 60_000)


def swing_speed(diameter: Reals, angle: Reals, rate: Reals) -> Result:
    """Mean speed of a swinging pin, there and back each cycle: v = π·d·(2·φ/360)·c/60 000.

    diameter: d [mm]; angle: φ, whole swing from end to end [deg], at most 360; rate: full cycles c [1/min].
    Returns speed [m/s]; the greatest speed within a smooth swing is π/2 times as high.
    Raises InputError for a diameter or angle not above 0, an angle over 360, a rate below 0.
    Source: definition.

    >>> round(float(swing_speed(80.0, 40.0, 6.0)), 5)
    0.00559
    """
    require_positive("deg", swing_angle=angle)
    require_at_least(0, "1/min", swing_rate=rate)
    if np.any(np.asarray(angle) > 360):
        raise InputError(f"swing angle {float(np.max(angle)):g} deg: give at most 360, or a turning speed")
    return sliding_speed(diameter, 2 * np.asarray(angle) / 360 * rate)


def pressure_velocity(pressure: Reals, speed: Reals) -> Result:
    """Pressure times sliding speed, a measure of the heat: p·v.

    pressure: p [MPa]; speed: v [m/s].
    Returns p·v [MPa m/s]. Raises InputError for values below 0. Source: definition.

    >>> pressure_velocity(20.0, 0.05)
    1.0
    """
    require_at_least(0, "MPa", pressure=pressure)
    require_at_least(0, "m/s", sliding_speed=speed)
    return plain(np.asarray(pressure) * speed)


def bush_limits(table: Mapping[str, Any], bush_material: str | None) -> Limits:
    """Limits of a bush by the words it is described with; the cautious row when none fits.

    table: plain_bearings.yaml [-]; bush_material: free text [-] or None.
    Returns Limits; low = ordinary, high = slow, swinging, well made [MPa, m/s, MPa m/s].
    Source: recalled from data sheets and handbooks (from memory); the maker's data sheet goes before it.
    """
    part = table["bush_limits"]
    said = re.findall(r"[^\W_]+", (bush_material or "").lower())
    row = next((r for r in part["rows"] if any(w.startswith(tuple(r["words"])) for w in said)), part["other"])
    return limits_of(row, row["material"], part)


def limits_of(row: Mapping[str, Any], material: str, origin: Mapping[str, Any]) -> Limits:
    """A row of limits as spans.

    row: with pressure, speed and pv [-]; material: its name [-]; origin: holds source and confidence [-].
    Returns Limits [MPa, m/s, MPa m/s]. Source: the row's.
    """
    return Limits(material, *(row_span(row[key], origin) for key in ("pressure", "speed", "pv")))


def sliding_area(diameter: Reals, length: Reals) -> Result:
    """Whole running surface of a bush: A = π·d·L.

    diameter: d [mm]; length: L [mm].
    Returns area [mm²]. Raises InputError for a size not above 0. Source: definition.
    """
    require_positive("mm", pin_diameter=diameter, pin_length=length)
    return plain(np.pi * np.asarray(diameter) * length)


def clearance_span(table: Mapping[str, Any], diameter: float) -> Span:
    """Usual running clearance on the diameter, where it wasn't measured.

    table: plain_bearings.yaml [-]; diameter: d [mm].
    Returns clearance [mm]. Raises InputError for a diameter not above 0.
    Source: judgement on common practice.
    """
    require_positive("mm", pin_diameter=diameter)
    return row_span(table["clearance"], table["clearance"]).scaled(diameter)


def clearance_volume_cm3(diameter: Reals, length: Reals, clearance: Reals) -> Result:
    """Space for grease between pin and bush: V = π·d·L·c/2·1e-3, grooves not counted.

    diameter: d [mm]; length: L [mm]; clearance: c on the diameter [mm].
    Returns volume [cm³]. Raises InputError for values not above 0. Source: geometry.

    >>> round(float(clearance_volume_cm3(80.0, 100.0, 0.3)), 2)
    3.77
    """
    require_positive("mm", clearance=clearance)
    return plain(np.asarray(sliding_area(diameter, length)) * clearance / 2 * 1e-3)


def central_system_cm3(area: Reals, hours: Reals = DEPTH_HOURS) -> Result:
    """Grease a central system feeds: a film of 0.001 in over the sliding area every 4 h.

    area: A, of a bush π·d·L, of a way its largest face [mm²]; hours: time fed for [h].
    Returns volume [cm³]. A generous figure: hand-greased joints commonly run on far less.
    Raises InputError for values not above 0. Source: lubrication system supplier, basic formulas.

    >>> round(float(central_system_cm3(113.04 * 645.16)), 2)  # 6 in by 6 in; printed 0.113 in³ = 1.85 cm³
    1.85
    """
    require_positive("mm²", sliding_area=area)
    require_positive("h", hours=hours)
    return plain(np.asarray(area) * DEPTH_MM * 1e-3 * hours / DEPTH_HOURS)


def duty_of(pressure_share: float | None, dirty: bool, wet: bool) -> str:
    """The hardest duty that applies.

    pressure_share: pressure or p·v as a share of what the bush stands [-] or None; dirty, wet: [-].
    Returns wet | heavy_or_dirty | ordinary | clean_and_light [-]; below a third of the limit counts as light.
    Raises InputError for a share below 0. Source: common practice; the third is judgement.
    """
    if wet:
        return "wet"
    if pressure_share is not None:
        require_at_least(0, "", pressure_share=pressure_share)
    if dirty or (pressure_share is not None and pressure_share > 1):
        return "heavy_or_dirty"
    return "clean_and_light" if pressure_share is not None and pressure_share < 1 / 3 else "ordinary"


def interval_hours(table: Mapping[str, Any], duty: str, swing_angle: float | None = None) -> Span:
    """Hours of work between greasings by hand; short swings half as long.

    table: plain_bearings.yaml [-]; duty: from duty_of [-]; swing_angle: whole swing [deg], None = turning.
    Returns Span [h]. Raises InputError for another duty or an angle not above 0.
    Source: common practice (each shift when dirty, weekly otherwise); halving for short swings: judgement.
    """
    part = table["interval_h"]
    legal = [key for key, row in part.items() if isinstance(row, dict) and "typical" in row]
    if duty not in legal:
        raise InputError(f"duty {duty!r}: give one of {', '.join(legal)}")
    span = row_span(part[duty], part)
    short = part["swinging_share"]
    if swing_angle is None:
        return span
    require_positive("deg", swing_angle=swing_angle)
    if swing_angle >= short["below_angle"]:
        return span
    return span.scaled(short["value"])._replace(confidence=short["confidence"])
