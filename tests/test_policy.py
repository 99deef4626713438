"""Looks and facts in one currency: what a fact gains, which comes first, and what an hour of standstill changes."""

from __future__ import annotations

import dataclasses

import pytest

from diag import knowledgebase
from diag.answers import Answers
from diag.case import read_case
from diag.case.model import Case, Costs
from diag.cli import demo
from diag.findings import CircumstanceFound
from diag.inference import policy, prior, questions
from diag.inference.network import compiled
from diag.knowledgebase import Knowledge
from diag.review import review
from diag.walk import Walk, answer, consequences, next_step
from diag.walk.belief import believed
from diag.walk.facts import TELLING
from tests.networks import KIND, cause, condition, effect, favours, knowledge_of, option, question
from tests.test_ask import told_by


@pytest.fixture(scope="module")
def carried() -> Knowledge:
    return knowledgebase.load()


def one_fault(strength: str = "strongly_for", minutes: float = 600):
    """A cause that a circumstance speaks for, and a look at its condition."""
    return knowledge_of(
        [cause("water", [effect("wet")], rate="leading", circumstances=[favours("washed", strength, "against")]),
         cause("dirt", [effect("dirty")])],
        [condition("wet", "seldom"), condition("dirty", "seldom")],
        [question("look", [option("drops", "wet")], minutes=minutes)],
        circumstances={"washed": False}, work_h=10.0, loss_h=100.0, fingerprint=f"policy {strength} {minutes}")


def chosen(known, facts, **more):
    rates, _ = prior.rates(known, KIND, {})
    return policy.choose(compiled(known, KIND), rates, Answers(), {}, known, facts=facts, **more)


def gain(known, moved, found=None) -> float:
    rates, _ = prior.rates(known, KIND, {})
    network = compiled(known, KIND)
    now = questions.outlook(network, rates, Answers(), known)
    return policy.gain_of_fact(now, moved, KIND, rates, found or {}, known)


def test_a_fact_is_asked_where_it_moves_a_cause_and_not_where_it_moves_none():
    known = one_fault()
    assert chosen(known, {"fact:place": ("washed",)}).fact == "fact:place"
    assert chosen(known, {"fact:place": ("unheard_of",)}).fact is None
    assert gain(known, ("unheard_of",)) == 0


def test_a_stronger_word_gains_more_and_a_neutral_one_nothing():
    gains = [gain(one_fault(word), ("washed",)) for word in ("slightly_for", "for", "strongly_for")]
    assert 0 < gains[0] < gains[1] < gains[2]
    flat = knowledge_of([cause("water", [effect("wet")], circumstances=[favours("washed", "neutral")])],
                        [condition("wet")], [], circumstances={"washed": False})
    assert gain(flat, ("washed",)) == pytest.approx(0, abs=1e-12)


def test_what_is_established_gains_nothing_more():
    known = one_fault()
    found = {"washed": CircumstanceFound(id="washed", holds=True, value=None, unit="", working="")}
    assert gain(known, ("washed",), found) == 0


def test_a_cheap_telling_look_comes_before_a_fact_and_a_long_one_after():
    facts = {"fact:place": ("washed",)}
    assert chosen(one_fault(minutes=0.1), facts).fact is None
    assert chosen(one_fault(minutes=60), facts).fact == "fact:place"


def test_an_hour_of_standstill_makes_stopped_looks_dearer_and_running_ones_not():
    run, stop = (question(s, [option(f"s_{s}", "wet")], s) for s in ("running", "stopped"))
    for standing in (0.0, 1.0, 40.0):
        assert questions.cost_h(run, standing=standing) == run.minutes / 60
        assert questions.cost_h(stop, standing=standing) == pytest.approx(stop.minutes / 60 * (1 + standing))
    kiln = Case(costs=Costs(downtime_per_hour=900.0, labour_per_hour=45.0))
    assert policy.standing(kiln) == 20
    assert policy.standing(Case()) == 1
    assert policy.standing(dataclasses.replace(kiln, complaint="failed")) == 0


def test_the_facts_name_circumstances_there_are(carried):
    assert all(fact.decides and set(fact.decides) <= set(carried.circumstances) for fact in TELLING)


def test_every_circumstance_a_fact_decides_counts_for_some_cause(carried):
    used = {e.fact for c in carried.causes.values() for e in c.circumstances}
    used |= {n.fact for c in carried.causes.values() for n in c.needs}
    used |= {n.fact for q in carried.questions.values() for n in q.needs}
    assert {d for fact in TELLING for d in fact.decides} <= used


def test_an_unexplained_complaint_is_asked_about_longer():
    known = knowledge_of([cause("water", [effect("wet")], rate="scarce")], [condition("wet", "seldom")],
                         [question("look", [option("drops", "wet", "half")], minutes=1.0)], work_h=1.0, loss_h=9.0)
    rates, _ = prior.rates(known, KIND, {})
    base = questions.rank(compiled(known, KIND), rates, Answers(), {}, known)
    worth = base.questions[0].worth
    minutes = worth / 0.5  # so that the look is worth half of its cost
    known = knowledge_of([cause("water", [effect("wet")], rate="scarce")], [condition("wet", "seldom")],
                         [question("look", [option("drops", "wet", "half")], minutes=minutes)], work_h=1.0, loss_h=9.0)
    network = compiled(known, KIND)
    assert questions.rank(network, rates, Answers(), {}, known).settled
    assert not questions.rank(network, rates, Answers(), {}, known, complaint="noisy").settled
    assert questions.rank(network, rates, Answers(), {}, known, complaint="planning").settled


def test_what_an_answer_would_do_is_what_it_does(carried):
    walk = Walk()
    for text in ("1", "2", "?"):
        walk = answer(walk, next_step(walk, carried), text, carried)
    step = next_step(walk, carried)
    told = consequences(walk, step, carried)
    assert [c.answer for c in told] == [*(c.text for c in step.choices), "none of these"]
    for typed, consequence in zip([*map(str, range(1, len(step.choices) + 1)), "0"], told, strict=True):
        belief = believed(answer(walk, step, typed, carried).case, carried)
        pairs = belief.answers.pairs(carried, belief.network.kind)
        after = belief.network.posterior(belief.rates, pairs).causes
        name = next(c.id for c in carried.causes.values() if c.name == consequence.cause)
        assert after[name] == pytest.approx(consequence.after, abs=1e-9)
        assert 0 < consequence.chance < 1


@pytest.mark.parametrize("name", ["exhaust_fan_washboard", "pan_mill_grit", "press_line_soap_plug",
                                  "clay_pit_conveyor_frost", "wash_plant_pulley_milky"])
def test_a_demo_case_is_settled_in_few_steps_with_its_cause_found(carried, name):
    case = read_case(demo.cases()[name], carried)
    walk, steps = Walk(), 0
    for _ in range(80):
        step = next_step(walk, carried)
        if step.kind == "done":
            break
        steps += not step.settled
        walk = answer(walk, step, told_by(case, step), carried)
    assert step.kind == "done"
    assert steps <= 30
    assert review(walk.case, carried).causes[0].id == review(case, carried).causes[0].id
