"""Keep, purge, strip, switch or replace, in scenes from the invented brickworks."""

from __future__ import annotations

from dataclasses import replace

import msgspec
import pytest
from changeover_world import K, changeover, must, regrease

from diag.case.model import Bearing, Case, FeedLine, Grease, History, Point, Regreasing
from diag.findings import Computed
from diag.remedy.cautions import collect
from diag.remedy.steps import tags_of
from diag.report.parts.changeover import action_words

LITHIUM = Grease(thickener="lithium", base_oil="mineral", nlgi="2", viscosity_40=220.0, additives=("ep",))
POLYUREA = Grease(thickener="polyurea", base_oil="mineral", nlgi="2")
FAN = Point(kind="rolling_bearing", feed="hand_gun", drain="open",
            bearing=Bearing(type="deep_groove_ball", bore=60, outside=130, width=31))
PIN = Point(kind="pin_bushing", feed="hand_gun")


def fan(complaint: str = "noisy", grease: Grease = LITHIUM, earlier: Grease | None = None, **point: object) -> Case:
    """The bearing of the invented dryer fan."""
    return Case(complaint=complaint, point=replace(FAN, **point), grease=grease, earlier_grease=earlier or Grease())


def test_thin_oil_leads_to_a_switch_by_purging_when_the_greases_agree() -> None:
    found = changeover(fan(), causes={"viscosity_too_low": 0.7}, needs=(must("viscosity_40", "min", 400.0),))
    assert found.action == "purge_and_switch"
    assert found.compatibility.verdict == "same"
    assert not found.repair_first


def test_mechanical_cause_comes_before_any_grease() -> None:
    found = changeover(fan(), causes={"misalignment": 0.6, "viscosity_too_low": 0.5})
    assert (found.action, found.repair_first) == ("keep", True)
    assert any("buy another grease before the fault is mended" in text for text in found.never)
    cause = K.causes["misalignment"]
    check = K.field_checks["alignment"]
    assert any(check.check in step and check.tool in step and check.limit in step for step in found.steps)
    assert any(cause.remedy.other[0] in step for step in found.steps)


def test_outside_heat_is_mended_before_the_grease_is_changed() -> None:
    found = changeover(fan(), causes={"overheating_external": 0.6})
    assert (found.action, found.repair_first) == ("strip_clean_same", True)


@pytest.mark.parametrize("condition", ["rust_marks", "marks_at_element_pitch", "spall", "flutes"])
def test_spoilt_rolling_bearing_is_replaced(condition: str) -> None:
    found = changeover(fan(), causes={"water_ingress_corrosion": 0.6}, conditions={condition: 0.7})
    assert found.action == "replace_part"


def test_rust_on_a_pin_does_not_bar_keeping_it() -> None:
    found = changeover(Case(complaint="noisy", point=PIN, grease=LITHIUM), conditions={"rust_marks": 0.9})
    assert found.action == "keep"


def test_failed_part_is_replaced_and_its_evidence_kept_before_cleaning() -> None:
    found = changeover(fan("failed"), causes={"fatigue": 0.5})
    assert found.action == "replace_part"
    evidence = [i for i, step in enumerate(found.steps) if step.startswith("Keep the evidence")]
    cleaning = next(i for i, step in enumerate(found.steps) if step.startswith("Clean:"))
    assert len(evidence) == 3 and max(evidence) < cleaning
    text = " ".join(found.steps)
    for word in ("photograph", "load zone", "drive side", "by zone", "other bearing", "tubes and the gun"):
        assert word in text


def test_hot_after_greasing_with_a_closed_drain_gets_no_more_grease() -> None:
    case = replace(fan("hot", drain="closed"), history=History(since=("regreasing",)))
    found = changeover(case, causes={"under_greasing": 0.8})
    assert found.action == "wait_and_watch"
    assert any(step.startswith("Open the drain") for step in found.steps)
    assert not any(step.startswith(("Push through", "Dose")) for step in found.steps)
    assert any("add more grease" in text for text in found.never)


