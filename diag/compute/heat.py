"""Friction, the temperature it should lead to, how long grease lasts at it: estimates, with their bands."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from diag.case.model import Case
from diag.compute.bench import Bench, computed, hundreds, step
from diag.compute.interval import service_of
from diag.compute.lately import greased_lately
from diag.compute.temperature import LASTING_HEAT, usual_temperature
from diag.errors import InputError
from diag.findings import Computed
from diag.numbertext import shown

if TYPE_CHECKING:
    from diag.knowledgebase.knowledge import Knowledge
    from diag.tribology._ranges import Array
    from diag.tribology.common import Span
    from diag.tribology.heat import Unknowns

__all__ = ["DRAWS", "Explanation", "drawn_temperatures", "explanation"]

HALVED_FROM = 70.0  # °C, as the makers' rules
THRUST = ("thrust_ball", "thrust_roller")
DRAWS = 2000  # a 5 to 95 % band good to about half a kelvin; takes some 5 ms
SOURCE = "heat balance of ISO 15312 and friction factors, bearing maker (judgement)"


class Heated(NamedTuple):
    """A bearing that rubs: its surface, and the ranges of what isn't known of it."""

    speed: float  # rpm
    diameter: float  # dm, mm
    area: float  # mm²
    unknowns: Unknowns


class Explanation(NamedTuple):
    """How far speed, load, oil, fill and surroundings explain a measured temperature [°C]."""

    measured: float
    low: float
    high: float
    share_below: float  # share of the drawn temperatures below the measured one [-]
    fresh: bool  # greased within a day, so that fresh grease is in the band


@step("friction_power")
def friction_power(bench: Bench) -> Computed | None:
    """Power that turns into heat, at the viscosity where it runs and the grease settled."""
    from diag.tribology import friction as formulas

    viscosity = bench.number("viscosity_at_running")
    heated = _heated(bench, _surroundings(bench) or (0.0, 0.0))
    if heated is None or viscosity is None:
        return None
    f0, f1, load = heated.unknowns.f0, heated.unknowns.f1, heated.unknowns.load

    def power(drag: float, factor: float, force: float) -> float:
        moment = formulas.viscous_moment(drag, viscosity, heated.speed, heated.diameter)
        moment = moment + formulas.load_moment(factor, force, heated.diameter)
        return float(formulas.friction_power(moment, heated.speed))

    value = power(float((f0[0] * f0[1]) ** 0.5), sum(f1) / 2, sum(load) / 2)
    low, high = (power(f0[end], f1[end], load[end]) for end in (0, 1))
    working = (f"f0 {shown(f0[0], 2)} to {shown(f0[1], 2)}, f1 {shown(f1[0], 2)} to {shown(f1[1], 2)}, "
               f"ν {shown(viscosity)} mm²/s, "
               f"{heated.speed:g} rpm, load {load[0]:.0f} to {load[1]:.0f} N: {shown(low, 2)} to {shown(high, 2)} W")
    return computed("friction_power", value, "W", working, SOURCE, (low, high))


@step("expected_temperature")
def expected_temperature(bench: Bench) -> Computed | None:
    """Where friction and cooling balance, the grease settled; not for a point that is heated from outside."""
    span, around = _span(bench), _surroundings(bench)
    if span is None or around is None:
        return None
    working = (f"friction against cooling in {around[0]:.0f} to {around[1]:.0f} °C, {DRAWS} draws over what isn't "
               f"known: {span.low:.0f} to {span.high:.0f} °C once the grease has settled, good to about half of "
               "the rise")
    if greased_lately(bench.case) and (fresh := _span(bench, fresh=True)) is not None:
        working += f"; freshly greased, as it is now, {fresh.low:.0f} to {fresh.high:.0f} °C"
    return computed("expected_temperature", span.typical, "°C", working, SOURCE, (span.low, span.high))


def explanation(case: Case, knowledge: Knowledge) -> Explanation | None:
    """The measured temperature against what the balance gives; None without a reading or without a balance."""
    from diag.tribology import heat

    measured, fresh = case.point.running_temperature, greased_lately(case) is True
    drawn = drawn_temperatures(Bench(case, knowledge), fresh)
    if measured is None or drawn is None:
        return None
    span = heat.quantile_span(drawn)
    return Explanation(measured, span.low, span.high, heat.share_below(drawn, measured), fresh)


def drawn_temperatures(bench: Bench, fresh: bool = False) -> Array | None:
    """Temperatures [°C] the point may settle at, from a fixed seed; None where the balance doesn't hold."""
    from diag.tribology import heat

    oil, around = bench.oil, _surroundings(bench)
    if oil is None or around is None or LASTING_HEAT & set(bench.case.point.exposure):
        return None
    heated = _heated(bench, around, fresh)
    if heated is None:
        return None
    return heat.temperatures(heated.speed, heated.diameter, heated.area, oil.v40, hundreds(oil)[0], heated.unknowns,
                             DRAWS)


