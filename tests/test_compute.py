"""Computed numbers: right, with a working, and absent where the inputs don't allow them."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diag.case.model import Bearing, Case, Grease, Load, Pin, Point, Slide, Surroundings, Swing
from diag.compute import ORDER, compute, usual_temperature
from diag.compute.bench import STEPS
from diag.findings import Computed
from diag.knowledgebase import load
from diag.review import review
from tests.tiny import case

K = load()
BEARING = {"type": "deep_groove_ball", "bore": 50.0, "outside": 110.0, "width": 27.0}
RATED = {**BEARING, "dynamic_rating": 62_000.0, "static_rating": 38_000.0}
OIL = {"viscosity_40": 110.0, "viscosity_index": 95.0}


def numbers(**fields: Any) -> dict[str, Computed]:
    return compute(case(**fields), K)[0]


def assumed(**fields: Any) -> str:
    return "; ".join(compute(case(**fields), K)[1])


def test_every_id_of_the_contract_has_its_step_and_no_other() -> None:
    assert set(ORDER) == set(STEPS)
    assert len(ORDER) == 18


def test_an_empty_case_has_no_numbers_and_assumes_nothing() -> None:
    for kind in ("rolling_bearing", "pin_bushing", "slideway"):
        assert compute(case(point={"kind": kind}), K) == ({}, ())


def test_size_and_speed() -> None:
    found = numbers(point={"bearing": BEARING, "speed": 1450.0})
    assert (found["mean_diameter"].value, found["mean_diameter"].unit) == (80.0, "mm")
    assert found["speed_factor"].value == 116_000.0
    assert found["speed_factor"].working == "1450 rpm × 80 mm = 116000"


def test_film_at_running_temperature() -> None:
    found = numbers(point={"bearing": BEARING, "speed": 1500.0, "running_temperature": 70.0}, grease=OIL)
    assert found["reference_viscosity"].value == pytest.approx(4500 / (1500 * 80) ** 0.5)
    assert found["viscosity_at_running"].value == pytest.approx(29.3, abs=0.2)
    assert found["viscosity_ratio"].value == pytest.approx(29.3 / 12.99, abs=0.02)
    assert found["viscosity_at_running"].low is None


def test_the_ratio_of_a_specification_doesnt_know_the_fault() -> None:
    point = {"bearing": BEARING, "speed": 1500.0, "usual_temperature": 60.0}
    cool, hot = (numbers(point={**point, "running_temperature": t}, grease=OIL) for t in (60.0, 110.0))
    assert cool["viscosity_ratio_usual"].value == hot["viscosity_ratio_usual"].value
    assert hot["viscosity_ratio"].value < cool["viscosity_ratio"].value  # type: ignore[operator]


def test_an_unstated_index_is_assumed_and_said() -> None:
    grease = {"viscosity_40": 100.0}
    assert "viscosity index of 95" in assumed(point={"running_temperature": 70.0}, grease=grease)
    pao = {"viscosity_40": 100.0, "base_oil": "pao"}
    item = numbers(point={"running_temperature": 70.0}, grease=pao)["viscosity_at_running"]
    assert item.low is not None and item.high is not None and item.low < item.value < item.high  # type: ignore[operator]
    assert "Polyalphaolefin: 125 to 150" in assumed(point={"running_temperature": 70.0}, grease=pao)


def test_two_viscosities_need_no_index() -> None:
    grease = {"viscosity_40": 110.0, "viscosity_100": 11.8}
    assert assumed(point={"running_temperature": 100.0}, grease=grease) == ""
    found = numbers(point={"running_temperature": 100.0}, grease=grease)
    assert found["viscosity_at_running"].value == pytest.approx(11.8, rel=0.01)


def test_only_the_viscosity_at_100_serves_too() -> None:
    found = numbers(point={"running_temperature": 100.0}, grease={"viscosity_100": 11.2, "viscosity_index": 95.0})
    assert found["viscosity_at_running"].value == pytest.approx(11.2, rel=1e-3)


def test_life() -> None:
    point = {"bearing": RATED, "speed": 1450.0, "running_temperature": 70.0, "load": {"force": 4_200.0}}
    found = numbers(point=point, grease=OIL)
    assert found["basic_life"].value == pytest.approx(1e6 / (60 * 1450) * (62_000 / 4_200) ** 3)
    assert found["modified_life"].value == pytest.approx(
        found["basic_life"].value * found["life_factor"].value)  # type: ignore[operator]
    assert found["limiting_factor"].value in ("film", "dirt", "load")
    assert "fatigue load limit follows from the static rating" in assumed(point=point, grease=OIL)


def test_a_cleaner_point_lives_longer() -> None:
    point = {"speed": 1450.0, "running_temperature": 70.0, "load": {"force": 4_200.0}}
    places = [{"bearing": {**RATED, "sealing": sealing}, "exposure": exposure} for sealing, exposure in
              (("open", ("dust", "splash")), ("open", ("dust",)), ("open", ()), ("sealed", ()))]
    factors = [numbers(point={**point, **place}, grease=OIL)["life_factor"].value for place in places]
    assert factors == sorted(factors)  # type: ignore[type-var]
    assert factors[0] < factors[-1]  # type: ignore[operator]


def test_a_formula_out_of_its_range_is_left_out_with_the_reason() -> None:
    point = {"bearing": RATED, "speed": 2.0, "running_temperature": 110.0, "load": {"force": 4_200.0}}
    found, words = compute(case(point=point, grease={"viscosity_40": 15.0, "viscosity_index": 95.0}), K)
    assert "life_factor" not in found
    assert any(text.startswith("life factor is left out: viscosity ratio") for text in words)


def test_dropping_point_margin_stated_and_by_family() -> None:
    stated = numbers(point={"running_temperature": 95.0}, grease={"dropping_point": 190.0})["dropping_point_margin"]
    assert (stated.value, stated.low) == (95.0, None)
    family = numbers(point={"running_temperature": 95.0}, grease={"thickener": "lithium"})["dropping_point_margin"]
    assert (family.value, family.low, family.high) == (82.0, 82.0, 109.0)
    assert "dropping_point_margin" not in numbers(point={"running_temperature": 95.0}, grease={"thickener": "clay"})


def test_expected_temperature_is_a_band_and_not_given_where_heat_comes_from_outside() -> None:
    point = {"bearing": RATED, "speed": 1450.0, "load": {"force": 4_200.0}, "surroundings": Surroundings(hottest=30.0)}
    found = numbers(point=point, grease=OIL)["expected_temperature"]
    assert found.low is not None and found.high is not None
    assert 30.0 <= found.low < found.value < found.high < 80.0  # type: ignore[operator]
    assert "expected_temperature" not in numbers(point={**point, "exposure": ("radiant_heat",)}, grease=OIL)


def test_friction_grows_with_speed() -> None:
    point = {"bearing": RATED, "load": {"level": "normal"}, "running_temperature": 60.0}
    slow, fast = (numbers(point={**point, "speed": n}, grease=OIL)["friction_power"] for n in (500.0, 3000.0))
    assert slow.value < fast.value  # type: ignore[operator]
    assert "a share of the dynamic rating" in assumed(point={**point, "speed": 500.0}, grease=OIL)


def test_grease_life_only_where_it_was_tested() -> None:
    point = {"speed": 1450.0, "usual_temperature": 70.0}
    term = 0.86 * 50 * 1450 / 250_000
    expected = 10 ** (-2.60 + 2450 / 343 - 0.301 * term)
    assert numbers(point={**point, "bearing": BEARING})["grease_life"].value == pytest.approx(expected)
    spherical = {**BEARING, "type": "spherical_roller"}
    assert "grease_life" not in numbers(point={**point, "bearing": spherical})


def test_pins() -> None:
    point = {"kind": "pin_bushing", "pin": Pin(diameter=60.0, length=50.0, bush_material="bronze"),
             "load": {"force": 60_000.0}, "swing": Swing(angle=40.0, rate=6.0)}
    found = numbers(point=point)
    assert found["specific_pressure"].value == 20.0
    assert found["sliding_speed"].value == pytest.approx(3.14159265 * 60 * 2 * 40 / 360 * 6 / 60_000)
    assert found["pressure_velocity"].value == pytest.approx(20 * found["sliding_speed"].value)  # type: ignore[operator]
    assert "speed_factor" not in found


def test_slideways() -> None:
    point = {"kind": "slideway", "slide": Slide(length=400.0, width=50.0, speed=0.1), "load": {"force": 6_000.0}}
    found = numbers(point=point)
    assert (found["specific_pressure"].value, found["sliding_speed"].value) == (0.3, 0.1)
    assert found["pressure_velocity"].value == pytest.approx(0.03)
    stated = numbers(point={"kind": "slideway", "slide": Slide(pressure=0.5)})
    assert stated["specific_pressure"].value == 0.5


@pytest.mark.parametrize(("fields", "expected"), [
    ({"point": {"usual_temperature": 60.0, "running_temperature": 95.0}}, 60.0),
    ({"point": {"running_temperature": 95.0}, "complaint": "hot"}, None),
    ({"point": {"running_temperature": 95.0}, "complaint": "leaking"}, 95.0),
    ({"point": {"running_temperature": 95.0}, "history": {"onset": "days"}}, None),
    ({"point": {"running_temperature": 95.0}, "measured": {"temperature_rise": 20.0}}, None),
    ({"point": {"running_temperature": 95.0}, "complaint": "hot", "history": {"onset": "since_start"}}, 95.0),
    ({"point": {"running_temperature": 95.0, "exposure": ("radiant_heat",)}, "complaint": "hot"}, 95.0),
    ({}, None)])
def test_a_fault_never_stands_for_the_usual_temperature(fields: dict[str, Any], expected: float | None) -> None:
    assert usual_temperature(case(**fields), {})[0] == expected


def test_the_computed_band_goes_before_the_measured_heat() -> None:
    expected = Computed(id="expected_temperature", value=48.0, low=40.0, high=60.0, unit="°C", working="", source="")
    built = case(point={"running_temperature": 95.0})
    assert usual_temperature(built, {"expected_temperature": expected})[0] == 48.0


@st.composite
def rolling_cases(draw: st.DrawFn) -> Case:
    """Random rolling bearings, any of whose inputs may be missing."""
    def maybe(least: float, most: float) -> float | None:
        return draw(st.none() | st.floats(least, most))

    bore = maybe(5, 400)
    outside = None if bore is None else draw(st.none() | st.floats(1.2, 3.0).map(lambda x: x * bore))
    bearing = {"type": draw(st.sampled_from([None, "deep_groove_ball", "spherical_roller", "thrust_ball"])),
               "bore": bore, "outside": outside, "width": maybe(3, 200),
               "dynamic_rating": maybe(1e3, 1e6), "static_rating": maybe(1e3, 1e6)}
    point = {"bearing": bearing, "speed": maybe(0, 10_000), "running_temperature": maybe(-40, 250),
             "usual_temperature": maybe(-40, 250), "load": {"force": maybe(0, 1e6)},
             "surroundings": Surroundings(hottest=maybe(-40, 60))}
    grease = {"viscosity_40": maybe(1, 5000), "viscosity_index": maybe(-100, 500),
              "base_oil": draw(st.sampled_from([None, "mineral", "pfpe"])), "dropping_point": maybe(50, 350)}
    return case(point=point, grease=grease)


@settings(max_examples=80, deadline=None)
@given(rolling_cases())
def test_any_case_gives_finite_numbers_within_their_bands(built: Case) -> None:
    found, words = compute(built, K)
    for item in found.values():
        assert item.working and item.source
        if isinstance(item.value, float):
            assert abs(item.value) < float("inf")
            if item.low is not None and item.high is not None:
                assert item.low - 1e-9 <= item.value <= item.high + 1e-9
    assert len(set(words)) == len(words)


@pytest.mark.parametrize("grease", [
    Grease(viscosity_40=2.5), Grease(viscosity_40=1.0), Grease(viscosity_100=1.0), Grease(viscosity_40=1e9),
    Grease(viscosity_40=2.5, viscosity_index=500.0), Grease(viscosity_40=10.0, viscosity_100=5.0),
    Grease(viscosity_40=3.0, viscosity_100=1.0), Grease(viscosity_40=5.0, viscosity_index=-100.0)])
def test_oil_beyond_the_viscosity_index_is_left_out_with_a_note_and_the_review_goes_on(grease: Grease) -> None:
    bearing = Bearing(type="deep_groove_ball", bore=60.0, outside=130.0, width=31.0, dynamic_rating=80_000.0)
    point = Point(kind="rolling_bearing", bearing=bearing, speed=1450.0, running_temperature=80.0,
                  usual_temperature=60.0, load=Load(force=3000.0), surroundings=Surroundings(coldest=-30.0))
    found = review(Case(point=point, grease=grease), K)
    assert "viscosity_at_running" not in {item.id for item in found.computed}
    assert sum("the viscosity index doesn't reach" in note for note in found.assumed) == 1


@pytest.mark.parametrize(("grease", "given"), [
    ({"viscosity_40": 220.0, "viscosity_100": 19.0, "viscosity_index": 160.0}, "index of 97 by ASTM D2270, not 160"),
    ({"viscosity_40": 73.3, "viscosity_100": 8.86, "viscosity_index": 110.0}, "index of 92 by ASTM D2270, not 110")])
def test_a_viscosity_index_against_its_viscosities_is_said_once(grease: dict[str, float], given: str) -> None:
    for name, key in (("The grease", "grease"), ("The earlier grease", "earlier_grease")):
        found = [words for words in review(case(**{key: grease}), K).conflicts if "D2270" in words]
        assert len(found) == 1
        assert found[0].startswith(f"{name}: ")
        assert given in found[0]


@pytest.mark.parametrize("grease", [
    {"viscosity_40": 220.0, "viscosity_100": 19.0, "viscosity_index": 95.0},
    {"viscosity_40": 220.0, "viscosity_index": 160.0},
    {"viscosity_40": 4.0, "viscosity_100": 1.5, "viscosity_index": 160.0}])
def test_an_index_that_fits_or_has_none_beside_it_is_no_contradiction(grease: dict[str, float]) -> None:
    assert not any("D2270" in words for words in review(case(grease=grease), K).conflicts)
