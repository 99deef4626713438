"""Rating life, what holds it down, and how far the grease is from dropping."""

from __future__ import annotations

from typing import NamedTuple

from diag.compute.bench import Bench, computed, step
from diag.findings import Computed
from diag.numbertext import shown

__all__ = ["Loaded", "cleanliness"]

ISO_281 = "ISO 281:2007 (cross-checked)"


class Loaded(NamedTuple):
    """What the life formulas need of a bearing."""

    family: str
    dynamic_rating: float  # N
    load: float  # N
    speed: float  # rpm


@step("dropping_point_margin")
def dropping_point_margin(bench: Bench) -> Computed | None:
    """Distance of the running temperature from the dropping point: stated, else the family's low end."""
    grease, running = bench.case.grease, bench.running
    thickener = bench.knowledge.thickeners.get(grease.thickener or "")
    if running is None:
        return None
    temperature, what = running
    if grease.dropping_point is not None:
        value = grease.dropping_point - temperature
        working = f"{grease.dropping_point:.0f} °C - {temperature:.0f} °C ({what}) = {value:.0f} K"
        return computed("dropping_point_margin", value, "K", working, "data sheet of the grease")
    if thickener is None or thickener.dropping_point is None:
        return None
    span = thickener.dropping_point
    family = f"{thickener.id.replace('_', ' ')} thickener"
    bench.assume(f"the grease drops at {span.low:.0f} °C, the low end for a {family}")
    value = span.low - temperature
    working = f"{span.low:.0f} °C ({family}) - {temperature:.0f} °C ({what}) = {value:.0f} K"
    source = bench.knowledge.cite(span.source, span.confidence)
    return computed("dropping_point_margin", value, "K", working, source, (value, span.high - temperature))


@step("contamination_factor")
def contamination_factor(bench: Bench) -> Computed | None:
    from diag.tribology.contamination import contamination_factor as formula

    kappa, diameter = bench.number("viscosity_ratio"), bench.number("mean_diameter")
    if kappa is None or diameter is None:
        return None
    level = cleanliness(bench)
    value = float(formula(level, kappa, diameter))
    working = f"cleanliness {level.replace('_', ' ')}, κ {shown(kappa, 2)}, dm {diameter:g} mm: e_C = {value:.2f}"
    return computed("contamination_factor", value, "", working, "ISO 281:2007, annex A (verified)")


@step("basic_life")
def basic_life(bench: Bench) -> Computed | None:
    from diag.tribology.life import basic_life_hours, load_in_range

    loaded = _loaded(bench)
    if loaded is None:
        return None
    if not load_in_range(loaded.load, loaded.dynamic_rating):
        bench.assume("the load is over half the dynamic rating: the life is an extrapolation")
    value = float(basic_life_hours(loaded.family, loaded.dynamic_rating, loaded.load, loaded.speed))
    power = "3" if loaded.family.endswith("ball") else "10/3"
    working = (f"L10h = 10^6 / (60 × {loaded.speed:g}) × ({loaded.dynamic_rating:.0f} / {loaded.load:.0f})"
               f"^{power} = {value:.0f} h")
    return computed("basic_life", value, "h", working, "ISO 281:2007, 5.3 and 6.3 (cross-checked)")


@step("life_factor")
def life_factor(bench: Bench) -> Computed | None:
    from diag.tribology.life import a_iso_confidence
    from diag.tribology.life import life_factor as formula

    loaded, kappa, diameter = _loaded(bench), bench.number("viscosity_ratio"), bench.number("mean_diameter")
    limit = _fatigue_limit(bench)
    if loaded is None or kappa is None or diameter is None or limit is None:
        return None
    ep = "ep" in bench.case.grease.additives
    value = float(formula(loaded.family, kappa, cleanliness(bench), diameter, limit, loaded.load, ep))
    working = (f"κ {shown(kappa, 2)}, e_C {bench.number('contamination_factor') or 0:.2f}, C_u {limit:.0f} N, "
               f"P {loaded.load:.0f} N{', EP' if ep else ''}: a_ISO = {shown(value, 2)}"
               + (_on_yellow_metal(bench) if ep else ""))
    source = f"ISO 281:2007, 9.3.3 ({a_iso_confidence(loaded.family)})"
    return computed("life_factor", value, "", working, source)


@step("modified_life")
def modified_life(bench: Bench) -> Computed | None:
    from diag.tribology.life import modified_life_hours

    basic, factor = bench.number("basic_life"), bench.number("life_factor")
    if basic is None or factor is None:
        return None
    value = float(modified_life_hours(basic, factor))
    working = f"{shown(factor, 2)} × {basic:.0f} h = {value:.0f} h{_cost_of_oil(bench)}"
    return computed("modified_life", value, "h", working, ISO_281)