def test_over_greasing_with_an_open_drain_lets_it_out_and_doses_less() -> None:
    case = replace(fan("hot"), history=History(since=("regreasing",)))
    found = changeover(case, causes={"over_greasing": 0.8}, plan=regrease(1200, 15))
    assert found.action == "adjust_regreasing"
    assert any("15 g every 1200 h" in step for step in found.steps)
    assert not any(step.startswith("Dose") for step in found.steps)


def test_starved_point_is_dosed_in_small_shots() -> None:
    found = changeover(fan(), causes={"under_greasing": 0.8}, plan=regrease(1200, 20))
    assert found.action == "adjust_regreasing"
    assert any("5 g at a time, up to 20 g" in step for step in found.steps)


def test_mixed_greases_are_stripped_with_the_charts_in_words() -> None:
    found = changeover(fan(grease=POLYUREA, earlier=LITHIUM), causes={"incompatible_thickener_mix": 0.7})
    assert found.action == "strip_clean_and_switch"
    assert found.compatibility.verdict == "incompatible"
    text = " ".join(found.why)
    assert "the charts disagree" in text and "ASTM D6185" in text


@pytest.mark.parametrize(("earlier", "action"), [(Grease(thickener="lithium_complex"), "purge_and_switch"),
                                                 (POLYUREA, "strip_clean_and_switch")])
def test_wrong_grease_goes_out_by_purging_where_the_pair_allows(earlier: Grease, action: str) -> None:
    found = changeover(fan(earlier=earlier), causes={"wrong_grease_applied": 0.8})
    assert found.action == action


def test_change_without_knowing_the_old_grease_is_never_purged() -> None:
    case = replace(fan(), history=History(since=("changeover",)))
    found = changeover(case, causes={"storage_ageing": 0.7})
    assert found.action == "strip_clean_same"
    assert found.compatibility.verdict == "unknown"


@pytest.mark.parametrize(("old", "new", "action", "verdict"), [
    (LITHIUM, Grease(thickener="lithium_complex", base_oil="mineral"), "purge_and_switch", "compatible"),
    (LITHIUM, Grease(thickener="calcium_sulfonate", base_oil="mineral"), "purge_and_switch", "borderline"),
    (LITHIUM, POLYUREA, "strip_clean_and_switch", "incompatible"),
    (Grease(thickener="clay"), POLYUREA, "strip_clean_and_switch", "incompatible"),
    (LITHIUM, Grease(thickener="ptfe", base_oil="pfpe"), "strip_clean_and_switch", "incompatible"),
])
def test_planned_change_is_purged_or_stripped_by_compatibility(old: Grease, new: Grease, action: str,
                                                               verdict: str) -> None:
    found = changeover(fan("planning", grease=new, earlier=old))
    assert (found.action, found.compatibility.verdict) == (action, verdict)


def test_planned_change_away_from_a_grease_that_serves_is_not_made() -> None:
    found = changeover(fan("planning"), needs=(must("ep", "is", "yes"), must("nlgi", "in", ("2",))))
    assert found.action == "keep"


def test_planned_change_goes_to_the_allowed_thickener_that_suits_the_old_one_best() -> None:
    found = changeover(fan("planning"), needs=(must("thickener", "in", ("clay", "lithium_complex")),))
    assert found.action == "purge_and_switch"
    assert found.compatibility.verdict == "compatible"


def test_plan_is_not_held_up_by_a_mere_base_rate() -> None:
    found = changeover(fan("planning", grease=POLYUREA, earlier=LITHIUM), causes={"misalignment": 0.1})
    assert (found.action, found.repair_first) == ("strip_clean_and_switch", False)


def test_grease_that_meets_every_must_stays() -> None:
    found = changeover(fan(), causes={"viscosity_too_low": 0.7}, needs=(must("viscosity_40", "min", 150.0),))
    assert found.action == "purge_same"
    assert any("it stays" in text for text in found.why)


