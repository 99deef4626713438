"""EP, solids, tack, and what the trade sells that tells nothing."""

from __future__ import annotations

from collections.abc import Iterator

from diag.findings import Requirement
from diag.remedy.needs.duty import Duty, number, require, source_text

__all__ = ["needs"]


def needs(duty: Duty) -> Iterator[Requirement]:
    """Speed factor, EP, weld load, solids, tack, colour."""
    factor = duty.computed_value("speed_factor")
    if duty.rolling and factor is not None:
        yield require("speed_factor", "min", float(f"{factor:.3g}"), "must",
                      "speed times mean diameter of this bearing", "ISO 281 mean diameter", "mm/min")
    yield from _pressure(duty)
    yield from _tack(duty)
    yield require("colour", "ignore", None, "note",
                  "the colour of new grease is dye; only a black one may hold moly. A change of colour in service "
                  "is another matter", "common practice")


def _pressure(duty: Duty) -> Iterator[Requirement]:
    if duty.heavy:
        yield require("ep", "is", "yes", "must", "heavy or shock load; EP never stands in for viscosity",
                      "common practice")
        yield require("four_ball_weld", "min", number(duty, "weld_load_least"), "should", "heavy or shock load",
                      source_text(duty, "weld_load_least"), "N")
    if duty.rolling and duty.fast:
        yield require("solid_lubricant", "avoid", ("moly", "graphite"), "must",
                      "solids have no place in a fast rolling bearing", _ceiling_source(duty))
    elif duty.case.point.kind == "pin_bushing" and duty.heavy:
        yield require("solid_lubricant", "is", "moly", "should",
                      "3 to 5 % moly carries pressure on slow pins and bushings", "common practice")
    if duty.usual is not None and duty.usual > number(duty, "yellow_metal_over") and _yellow_metal(duty):
        yield require("ep", "in", ("copper strip 1a", "copper strip 1b"), "note",
                      f"active sulfur attacks brass and bronze near {duty.usual:.0f} °C: ask for the copper strip "
                      "test at that temperature", source_text(duty, "yellow_metal_over"))


def _ceiling_source(duty: Duty) -> str:
    return duty.knowledge.cite(duty.ceiling.source, duty.ceiling.confidence)


def _yellow_metal(duty: Duty) -> bool:
    bush = (duty.case.point.pin.bush_material or "").lower()
    return duty.case.point.bearing.cage == "brass" or "bronze" in bush or "brass" in bush


def _tack(duty: Duty) -> Iterator[Requirement]:
    if duty.rolling and duty.fast:
        yield require("tack", "avoid", "yes", "must", "tacky grease drags and heats in an enclosed fast bearing",
                      _ceiling_source(duty))
    elif duty.case.point.kind in ("pin_bushing", "slideway"):
        yield require("tack", "is", "yes", "should",
                      "open slow points: tack keeps it in place. It is no proof of water resistance",
                      "common practice")
