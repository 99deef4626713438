"""Thickener, base oil and the water, food and rust demands that follow from the surroundings."""

from __future__ import annotations

from collections.abc import Iterator

from diag.findings import Requirement
from diag.remedy.needs.duty import Duty, number, require, source_text

__all__ = ["field_for", "needs", "serving"]

WATERPROOF = ("calcium_sulfonate", "calcium_complex", "calcium_anhydrous", "aluminium_complex",
              "lithium_complex", "polyurea")
SEVERE_WATER = ("calcium_sulfonate", "calcium_complex", "calcium_anhydrous", "aluminium_complex")
ALL_ROUND = ("lithium", "lithium_complex", "calcium_sulfonate", "calcium_complex", "calcium_anhydrous",
             "aluminium_complex", "polyurea", "clay")
BEYOND_SOAPS = ("silica", "ptfe")  # where a dry point is too hot for all of these


def needs(duty: Duty) -> Iterator[Requirement]:
    """Thickener, water figures, rust protection, base-oil type, food registration."""
    yield from _thickener(duty)
    yield from _water(duty)
    yield from _oil(duty)
    if "food_contact" in duty.case.point.exposure:
        yield require("food_registration", "is", "H1", "must", "the point can touch food",
                      "21 CFR 178.3570, ISO 21469")


def field_for(duty: Duty) -> tuple[str, ...]:
    """The thickeners that hold against the water of this point, whatever its heat."""
    return SEVERE_WATER if duty.very_wet else WATERPROOF if duty.wet else ALL_ROUND


def serving(duty: Duty) -> tuple[str, ...]:
    """Those of them that also stand its usual temperature; () where water and heat collide."""
    standing = tuple(t for t in field_for(duty) if _hot_enough(duty, t))
    if standing or duty.wet:
        return standing
    return tuple(t for t in BEYOND_SOAPS if _hot_enough(duty, t))


def _hot_enough(duty: Duty, thickener: str) -> bool:
    """Whether the family's usual ceiling in service reaches the usual temperature."""
    ceiling = duty.knowledge.thickeners[thickener].practical_max
    return duty.usual is None or ceiling is None or ceiling >= duty.usual


def _thickener(duty: Duty) -> Iterator[Requirement]:
    water = "standing or driven water: the thickener has to hold against it; tack does not" if duty.wet else \
        "lithium is the all-round thickener; others serve as well where they suit the heat"
    heat = "" if duty.usual is None else f"; each stands {duty.usual:.0f} °C in lasting service"
    if serve := serving(duty):
        yield require("thickener", "in", serve, "must" if duty.wet else "should", water + heat,
                      "thickener data, see knowledge; common practice")
    if duty.wet:
        yield require("thickener", "avoid", ("sodium",), "must", "sodium soap dissolves in water",
                      "common practice; NLGI glossary")


def _water(duty: Duty) -> Iterator[Requirement]:
    if not duty.wet:
        return
    name = "washout_most_severe" if duty.very_wet else "washout_most_wet"
    yield require("water_washout", "max", number(duty, name), "should",
                  "ASTM D1264 ranks greases in a laboratory; it promises nothing for this point",
                  source_text(duty, name), "%")
    yield require("rust_protection", "is", "yes", "must", "water reaches the steel", "ASTM D1743; common practice")
    if "wash_down" in duty.case.point.exposure:
        yield require("water_spray_off", "is", "low", "should", "a hose drives grease off: ask for ASTM D4049",
                      "ASTM D4049; common practice")


def _oil(duty: Duty) -> Iterator[Requirement]:
    yield from _oil_for_heat(duty)
    seal = duty.case.point.seal.material
    if seal == "epdm" or seal == "natural_rubber":
        yield require("base_oil_type", "avoid", ("mineral", "naphthenic", "pao", "ester", "vegetable"), "must",
                      f"{seal.replace('_', ' ')} seals swell in these oils", "common practice")
    elif seal in ("nbr", "cr"):
        yield require("base_oil_type", "avoid", ("ester",), "should",
                      f"ester oil swells {seal.upper()} seals", "common practice")


def _oil_for_heat(duty: Duty) -> Iterator[Requirement]:
    """Oils whose ceiling in lasting service lies below the usual temperature; recalled ceilings only advise."""
    if duty.usual is None or duty.usual <= number(duty, "hot_duty_over"):
        return
    oils = [oil for oil in duty.knowledge.base_oils.values() if oil.practical_max < duty.usual]
    if oils:
        figure = oils[0].long_term_maximum
        yield require("base_oil_type", "avoid", tuple(oil.id for oil in oils), "should",
                      f"their ceiling in lasting service lies below {duty.usual:.0f} °C",
                      duty.knowledge.cite(figure.source, figure.confidence))