def test_grease_that_falls_short_is_not_bought_again() -> None:
    found = changeover(fan(), causes={"storage_ageing": 0.7}, needs=(must("nlgi", "in", ("3",)),))
    assert found.action == "purge_and_switch"
    assert any("falls short in nlgi" in text for text in found.why)


@pytest.mark.parametrize("point", [{"drain": "none"}, {"feed": "hand_packed"},
                                   {"bearing": Bearing(sealing="shielded")}])
def test_purge_is_refused_where_it_cannot_work(point: dict[str, object]) -> None:
    found = changeover(fan(**point), causes={"storage_ageing": 0.7})
    assert found.action == "strip_clean_same"
    assert any(text.startswith("try to purge it") for text in found.never)


@pytest.mark.parametrize("point", [{"feed": "sealed_for_life"}, {"bearing": Bearing(sealing="sealed")}])
def test_sealed_bearing_is_changed_whole(point: dict[str, object]) -> None:
    found = changeover(fan(**point), causes={"viscosity_too_low": 0.7})
    assert found.action == "replace_part"
    assert not any(step.startswith("Fill") for step in found.steps)


def test_smoke_stops_and_opens_the_point() -> None:
    found = changeover(fan("hot"), causes={"over_greasing": 0.8}, signs={"smoke_or_burnt_smell": 1.0},
                       level="stop_now")
    assert found.action == "strip_clean_same"
    assert found.steps[0].startswith("Stop")
    assert any("hose or air-blast" in text for text in found.never)


def test_restricted_duty_defers_to_its_programme() -> None:
    found = changeover(fan(), causes={"viscosity_too_low": 0.9}, circumstances={"restricted_duty": True},
                       plan=regrease(1000, 20))
    assert found.action == "wait_and_watch"
    text = " ".join((*found.steps, *found.why))
    assert "approved programme" in text
    assert "1000" not in text and "20 g" not in text


def test_restricted_duty_still_names_a_part_that_cannot_be_kept() -> None:
    found = changeover(fan(safety_critical=True), conditions={"rust_marks": 0.9})
    assert found.action == "replace_part"
    assert any(step.startswith("Ask first") for step in found.steps)


def test_nothing_leading_and_nothing_urgent_keeps_the_grease() -> None:
    assert changeover(fan(), causes={"viscosity_too_low": 0.1}).action == "keep"
    assert changeover(fan(), causes={"viscosity_too_low": 0.1}, level="watch").action == "wait_and_watch"


def test_purge_amount_is_free_volume_and_line_times_passes() -> None:
    # 60 × 130 × 31 mm: ring volume 323.9 cm³, mean K 54.5 cm³/kg of the type → free volume 94.7 cm³ (mass estimated);
    # line 2 m of 4 mm bore: 25.1 cm³; one to two passes at 0.9 g/cm³.
    found = changeover(fan(feed_line=FeedLine(length=2000, bore=4)), causes={"storage_ageing": 0.7})
    push = next(step for step in found.steps if step.startswith("Push through"))
    low, high = (float(x) for x in push.split("pack, ")[1].split(" g (")[0].split(" to "))
    assert high == pytest.approx(2 * low, abs=1)
    without = changeover(fan(), causes={"storage_ageing": 0.7})
    bare = next(step for step in without.steps if step.startswith("Push through"))
    bare_low = float(bare.split("pack, ")[1].split(" to ")[0])
    assert low - bare_low == pytest.approx(25.13 * 0.9, abs=1)


def test_borderline_pair_is_pushed_through_two_to_three_times() -> None:
    case = fan("planning", grease=Grease(thickener="calcium_sulfonate", base_oil="mineral"), earlier=LITHIUM)
    assert any("2 to 3 times free space" in step for step in changeover(case).steps)


def test_size_unknown_is_judged_by_what_comes_out() -> None:
    found = changeover(fan(bearing=Bearing()), causes={"storage_ageing": 0.7})
    assert any("until only fresh grease shows at the outlet" in step for step in found.steps)


