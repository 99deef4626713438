"""When to regrease: published methods side by side, each with the corrections it used.

The base formula and the single factors take floats or numpy arrays; `side_by_side` works on one point. The
table is knowledge/standards/interval.yaml, handed in as plain data. Corrections only ever shorten, but for a
cool, clean and dry bearing, which may go twice as long; nothing is shortened "to be on the safe side", since
too much grease is itself a common cause of failure.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from diag.errors import InputError
from diag.tribology import grease_life
from diag.tribology._ranges import Reals, Result, plain
from diag.tribology.common import Factor, Span, require_at_least, require_positive

__all__ = [
    "Interval", "Service", "basic_hours", "basic_speed_limit", "by_environment_sheet", "by_grease_life",
    "by_handbook", "by_trade_factors", "grams_per_1000_h", "grams_per_day", "outer_ring_speed",
    "shaking_level", "side_by_side", "speed_limit", "spread", "temperature_factor",
]  # fmt: skip

CONFIDENCES = ("verified", "cross-checked", "common-practice", "judgement", "from-memory")  # best to weakest


@dataclass(frozen=True, slots=True)
class Service:
    """What a bearing point does, as far as the interval methods ask.

    rpm [r/min]; bore, outside [mm]; temperature at the outer ring [°C], None = taken as 70 or less;
    dirt low | medium | high | severe; water none | damp | splash | washed; shaking none | moderate | high;
    load, dynamic_rating [N].
    """

    bearing_type: str
    rpm: float
    bore: float
    outside: float
    temperature: float | None = None
    shaft: str = "horizontal"
    turning_ring: str = "inner"
    dirt: str = "low"
    water: str = "none"
    shaking: str = "none"
    cage: str | None = None
    load: float | None = None
    dynamic_rating: float | None = None


class Interval(NamedTuple):
    """Result of one method: hours [h] = the smaller of base × factors and the cap; what to keep in mind."""

    method: str
    hours: float
    base_hours: float
    factors: tuple[Factor, ...]
    notes: tuple[str, ...]
    source: tuple[str, ...]
    confidence: str


def basic_hours(rpm: Reals, bore: Reals, k: Reals) -> Result:
    """Interval of a bearing at 70 °C or less, clean, horizontal: t = K·(14e6/(n·√d) − 4·d).

    rpm: n [r/min]; bore: d [mm]; k: K [-]: 10 radial ball, 5 cylindrical and needle roller, 1 spherical,
    tapered and thrust.
    Returns interval [h], not yet capped. Range: n below 3.5e6/d^1.5.
    Raises InputError for values not above 0, or at a speed where the formula gives no positive time.
    Source: The Tribology Handbook, A20.5, table 20.4; German guide to regreasing intervals.

    >>> round(float(basic_hours(1000.0, 100.0, 10.0)))
    10000
    """
    require_positive("r/min", speed=rpm)
    require_positive("mm", bore=bore)
    require_positive("", bearing_factor=k)
    hours = np.asarray(k) * (14e6 / (np.asarray(rpm) * np.sqrt(bore)) - 4 * np.asarray(bore))
    if not np.all(hours > 0):
        most = float(np.min(basic_speed_limit(bore)))
        raise InputError(f"speed {float(np.max(rpm)):g} r/min: the interval formula ends at {most:.0f} r/min")
    return plain(hours)


def basic_speed_limit(bore: Reals) -> Result:
    """Speed at which the basic formula reaches zero: n = 3.5e6/d^1.5.

    bore: d [mm]. Returns speed [r/min]. Raises InputError for a bore not above 0. Source: 14e6/(n·√d) = 4·d.

    >>> round(float(basic_speed_limit(100.0)))
    3500
    """
    require_positive("mm", bore=bore)
    return plain(3.5e6 / np.asarray(bore, dtype=float) ** 1.5)


def temperature_factor(temperature: Reals, extends: bool = True) -> Result:
    """Correction for heat: halved per 15 K over 70 °C; below 70 °C longer, at most double.

    temperature: at the outer ring [°C]; extends: whether a cool bearing may go longer (not: thrust bearings,
    full complement, wet or dirty points) [-].
    Returns factor [-], at most 2. Range: up to 100 °C for standard greases, above that extrapolated.
    Source: bearing maker B, adjustments of relubrication intervals; confirmed by two others.

    >>> temperature_factor(85.0), temperature_factor(30.0)
    (0.5, 2.0)
    """
    factor = 2.0 ** ((70.0 - np.asarray(temperature)) / 15.0)
    return plain(np.minimum(factor, 2.0 if extends else 1.0))


def outer_ring_speed(rpm: Reals, bore: Reals, outside: Reals) -> Result:
    """Speed to calculate with when the outer ring turns: n·D/dm, so that n·D stands for n·dm.

    rpm: n [r/min]; bore: d [mm]; outside: D [mm].
    Returns speed [r/min], above n. Raises InputError for values not above 0. Source: bearing maker B.
    """
    require_positive("r/min", speed=rpm)
    require_positive("mm", bore=bore, outside_diameter=outside)
    return plain(np.asarray(rpm) * 2 * np.asarray(outside) / (np.asarray(bore) + outside))


def shaking_level(table: Mapping[str, Any], velocity: float | None, shock: bool = False) -> str:
    """Vibration as a level: none below 5.1 mm/s peak, moderate, high from 10.2; shock load is high.

    table: interval.yaml [-]; velocity: peak vibration velocity [mm/s] or None; shock: shock load [-].
    Returns none | moderate | high. Raises InputError for a velocity below 0.
    Source: trade-press factors (0.2 and 0.4 in/s, from memory).
    """
    if shock:
        return "high"
    if velocity is None:
        return "none"
    require_at_least(0, "mm/s", vibration_velocity=velocity)
    steps = table["vibration_levels"]["steps"]
    return str(next(s["level"] for s in steps if s["below"] is None or velocity < s["below"]))


def by_handbook(service: Service, table: Mapping[str, Any]) -> Interval:
    """Handbook formula with bearing maker B's adjustments, and maker C's for moisture and shaking.

    service: the point [-]; table: interval.yaml [-].
    Returns Interval [h]; moisture and dirt act on the grease alike, so only the stronger of the two counts.
    Raises InputError where the base formula doesn't hold or a word isn't in the table.
    Source: The Tribology Handbook A20.5; bearing makers B and C.
    """
    rules = table["adjustments"]
    sheet = table["environment_sheet"]
    dirt = _worded("dirt", service.dirt, rules["dirt"])
    factors = (
        _heat(service, table),
        _worded("shaft", service.shaft, rules["shaft"]),
        min(dirt, _sheet_factor(sheet["surroundings"], table, "water", service.water), key=_value_of),
        _sheet_factor(sheet["stress"], table, "shaking", service.shaking),
        *_build(service, rules),
    )
    return _result("handbook with maker adjustments", _base(service, table), factors, service, table)


def by_environment_sheet(service: Service, table: Mapping[str, Any]) -> Interval:
    """Handbook formula with bearing maker C's two factors: surroundings; shock, vibration or vertical shaft.

    service: the point [-]; table: interval.yaml [-].
    Returns Interval [h]; within each factor the worst counts.
    Raises InputError where the base formula doesn't hold or a word isn't in the table.
    Source: bearing maker C, lubrication sheet; temperature as bearing maker B.
    """
    sheet = table["environment_sheet"]
    dirt = _sheet_factor(sheet["surroundings"], table, "dirt", service.dirt)
    water = _sheet_factor(sheet["surroundings"], table, "water", service.water)
    stress = [_sheet_factor(sheet["stress"], table, "shaking", service.shaking)]
    if service.shaft == "vertical":
        stress.append(_factor("shaft", sheet["stress"]["moderate"], "shaft vertical", sheet))
    factors = (_heat(service, table), min(dirt, water, key=_value_of), min(stress, key=_value_of))
    return _result("handbook with a two-factor sheet", _base(service, table), factors, service, table)


def by_trade_factors(service: Service, table: Mapping[str, Any]) -> Interval:
    """Trade-press form K = Ft·Fc·Fm·Fv·Fp·Fd on the same base. Guidance only, harsher than makers.

    service: the point [-]; table: interval.yaml [-]. Returns Interval [h]; all factors multiply, as printed.
    Raises InputError where the base formula doesn't hold or a word isn't in the table.
    Source: widely reprinted trade-press table; no acceptable source found (from memory).
    """
    trade = table["trade_factors"]
    # No reading stands for the base case, in which this table doesn't derate.
    fahrenheit = 32.0 if service.temperature is None else 1.8 * service.temperature + 32
    heat = next(r["factor"] for r in trade["temperature_f"] if r["to"] is None or fahrenheit <= r["to"])
    words = ((what, getattr(service, what)) for what in ("dirt", "water", "shaking", "shaft"))
    factors = (
        _factor("temperature", heat, f"{fahrenheit:.0f} °F", trade),
        *(_factor(what, _value(trade[what], word, what), f"{what} {word}", trade) for what, word in words),
    )
    result = _result("trade-press factors", _base(service, table), factors, service, table)
    return result._replace(confidence=trade["confidence"])


def by_grease_life(service: Service, table: Mapping[str, Any]) -> Interval:
    """Half the forecast grease life. From memory: guidance only.

    service: the point, a deep groove ball bearing with a temperature [-]; table: interval.yaml [-].
    Returns Interval [h]; heat is in the life itself, dirt and water as bearing makers B and C.
    Raises InputError for other types or without a temperature: the forecast was tested on neither.
    Source: Booser 1974 (equation from memory); half of it: bearing maker A.
    """
    limits = table["grease_life"]["bore_speed_limit"]
    if service.bearing_type not in limits or service.temperature is None:
        raise InputError("grease life forecast: it needs a deep groove ball bearing and its temperature")
    bore_speed = service.bore * service.rpm
    s = table["grease_life"]["soap"]["value"] + float(
        grease_life.speed_term(bore_speed, limits[service.bearing_type])
    )
    if service.load is not None and service.dynamic_rating is not None:
        s += float(grease_life.load_term(bore_speed, service.load, service.dynamic_rating))
    base = float(grease_life.interval_from_life(grease_life.forecast_hours(service.temperature, s)))
    factors = tuple(f for f in by_handbook(service, table).factors if f.name != "temperature")
    result = _result("half the forecast grease life", base, factors, service, table)
    return result._replace(source=("booser74", "mk_a", *result.source), confidence="from-memory")


def side_by_side(service: Service, table: Mapping[str, Any]) -> tuple[Interval, ...]:
    """All methods that hold for this point, the best founded first.

    service: the point [-]; table: interval.yaml [-]. Returns the intervals [h]; a method outside its range is
    left out. Raises InputError when the basic formula itself is outside its range.
    Source: see the methods.
    """
    found = [method(service, table) for method in (by_handbook, by_environment_sheet, by_trade_factors)]
    if service.bearing_type in table["grease_life"]["bore_speed_limit"] and service.temperature is not None:
        found.append(by_grease_life(service, table))
    return tuple(found)


def spread(intervals: Sequence[Interval]) -> Span:
    """What the methods span: lowest and highest, and the first, best-founded one as the typical value.

    intervals: from side_by_side [h]. Returns Span [h]. Raises InputError when there is none.
    Source: comparison of the methods.
    """
    if not intervals:
        raise InputError("interval spread: no method holds for this point")
    hours = [i.hours for i in intervals]
    return Span(min(hours), hours[0], max(hours), intervals[0].source, intervals[0].confidence)


def speed_limit(table: Mapping[str, Any], bearing_type: str, load_ratio: float) -> Span:
    """n·dm a greased bearing stands at fair intervals, by load; over the published designs of the type.

    table: interval.yaml [-]; bearing_type: word of the case file [-]; load_ratio: C/P [-].
    Returns limit [mm r/min]: straight in log C/P between 15, 8 and 4; held at the end values outside. Below
    C/P 4 feed all the time or use oil. Raises InputError for a type not listed or a ratio not above 0.
    Source: bearing maker B, 2018.

    >>> rows = {"load_ratios": [15, 8, 4], "source": ["mk_b"], "confidence": "verified",
    ...         "rows": [{"type": "tapered_roller", "limits": [350000, 300000, 200000]}]}
    >>> speed_limit({"speed_limits": rows}, "tapered_roller", 8.0).typical
    300000.0
    """
    require_positive("", load_ratio=load_ratio)
    limits = table["speed_limits"]
    rows = [r for r in limits["rows"] if r["type"] == bearing_type]
    if not rows:
        raise InputError(f"speed limit in grease: none is published for {bearing_type}")
    at = np.log(limits["load_ratios"][::-1])
    found = [float(np.interp(math.log(load_ratio), at, r["limits"][::-1])) for r in rows]
    source = tuple(limits["source"])
    return Span(min(found), sum(found) / len(found), max(found), source, limits["confidence"])


def grams_per_1000_h(amount: Reals, interval: Reals) -> Result:
    """Rate of feeding: 1000·G/t.

    amount: G each time [g]; interval: t [h].
    Returns rate [g per 1000 h]. Raises InputError for values not above 0. Source: definition.

    >>> grams_per_1000_h(12.5, 2500.0)
    5.0
    """
    require_positive("g", amount=amount)
    require_positive("h", interval=interval)
    return plain(1000 * np.asarray(amount) / interval)


def grams_per_day(rate: Reals, hours_per_day: Reals = 24.0) -> Result:
    """Setting of a lubricator: rate·h/1000.

    rate: [g per 1000 h of running]; hours_per_day: running hours a day [h], above 0, at most 24.
    Returns grams per day [g]. Raises InputError outside that. Source: definition.

    >>> grams_per_day(5.0)
    0.12
    """
    require_positive("g per 1000 h", rate=rate)
    require_positive("h", hours_per_day=hours_per_day)
    if np.any(np.asarray(hours_per_day) > 24):
        raise InputError(f"running hours a day {float(np.max(hours_per_day)):g}: a day has 24")
    return plain(np.asarray(rate) * hours_per_day / 1000)


def _base(service: Service, table: Mapping[str, Any]) -> float:
    k = _value(table["bearing_k"]["values"], service.bearing_type, "bearing type")
    rpm = service.rpm
    if service.turning_ring == "outer":
        rpm = outer_ring_speed(service.rpm, service.bore, service.outside)
    return float(basic_hours(rpm, service.bore, k))


def _heat(service: Service, table: Mapping[str, Any]) -> Factor:
    """Temperature factor of the point; a wet, dirty or thrust bearing gains nothing from being cool."""
    rule = table["adjustments"]["temperature"]
    types = table["adjustments"]["not_extended"]["types"]
    extends = service.bearing_type not in types and service.dirt == "low" and service.water == "none"
    if service.temperature is None:
        return _factor("temperature", 1.0, "no temperature: taken as 70 °C", rule)
    why = f"{service.temperature:g} °C at the outer ring, halved per 15 K over 70 °C"
    return _factor("temperature", float(temperature_factor(service.temperature, extends)), why, rule)


def _build(service: Service, rules: Mapping[str, Any]) -> tuple[Factor, ...]:
    """Factors of the bearing itself: large bore, certain cages."""
    large, cage = rules["large_bore"], rules["cage"]
    found = []
    if service.bore > large["above"]:
        found.append(_factor("bore", large["factor"], f"bore above {large['above']} mm", large))
    if service.bearing_type in cage["types"] and service.cage in cage["cages"]:
        found.append(_factor("cage", cage["factor"], f"{service.cage} cage", cage))
    return tuple(found)


def _sheet_factor(values: Mapping[str, float], table: Mapping[str, Any], what: str, word: str) -> Factor:
    """A word of ours as a level of maker C's sheet."""
    level = _value(table["levels"][what], word, what)
    return _factor(what, values[level], f"{what} {word}", table["environment_sheet"])


