"""Regreasing intervals, their corrections, grease life."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tribology_checks import agree, points
from tribology_tables import called

from diag.errors import InputError
from diag.knowledgebase.loader import standard
from diag.tribology import grease_life, interval
from diag.tribology.common import Factor
from diag.tribology.interval import Service

TABLE = standard("interval")
BASE = Service("deep_groove_ball", rpm=1450, bore=50, outside=110, temperature=70)
TYPES = ("deep_groove_ball", "cylindrical_roller", "spherical_roller", "thrust_ball")
SERVICES = st.builds(
    Service,
    bearing_type=st.sampled_from(TYPES), rpm=st.floats(20, 3000), bore=st.floats(10, 80), outside=st.floats(90, 180),
    temperature=st.floats(20, 120), shaft=st.sampled_from(("horizontal", "inclined", "vertical")),
    dirt=st.sampled_from(("low", "medium", "high", "severe")),
    water=st.sampled_from(("none", "damp", "splash", "washed")),
    shaking=st.sampled_from(("none", "moderate", "high")),
)  # fmt: skip


def factor_of(found: interval.Interval, name: str) -> float:
    return next((f.value for f in found.factors if f.name == name), 1.0)


def bearing_k(bearing_type: str) -> float:
    base = interval.by_handbook(replace(BASE, bearing_type=bearing_type), TABLE).base_hours
    return base / float(interval.basic_hours(BASE.rpm, BASE.bore, 1.0))


def factor_used(name: str, **changes: Any) -> float:
    return factor_of(interval.by_handbook(replace(BASE, **changes), TABLE), name)


def sheet_factor(dirt: str) -> float:
    return factor_of(interval.by_environment_sheet(replace(BASE, dirt=dirt), TABLE), "dirt")


def longest_interval() -> float:
    return interval.by_handbook(replace(BASE, rpm=1, temperature=30), TABLE).hours


def trade_heat_factor(temperature_f: float) -> float:
    celsius = (temperature_f - 32) / 1.8
    return factor_of(interval.by_trade_factors(replace(BASE, temperature=celsius), TABLE), "temperature")


def trade_product(**changes: Any) -> float:
    found = interval.by_trade_factors(replace(BASE, **changes), TABLE)
    return found.hours / float(interval.basic_hours(BASE.rpm, BASE.bore, 1.0))


def forecast_ratio(temperature: float, s1: float, s2: float) -> float:
    lives = [float(grease_life.forecast_hours(temperature, s)) for s in (s1, s2)]
    return lives[1] / lives[0]


LOCAL = {f.__name__: f for f in (bearing_k, factor_used, sheet_factor, longest_interval, trade_heat_factor,
                                 trade_product, forecast_ratio)}  # fmt: skip


@pytest.mark.parametrize("check", points("interval", "published"))
def test_agrees_with_published_number(check: dict[str, Any]) -> None:
    agree(called(check, LOCAL), check)


@pytest.mark.parametrize("check", points("interval", "computed"))
def test_agrees_with_formula_record(check: dict[str, Any]) -> None:
    agree(called(check, LOCAL), check)


@pytest.mark.parametrize("check", points("interval", "from-memory"))
def test_transcription_from_memory(check: dict[str, Any]) -> None:
    agree(called(check, LOCAL), check)


def test_rule_numbers_of_the_code_are_those_of_the_table() -> None:
    heat = TABLE["adjustments"]["temperature"]
    assert interval.temperature_factor(heat["from"]) == 1.0
    assert interval.temperature_factor(heat["from"] + heat["halving_step"]) == 0.5
    assert interval.temperature_factor(-40.0) == heat["most"]
    assert TABLE["grease_life"]["share_of_life"]["factor"] == grease_life.LIFE_SHARE


@settings(max_examples=60)
@given(SERVICES, st.floats(20, 120))
def test_hotter_is_never_longer(service: Service, other: float) -> None:
    cool, hot = sorted((service.temperature or 70.0, other))
    at = [interval.side_by_side(replace(service, temperature=t), TABLE) for t in (cool, hot)]
    assert all(h.hours <= c.hours + 1e-9 for c, h in zip(*at, strict=True))


@settings(max_examples=60)
@given(SERVICES)
def test_dirt_water_shaking_and_a_vertical_shaft_only_shorten(service: Service) -> None:
    clean = replace(service, dirt="low", water="none", shaking="none", shaft="horizontal")
    pairs = zip(interval.side_by_side(service, TABLE), interval.side_by_side(clean, TABLE), strict=True)
    assert all(0 < worse.hours <= better.hours for worse, better in pairs)


@settings(max_examples=60)
@given(SERVICES)
def test_hours_are_base_times_factors_and_never_over_the_cap(service: Service) -> None:
    for found in interval.side_by_side(service, TABLE):
        product = found.base_hours * float(np.prod([f.value for f in found.factors]))
        assert found.hours == pytest.approx(min(product, 30_000))
        assert all(isinstance(f, Factor) and f.source and f.why for f in found.factors)


@settings(max_examples=60)
@given(SERVICES)
def test_wet_or_dirty_gains_nothing_from_being_cool(service: Service) -> None:
    fouled = replace(service, dirt="medium", water="damp")
    at = [interval.by_handbook(replace(fouled, temperature=t), TABLE).hours for t in (20.0, 70.0)]
    assert at[0] == at[1]


def test_dirt_and_water_count_once_by_the_stronger() -> None:
    both = interval.by_handbook(replace(BASE, dirt="medium", water="washed"), TABLE)
    assert [(f.name, f.value) for f in both.factors] == [("water", 0.3)]


def test_thrust_bearing_is_not_extended_when_cool() -> None:
    assert factor_used("temperature", bearing_type="thrust_ball", temperature=40) == 1.0
    assert factor_used("temperature", temperature=40) == 2.0


def test_large_bore_and_brass_cage_each_halve() -> None:
    big = Service("cylindrical_roller", rpm=100, bore=320, outside=480, temperature=70, cage="brass")
    found = interval.by_handbook(big, TABLE)
    assert [(f.name, f.value) for f in found.factors] == [("bore", 0.5), ("cage", 0.5)]


def test_turning_outer_ring_counts_its_own_diameter() -> None:
    assert interval.outer_ring_speed(1000.0, 50.0, 110.0) == pytest.approx(1000 * 110 / 80)
    turning = interval.by_handbook(replace(BASE, turning_ring="outer"), TABLE)
    assert turning.hours < interval.by_handbook(BASE, TABLE).hours


def test_missing_temperature_is_the_base_case() -> None:
    assert interval.by_handbook(replace(BASE, temperature=None), TABLE).factors == ()
    assert interval.by_trade_factors(replace(BASE, temperature=None), TABLE).factors == ()


def test_notes_name_cap_heat_dirt_and_heavy_load() -> None:
    notes = " ".join(interval.by_handbook(replace(BASE, rpm=1, temperature=105, dirt="severe", load=4000,
                                                  dynamic_rating=12_000), TABLE).notes)  # fmt: skip
    assert all(words in notes for words in ("held at 30000 h", "above 100 °C", "severe dirt", "C/P below 4"))


def test_memory_marked_methods_say_so_and_do_not_lead() -> None:
    found = interval.side_by_side(BASE, TABLE)
    assert [i.confidence for i in found] == ["cross-checked", "cross-checked", "from-memory", "from-memory"]
    assert interval.spread(found).typical == found[0].hours


def test_spread_spans_all_methods() -> None:
    found = interval.side_by_side(replace(BASE, temperature=85), TABLE)
    span = interval.spread(found)
    assert (span.low, span.high) == (min(i.hours for i in found), max(i.hours for i in found))
    assert span.low < span.typical


def test_forecast_leaves_other_types_out() -> None:
    assert len(interval.side_by_side(replace(BASE, bearing_type="spherical_roller"), TABLE)) == 3


def test_load_shortens_the_forecast() -> None:
    light, heavy = (interval.by_grease_life(replace(BASE, load=p, dynamic_rating=30_000), TABLE) for p in (500, 5000))
    assert heavy.hours < light.hours


def test_load_term_is_the_pound_formula() -> None:
    newton = 4.4482216
    assert grease_life.load_term(75_000.0, 500 * newton, 5000 * newton) == pytest.approx(0.61 * 75_000 * 500 / 5000**2)


def test_speed_limit_between_printed_loads_lies_between_their_limits() -> None:
    at_11 = interval.speed_limit(TABLE, "deep_groove_ball", 11.0).typical
    assert 400_000 < at_11 < 500_000
    assert interval.speed_limit(TABLE, "deep_groove_ball", 2.0).typical == 300_000


@pytest.mark.parametrize(
    ("velocity", "shock", "level"),
    [
        (None, False, "none"), (3.0, False, "none"), (7.0, False, "moderate"), (20.0, False, "high"),
        (None, True, "high"),
    ],
)  # fmt: skip
def test_shaking_levels(velocity: float | None, shock: bool, level: str) -> None:
    assert interval.shaking_level(TABLE, velocity, shock) == level


@given(st.lists(st.tuples(st.floats(10, 1500), st.floats(10, 100)), min_size=1, max_size=5))
def test_arrays_give_what_floats_give(pairs: list[tuple[float, float]]) -> None:
    n, d = (np.array(column) for column in zip(*pairs, strict=True))
    for fn in (
        lambda n, d: interval.basic_hours(n, d, 10.0),
        lambda n, d: interval.basic_speed_limit(d),
        lambda n, d: interval.temperature_factor(d),
        lambda n, d: interval.outer_ring_speed(n, d, 2 * d),
        lambda n, d: interval.grams_per_1000_h(d, n),
        lambda n, d: grease_life.forecast_hours(d, 0.5),
        lambda n, d: grease_life.halved(n, 70.0, d),
        lambda n, d: grease_life.oxidation_speedup(70.0, d),
    ):
        each = [fn(float(x), float(y)) for x, y in pairs]
        assert all(isinstance(value, float) for value in each)
        assert fn(n, d) == pytest.approx(each, rel=1e-12)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: interval.basic_hours(3600.0, 100.0, 1.0), "speed 3600 r/min: the interval formula ends at 3500 r/min"),
        (lambda: interval.basic_hours(0.0, 100.0, 1.0), "speed 0 r/min: give a value above 0"),
        (lambda: interval.by_handbook(replace(BASE, dirt="muddy"), TABLE), "dirt 'muddy': give one of low, medium"),
        (lambda: interval.by_handbook(replace(BASE, bearing_type="plain"), TABLE), "bearing type 'plain'"),
        (lambda: interval.by_grease_life(replace(BASE, temperature=None), TABLE), "deep groove ball bearing and its"),
        (lambda: interval.spread([]), "no method holds"),
        (lambda: interval.speed_limit(TABLE, "plain", 8.0), "none is published for plain"),
        (lambda: interval.grams_per_day(5.0, 25.0), "a day has 24"),
        (lambda: interval.shaking_level(TABLE, -1.0), "vibration velocity -1 mm/s: give 0 or more"),
        (lambda: grease_life.forecast_hours(-80.0), "temperature -80 °C: give -50 or more"),
    ],
)
def test_bad_input_is_one_clear_line(call: Any, words: str) -> None:
    with pytest.raises(InputError) as fault:
        call()
    assert words in str(fault.value)