def test_switch_changes_the_supply_and_halves_the_next_intervals() -> None:
    found = changeover(fan(), causes={"viscosity_too_low": 0.7}, plan=regrease(800))
    text = " ".join(found.steps)
    for word in ("gun", "feed line", "lubricator", "drum", "relabel", "route sheet", "half length (400 h)"):
        assert word in text


def test_watching_names_the_stop_limit() -> None:
    found = changeover(fan(), causes={"storage_ageing": 0.7})
    assert any("stop at once if running_temperature over 110 °C" in step for step in found.steps)


def watch_step(found: object) -> str:
    return next(step for step in found.steps if step.startswith("Watch"))  # type: ignore[attr-defined]


def test_stated_usual_temperature_is_named_and_the_estimate_is_not() -> None:
    estimate = {"expected_temperature": Computed(id="expected_temperature", value=33.0, low=28.0, high=52.0, unit="°C",
                                                 working="test", source="test")}
    hot = replace(fan("hot"), history=History(since=("regreasing",)))
    causes = {"over_greasing": 0.8}
    stated = changeover(replace(hot, point=replace(FAN, usual_temperature=66.0)), causes=causes, computed=estimate)
    assert "usual 66 °C" in watch_step(stated) and "33" not in watch_step(stated) and "28 and" not in watch_step(stated)
    unstated = changeover(hot, causes=causes, computed=estimate)
    assert "between 28 and 52 °C (a rough estimate)" in watch_step(unstated)


def test_new_grease_is_not_stopped_at_the_old_ones_limit() -> None:
    case = fan(grease=replace(LITHIUM, highest_temperature=120.0), usual_temperature=150.0)
    found = changeover(case, causes={"overheating_external": 0.9}, conditions={"metal_overheated": 0.9})
    assert found.action == "replace_part"
    assert "limit of its own data sheet" in watch_step(found) and "over 110" not in watch_step(found)
    fit = next(step for step in found.steps if step.startswith("Fit"))
    assert "one class larger" in fit and "stay true at 150 °C" in fit
    assert any("good to 120 °C by its data sheet" in text for text in found.why)


def test_part_that_is_only_likely_spoilt_is_looked_at_before_it_is_thrown_away() -> None:
    inferred = changeover(fan(), conditions={"rust_marks": 0.7})
    assert "have a new one at hand" in inferred.why[0] and "70%" in inferred.why[0]
    sign = next(s for s, option in K.signs.items() if option.condition == "rust_marks")
    assert "have a new one at hand" not in changeover(fan(), signs={sign: 1.0}).why[0]


def test_too_much_grease_is_let_out_and_dosed_less_afterwards() -> None:
    case = replace(fan("hot", drain="closed"), history=History(since=("regreasing",)))
    found = changeover(case, causes={"over_greasing": 0.9, "seal_failure": 0.4}, plan=regrease(1200, 15))
    headings = [step.split(":")[0] for step in found.steps]
    assert headings == ["Open the drain", "Log", "Watch", "Afterwards", "Also look"]
    assert action_words(found) == "Add nothing; open the outlet, let it settle and watch."
    calm = changeover(fan(), level="watch")
    assert action_words(calm) == "Wait and watch; change nothing yet."


def test_sealed_bearing_has_no_drain_to_open() -> None:
    case = replace(fan("hot", drain=None, bearing=Bearing(sealing="sealed")), history=History(since=("regreasing",)))
    found = changeover(case, causes={"normal_transient": 0.9})
    assert found.action == "wait_and_watch"
    assert not any(step.startswith("Open the drain") for step in found.steps)


def test_dry_pin_is_fed_until_it_shows_and_watched_by_force_and_noise() -> None:
    case = Case(complaint="stiff", point=replace(PIN, drain="none"), grease=LITHIUM)
    found = changeover(case, causes={"under_greasing": 0.9}, plan=regrease(8, 3))
    assert found.steps[0].startswith("Besides") and "line and fitting" in found.steps[0]
    dose = next(step for step in found.steps if step.startswith("Dose"))
    assert "shows at the ends" in dose and "do not force it" in dose
    assert "force, noise and play" in watch_step(found) and "half hour" not in watch_step(found)
    assert not any("purge" in text for text in found.never)


