"""The next question: gains against enumeration, order, what is open, and when it is settled."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from diag.answers import Answer, Answers
from diag.findings import CircumstanceFound
from diag.inference import prior, questions
from diag.inference.network import compiled
from diag.knowledgebase.model import Need
from tests.networks import (
    KIND,
    answered,
    brute_force,
    cause,
    condition,
    effect,
    knowledge_of,
    option,
    question,
    random_knowledge,
)


def ranked(known, answers=None, found=None, **more):
    rates, _ = prior.rates(known, KIND, found or {})
    return questions.rank(compiled(known, KIND), rates, answers or Answers(), found or {}, known, **more)


def ids(ranking) -> list[str]:
    return [q.id for q in ranking.questions]


def two_faults(asked, work_h=4.0, loss_h=30.0):
    """Two causes with an own condition each (`wet`, `dirty`), of which one is leading."""
    return knowledge_of(
        [cause("water", [effect("wet")], rate="leading"), cause("dirt", [effect("dirty")], rate="regular")],
        [condition("wet", "seldom"), condition("dirty", "seldom")], asked, work_h=work_h, loss_h=loss_h,
        fingerprint=repr(asked) + f"{work_h} {loss_h}")


# -- gain ----------------------------------------------------------------------------------------------------

@pytest.mark.parametrize("seed", range(4))
def test_the_outlook_equals_brute_force(seed):
    known = random_knowledge(seed)
    network, (rates, _) = compiled(known, KIND), prior.rates(known, KIND, {})
    answers = answered(known, {"k1s0": "yes", "k0s1": "no", "k3s2": "probably"})
    now = questions.outlook(network, rates, answers, known)
    pairs = network.pair_row(answers.pairs(known, KIND))[0]
    truth = brute_force(network, network.rate_row(rates)[0], pairs)
    classes = list(dict.fromkeys(known.causes[c].remedy.class_ for c in network.causes))
    for r, remedy in enumerate(classes):
        members = {n for n, c in enumerate(network.causes) if known.causes[c].remedy.class_ == remedy}
        none = sum(p for s, p in truth.sets.items() if not s & members)
        assert now.none[r] == pytest.approx(none, abs=1e-12)
    for k, name in enumerate(network.conditions):
        certain = pairs.copy()
        certain[k, 1] = 0.0
        sure = brute_force(network, network.rate_row(rates)[0], certain)
        members = {n for n, c in enumerate(network.causes) if known.causes[c].remedy.class_ == classes[0]}
        joint = sum(p for s, p in sure.sets.items() if not s & members) * sure.evidence / truth.evidence
        assert now.none_true[0, k] == pytest.approx(joint, abs=1e-12), name


@pytest.mark.parametrize("seed", range(6))
def test_the_gain_of_a_sign_equals_what_asking_it_brings_and_is_never_negative(seed):
    known = random_knowledge(seed)
    network, (rates, _) = compiled(known, KIND), prior.rates(known, KIND, {})
    answers = answered(known, {"k2s0": "yes", "k4s1": "no"})
    now = questions.outlook(network, rates, answers, known)
    pairs = answers.pairs(known, KIND)
    evidence = network.posterior(rates, pairs).evidence
    for sign in set(known.signs) - set(answers.by_sign):
        after = 0.0
        for degree in ("yes", "no"):
            with_it = Answers({**answers.by_sign, **answered(known, {sign: degree}).by_sign})
            chance = network.posterior(rates, with_it.pairs(known, KIND)).evidence / evidence
            outlook = questions.outlook(network, rates, with_it, known)
            after += chance * outlook.now
        gain = questions.gain_of_signs(now, known.signs[sign].condition, [known.signs[sign]], known)
        assert gain == pytest.approx(now.now - after, abs=1e-9)
        assert gain >= 0


def test_several_signs_of_one_condition_gain_no_more_than_knowing_the_condition():
    known = random_knowledge(3, signs=6)
    network, (rates, _) = compiled(known, KIND), prior.rates(known, KIND, {})
    now = questions.outlook(network, rates, Answers(), known)
    certain = now.expected_loss(np.array([now.true[2], 1 - now.true[2]]),
                                np.stack([now.none_true[:, 2], now.none - now.none_true[:, 2]]))
    knowing = now.now - certain.sum()
    gains = [questions.gain_of_signs(now, "k2", known.questions["q2"].options[:n], known) for n in range(1, 7)]
    assert all(a <= b + 1e-12 for a, b in itertools.pairwise(gains))
    assert gains[-1] <= knowing + 1e-12


def test_a_question_over_two_conditions_is_worth_more_than_either_and_less_than_both():
    wet, dirty = option("drops", "wet"), option("grit", "dirty")
    known = two_faults([question("wet", [wet]), question("dirty", [dirty]),
                        question("many", [option("drops2", "wet"), option("grit2", "dirty")]),
                        question("one", [option("drops3", "wet"), option("grit3", "dirty")], choose="one")])
    worth = {q.id: q.worth for q in ranked(known).questions}
    assert max(worth["wet"], worth["dirty"]) < worth["many"] < worth["wet"] + worth["dirty"]
    assert worth["one"] == pytest.approx(max(worth["wet"], worth["dirty"]), rel=1e-9)


def test_causes_cured_by_the_same_work_need_no_telling_apart():
    def known(same):
        remedies = ("one_work", "one_work") if same else ("this_work", "that_work")
        return knowledge_of(
            [cause(name, [effect("worn"), effect(f"mark_{name}")], rate="leading", remedy=r)
             for name, r in zip(("a", "b"), remedies, strict=True)],
            [condition("worn", "seldom"), condition("mark_a", "seldom"), condition("mark_b", "seldom")],
            [question("which", [option("mark", "mark_a")]), question("worn", [option("w", "worn")])])

    worth = []
    for same in (True, False):
        k = known(same)
        sure = answered(k, {"w": "yes"})
        worth.append(ranked(k, sure).questions[0].worth)
    assert worth[0] < worth[1]


# -- order ---------------------------------------------------------------------------------------------------

def test_of_two_questions_worth_asking_the_earlier_stage_comes_first():
    known = two_faults([question("open_it", [option("inside", "wet", if_false="hardly")], "opened", 0.1),
                        question("look_at_it", [option("outside", "wet", if_true="half")], "running", 1)])
    ranking = ranked(known)
    assert ids(ranking) == ["look_at_it", "open_it"]
    assert ranking.questions[1].worth > 1 and ranking.questions[0].worth > 1


def test_a_question_not_worth_its_minutes_comes_after_a_later_stage_that_is():
    known = two_faults([question("long_look", [option("outside", "wet", if_true="half")], "running", 600),
                        question("open_it", [option("inside", "wet")], "opened", 1)])
    assert ids(ranked(known)) == ["open_it", "long_look"]


def test_what_was_opened_once_costs_no_second_opening():
    known = two_faults([question("first", [option("grit", "dirty")], "opened"),
                        question("second", [option("milky", "wet")], "opened"),
                        question("oil_test", [option("water_found", "wet")], "lab")])
    before = {q.id: q.worth for q in ranked(known).questions}
    after = {q.id: q.worth for q in ranked(known, answered(known, {"grit": "no"})).questions}
    lasting = after["oil_test"] / before["oil_test"]  # what the answer itself changed
    opened, stopped = sum(questions.STAGE_COST["opened"]), sum(questions.STAGE_COST["stopped"])
    assert after["second"] / before["second"] == pytest.approx(lasting * opened / stopped)


def test_the_complaint_decides_the_first_question_and_only_the_first():
    known = two_faults([question("wet", [option("drops", "wet")]),
                        question("noise", [option("grinding", "dirty")], minutes=30, complaints=("noisy",)),
                        question("other", [option("dull", "wet")])])
    assert ids(ranked(known))[0] == "wet"
    assert ids(ranked(known, complaint="noisy"))[0] == "noise"
    came_with = Answers({"dull": Answer("dull", None, "unknown", "complaint", "noisy")})
    assert ids(ranked(known, came_with, complaint="noisy"))[0] == "noise"
    assert ids(ranked(known, answered(known, {"dull": "unknown"}), complaint="noisy"))[0] == "wet"


# -- what is open --------------------------------------------------------------------------------------------

def holding(name: str, holds: bool | None) -> dict[str, CircumstanceFound]:
    return {name: CircumstanceFound(id=name, holds=holds, value=None, unit="", working="")}


def test_only_unanswered_signs_of_this_kind_are_open():
    known = two_faults([question("wet", [option("drops", "wet"), option("milky", "wet"),
                                         option("pin_only", "wet", kinds=("pin_bushing",))]),
                        question("pins", [option("pin_sign", "wet")], kinds=("pin_bushing",)),
                        question("done", [option("grit", "dirty")])])
    ranking = ranked(known, answered(known, {"drops": "yes", "grit": "unknown"}))
    assert [(q.id, [o.sign for o in q.options]) for q in ranking.questions] == [("wet", ["milky"])]
    assert ids(ranked(known, asked={"wet", "done"})) == []


def test_stages_after_the_one_reached_are_closed():
    known = two_faults([question(s, [option(f"sign_{s}", "wet")], s) for s in questions.STAGE_COST])
    assert set(ids(ranked(known, stage="opened"))) == {"running", "stopped", "opened"}
    assert set(ids(ranked(known))) == set(questions.STAGE_COST)


@pytest.mark.parametrize(("holds", "asked"), [(True, True), (None, True), (False, False)])
def test_a_question_whose_need_is_known_to_fail_is_not_asked(holds, asked):
    known = two_faults([question("wet", [option("drops", "wet")], needs=(Need(fact="drain", why="no drain"),))])
    assert bool(ids(ranked(known, found=holding("drain", holds)))) is asked


def test_an_intervention_is_asked_once_and_only_where_it_is_allowed():
    known = two_faults([question("one_shot", [option("quieter", "dirty"), option("louder", "wet")], intervention=True)])
    assert ids(ranked(known)) == ["one_shot"]
    assert ids(ranked(known, may_intervene=False)) == []
    assert ids(ranked(known, answered(known, {"quieter": "yes"}))) == []


@pytest.mark.parametrize(("complaint", "holds", "asked"), [
    ("hot", None, False), ("hot", True, False), ("hot", False, True), ("noisy", None, True), ("noisy", True, False)])
def test_a_hot_point_gets_no_shot_of_grease_before_it_is_known_when_it_was_greased(complaint, holds, asked):
    shot = question("one_shot", [option("quieter", "dirty")], intervention=True,
                    needs=(Need(fact="hot_after_greasing", be=False, why="no more grease into it"),))
    found = holding("hot_after_greasing", holds)
    assert bool(ids(ranked(two_faults([shot]), found=found, complaint=complaint))) is asked


# -- settled -------------------------------------------------------------------------------------------------

def test_settled_when_nothing_is_left_to_ask():
    ranking = ranked(two_faults([]))
    assert ranking.settled and ranking.why == "Nothing is left to ask."


def test_settled_when_knowing_everything_would_save_less_than_the_cheapest_look():
    asked = [question("wet", [option("drops", "wet")], minutes=60)]
    assert not ranked(two_faults(asked, work_h=40, loss_h=300)).settled
    cheap = ranked(two_faults(asked, work_h=0.01, loss_h=0.02))
    assert cheap.settled and cheap.why.startswith("Knowing everything would save")


def test_settled_when_no_look_saves_its_time_and_open_when_one_does():
    asked = [question("wet", [option("drops", "wet", "half", "easily_mistaken")], minutes=45)]
    assert ranked(two_faults(asked)).why == "No look that is left is expected to save the time it takes."
    brief = ranked(two_faults([question("wet", [option("drops", "wet")], minutes=0.5)]))
    assert not brief.settled and brief.why.startswith("Acting now is expected to lose")


def test_not_settled_while_a_question_that_could_stop_the_machine_is_unanswered():
    asked = [question("smoke", [option("smoking", "dirty", urgency="stop_now")], minutes=600),
             question("wet", [option("drops", "wet")], minutes=500)]
    known = two_faults(asked)
    ranking = ranked(known)
    assert not ranking.settled and "smoke?" in ranking.why and ids(ranking)[0] == "smoke"
    assert ranked(known, answered(known, {"smoking": "no"})).settled
    assert ranked(known, asked={"smoke"}).settled
    assert ranked(known, complaint="failed").settled


def test_asking_comes_to_an_end_with_the_fault_found():
    names = [f"c{n}" for n in range(6)]
    known = knowledge_of(
        [cause(c, [effect("hot"), effect(f"mark_{c}")], rate="leading") for c in names],
        [condition("hot", "often", broad=True), *(condition(f"mark_{c}") for c in names)],
        [question("heat", [option("hotter", "hot")]),
         *(question(f"mark_{c}", [option(f"sign_{c}", f"mark_{c}")], minutes=10) for c in names)])
    network, (rates, _) = compiled(known, KIND), prior.rates(known, KIND, {})
    given: dict[str, str] = {}
    for _ in range(len(known.questions) + 1):
        ranking = ranked(known, answered(known, given), limit=1)
        if ranking.settled:
            break
        for choice in ranking.questions[0].options:
            # What the fault c3 shows: each of its conditions is there, no other.
            shown = {e.condition for e in known.causes["c3"].produces}
            given[choice.sign] = "yes" if known.signs[choice.sign].condition in shown else "no"
    assert ranking.settled
    posterior = network.posterior(rates, answered(known, given).pairs(known, KIND)).causes
    assert max(posterior, key=posterior.get) == "c3"
