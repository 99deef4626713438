"""Pins and slideways: pressure, sliding speed and their product, held against what the material stands."""

from __future__ import annotations

from diag.compute.bench import Bench, computed, step
from diag.findings import Computed
from diag.numbertext import shown

__all__: list[str] = []

DEFINITION = "definition"


@step("specific_pressure")
def specific_pressure(bench: Bench) -> Computed | None:
    from diag.tribology import pins, slides

    point = bench.case.point
    pin, slide, force = point.pin, point.slide, point.load.force
    if point.kind == "slideway" and slide.pressure is not None:
        return computed("specific_pressure", slide.pressure, "MPa", f"{slide.pressure:g} MPa", "the case")
    on_pin = point.kind == "pin_bushing"
    across, along = (pin.diameter, pin.length) if on_pin else (slide.width, slide.length)
    if bench.rolling or force is None or across is None or along is None:
        return None
    formula = pins.specific_pressure if on_pin else slides.mean_pressure
    value = float(formula(force, across, along))
    working = f"{force:.0f} N / ({across:g} mm × {along:g} mm) = {shown(value)} MPa"
    return computed("specific_pressure", value, "MPa", working, DEFINITION)


@step("sliding_speed")
def sliding_speed(bench: Bench) -> Computed | None:
    from diag.tribology import pins

    point = bench.case.point
    diameter, swing = point.pin.diameter, point.swing
    if point.kind == "slideway" and point.slide.speed is not None:
        return computed("sliding_speed", point.slide.speed, "m/s", f"{point.slide.speed:g} m/s", "the case")
    if point.kind != "pin_bushing" or diameter is None:
        return None
    if swing.angle is not None and swing.rate is not None:
        value = float(pins.swing_speed(diameter, swing.angle, swing.rate))
        motion = f"2 × {swing.angle:g}° / 360° × {swing.rate:g} 1/min"
    elif point.speed is not None:
        value, motion = float(pins.sliding_speed(diameter, point.speed)), f"{point.speed:g} rpm"
    else:
        return None
    working = f"π × {diameter:g} mm × {motion} = {shown(value)} m/s"
    return computed("sliding_speed", value, "m/s", working, DEFINITION)


@step("pressure_velocity")
def pressure_velocity(bench: Bench) -> Computed | None:
    from diag.tribology import pins, slides

    pressure, speed = bench.number("specific_pressure"), bench.number("sliding_speed")
    if pressure is None or speed is None:
        return None
    value = float(pins.pressure_velocity(pressure, speed))
    table = bench.knowledge.standard("plain_bearings")
    if bench.case.point.kind == "pin_bushing":
        limits = pins.bush_limits(table, bench.case.point.pin.bush_material)
    else:
        limits = slides.way_limits(table)
    stands = limits.pressure_velocity
    working = (f"{shown(pressure)} MPa × {shown(speed)} m/s = {shown(value)} MPa m/s; {limits.material} stands "
               f"{stands.low:g} to {stands.high:g} ({stands.confidence})")
    return computed("pressure_velocity", value, "MPa m/s", working, DEFINITION)