@pytest.mark.parametrize(("feed", "hours", "words"), [
    ("lubricator", 1200, "set the feed to 0.3 g for each day"),
    ("hand_gun", 30000, "15 g every 30000 h of running, and look at it once a year"),
    ("hand_gun", 1200, "15 g every 1200 h of running; write")])
def test_new_interval_suits_the_feed_and_the_calendar(feed: str, hours: float, words: str) -> None:
    plan = msgspec.structs.replace(regrease(hours, 15), grams_per_1000_h=12.5)
    found = changeover(fan(feed=feed), causes={"under_greasing": 0.8}, plan=plan)
    assert any(words in step for step in found.steps)


@pytest.mark.parametrize(("amount", "stroke", "words"), [
    (20.0, None, "5 g at a time, up to 20 g"), (1.4, 1.4, "1.4 g, stroke by stroke"),
    (3.0, 1.2, "1.2 g at a time, up to 3 g")])
def test_no_dose_is_smaller_than_a_stroke(amount: float, stroke: float | None, words: str) -> None:
    case = replace(fan(), regreasing=Regreasing(grams_per_stroke=stroke))
    assert any(words in step for step in changeover(case, causes={"under_greasing": 0.8},
                                                    plan=regrease(1200, amount)).steps)


def test_charts_are_shown_only_where_two_greases_meet() -> None:
    kept = changeover(fan(grease=POLYUREA), causes={"misalignment": 0.9})
    assert kept.compatibility.tables == ()
    switched = changeover(fan(), causes={"viscosity_too_low": 0.7}, needs=(must("viscosity_40", "min", 400.0),))
    assert switched.compatibility.tables


def test_only_thickener_that_meets_is_named_beside_the_codes() -> None:
    found = changeover(fan(grease=POLYUREA, earlier=LITHIUM), causes={"incompatible_thickener_mix": 0.7},
                       needs=(must("thickener", "in", ("polyurea",)), must("nlgi", "in", ("3",))))
    assert any("(polyurea thickener, KP2K-20)" in step for step in found.steps)


def test_pin_is_drawn_only_after_its_load_is_blocked() -> None:
    found = changeover(Case(complaint="stiff", point=PIN, grease=POLYUREA, earlier_grease=LITHIUM),
                       causes={"incompatible_thickener_mix": 0.7})
    assert any(step.startswith("Draw the pin") and "block" in step for step in found.steps)


def test_every_step_has_a_heading_that_leads_to_its_cautions() -> None:
    table = K.standard("procedures")
    headings = [kind["heading"] for kind in table["kinds"].values()]
    assert len(set(headings)) == len(headings)
    assert {step["kind"] for step in table["steps"].values()} <= set(table["kinds"])
    assert tags_of("Push through: the same grease", K) == ("greasing", "purge")
    assert tags_of("no step at all", K) == ()


def test_procedure_texts_cite_sources_that_exist() -> None:
    assert {s for step in K.standard("procedures")["steps"].values() for s in step["source"]} <= set(K.sources)


def test_caution_stands_before_the_first_step_it_belongs_to() -> None:
    case = fan()
    found = changeover(case, causes={"storage_ageing": 0.7})
    cautions = {c.id: c for c in collect(case, found, {}, K)}
    assert cautions["injection"].before.startswith("Clean the fitting")
    assert cautions["local_rules"].before == found.steps[0]
    assert all(c.before in found.steps for c in cautions.values())
    assert not {"oxygen", "food", "explosive", "fluorinated", "raised_loads"} & set(cautions)


def test_cautions_of_special_duty_come_with_that_duty() -> None:
    case = replace(fan(grease=Grease(thickener="ptfe", base_oil="pfpe"), exposure=("food_contact",)))
    found = changeover(case, causes={"incompatible_thickener_mix": 0.7})
    assert {"food", "fluorinated"} <= {c.id for c in collect(case, found, {}, K)}
