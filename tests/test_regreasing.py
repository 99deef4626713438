"""Regreasing plans: grams over time first, held by dirt, water and 30,000 h, and never more out of caution."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diag.case.model import Manual, ManualRegreasing, Pin, Slide, Surroundings, Swing
from diag.circumstances import establish
from diag.compute import compute
from diag.findings import Regrease
from diag.knowledgebase import load
from diag.knowledgebase.loader import standard
from diag.remedy.coded import with_codes
from diag.remedy.regreasing import plan
from diag.tribology.interval import Service
from diag.tribology.interval_cap import dirty_cap
from tests.tiny import case

K = load()
TABLE = standard("interval")
FAN = {"bearing": {"type": "deep_groove_ball", "bore": 65.0, "outside": 140.0, "width": 33.0}, "speed": 1750.0,
       "usual_temperature": 60.0}
MILL = {"bearing": {"type": "spherical_roller", "bore": 140.0, "outside": 250.0, "width": 88.0}, "speed": 18.0,
        "usual_temperature": 52.0}


def planned(**fields: Any) -> Regrease:
    built = case(**fields)
    computed = compute(built, K)[0]
    return plan(built, computed, establish(built, computed, K), K)


def said(found: Regrease) -> str:
    return " ".join(found.working)


def per_1000(found: Regrease) -> float:
    assert found.grams_per_1000_h is not None
    return found.grams_per_1000_h


def test_handbook_example_of_a_ball_bearing() -> None:
    """The Tribology Handbook A20.5: 10 × (14·10⁶ / (1750 × √65) − 4 × 65) = 7 322.8 h at 70 °C.

    The dose is 0.005 × D × B = 23.1 g.
    """
    found = planned(point={**FAN, "usual_temperature": 70.0})
    assert (found.amount_g, found.interval_h) == (23.1, 7320.0)
    assert found.grams_per_1000_h == pytest.approx(1000 * 23.1 / 7322.8, rel=2e-3)
    assert found.working[0].startswith("3.15 g per 1,000 h")


@pytest.mark.parametrize(("temperature", "share"), [(70.0, 1.0), (85.0, 0.5), (100.0, 0.25), (55.0, 2.0), (20.0, 2.0)])
def test_interval_halves_each_15_kelvin_over_70(temperature: float, share: float) -> None:
    """Bearing maker B, adjustments of relubrication intervals: halved per 15 K over 70 °C, at most doubled below."""
    found = planned(point={**FAN, "usual_temperature": temperature})
    assert found.interval_h == pytest.approx(7322.8 * share, rel=5e-3)  # three figures


def test_methods_stand_side_by_side_with_their_spread() -> None:
    found = planned(point={**FAN, "shaft": "vertical"})
    assert found.interval_low_h is not None and found.interval_high_h is not None and found.interval_h is not None
    assert found.interval_low_h < found.interval_h <= found.interval_high_h
    for method in ("maker adjustments", "two-factor sheet", "trade-press factors", "forecast grease life"):
        assert method in said(found)


def test_nothing_is_longer_than_the_makers_30000_hours() -> None:
    """Bearing maker B: over 30 000 h the figures are unreliable."""
    assert planned(point=MILL).interval_high_h == 30_000.0


@pytest.mark.parametrize(("temperature", "low", "high"), [
    (60.0, 168.0, 730.0), (65.5, 168.0, 730.0), (80.0, 24.0, 168.0)])
def test_dirty_points_by_the_fan_makers_table(temperature: float, low: float, high: float) -> None:
    """Air-handler fan maker, bearing manual: dirty to 150 °F 1 week to 1 month; over 150 °F daily to 1 week."""
    cap = dirty_cap(Service("spherical_roller", 18.0, 140.0, 250.0, temperature, dirt="medium"), TABLE)
    assert cap is not None
    assert (cap.low, cap.high, cap.confidence) == (low, high, "verified")


def test_water_counts_as_dirt_by_judgement_and_clean_dry_points_are_not_held() -> None:
    wet = dirty_cap(Service("spherical_roller", 18.0, 140.0, 250.0, 50.0, water="washed"), TABLE)
    assert wet is not None and wet.confidence == "judgement"
    assert dirty_cap(Service("spherical_roller", 18.0, 140.0, 250.0, 50.0, water="damp"), TABLE) is None


@pytest.mark.parametrize("exposure", ["dust", "splash", "wash_down", "submerged", "steam"])
def test_slow_bearing_in_dirt_or_water_is_not_left_for_years(exposure: str) -> None:
    found = planned(point={**MILL, "exposure": (exposure,)})
    assert found.interval_h is not None and found.interval_h <= 730.0


def test_a_shorter_interval_takes_no_more_grease_where_it_cannot_leave() -> None:
    clean = planned(point={**FAN, "drain": "closed"})
    dusty = planned(point={**FAN, "drain": "closed", "exposure": ("dust",)})
    assert dusty.amount_g is not None and clean.amount_g is not None and dusty.amount_g < clean.amount_g
    # The dust halves the interval by the maker's own factor; the table on top of it adds nothing.
    assert per_1000(dusty) == pytest.approx(1000 * 23.1 / (7322.8 * 2 ** (10 / 15) / 2), rel=0.65)
    assert per_1000(dusty) <= 1000 * 23.1 / (7322.8 / 2) * 1.01
    assert "no reason for more grease" in said(dusty)


def test_an_open_drain_lets_dirt_be_flushed_with_less_than_a_whole_dose() -> None:
    found = planned(point={**MILL, "exposure": ("dust",), "drain": "open"})
    assert found.amount_g == pytest.approx(0.002 * 250 * 88)
    assert "Dirt wants flushing" in said(found)


def test_less_than_a_stroke_waits_until_a_stroke_is_due() -> None:
    fields: dict[str, Any] = {"point": {**FAN, "exposure": ("dust",), "usual_temperature": 80.0, "feed": "hand_gun"}}
    found = planned(**fields, regreasing={"grams_per_stroke": 2.5})
    assert (found.amount_g, found.strokes) == (2.5, 1.0)
    assert found.interval_h is not None and found.interval_h > 168.0
    slow = planned(point={**fields["point"], "feed": "lubricator"}, regreasing={"grams_per_stroke": 2.5})
    assert slow.interval_h == 168.0
    assert per_1000(slow) == pytest.approx(per_1000(found), rel=0.01)


@settings(max_examples=40, deadline=None)
@given(exposure=st.sets(st.sampled_from(["dust", "splash", "vibration", "outdoors"])), temperature=st.floats(0, 64),
       safety=st.sampled_from([None, "heavy", "normal"]))
def test_words_of_caution_add_no_grease_that_no_rule_asks_for(exposure: set[str], temperature: float,
                                                              safety: str | None) -> None:
    """Neither dose nor rate is over what the strictest published correction gives; a whole dose is the most."""
    found = planned(point={**FAN, "exposure": tuple(sorted(exposure)), "usual_temperature": temperature,
                           "load": {"level": safety}, "drain": "closed"})
    assert found.amount_g is not None and found.amount_g <= 23.1
    assert per_1000(found) <= 1000 * 23.1 / (7322.8 * 0.5 * 0.5) * 1.01


def test_lubricator_gets_its_setting_per_day() -> None:
    found = planned(point={**FAN, "usual_temperature": 70.0, "feed": "lubricator"})
    assert "0.076 g for each day" in said(found)  # 3.15 g per 1,000 h × 24 h


def test_strokes_by_a_weighed_gun_or_how_to_weigh_it() -> None:
    counted = planned(point=FAN, regreasing={"grams_per_stroke": 1.4})
    assert counted.strokes == 17.0  # 23.1 / 1.4 = 16.5, unrounded a little over
    unknown = planned(point=FAN)
    assert unknown.strokes is None
    assert "ten full strokes onto a tared scale" in said(unknown)


@pytest.mark.parametrize(("fields", "words"), [
    ({"drain": "closed"}, "open it and clear its passage"), ({"drain": "none"}, "old grease can't leave"),
    ({"bearing": {**FAN["bearing"], "sealing": "shielded"}}, "Shielded")])  # type: ignore[dict-item]
def test_outlets_and_shields_are_thought_of(fields: dict[str, Any], words: str) -> None:
    assert words in said(planned(point={**FAN, **fields}))


def test_sealed_bearings_and_restricted_duty_get_no_interval() -> None:
    for fields in ({"feed": "sealed_for_life"}, {"safety_critical": True}):
        found = planned(point={**FAN, **fields})
        assert (found.grams_per_1000_h, found.amount_g, found.interval_h) == (None, None, None)
        assert found.working


def test_the_manual_stands_beside_ours_and_first() -> None:
    manual = Manual(regreasing=ManualRegreasing(amount=20.0, every=4_000.0))
    found = planned(point={**FAN, "usual_temperature": 70.0, "manual": manual})
    assert found.working[0].startswith("The machine's manual says 20 g every 4000 h: it comes first")
    assert "5 g per 1,000 h, 1.6 times the 3.15 g worked out here" in found.working[0]
    assert found.interval_h == 7320.0


def test_over_the_speed_that_grease_stands_it_says_so() -> None:
    """Bearing maker B, 2018: deep groove ball, n·dm 300 000 at C/P 4."""
    bearing = {**FAN["bearing"], "dynamic_rating": 100_000.0}  # type: ignore[dict-item]
    loaded = {**FAN, "bearing": bearing, "speed": 3_200.0, "load": {"force": 25_000.0}}
    assert "is over the 300000 that grease stands" in said(planned(point=loaded))
    assert "watch its temperature" in said(planned(point={**loaded, "speed": 2_500.0}))
    assert "grease stands" not in said(planned(point={**loaded, "speed": 1_000.0}))


def test_heat_over_what_the_grease_stands_for_long_is_said() -> None:
    """Bearing maker A: the life of lithium grease on mineral oil falls from about 75 °C on."""
    hot = planned(point={**FAN, "usual_temperature": 95.0}, grease={"thickener": "lithium", "base_oil": "mineral"})
    assert "begins to fall from 75 °C" in said(hot)
    cool = planned(point=FAN, grease={"thickener": "lithium", "base_oil": "mineral"})
    assert "begins to fall" not in said(cool)


def test_an_estimated_usual_temperature_is_shown_with_its_band() -> None:
    point = {"bearing": {**FAN["bearing"], "dynamic_rating": 92_000.0}, "speed": 1750.0,  # type: ignore[dict-item]
             "surroundings": Surroundings(hottest=30.0)}
    found = planned(point=point, grease={"viscosity_40": 110.0})
    assert "computed from friction and cooling, " in said(found)
    assert found.interval_h is not None


def test_first_fill_has_its_two_shares() -> None:
    """Fill sheet of a lubricant maker: 67 % of the bearing at medium speed; bearing maker B: 40 % beside it."""
    found = planned(point=FAN)
    assert found.first_fill_g is not None
    assert "× 67% × 0.9" in said(found) and "× 40%" in said(found)


def test_a_swinging_bearing_gets_no_interval_of_turning_ones() -> None:
    found = planned(point={"bearing": FAN["bearing"], "swing": Swing(angle=40.0, rate=6.0)})
    assert found.interval_h is None
    assert "this one swings" in said(found)


def test_pins_by_their_own_guidance() -> None:
    pin = {"kind": "pin_bushing", "pin": Pin(diameter=80.0, length=110.0, bush_material="bronze"),
           "swing": Swing(angle=40.0, rate=6.0)}
    dry, wet = (planned(point={**pin, "exposure": e}) for e in ((), ("splash",)))
    assert dry.interval_h is not None and wet.interval_h is not None and wet.interval_h < dry.interval_h
    pressed = planned(point={**pin, "load": {"force": 600_000.0}})
    assert "specific pressure 68.2 MPa: over what it stands at all" in said(pressed)
    assert "until clean grease shows at the collar" in said(dry)


def test_slow_ways_may_stick_and_slip() -> None:
    slow, quick = (planned(point={"kind": "slideway", "slide": Slide(length=900.0, width=60.0, speed=v)})
                   for v in (0.002, 0.1))
    assert "may stick and slip" in said(slow)
    assert "stick and slip" not in said(quick)


def test_frequent_greasing_in_dirt_is_no_over_greasing() -> None:
    built = case(point={**MILL, "exposure": ("dust",)}, regreasing={"every": 200.0})
    found = establish(built, compute(built, K)[0], K)
    assert found["interval_kept_short"].holds is False
    assert found["interval_too_long"].holds is False


def test_a_code_fills_what_nothing_else_states() -> None:
    """DIN 51502: HC synthetic hydrocarbon, P EP, 2 the grade, −40 °C; its letter N is a rig result, no limit."""
    filled, words = with_codes(case(grease={"code": "KPHC2N-40", "nlgi": "1"}), ep=True)
    grease = filled.grease
    assert (grease.base_oil, grease.nlgi, grease.lowest_temperature) == ("pao", "1", -40.0)
    assert grease.additives == ("ep",)
    assert grease.highest_temperature is None
    assert words == ("the code KPHC2N-40 says of the grease: base oil pao, lowest temperature -40 °C, additives EP",)
    assert with_codes(case(grease={"code": "KPHC2N-40"}))[0].grease.additives == ()


def test_a_case_without_codes_stays_itself() -> None:
    built = case(grease={"thickener": "lithium"})
    assert with_codes(built) == (built, ())


def test_a_point_packed_by_hand_is_repacked_and_not_dosed() -> None:
    packed, gun = (planned(point={**FAN, "feed": feed}) for feed in ("hand_packed", "hand_gun"))
    assert packed.amount_g is None and packed.grams_per_1000_h is None and packed.strokes is None
    assert packed.interval_h == gun.interval_h and packed.first_fill_g == gun.first_fill_g
    assert "pack it with the first fill" in said(packed)


@pytest.mark.parametrize(("highest", "given_one"), [(120.0, False), (160.0, True)])
def test_no_interval_makes_up_for_a_grease_that_does_not_stand_the_heat(highest: float, given_one: bool) -> None:
    found = planned(point={**FAN, "usual_temperature": 150.0}, grease={"highest_temperature": highest})
    assert (found.interval_h is not None) is given_one
    assert ("good to 120 °C by its data sheet" in said(found)) is not given_one


def test_housing_is_filled_as_a_seal_only_where_it_is_known_to_turn_slowly_in_dirt() -> None:
    slow, unknown = ({**MILL, "exposure": ("dust",), "speed": speed} for speed in (18.0, None))
    assert "× 85%" in said(planned(point=slow))
    assert "× 40%" in said(planned(point=unknown))
