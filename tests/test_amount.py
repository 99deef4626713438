"""Amounts of grease: top-up, free volume, fill, line, gun, purge."""

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
from diag.tribology import amount

BORE = st.floats(5, 500)
RATIO = st.floats(1.2, 3.0)  # outside diameter ÷ bore
WIDTH = st.floats(3, 200)


def ounces_for_inches(outside_in: float, width_in: float) -> float:
    return float(amount.replenishment_grams(outside_in * 25.4, width_in * 25.4)) / 28.349523


def bearing_fill_grams(volume_cm3: float, fill: float, density: float) -> float:
    return float(amount.first_fill_grams(volume_cm3, fill, 0.4, density).bearing_g)


LOCAL = {"ounces_for_inches": ounces_for_inches, "bearing_fill_grams": bearing_fill_grams}


@pytest.mark.parametrize("check", points("amount", "published"))
def test_agrees_with_published_number(check: dict[str, Any]) -> None:
    agree(called(check, LOCAL), check)


@pytest.mark.parametrize("check", points("amount", "computed"))
def test_agrees_with_formula_record(check: dict[str, Any]) -> None:
    agree(called(check, LOCAL), check)


def test_fill_above_half_a_million_is_the_transcribed_third() -> None:
    assert amount.bearing_fill_share(standard("replenishment"), 600_000) == 0.33


def test_constants_of_the_code_are_those_of_the_table() -> None:
    table = standard("replenishment")
    assert {key: row["factor"] for key, row in table["top_up"].items()} == amount.TOP_UP
    assert table["density"]["ordinary"]["value"] == amount.DENSITY


def test_table_of_free_volumes_has_its_rows_and_sum() -> None:
    rows = standard("free_volume")["rows"]
    assert (len(rows), sum(row["k"] for row in rows)) == (15, 601)


@given(BORE, RATIO, WIDTH, st.floats(28, 61))
def test_both_free_volume_formulas_agree_on_estimated_mass(
    d: float, ratio: float, b: float, k: float
) -> None:
    mass = amount.mass_estimate_kg(d, ratio * d, b, k)
    by_mass = amount.free_volume_cm3(d, ratio * d, b, mass=mass)
    assert by_mass == pytest.approx(amount.free_volume_cm3(d, ratio * d, b, k=k), rel=1e-9)


def test_estimated_mass_of_the_published_bearing_is_within_three_percent() -> None:
    assert amount.mass_estimate_kg(140.0, 300.0, 102.0, 28.0) == pytest.approx(36.5, rel=0.03)


def test_unlisted_type_takes_the_whole_range_and_says_so() -> None:
    k = amount.free_volume_factor(standard("free_volume"), "needle_roller", "steel")
    assert (k.low, k.high, k.confidence) == (28, 61, "judgement")


def test_unlisted_cage_takes_the_range_of_the_type() -> None:
    k = amount.free_volume_factor(standard("free_volume"), "tapered_roller", "polymer")
    assert (k.low, k.high, k.confidence) == (46, 46, "judgement")


@given(st.floats(0, 2e6), st.floats(0, 2e6), st.sampled_from(["side", "ring"]), st.booleans())
def test_faster_never_means_fuller(one: float, other: float, through: str, dirty: bool) -> None:
    slow, fast = sorted((one, other))
    table = standard("replenishment")
    assert amount.bearing_fill_share(table, fast) <= amount.bearing_fill_share(table, slow)
    shares = [amount.housing_fill_share(table, n, through, dirty) for n in (slow, fast)]
    assert shares[1] <= shares[0]


def test_swinging_bearing_is_packed_full() -> None:
    assert amount.bearing_fill_share(standard("replenishment"), 600_000, oscillating=True) == 1


def test_slow_dirty_housing_is_filled_as_a_seal() -> None:
    table = standard("replenishment")
    assert amount.housing_fill_share(table, 20_000, dirty=True) == 0.85
    assert amount.housing_fill_share(table, 20_000) == 0.40


def test_first_fill_treats_bearing_and_housing_apart() -> None:
    fill = amount.first_fill_grams(100.0, 0.5, 0.2, density=0.9, housing_volume=300.0)
    assert (fill.bearing_g, fill.housing_g, fill.grams) == pytest.approx((45, 54, 99))


def test_unknown_housing_is_twice_the_free_volume() -> None:
    assert amount.first_fill_grams(100.0, 1.0, 0.4).housing_g == pytest.approx(0.4 * 200 * 0.9)


def test_fluorinated_grease_weighs_over_twice_as_much() -> None:
    table = standard("replenishment")
    assert amount.density_of(table, "pfpe").typical == pytest.approx(2.0)
    assert amount.density_of(table, "mineral").typical == pytest.approx(0.9)


def test_purge_counts_the_line_in_each_pass() -> None:
    assert amount.purge_grams(50.0, 2.0, line_volume=25.0, density=0.9) == pytest.approx(135)


@given(st.lists(st.tuples(BORE, RATIO, WIDTH), min_size=1, max_size=5))
def test_arrays_give_what_floats_give(sizes: list[tuple[float, float, float]]) -> None:
    d, ratio, b = (np.array(column) for column in zip(*sizes, strict=True))
    for fn in (
        lambda d, outside, b: amount.replenishment_grams(outside, b),
        lambda d, outside, b: amount.free_volume_cm3(d, outside, b, k=50.0),
        lambda d, outside, b: amount.line_volume_cm3(b, d),
        lambda d, outside, b: amount.strokes(outside, b),
    ):
        each = [fn(x, r * x, w) for x, r, w in sizes]
        assert all(isinstance(value, float) for value in each)
        assert fn(d, ratio * d, b) == pytest.approx(each, rel=1e-12)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: amount.replenishment_grams(0.0, 25.0), "outside diameter 0 mm: give a value above 0"),
        (lambda: amount.replenishment_grams(100.0, 25.0, "top"), "through 'top': give one of side, ring"),
        (lambda: amount.housing_fill_share(standard("replenishment"), 1e4, "top"), "give one of side, ring"),
        (lambda: amount.ring_volume_cm3(100.0, 45.0, 25.0), "outside diameter must be above the bore"),
        (lambda: amount.free_volume_cm3(45.0, 100.0, 25.0, mass=2.0), "mass 2 kg: more than solid steel"),
        (lambda: amount.free_volume_cm3(45.0, 100.0, 25.0), "give the mass of the bearing in kg, or K"),
        (lambda: amount.first_fill_grams(50.0, 1.2, 0.4), "bearing share 1.2: give 0 to 1"),
        (lambda: amount.strokes(10.0, 0.0), "grams per stroke 0 g: give a value above 0"),
        (lambda: amount.purge_grams(50.0, 0.0), "passes 0 passes: give a value above 0"),
        (lambda: amount.bearing_fill_share({}, -1.0), "speed factor -1 mm r/min: give 0 or more"),
        (lambda: amount.strokes(float("nan"), 1.0), "amount nan g: give a value above 0"),
    ],
)  # fmt: skip
def test_bad_input_is_one_clear_line(call: Any, words: str) -> None:
    with pytest.raises(InputError) as fault:
        call()
    assert words in str(fault.value)
