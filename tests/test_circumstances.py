"""Circumstances: yes, no or not known, by path and by function."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import msgspec
import pytest

from diag.case.model import FeedLine, Manual, Surroundings, Swing
from diag.circumstances import FUNCTIONS, establish
from diag.circumstances.base import Found, Scene, all_of, any_of, listed
from diag.circumstances.greasing import HOT_SIGNS
from diag.circumstances.paths import by_path
from diag.compute import compute
from diag.knowledgebase import load
from diag.knowledgebase.model import Circumstance
from tests.tiny import case

K = load()
BEARING = {"type": "deep_groove_ball", "bore": 50.0, "outside": 110.0, "width": 27.0}
WARMED = {"bearing": {**BEARING, "dynamic_rating": 62_000.0}, "speed": 1450.0, "load": {"level": "normal"},
          "surroundings": Surroundings(hottest=25.0)}


def holds(name: str, **fields: Any) -> bool | None:
    """What the function `name` finds for a case."""
    built = case(**fields)
    return establish(built, compute(built, K)[0], K)[name].holds


def path_of(circumstance: Circumstance, **fields: Any) -> Found:
    built = case(**fields)
    return by_path(circumstance, Scene(built, compute(built, K)[0], K, lambda _, name: Found(None, working=name)))


def test_every_function_the_knowledge_calls_exists_and_none_is_idle() -> None:
    assert {c.function for c in K.circumstances.values() if c.function} == set(FUNCTIONS)


def test_nothing_stated_is_nothing_known() -> None:
    found = establish(case(), {}, K)
    assert set(found) == set(K.circumstances)
    assert {i for i, f in found.items() if f.holds is not None} == set()


@pytest.mark.parametrize(("operator", "value", "expected"), [
    ({"above": 1000.0}, 1450.0, True), ({"above": 1450.0}, 1450.0, False), ({"below": 1000.0}, 900.0, True)])
def test_numbers_are_compared(operator: dict[str, float], value: float, expected: bool) -> None:
    found = path_of(Circumstance(id="x", text="x", path="point.speed", **operator), point={"speed": value})
    assert (found.holds, found.value, found.unit) == (expected, value, "rpm")


def test_words_and_lists_are_compared() -> None:
    drive = Circumstance(id="x", text="x", path="point.drive", is_="belt")
    assert [path_of(drive, point={"drive": d}).holds for d in ("belt", "direct", None)] == [True, False, None]
    feed = Circumstance(id="x", text="x", path="point.feed", in_=("lubricator", "central_system"))
    assert path_of(feed, point={"feed": "hand_gun"}).holds is False
    dust = Circumstance(id="x", text="x", path="point.exposure", has="dust")
    assert [path_of(dust, point={"exposure": e}).holds for e in (("dust",), ("splash",), ())] == [True, False, None]


def test_computed_numbers_and_readings_are_paths_too() -> None:
    fast = Circumstance(id="x", text="x", path="computed.speed_factor", above=100_000)
    found = path_of(fast, point={"bearing": BEARING, "speed": 1450.0})
    assert (found.holds, found.value) == (True, 116_000.0)
    assert "1450 rpm" in found.working
    old = Circumstance(id="x", text="x", path="measured.stock_age", above=17_520)
    assert path_of(old, measured={"stock_age": 20_000.0}).unit == "h"


def test_three_valued_logic() -> None:
    assert [any_of(p) for p in ([True, None], [False, None], [False, False])] == [True, None, False]
    assert [all_of(p) for p in ([False, None], [True, None], [True, True])] == [False, None, True]
    assert [listed((), "a"), listed(("b",), "a"), listed(("a", "b"), "a")] == [None, False, True]


CASES: list[tuple[str, bool | None, dict[str, Any]]] = [
    ("greased_within_a_day", True, {"regreasing": {"since_last": 3.0}}),
    ("greased_within_a_day", False, {"regreasing": {"since_last": 30.0}, "history": {"since": ("regreasing",)}}),
    ("greased_within_a_day", True, {"history": {"since": ("overhaul",), "onset": "hours"}}),
    ("greased_within_a_day", None, {"history": {"since": ("overhaul",), "onset": "weeks"}}),
    ("hot_after_greasing", True, {"regreasing": {"since_last": 3.0}, "complaint": "hot"}),
    ("hot_after_greasing", True, {"regreasing": {"since_last": 3.0}, "seen": {"hotter_than_usual": "probably"}}),
    ("hot_after_greasing", False, {"regreasing": {"since_last": 300.0}, "complaint": "hot"}),
    ("hot_after_greasing", False, {"regreasing": {"since_last": 3.0}, "measured": {"temperature_rise": 2.0}}),
    ("hot_after_greasing", None, {"regreasing": {"since_last": 3.0}}),
    ("since_bearing_change", True, {"history": {"since": ("overhaul",)}}),
    ("since_bearing_change", False, {"history": {"since": ("wash_down",)}}),
    ("dose_too_large", True, {"point": {"bearing": BEARING}, "regreasing": {"amount": 40.0}}),
    ("dose_too_large", None, {"point": {"bearing": BEARING}, "regreasing": {"amount": 25.0}}),
    ("dose_too_large", False,
     {"point": {"bearing": BEARING}, "regreasing": {"strokes": 10.0, "grams_per_stroke": 1.0}}),
    ("dose_too_large", None, {"point": {"kind": "pin_bushing"}, "regreasing": {"amount": 40.0}}),
    ("dose_too_small", True, {"point": {"bearing": BEARING}, "regreasing": {"amount": 5.0}}),
    ("dose_too_small", False, {"point": {"bearing": BEARING}, "regreasing": {"amount": 15.0}}),
    ("long_feed_line", True, {"point": {"feed_line": FeedLine(length=12_000.0)}}),
    ("long_feed_line", True, {"point": {"feed_line": FeedLine(length=5_000.0, bore=4.0)}}),
    ("long_feed_line", None, {"point": {"feed_line": FeedLine(length=5_000.0)}}),
    ("long_feed_line", False, {"point": {"feed_line": FeedLine(length=2_000.0)}}),
    ("over_own_baseline", True, {"measured": {"temperature_rise": 15.0}}),
    ("over_own_baseline", None, {"measured": {"temperature_rise": 8.0}}),
    ("over_own_baseline", False, {"point": {"running_temperature": 72.0, "usual_temperature": 70.0}}),
    ("over_limit", True, {"point": {"running_temperature": 125.0}}),
    ("over_limit", False, {"point": {"running_temperature": 90.0, "seal": {"material": "nbr"}}}),
    ("over_limit", True, {"point": {"running_temperature": 105.0, "seal": {"material": "nbr"}}}),
    ("over_dropping_point_margin", True,
     {"point": {"running_temperature": 150.0}, "grease": {"dropping_point": 190.0}}),
    ("over_dropping_point_margin", False,
     {"point": {"running_temperature": 90.0}, "grease": {"dropping_point": 190.0}}),
    ("over_dropping_point_margin", True,
     {"point": {"running_temperature": 130.0}, "grease": {"dropping_point": 190.0, "highest_temperature": 120.0}}),
    ("genuine_lasting_heat", True,
     {"point": {"running_temperature": 95.0, "usual_temperature": 95.0, "exposure": ("radiant_heat",)}}),
    ("genuine_lasting_heat", False, {"point": {"running_temperature": 95.0, "usual_temperature": 70.0}}),
    ("genuine_lasting_heat", None, {"point": {"running_temperature": 72.0, "usual_temperature": 70.0}}),
    ("cold_start_too_stiff", True,
     {"point": {"surroundings": Surroundings(coldest=-30.0)}, "grease": {"lowest_temperature": -20.0}}),
    ("cold_start_too_stiff", False,
     {"point": {"surroundings": Surroundings(coldest=-20.0)}, "grease": {"lowest_temperature": -20.0}}),
    ("wet_exposure", True, {"point": {"exposure": ("outdoors",)}}),
    ("wet_exposure", False, {"point": {"exposure": ("dust",)}}),
    ("wet_or_chemical_exposure", True, {"point": {"exposure": ("chemicals",)}}),
    ("wet_or_chemical_exposure", False, {"point": {"exposure": ("dust",)}}),
    ("current_possible", True, {"point": {"drive": "inverter"}}),
    ("current_possible", True, {"history": {"since": ("welding_or_drive_work",)}}),
    ("current_possible", False, {"point": {"drive": "direct", "exposure": ("dust",)}}),
    ("current_possible", None, {"point": {"drive": "direct"}}),
    ("sealed_for_life", True, {"point": {"bearing": {"sealing": "sealed"}}}),
    ("sealed_for_life", False, {"point": {"feed": "hand_gun"}}),
    ("sealed_for_life", None, {"point": {"bearing": {"sealing": "shielded"}}}),
    ("oscillating_motion", True, {"point": {"swing": Swing(angle=40.0, rate=6.0)}}),
    ("oscillating_motion", False, {"point": {"speed": 100.0}}),
    ("oscillating_motion", True, {"point": {"duty": ("oscillating",)}}),
    ("standby_duty", True, {"point": {"duty": ("seasonal",)}}),
    ("standby_duty", False, {"point": {"duty": ("continuous",)}}),
    ("heavy_load", True, {"point": {"load": {"level": "shock"}}}),
    ("heavy_load", True, {"point": {"bearing": {"dynamic_rating": 50_000.0}, "load": {"force": 10_000.0}}}),
    ("heavy_load", False, {"point": {"bearing": {"dynamic_rating": 50_000.0}, "load": {"force": 4_000.0}}}),
    ("heavy_load", None, {"point": {"bearing": {"dynamic_rating": 50_000.0}, "load": {"force": 6_000.0}}}),
    ("heavy_load", True, {"point": {"bearing": {**BEARING, "static_rating": 30_000.0, "dynamic_rating": 80_000.0},
                                    "load": {"force": 10_000.0}, "speed": 20.0}}),
    ("brass_inside", True, {"point": {"bearing": {"cage": "brass"}}}),
    ("brass_inside", False, {"point": {"bearing": {"cage": "steel"}}}),
    ("near_rated_life", True, {"point": {"bearing": {**BEARING, "dynamic_rating": 62_000.0}, "speed": 1450.0,
                                         "load": {"force": 10_000.0}}, "history": {"running_hours": 2_500.0}}),
    ("near_rated_life", False, {"point": {"bearing": {**BEARING, "dynamic_rating": 62_000.0}, "speed": 1450.0,
                                          "load": {"force": 10_000.0}}, "history": {"running_hours": 500.0}}),
    ("changeover_recent", True, {"history": {"since": ("changeover",)}}),
    ("changeover_recent", False, {"history": {"since": ("wash_down",)}}),
    ("earlier_grease_unknown", True, {"history": {"since": ("changeover",)}}),
    ("earlier_grease_unknown", False, {"history": {"since": ("wash_down",)}}),
    ("no_ep_under_heavy_slow_load", True,
     {"point": {"load": {"level": "heavy"}}, "grease": {"additives": ("rust_inhibitor",), "thickener": "lithium"}}),
    ("no_ep_under_heavy_slow_load", False,
     {"point": {"load": {"level": "heavy"}}, "grease": {"thickener": "calcium_sulfonate"}}),
    ("no_ep_under_heavy_slow_load", False, {"point": {"load": {"level": "normal"}}}),
    ("no_ep_under_heavy_slow_load", None, {"point": {"load": {"level": "heavy"}}, "grease": {"thickener": "lithium"}}),
    ("solids_or_tack_at_speed", True,
     {"point": {"bearing": BEARING, "speed": 2900.0}, "grease": {"additives": ("moly",)}}),
    ("solids_or_tack_at_speed", True,
     {"point": {"bearing": BEARING, "speed": 2900.0}, "grease": {"additives": ("ep", "tackifier")}}),
    ("solids_or_tack_at_speed", None,
     {"point": {"bearing": BEARING, "speed": 1800.0}, "grease": {"additives": ("moly",)}}),
    ("solids_or_tack_at_speed", None, {"point": {"bearing": BEARING, "speed": 2900.0}}),
    ("solids_or_tack_at_speed", False, {"grease": {"additives": ("ep",)}}),
    ("solids_or_tack_at_speed", False, {"point": {"bearing": BEARING, "speed": 900.0}}),
    ("seal_and_oil_clash", True, {"point": {"seal": {"material": "epdm"}}, "grease": {"base_oil": "mineral"}}),
    ("seal_and_oil_clash", False, {"point": {"seal": {"material": "fkm"}}, "grease": {"base_oil": "ester"}}),
    ("water_soluble_grease", True, {"grease": {"thickener": "sodium"}}),
    ("water_soluble_grease", True, {"grease": {"thickener": "clay", "water_washout": 15.0}}),
    ("water_soluble_grease", False, {"grease": {"thickener": "lithium"}}),
    ("heat_explained", True, {"point": {**WARMED, "running_temperature": 32.0}, "grease": {"viscosity_40": 110.0}}),
    ("heat_explained", False, {"point": {**WARMED, "running_temperature": 95.0}, "grease": {"viscosity_40": 110.0}}),
    ("heat_explained", None, {"point": WARMED, "grease": {"viscosity_40": 110.0}}),
    ("heat_explained", None, {"point": {**WARMED, "exposure": ("radiant_heat",), "running_temperature": 95.0},
                              "grease": {"viscosity_40": 110.0}}),
    ("viscosity_ratio_low", True, {"point": {**WARMED, "usual_temperature": 70.0}, "grease": {"viscosity_40": 15.0}}),
    ("viscosity_ratio_low", False, {"point": {**WARMED, "usual_temperature": 70.0}, "grease": {"viscosity_40": 110.0}}),
    ("viscosity_ratio_low", None, {"point": {**WARMED, "speed": 300.0}, "grease": {"viscosity_40": 15.0}}),
    ("viscosity_ratio_very_low", True, {"point": {**WARMED, "usual_temperature": 90.0},
                                        "grease": {"viscosity_40": 10.0}}),
    ("viscosity_ratio_high", True, {"point": {**WARMED, "usual_temperature": 40.0}, "grease": {"viscosity_40": 220.0}}),
    ("viscosity_ratio_low_by_estimate", True, {"point": {**WARMED, "speed": 300.0}, "grease": {"viscosity_40": 15.0}}),
    ("viscosity_ratio_low_by_estimate", False, {"point": WARMED, "grease": {"viscosity_40": 220.0}}),
    ("viscosity_ratio_low_by_estimate", None, {"point": {**WARMED, "usual_temperature": 70.0},
                                               "grease": {"viscosity_40": 7.0}}),
    ("ep_on_hot_brass", True, {"point": {"bearing": {"cage": "brass"}, "running_temperature": 90.0},
                               "grease": {"additives": ("ep",)}}),
    ("ep_on_hot_brass", False, {"point": {"bearing": {"cage": "steel"}}}),
    ("restricted_duty", True, {"point": {"safety_critical": True}}),
    ("restricted_duty", True, {"point": {"exposure": ("oxygen",)}}),
    ("restricted_duty", False, {"point": {"safety_critical": False, "exposure": ("dust",)}}),
    ("restricted_duty", None, {"point": {"safety_critical": False}}),
]


@pytest.mark.parametrize(("name", "expected", "fields"), CASES)
def test_functions_hold_as_their_text_says(name: str, expected: bool | None, fields: dict[str, Any]) -> None:
    assert holds(name, **fields) is expected


def test_every_function_is_tried() -> None:
    elsewhere = {"greases_incompatible", "grease_differs_from_manual", "oil_families_clash", "interval_too_long",
                 "interval_kept_short"}
    assert {name for name, _, _ in CASES} | elsewhere == set(FUNCTIONS)


@pytest.mark.parametrize(("every", "long", "short"), [(30_000.0, True, False), (200.0, False, True)])
def test_the_interval_kept_is_held_against_the_computed_one(every: float, long: bool, short: bool) -> None:
    fields = {"point": {"bearing": BEARING, "speed": 1450.0, "usual_temperature": 70.0}, "regreasing": {"every": every}}
    assert (holds("interval_too_long", **fields), holds("interval_kept_short", **fields)) == (long, short)


@pytest.mark.parametrize(("old", "new", "expected"), [
    ("lithium", "lithium", False), ("lithium", "clay", True), ("lithium", None, None)])
def test_incompatible_greases(old: str, new: str | None, expected: bool | None) -> None:
    built = case(grease={"thickener": new, "base_oil": "mineral"})
    built = replace(built, earlier_grease=replace(built.grease, thickener=old))
    assert establish(built, {}, K)["greases_incompatible"].holds is expected


@pytest.mark.parametrize(("old", "new", "expected"), [("mineral", "pao", False), ("mineral", "pfpe", True)])
def test_oils_that_met(old: str, new: str, expected: bool) -> None:
    built = case(grease={"base_oil": new})
    built = replace(built, earlier_grease=replace(built.grease, base_oil=old))
    assert establish(built, {}, K)["oil_families_clash"].holds is expected
    assert establish(built, {}, K)["changeover_recent"].holds is True


@pytest.mark.parametrize(("manual", "expected"), [
    ({"thickener": "lithium"}, None), ({"thickener": "lithium", "viscosity_40": 150.0}, False),
    ({"viscosity_40": 220.0}, True), ({"nlgi": "1"}, True), ({"additives": ("ep",)}, True)])
def test_the_grease_against_the_manual(manual: dict[str, Any], expected: bool | None) -> None:
    grease = {"thickener": "lithium", "viscosity_40": 100.0, "nlgi": "2", "additives": ("antioxidant",)}
    assert holds("grease_differs_from_manual", grease=grease, point={"manual": Manual(**manual)}) is expected


def test_the_viscosity_ratio_is_judged_at_the_usual_temperature() -> None:
    fields = {"point": {"bearing": BEARING, "speed": 1450.0, "usual_temperature": 60.0, "running_temperature": 120.0},
              "grease": {"viscosity_40": 100.0}}
    assert holds("viscosity_ratio_low", **fields) is False


def test_the_signs_a_function_asks_for_exist() -> None:
    assert set(HOT_SIGNS) <= set(K.signs)


def test_the_speed_ceiling_of_an_additive_is_the_knowledges() -> None:
    moly = K.additives["moly"]
    assert moly.speed_factor_ceiling is not None
    higher = msgspec.structs.replace(moly.speed_factor_ceiling, low=400_000.0, high=500_000.0)
    changed = msgspec.structs.replace(moly, speed_factor_ceiling=higher)
    knowledge = replace(K, additives={**K.additives, "moly": changed})
    fast = case(point={"bearing": BEARING, "speed": 2900.0}, grease={"additives": ("moly",)})
    held = [establish(fast, compute(fast, known)[0], known)["solids_or_tack_at_speed"].holds
            for known in (K, knowledge)]
    assert held == [True, False]