def _span(bench: Bench, fresh: bool = False) -> Span | None:
    from diag.tribology.heat import quantile_span

    drawn = drawn_temperatures(bench, fresh)
    return None if drawn is None else quantile_span(drawn)


@step("grease_life")
def grease_life(bench: Bench) -> Computed | None:
    """Forecast life of one charge, with other methods as its band; only for the bearings that it was tested on."""
    from diag.tribology import grease_life as formulas

    point, table = bench.case.point, bench.knowledge.standard("interval")["grease_life"]
    bearing, usual = point.bearing, usual_temperature(bench.case, bench.done)[0]
    limit = table["bore_speed_limit"].get(bearing.type or "")
    if limit is None or usual is None or not point.speed or bearing.bore is None:
        return None
    bore_speed = bearing.bore * point.speed
    terms = table["soap"]["value"] + float(formulas.speed_term(bore_speed, limit))
    if point.load.force is not None and bearing.dynamic_rating:
        terms += float(formulas.load_term(bore_speed, point.load.force, bearing.dynamic_rating))
    value = float(formulas.forecast_hours(usual, terms))
    others = dict(_other_lives(bench, usual, terms))
    working = f"log10 L = -2.60 + 2450 / (273 + {usual:.0f}) - 0.301 × {terms:.2f}: {value:.0f} h"
    working += "".join(f"; {name} {hours:.0f} h" for name, hours in others.items()) + _oxidises(bench, usual)
    band = (min(value, *others.values()), max(value, *others.values())) if others else None
    return computed("grease_life", value, "h", working, "Booser 1974, grease life forecast (from memory)", band)


def _other_lives(bench: Bench, usual: float, terms: float) -> Iterator[tuple[str, float]]:
    """Grease life [h] by other published rules: twice the clean interval; halved each 10 K instead of 15."""
    from diag.tribology import grease_life as formulas
    from diag.tribology.interval import by_handbook

    table = bench.knowledge.standard("interval")
    service = service_of(bench.case, usual, table)
    if service is not None:
        try:
            clean = by_handbook(replace(service, dirt="low", water="none", shaking="none"), table)
        except InputError:  # over the speed at which the interval formula ends
            pass
        else:
            yield "twice the handbook interval in a clean place (bearing maker A)", clean.hours / formulas.LIFE_SHARE
    if usual > HALVED_FROM:
        start = formulas.forecast_hours(HALVED_FROM, terms)
        yield (f"halved each 10 K over {HALVED_FROM:.0f} °C (bearing maker D)",
               float(formulas.halved(start, HALVED_FROM, usual, 10.0)))


def _oxidises(bench: Bench, usual: float) -> str:
    """How much faster its oil ages at the measured temperature than at the usual one, in words."""
    from diag.tribology.grease_life import oxidation_speedup

    measured, watch = bench.case.point.running_temperature, bench.knowledge.limits.baseline_watch.value
    if measured is None or measured <= usual + watch:
        return ""
    times = float(oxidation_speedup(usual, measured))
    return f"; at the measured {measured:.0f} °C oil ages {shown(times, 2)} times as fast (Khonsari and Booser 2003)"


def _heated(bench: Bench, around: tuple[float, float], fresh: bool = False) -> Heated | None:
    """None unless type, speed, three sizes and a load or rating are stated."""
    from diag.tribology import heat

    point = bench.case.point
    bearing, rating = point.bearing, point.bearing.dynamic_rating
    if not bench.rolling or bearing.type is None or not point.speed:
        return None
    if bearing.bore is None or bearing.outside is None or bearing.width is None:
        return None
    if rating is None and point.load.force is None:
        return None
    balance = bench.knowledge.standard("heat_balance")
    load = heat.load_ends(balance, point.load.level, rating, point.load.force)
    if point.load.force is None:
        bench.assume(f"the load is {load[0]:.0f} to {load[1]:.0f} N, a share of the dynamic rating")
    area = float(heat.reference_area(bearing.bore, bearing.outside, bearing.width, bearing.type in THRUST))
    unknowns = heat.unknowns_for(
        balance, bench.knowledge.standard("friction_factors"), bearing.type, area, load, around,
        bearing.static_rating, fresh, bearing.bore, bearing.width)
    return Heated(point.speed, (bearing.bore + bearing.outside) / 2, area, unknowns)


def _surroundings(bench: Bench) -> tuple[float, float] | None:
    """Coldest and hottest surroundings [°C]; one of them stands for both."""
    around = bench.case.point.surroundings
    known = [t for t in (around.coldest, around.hottest) if t is not None]
    return (min(known), max(known)) if known else None
