"""Pins, bushings and slideways."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tribology_checks import agree, points
from tribology_tables import called

from diag.errors import InputError
from diag.knowledgebase.loader import standard
from diag.tribology import pins, slides

TABLE = standard("plain_bearings")


def central_system_by_inches(shaft_in: float, length_in: float) -> float:
    return float(pins.central_system_cm3(pins.sliding_area(shaft_in * 25.4, length_in * 25.4)))


@pytest.mark.parametrize("check", points("pins", "published"))
def test_agrees_with_published_number(check: dict[str, Any]) -> None:
    agree(called(check, {"central_system_by_inches": central_system_by_inches}), check)


def test_film_of_the_code_is_that_of_the_table() -> None:
    film = TABLE["film_per_4_h"]
    assert (film["depth"], film["hours"]) == (pins.DEPTH_MM, pins.DEPTH_HOURS)


@given(st.floats(5, 300), st.floats(1, 100))
def test_full_swings_there_and_back_are_as_fast_as_two_turns(diameter: float, rate: float) -> None:
    turning = pins.sliding_speed(diameter, 2 * rate)
    assert pins.swing_speed(diameter, 360.0, rate) == pytest.approx(turning)


@given(st.floats(5, 300), st.floats(1, 180), st.floats(1, 100))
def test_speed_grows_with_swing_and_rate(diameter: float, angle: float, rate: float) -> None:
    once = pins.swing_speed(diameter, angle, rate)
    assert pins.swing_speed(diameter, 2 * angle, rate) == pytest.approx(2 * once)
    assert pins.swing_speed(diameter, angle, 3 * rate) == pytest.approx(3 * once)


@pytest.mark.parametrize(
    ("said", "material"),
    [
        ("CuSn8 bronze", "bronze"), ("hardened steel", "steel"), ("steel-backed PTFE liner", "ptfe_liner"),
        ("sintered bronze", "sintered"), ("GG-25", "cast_iron"), ("POM", "acetal"), ("PA66", "polyamide"),
        ("lignum vitae", "other"), ("", "other"), (None, "other"),
    ],
)  # fmt: skip
def test_bush_is_known_by_its_words(said: str | None, material: str) -> None:
    assert pins.bush_limits(TABLE, said).material == material


def test_limits_are_ordered_marked_from_memory_and_their_product_is_above_the_limit() -> None:
    for row in TABLE["bush_limits"]["rows"]:
        found = pins.bush_limits(TABLE, row["words"][0])
        spans = (found.pressure, found.speed, found.pressure_velocity)
        assert all(0 < s.low < s.high and s.confidence == "from-memory" for s in spans)
        # A bush can't stand its highest pressure at its highest speed.
        assert found.pressure_velocity.high < found.pressure.high * found.speed.high


def test_unknown_bush_is_judged_by_the_cautious_row() -> None:
    other = pins.bush_limits(TABLE, None)
    known = [pins.bush_limits(TABLE, row["words"][0]) for row in TABLE["bush_limits"]["rows"]]
    assert other.pressure.low <= min(k.pressure.low for k in known)


@pytest.mark.parametrize(
    ("share", "dirty", "wet", "duty"),
    [
        (0.1, False, False, "clean_and_light"), (0.5, False, False, "ordinary"), (None, False, False, "ordinary"),
        (1.2, False, False, "heavy_or_dirty"), (0.1, True, False, "heavy_or_dirty"), (0.1, True, True, "wet"),
    ],
)  # fmt: skip
def test_hardest_duty_counts(share: float | None, dirty: bool, wet: bool, duty: str) -> None:
    assert pins.duty_of(share, dirty, wet) == duty


def test_harder_duty_and_shorter_swing_are_greased_more_often() -> None:
    hours = [pins.interval_hours(TABLE, d).typical for d in ("wet", "heavy_or_dirty", "ordinary", "clean_and_light")]
    assert hours == sorted(hours)
    turning, short, long = (pins.interval_hours(TABLE, "ordinary", a) for a in (None, 20.0, 90.0))
    assert short.typical == turning.typical / 2 and long == turning
    assert short.confidence == "judgement"


def test_clearance_goes_with_the_diameter() -> None:
    assert pins.clearance_span(TABLE, 80.0)[:3] == pytest.approx((0.08, 0.24, 0.48))


def test_central_system_feeds_in_proportion_to_time() -> None:
    assert pins.central_system_cm3(1e4, 8.0) == pytest.approx(2 * pins.central_system_cm3(1e4))


def test_way_has_limits_of_its_own() -> None:
    found = slides.way_limits(TABLE)
    assert (found.pressure.high, found.speed.high, found.pressure_velocity.high) == (1.0, 0.5, 0.2)
    assert found.pressure.confidence == "from-memory"


@pytest.mark.parametrize(("speed", "slips"), [(0.0, False), (0.001, True), (0.02, False)])
def test_only_a_creeping_way_sticks_and_slips(speed: float, slips: bool) -> None:
    assert slides.may_stick_slip(TABLE, speed) is slips


@given(st.lists(st.tuples(st.floats(1, 360), st.floats(1, 500), st.floats(0, 1e5)), min_size=1, max_size=5))
def test_arrays_give_what_floats_give(rows: list[tuple[float, float, float]]) -> None:
    a, b, c = (np.array(column) for column in zip(*rows, strict=True))
    for fn in (
        lambda a, b, c: pins.specific_pressure(c, a, b),
        lambda a, b, c: pins.sliding_speed(b, a),
        lambda a, b, c: pins.swing_speed(b, a, c),
        lambda a, b, c: pins.pressure_velocity(a, b),
        lambda a, b, c: pins.sliding_area(a, b),
        lambda a, b, c: pins.clearance_volume_cm3(a, b, 0.2),
        lambda a, b, c: pins.central_system_cm3(a, b),
        lambda a, b, c: slides.contact_area(a, b),
        lambda a, b, c: slides.mean_pressure(c, a, b),
    ):
        each = [fn(*row) for row in rows]
        assert all(isinstance(value, float) for value in each)
        assert fn(a, b, c) == pytest.approx(each, rel=1e-12)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: pins.specific_pressure(-1.0, 60.0, 50.0), "force -1 N: give 0 or more"),
        (lambda: pins.specific_pressure(1.0, 60.0, 0.0), "pin length 0 mm: give a value above 0"),
        (lambda: pins.swing_speed(80.0, 400.0, 6.0), "swing angle 400 deg: give at most 360"),
        (lambda: pins.duty_of(-0.1, False, False), "pressure share -0.1: give 0 or more"),
        (lambda: pins.interval_hours(TABLE, "idle"), "duty 'idle': give one of clean_and_light, ordinary"),
        (lambda: pins.interval_hours(TABLE, "wet", 0.0), "swing angle 0 deg: give a value above 0"),
        (lambda: slides.mean_pressure(100.0, 0.0, 50.0), "slide length 0 mm: give a value above 0"),
        (lambda: slides.may_stick_slip(TABLE, -1.0), "sliding speed -1 m/s: give 0 or more"),
    ],
)
def test_bad_input_is_one_clear_line(call: Any, words: str) -> None:
    with pytest.raises(InputError) as fault:
        call()
    assert words in str(fault.value)