def _worded(what: str, word: str, row: Mapping[str, Any]) -> Factor:
    return _factor(what, _value(row["values"], word, what), f"{what} {word}", row)


def _factor(name: str, value: float, why: str, row: Mapping[str, Any]) -> Factor:
    return Factor(name, float(value), why, tuple(row["source"]), row["confidence"])


def _value_of(factor: Factor) -> float:
    return factor.value


def _value(values: Mapping[str, Any], word: str, what: str) -> Any:
    if word not in values:
        raise InputError(f"{what} {word!r}: give one of {', '.join(values)}")
    return values[word]


def _result(
    method: str, base: float, factors: tuple[Factor, ...], service: Service, table: Mapping[str, Any]
) -> Interval:
    """Multiply, cap, and note what to keep in mind; the weakest part sets the confidence."""
    used = tuple(f for f in factors if f.value != 1.0)
    hours = base * math.prod(f.value for f in used)
    k = table["bearing_k"]
    sources = dict.fromkeys([*k["source"], *(s for f in used for s in f.source)])
    weakest = max((k["confidence"], *(f.confidence for f in used)), key=CONFIDENCES.index)
    capped = min(hours, float(table["cap"]["hours"]))
    return Interval(method, capped, base, used, _notes(service, table, hours), tuple(sources), weakest)


def _notes(service: Service, table: Mapping[str, Any], hours: float) -> tuple[str, ...]:
    cap, heat = table["cap"], table["adjustments"]["temperature"]
    notes = []
    if hours > cap["hours"]:
        notes.append(f"held at {cap['hours']} h: {cap['why']}")
    if service.temperature is not None and service.temperature > heat["ceiling"]:
        notes.append(f"above {heat['ceiling']} °C the temperature rule is extrapolated")
    if service.dirt == "severe":
        notes.append("severe dirt: feed so that the grease flushes outwards; no interval is published")
    if service.load and service.dynamic_rating and service.dynamic_rating / service.load < 4:
        notes.append("C/P below 4: feed all the time, or use oil")
    return tuple(notes)