def _cost_of_oil(bench: Bench) -> str:
    """What a thinner oil than the specified one costs, as a share of the life that one would give; in words."""
    from diag.tribology.life import life_ratio

    loaded, kappa, diameter = _loaded(bench), bench.number("viscosity_ratio"), bench.number("mean_diameter")
    limit, specified = _fatigue_limit(bench), _specified_ratio(bench)
    if loaded is None or kappa is None or diameter is None or limit is None or specified is None:
        return ""
    wanted, whose = specified
    if kappa >= wanted:
        return f"; {whose} asks for κ {shown(wanted, 2)}: no life is lost by the oil"
    share = float(life_ratio(loaded.family, kappa, wanted, cleanliness(bench), diameter, limit, loaded.load))
    return (f"; with the oil that {whose} asks for (κ {shown(wanted, 2)}) {shown(1 / share, 2)} times that, "
            "EP on neither side")


def _specified_ratio(bench: Bench) -> tuple[float, str] | None:
    """Viscosity ratio of the manual's oil where it runs; else the middle of the window a specification takes."""
    from diag.compute.film import viscosity

    manual, oil, running = bench.case.point.manual, bench.oil, bench.running
    reference = bench.number("reference_viscosity")
    if manual.viscosity_40 is not None and oil is not None and running is not None and reference is not None:
        there = viscosity(oil._replace(v40=manual.viscosity_40), running[0])[0]
        return there / reference, "the manual"
    table = bench.knowledge.standard("specification")
    least, most = (float(table[name]["value"]) for name in ("viscosity_ratio_least", "viscosity_ratio_most"))
    return float((least * most) ** 0.5), "the specification"


def _on_yellow_metal(bench: Bench) -> str:
    """A warning beside the credit for EP, where it may attack the cage."""
    limit = bench.knowledge.standard("specification")["yellow_metal_over"]
    running = bench.running
    if bench.case.point.bearing.cage != "brass" or running is None or running[0] <= limit["value"]:
        return ""
    return (f"; but over {limit['value']} °C EP may attack the brass cage "
            f"({bench.knowledge.cite(tuple(limit['source']), limit['confidence'])})")


@step("limiting_factor")
def limiting_factor(bench: Bench) -> Computed | None:
    """Film, dirt or load: the one whose improvement would lengthen the life most."""
    from diag.tribology.life import limiting_factor as formula

    loaded, kappa, diameter = _loaded(bench), bench.number("viscosity_ratio"), bench.number("mean_diameter")
    limit = _fatigue_limit(bench)
    if loaded is None or kappa is None or diameter is None or limit is None:
        return None
    found = formula(loaded.family, kappa, cleanliness(bench), diameter, limit, loaded.load)
    gains = ", ".join(f"{what} × {shown(gain, 2)}" for what, gain in found.gains.items())
    working = f"life gained by improving each: {gains}"
    return computed("limiting_factor", found.by, "", working, f"{ISO_281}; judgement")


def cleanliness(bench: Bench) -> str:
    """Class of cleanliness of ISO 281 from sealing and surroundings (judgement), noted as an assumption."""
    bearing, exposure = bench.case.point.bearing, set(bench.case.point.exposure)
    wet = bool(exposure & {"wash_down", "submerged", "splash"})
    if bearing.sealing == "sealed":
        level = "high"
    elif "dust" in exposure:
        level = "very_severe" if wet else "severe"
    else:
        level = "slight_to_typical" if wet or bearing.sealing == "open" or not exposure else "normal"
    bench.assume(f"cleanliness for the life: {level.replace('_', ' ')}, from sealing and surroundings")
    return level


def _loaded(bench: Bench) -> Loaded | None:
    """None unless type, rating, force and speed are stated."""
    from diag.tribology.life import FAMILY_OF

    point = bench.case.point
    bearing, force = point.bearing, point.load.force
    if bearing.type is None or not bearing.dynamic_rating or not force or not point.speed:
        return None
    return Loaded(FAMILY_OF[bearing.type], bearing.dynamic_rating, force, point.speed)


def _fatigue_limit(bench: Bench) -> float | None:
    """Fatigue load limit [N]: stated, else from the static rating."""
    from diag.tribology.life import FAMILY_OF, fatigue_load_limit

    bearing, diameter = bench.case.point.bearing, bench.number("mean_diameter")
    if bearing.fatigue_load_limit is not None:
        return bearing.fatigue_load_limit
    if bearing.type is None or bearing.static_rating is None or diameter is None:
        return None
    bench.assume("the fatigue load limit follows from the static rating (ISO 281, annex B, simplified)")
    return float(fatigue_load_limit(FAMILY_OF[bearing.type], bearing.static_rating, diameter))
