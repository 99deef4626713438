"""The decision in money: tables worked by hand, flips proved on both sides, checks before grease, the manual."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import product

import msgspec
import numpy as np
import pytest
from changeover_world import Answers, K, Posterior, changeover, must, regrease, urgency
from networks import answered, random_knowledge

from diag.case.model import Bearing, Case, Costs, Grease, History, Manual, ManualRegreasing, Point
from diag.cli.mixing import mix
from diag.findings import Action, Changeover, NextOption, NextQuestion, Requirement, Spec
from diag.inference import prior
from diag.inference.network import compiled
from diag.inference.presence import After, Presence, after_answers
from diag.remedy import decision
from diag.remedy.another_look import Look, one_more_check
from diag.remedy.cures import Independent, left_by, needed_action
from diag.remedy.manual import difference, regreasing_differences
from diag.remedy.prices import Prices, basis, prices_of
from diag.remedy.situation import Situation
from diag.report import terminal
from diag.report.parts.decision import decision as page
from diag.review import review

LITHIUM = Grease(thickener="lithium", base_oil="mineral", nlgi="2", viscosity_40=220.0)
FAN = Point(kind="rolling_bearing", feed="hand_gun", drain="open")
PRICED = Costs(currency="EUR", downtime_per_hour=200, labour_per_hour=50, bearing=150, grease_per_kg=10,
               repeat_failure=4000)
PRICES = Prices(200, 50, 150, 10, 4000, (10, 10), (5, 8))


def fan(costs: Costs = PRICED, **more: object) -> Case:
    return Case(complaint="noisy", point=FAN, grease=LITHIUM, costs=costs, **more)  # type: ignore[arg-type]


def job(action: Action, left: float, **more: float) -> decision.Job:
    """A row with the hours of the cost table."""
    w = K.costs.work[action]
    row = decision.Job(action, w.downtime_h, w.labour_h, w.grease_kg, int(w.new_part), w.works, w.goes_on, left)
    return replace(row, **more)


def test_cost_of_a_purge_by_hand() -> None:
    # 0.5 h × 200 + 2 h × 50 + 0.2 kg × 10 = 202; cures 0.85 × 0.6 = 0.51; a miss costs 0.3 × 4000 + 5 × 200 + 8 × 50
    # = 2600; 202 + 0.49 × 2600 = 1476.
    assert decision.cost(job("purge_same", 0.4), PRICES) == pytest.approx(1476)


def test_cost_of_a_new_part_by_hand() -> None:
    # 6 × 200 + 8 × 50 + 0.2 × 10 + 150 = 1752; cures 0.95; 0.05 × 2600 = 130.
    assert decision.cost(job("replace_part", 0.0), PRICES) == pytest.approx(1882)


def test_cost_of_leaving_it_by_hand() -> None:
    # 0.25 × 50 = 12.5; nothing is cured: 0.5 × 4000 + 1400 = 3400.
    assert decision.cost(job("keep", 1.0), PRICES) == pytest.approx(3412.5)


def test_table_of_a_case_by_hand() -> None:
    found = changeover(fan(), causes={"storage_ageing": 0.6, "misalignment": 0.2, "fatigue": 0.05})
    costs = {c.action: c for c in found.expected_costs}
    # Under 15 % fatigue isn't counted; misalignment stays whatever is done to the grease: left 0.2.
    assert costs["purge_same"].cost == pytest.approx(202 + (1 - 0.85 * 0.8) * 2600)
    # Keeping leaves both: 1 − 0.4 × 0.8 = 0.68.
    assert costs["keep"].cost == pytest.approx(12.5 + 0.68 * 3400)
    # Low: hours × 0.7, odds of 0.2 halved = 1/9; high: hours × 1.5, odds doubled = 1/3. Prices are stated.
    assert costs["purge_same"].low == pytest.approx(0.7 * 200 + 2 + (1 - 0.85 * 8 / 9) * 2600, abs=0.01)
    assert costs["purge_same"].high == pytest.approx(1.5 * 200 + 2 + (1 - 0.85 * 2 / 3) * 2600, abs=0.01)
    assert found.action == found.expected_costs[0].action == "purge_same"


def test_parts_of_a_cost_make_up_the_whole() -> None:
    found = changeover(fan(), causes={"storage_ageing": 0.6, "misalignment": 0.2})
    whole = {c.action: c.cost for c in found.expected_costs}
    for p in found.cost_parts:
        assert p.standstill + p.labour + p.material + p.risk == pytest.approx(whole[p.action], abs=0.05)


def test_unstated_failure_is_priced_by_its_hours() -> None:
    prices = prices_of(replace(PRICED, repeat_failure=None), LITHIUM, K)
    assert prices.repeat_failure == 10 * 200 + 10 * 50 + 150
    assert prices.at("downtime_per_hour", 300).repeat_failure == 10 * 300 + 10 * 50 + 150


def test_every_default_is_named_and_marked_and_stated_ones_are_not() -> None:
    words = basis(Costs(), K)
    for name, default in K.costs.prices.items():
        assert any(f"costs: {name}" in w and default.mark in w and f"{default.value:g}" in w for w in words)
    assert any("repeat_failure" in w and "judgement" in w for w in words)
    assert not any("state it" in w for w in basis(PRICED, K))


def test_grease_of_a_dear_family_costs_more() -> None:
    plain, dear = (prices_of(Costs(), Grease(thickener=t), K).grease_per_kg for t in ("lithium", "ptfe"))
    assert dear > 10 * plain
    assert prices_of(PRICED, Grease(thickener="ptfe"), K).grease_per_kg == 10


@pytest.mark.parametrize(("action", "cause", "repaired", "left"), [
    ("purge_same", "storage_ageing", None, False),
    ("purge_same", "thermal_or_oxidative_hardening", None, True),  # cake does not go out by purging
    ("strip_clean_and_switch", "thermal_or_oxidative_hardening", None, False),
    ("purge_and_switch", "viscosity_too_low", None, False),
    ("strip_clean_same", "viscosity_too_low", None, True),  # the same thin oil again
    ("replace_part", "fatigue", None, False),
    ("replace_part", "misalignment", None, True),  # the new one runs out of line as well
    ("keep", "misalignment", "align", False),
    ("keep", "normal_transient", None, False),
    ("keep", "electrical_erosion", "current_path", True),  # fluted rings stay fluted
    ("replace_part", "electrical_erosion", "current_path", False),
    ("adjust_regreasing", "under_greasing", None, False),
    ("replace_part", "seal_failure", None, False),  # new seals come with it
    ("strip_clean_same", "seal_failure", None, True),
])
def test_what_an_action_cures(action: Action, cause: str, repaired: str | None, left: bool) -> None:
    assert (left_by(action, [cause], repaired, K) == {cause}) is left


@pytest.mark.parametrize(("action", "let_out", "left"), [
    ("wait_and_watch", True, False), ("wait_and_watch", False, True), ("keep", True, True), ("purge_same", True, True),
    ("adjust_regreasing", False, False), ("strip_clean_same", False, False), ("replace_part", False, False)])
def test_surplus_is_cured_by_what_lets_it_out(action: Action, let_out: bool, left: bool) -> None:
    assert bool(left_by(action, ["over_greasing"], None, K, let_out=let_out)) is left


def test_waiting_that_opens_the_outlet_cures_too_much_grease_like_dosing_less() -> None:
    hot = replace(fan(), complaint="hot", history=History(since=("regreasing",)))
    shut, none = (replace(hot, point=replace(FAN, drain=drain)) for drain in ("closed", "none"))
    cures = {p.action: p.cures for p in changeover(shut, causes={"over_greasing": 0.9}).cost_parts}
    # The surplus leaves, by the chance of the work that does the same: 0.9 of all; kept as it is one in ten is well.
    assert cures["wait_and_watch"] == pytest.approx(K.costs.work["adjust_regreasing"].works)
    assert cures["keep"] == pytest.approx(0.1)
    assert "adjust_regreasing" not in cures  # no grease goes in before it has settled
    held = {p.action: p.cures for p in changeover(none, causes={"over_greasing": 0.9}).cost_parts}
    assert held["wait_and_watch"] == pytest.approx(0.1)


def test_planned_change_of_a_sound_point_is_weighed_against_leaving_it() -> None:
    case = Case(complaint="planning", point=FAN, grease=Grease(thickener="sodium", base_oil="mineral"))
    found = changeover(case, causes={"water_washout": 0.34}, needs=(must("thickener", "avoid", ("sodium",)),))
    assert {c.action for c in found.expected_costs} <= {"keep", "purge_and_switch", "strip_clean_and_switch"}
    assert not any(step.startswith(("Besides", "Repair", "Check")) for step in found.steps)


def test_needed_action_strips_what_a_purge_leaves() -> None:
    assert needed_action(K.causes["oil_separation"], K) == "strip_clean_same"
    assert needed_action(K.causes["wrong_grease_applied"], K) == "purge_and_switch"


# --- flips


def both_sides(table: tuple[decision.Job, ...], value: str, at: float) -> tuple[Action, Action]:
    """The cheapest action just under and just over a price."""
    return tuple(decision.cheapest(table, PRICES.at(value, at * k)).action  # type: ignore[return-value, arg-type]
                 for k in (0.98, 1.02))


def test_price_flip_by_hand_and_on_both_sides() -> None:
    table = (job("purge_same", 0.2), job("strip_clean_same", 0.0))
    # Purge 202 + 0.32 × (0.3 R + 1400), strip 1302 + 0.05 × (0.3 R + 1400): equal at 0.27 (0.3 R + 1400) = 1100.
    found = next(f for f in decision.flips(table, PRICES, "", 0.0) if f.variable == "repeat_failure")
    assert (found.side, found.instead_of, found.action) == ("above", "purge_same", "strip_clean_same")
    assert found.at == pytest.approx((1100 / 0.27 - 1400) / 0.3, rel=0.005)
    assert both_sides(table, "repeat_failure", found.at) == ("purge_same", "strip_clean_same")


def test_every_price_flip_of_random_tables_holds_on_both_sides() -> None:
    tables = [(job("purge_same", a), job("strip_clean_same", b), job("replace_part", c), job("keep", 1.0))
              for a in (0.1, 0.3, 0.6) for b in (0.0, 0.2) for c in (0.0, 0.1)]
    flips = [(table, flip) for table in tables for flip in decision.flips(table, PRICES, "", 0.0)
             if not flip.variable.startswith("chance of")]
    assert len(flips) > 10
    for table, flip in flips:
        under, over = both_sides(table, flip.variable, flip.at)
        now, then = (under, over) if flip.side == "above" else (over, under)
        assert (now, then) == (flip.instead_of, flip.action)


def test_chance_flip_holds_when_the_whole_table_is_worked_out_anew() -> None:
    def table(chance: float) -> Changeover:
        return changeover(fan(), causes={"thermal_or_oxidative_hardening": chance, "storage_ageing": 0.6})

    found = next(f for f in table(0.3).flips if f.variable.startswith("chance of storage_ageing"))
    flipped = {side: changeover(fan(), causes={"thermal_or_oxidative_hardening": 0.3,
                                               "storage_ageing": found.at * side}).expected_costs[0].action
               for side in (0.95, 1.05)}
    near, far = (0.95, 1.05) if found.side == "above" else (1.05, 0.95)
    assert flipped[near] == found.instead_of and flipped[far] == found.action


def test_certain_table_has_no_flip() -> None:
    assert decision.flips((job("keep", 1.0),), PRICES, "", 0.0) == ()


# --- choice and rules


def test_cost_decides_to_strip_where_other_causes_do_not_go_out_by_purging() -> None:
    causes = {"storage_ageing": 0.5, "oil_separation": 0.45}
    cheap = changeover(fan(replace(PRICED, downtime_per_hour=10)), causes=causes)
    dear = changeover(fan(replace(PRICED, downtime_per_hour=2000)), causes=causes)
    assert (cheap.action, dear.action) == ("strip_clean_same", "purge_same")
    assert any("cost less in the end" in text for text in cheap.why)


def test_rule_stands_before_the_cost_and_says_so() -> None:
    found = changeover(fan(replace(PRICED, bearing=100_000)), conditions={"rust_marks": 0.9})
    assert found.action == "replace_part"
    assert [c.action for c in found.expected_costs] == ["replace_part"]  # what a rule bars has no row
    free = changeover(fan(replace(PRICED, bearing=0, downtime_per_hour=0)),
                      causes={"misalignment": 0.6, "fatigue": 0.4})
    assert free.action == "keep" and free.expected_costs[0].action == "replace_part"
    assert any("by cost alone replace part" in text and "the rule stands" in text for text in free.why)


def test_restricted_duty_gets_no_table() -> None:
    case = replace(fan(), point=replace(FAN, safety_critical=True))
    found = changeover(case, causes={"storage_ageing": 0.6})
    assert (found.expected_costs, found.flips, found.cost_basis, found.one_more_check) == ((), (), (), None)


@pytest.mark.parametrize(("level", "barred"), [("run_on", False), ("stop_now", True)])
def test_urgency_bars_leaving_it_before_any_cost(level: str, barred: bool) -> None:
    found = changeover(fan(), causes={"storage_ageing": 0.6}, level=level)
    assert ("keep" not in {c.action for c in found.expected_costs}) is barred


# --- chances from the network


@pytest.mark.parametrize("seed", range(4))
def test_chance_of_any_cause_is_exact(seed: int) -> None:
    knowledge = random_knowledge(seed)
    network = compiled(knowledge, "rolling_bearing")
    rates, _ = prior.rates(knowledge, "rolling_bearing", {})
    pairs = answered(knowledge, {"k0s0": "yes", "k1s1": "no", "k2s0": "probably"}).pairs(knowledge, "rolling_bearing")
    states = np.array(list(product((False, True), repeat=len(network.causes))))
    weight = np.exp(network.log_joint(network.rate_row(rates)[0], network.pair_row(pairs)[0], states))
    wanted = [frozenset(), frozenset({"c0"}), frozenset({"c1", "c4"}), frozenset(network.causes)]
    found = Presence(network, rates, pairs).any_of(wanted)
    for causes, chance in zip(wanted, found, strict=True):
        some = states[:, [c in causes for c in network.causes]].any(axis=1)
        assert chance == pytest.approx(float(weight[some].sum() / weight.sum()), abs=1e-9)


def test_answers_weighed_by_their_chance_leave_the_belief_as_it_was() -> None:
    knowledge = random_knowledge(1)
    network = compiled(knowledge, "rolling_bearing")
    rates, _ = prior.rates(knowledge, "rolling_bearing", {})
    now = answered(knowledge, {"k0s0": "yes"})
    before = network.posterior(rates, now.pairs(knowledge, "rolling_bearing")).causes
    question = NextQuestion(id="q1", text="?", how="", why="", stage="running", minutes=1, worth=1,
                            options=(NextOption(sign="k1s0", text=""), NextOption(sign="k1s1", text="")))
    for yes, no in after_answers(network, rates, now, question, knowledge):
        assert yes.chance + no.chance == pytest.approx(1)
        for cause, chance in before.items():
            assert yes.chance * yes.causes[cause] + no.chance * no.causes[cause] == pytest.approx(chance)


def situation(causes: dict[str, float]) -> Situation:
    return Situation(fan(), Spec(requirements=(), codes={}), {}, Answers(), Posterior(causes), urgency(), regrease(), K)


def look(minutes: float, stage: str = "running") -> Look:
    """A look that tells for certain whether it is storage ageing."""
    question = NextQuestion(id="q", text="What?", how="", why="", stage=stage, minutes=minutes, worth=1, options=())
    return Look(question, ((After(0.5, {"storage_ageing": 1.0}), After(0.5, {"storage_ageing": 0.0})),))


def test_worth_of_one_more_look_by_hand() -> None:
    s = situation({"storage_ageing": 0.5})
    found = one_more_check(s, look(30), ("keep", "purge_same"), PRICES, {})
    # Now: keep 12.5 + 0.5 × 3400 = 1712.5, purge 202 + 0.15 × 2600 = 592. After yes 592, after no keep 12.5.
    assert found.saves == pytest.approx(592 - (0.5 * 592 + 0.5 * 12.5))
    assert found.costs == 25 and found.worth_it
    # An hour with the machine open: 2 h of labour and 2 h of standstill each hour.
    dear = one_more_check(s, look(60, "opened"), ("keep", "purge_same"), PRICES, {})
    assert dear.costs == 500 and not dear.worth_it


def test_look_that_cannot_turn_the_choice_saves_nothing() -> None:
    found = one_more_check(situation({"storage_ageing": 0.5}), look(30), ("purge_same",), PRICES, {})
    assert found.saves == 0 and not found.worth_it


def test_independent_belief_by_hand() -> None:
    found = Independent({"a": 0.5, "b": 0.2}).any_of([frozenset(), frozenset({"a"}), frozenset({"a", "b", "z"})])
    assert found == pytest.approx((0, 0.5, 0.6))


# --- the machine before the grease


def test_machine_checks_come_with_tool_and_limit_first_where_the_machine_leads() -> None:
    found = changeover(fan(), causes={"storage_ageing": 0.4, "overheating_external": 0.6, "preload_or_tight_fit": 0.25})
    assert found.repair_first
    first = [s.split(":")[0] for s in found.steps[:2]]
    assert first == ["Check", "Repair"] and "limit:" in found.steps[0]
    feeler = next(i for i, step in enumerate(found.steps) if "feeler" in step)
    assert found.steps[feeler].startswith("Also look") and feeler > 2


def test_machine_checks_come_after_the_main_remedy_where_the_grease_leads() -> None:
    found = changeover(fan(), causes={"storage_ageing": 0.6, "preload_or_tight_fit": 0.25})
    assert not found.repair_first
    places = [i for i, step in enumerate(found.steps) if "limit:" in step]
    assert places and min(places) > next(i for i, s in enumerate(found.steps) if s.startswith("Watch"))
    assert all(found.steps[i].startswith("Also look") for i in places)
    assert any("feeler" in found.steps[i] for i in places)
    under = changeover(fan(), causes={"storage_ageing": 0.6, "preload_or_tight_fit": 0.15})
    assert not any("limit:" in step for step in under.steps)


@pytest.mark.parametrize(("cause", "words"), [
    ("misalignment", ("laser", "soft foot")), ("electrical_erosion", ("oscilloscope", "10 to 15 V")),
    ("overload_or_unbalance", ("force gauge", "G6.3")), ("preload_or_tight_fit", ("feeler", "C3"))])
def test_each_fault_of_the_machine_has_its_checks(cause: str, words: tuple[str, ...]) -> None:
    text = " ".join(changeover(fan(), causes={cause: 0.6}).steps)
    assert all(word in text for word in words)


def test_load_zone_is_read_only_where_the_part_is_opened() -> None:
    kept = changeover(fan(), causes={"misalignment": 0.6})
    opened = changeover(replace(fan(), complaint="failed"), causes={"misalignment": 0.6})
    assert not any("Track on both rings" in step for step in kept.steps)
    assert any("Track on both rings" in step for step in opened.steps)


@pytest.mark.parametrize(("drive", "told"), [("belt", True), (None, True), ("direct", False)])
def test_belts_are_checked_where_there_may_be_any(drive: str | None, told: bool) -> None:
    found = changeover(replace(fan(), point=replace(FAN, drive=drive)), causes={"overload_or_unbalance": 0.6})
    assert any("Belt tension" in step for step in found.steps) is told


def test_machine_that_stands_is_not_measured_running() -> None:
    found = changeover(fan(), causes={"misalignment": 0.6}, level="stop_now")
    assert not any("Vibration in three directions" in step for step in found.steps)


# --- the purge


def test_borderline_pair_is_pushed_over_several_visits_and_a_compatible_one_in_two() -> None:
    def push(new: Grease) -> str:
        case = replace(fan(), complaint="planning", grease=new, earlier_grease=LITHIUM)
        return next(step for step in changeover(case).steps if step.startswith("Push through"))

    assert "two or three visits" in push(Grease(thickener="calcium_sulfonate", base_oil="mineral"))
    assert "half now, half on the next shift" in push(Grease(thickener="lithium_complex", base_oil="mineral"))


def test_purge_says_when_to_pause_stop_and_strip() -> None:
    text = " ".join(changeover(fan(), causes={"storage_ageing": 0.7}).steps)
    for words in ("slow strokes", "pause when it climbs 10 K, stop at 110 °C", "the drain open", "back pressure",
                  "stop and strip"):
        assert words.casefold() in text.casefold()


# --- manual against physics


def demand(value: object, source: str, relation: str = "range", name: str = "viscosity_40") -> Requirement:
    return Requirement(property=name, relation=relation, value=value, unit="mm2/s", strength="must",  # type: ignore[arg-type]
                       because=("film at 60 °C",), source=source)


def test_difference_tells_both_numbers_the_reason_and_whom_to_ask() -> None:
    text = difference(demand((150.0, 400.0), "us"), demand((90.0, 110.0), "manual"), fan())
    for words in ("90 to 110", "150 to 400", "slower, hotter or heavier", "machine's maker", "manual comes first"):
        assert words in text
    assert "faster or cooler" in difference(demand((20.0, 60.0), "us"), demand((200.0, 240.0), "manual"), fan())
    driven = replace(fan(), point=replace(FAN, drive="inverter"))
    assert "inverter" in difference(demand((150.0, 400.0), "us"), demand((90.0, 110.0), "manual"), driven)


def test_interval_and_amount_of_the_manual_are_held_against_the_plan() -> None:
    plan = msgspec.structs.replace(regrease(1000, 20), interval_low_h=700.0, interval_high_h=1500.0)
    point = replace(FAN, manual=Manual(regreasing=ManualRegreasing(amount=60, every=8000)))
    texts = regreasing_differences(replace(fan(), point=point), plan)
    assert any("8,000 h" in t and "700 to 1,500 h" in t for t in texts)
    assert any("60 g" in t and "20 g" in t for t in texts)
    near = replace(FAN, manual=Manual(regreasing=ManualRegreasing(amount=25, every=2000)))
    assert regreasing_differences(replace(fan(), point=near), plan) == ()


def test_manual_that_asks_for_what_the_duty_forbids_is_told_in_the_review() -> None:
    bearing = Bearing(type="deep_groove_ball", bore=60, outside=130, width=31)
    point = replace(FAN, bearing=bearing, speed=2950, usual_temperature=60, manual=Manual(additives=("moly",)))
    found = review(Case(point=point), K)
    assert any(t.startswith("solid lubricant") and "moly" in t for t in found.manual_differences)


# --- the page


def test_page_shows_table_choice_flip_look_and_basis_on_80_columns() -> None:
    case = replace(fan(), costs=Costs(currency="EUR"), seen={"label_differs": "yes"})
    found = review(case, K).changeover
    lines = page(found, K, "EUR")
    text = "\n".join(lines)
    assert all(len(line) <= 80 for line in lines)
    assert "EUR" in text and f"* {found.action.replace('_', ' ')}" in text
    assert "would be the cheapest instead of" in text and "One more check" in text and "invented" in text
    assert len([line for line in lines if line.startswith(("* ", "  ")) and " %" in line]) >= len(found.expected_costs)


def test_page_says_no_warning_twice() -> None:
    case = replace(fan(), complaint="hot", seen={"path_skewed": "yes"})
    text = " ".join(terminal.page(review(case, K), case, K).split())
    for words in ("air-blast a hot bearing", "feel near turning parts", "no grease cures it"):
        assert text.count(words) >= 1
    assert text.count("air-blast a hot bearing") == text.count("feel near turning parts") == 1


def test_mix_tells_why_and_how_to_settle_it(capsys: pytest.CaptureFixture[str]) -> None:
    mix("lithium", "calcium_sulfonate", as_json=False)
    text = " ".join(capsys.readouterr().out.split())
    for words in ("charts disagree", "ASTM D6185 settles it", "samples:", "two to three free volumes"):
        assert words in text


def test_page_is_silent_where_nothing_is_open() -> None:
    case = replace(fan(), point=replace(FAN, safety_critical=True))
    assert page(changeover(case), K, None) == []


def test_planned_switch_has_shortfall_costs_too() -> None:
    found = changeover(replace(fan(), complaint="planning"), needs=(must("nlgi", "in", ("3",)),))
    assert found.action in {c.action for c in found.expected_costs}


@pytest.mark.parametrize(("rate", "words"), [(1, "in EUR"), (500, "in thousands of EUR"), (5e6, "in millions of EUR"),
                                             (1e9, "in thousand millions of EUR")])
def test_dear_currency_is_told_in_larger_units_so_that_columns_stay_apart(rate: float, words: str) -> None:
    dear = Costs(currency="EUR", downtime_per_hour=900 * rate, labour_per_hour=70 * rate, bearing=80 * rate,
                 grease_per_kg=15 * rate)
    found = review(Case(point=Point(kind="rolling_bearing"), costs=dear), K)
    lines = page(found.changeover, K, "EUR")
    rows = lines[2 + next(n for n, line in enumerate(lines) if words.upper() in line.upper()):]
    rows = [line for line in rows if line.rstrip()[-1:].isdigit() and " %" in line and " - " in line]
    assert len(rows) == len(found.changeover.expected_costs) >= 3
    for row in rows:
        assert len(row) <= 80
        assert re.fullmatch(r"[* ] [a-z ]+( +[\d,]+) +[\d,]+ - [\d,]+ +\d+ %( +[\d,]+){3}", row), row
