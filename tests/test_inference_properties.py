"""Properties of the inference over random knowledge and random answers."""

from __future__ import annotations

from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diag.inference import explain, fit, prior, questions, sets
from diag.inference.network import compiled
from tests.networks import (
    KIND,
    answered,
    cause,
    condition,
    effect,
    knowledge_of,
    link,
    option,
    question,
    random_knowledge,
)

knowledge_with = cache(random_knowledge)
SEEDS = st.integers(0, 7)
SIGNS = list(knowledge_with(0).signs)
DEGREES = st.sampled_from(["yes", "probably", "unknown", "probably_not", "no"])
GIVEN = st.dictionaries(st.sampled_from(SIGNS), DEGREES, max_size=10)


def posterior_of(seed, degrees):
    known = knowledge_with(seed)
    rates, _ = prior.rates(known, KIND, {})
    return compiled(known, KIND).posterior(rates, answered(known, degrees).pairs(known, KIND))


@settings(max_examples=40, deadline=None)
@given(SEEDS, GIVEN, st.randoms(use_true_random=False))
def test_the_order_of_answers_does_not_matter(seed, degrees, random):
    shuffled = list(degrees.items())
    random.shuffle(shuffled)
    one, other = posterior_of(seed, degrees), posterior_of(seed, dict(shuffled))
    assert one.causes == pytest.approx(other.causes, rel=1e-12)
    assert one.conditions == pytest.approx(other.conditions, rel=1e-12)


@settings(max_examples=40, deadline=None)
@given(SEEDS, GIVEN)
def test_unknown_changes_nothing(seed, degrees):
    told = {s: d for s, d in degrees.items() if d != "unknown"}
    everything = {**dict.fromkeys(SIGNS, "unknown"), **degrees}
    assert posterior_of(seed, everything).causes == pytest.approx(posterior_of(seed, told).causes, rel=1e-12)


@settings(max_examples=40, deadline=None)
@given(SEEDS, GIVEN)
def test_a_softer_answer_lies_between_no_answer_and_the_sure_one(seed, degrees):
    rest = {s: d for s, d in degrees.items() if s != "k1s0"}
    unknown, soft, sure = (posterior_of(seed, {**rest, "k1s0": d}).conditions["k1"]
                           for d in ("unknown", "probably", "yes"))
    assert unknown - 1e-12 <= soft <= sure + 1e-12


@settings(max_examples=40, deadline=None)
@given(SEEDS, GIVEN)
def test_all_that_is_reported_are_probabilities_that_agree(seed, degrees):
    known = knowledge_with(seed)
    network, (rates, effects) = compiled(known, KIND), prior.rates(known, KIND, {})
    answers = answered(known, degrees)
    pairs = answers.pairs(known, KIND)
    posterior = network.posterior(rates, pairs)
    parts = explain.causes(network, rates, effects, answers, posterior, known)
    listed, neglected, healthy = sets.together(network, rates, pairs, posterior)
    left, tail = fit.leftover_and_fit(network, rates, answers, posterior, known)
    numbers = [*posterior.causes.values(), *posterior.conditions.values(), neglected, healthy, tail,
               *(p.probability for p in parts), *(t.probability for t in listed), *(x.probability for x in left)]
    assert all(-1e-12 <= n <= 1 + 1e-12 for n in numbers)
    assert healthy <= 1 - max(posterior.causes.values()) + 1e-12
    for entry in listed:
        assert all(entry.probability <= posterior.causes[c] + 1e-12 for c in entry.causes)


@settings(max_examples=30, deadline=None)
@given(SEEDS, GIVEN)
def test_no_question_is_expected_to_do_harm(seed, degrees):
    known = knowledge_with(seed)
    rates, _ = prior.rates(known, KIND, {})
    ranking = questions.rank(compiled(known, KIND), rates, answered(known, degrees), {}, known, limit=99)
    assert all(q.worth >= 0 for q in ranking.questions)
    assert len({q.id for q in ranking.questions}) == len(ranking.questions)


# -- one condition, many signs -------------------------------------------------------------------------------

SIX = knowledge_of(
    [cause("mix", [effect("too_soft", "common")], [], "leading"),
     cause("wrong_grease", [effect("odd_colour", "common")], [link("mix", "usual")], "regular")],
    [condition("too_soft", "often"), condition("odd_colour")],
    [question("soft", [option(f"soft{n}", "too_soft", "likely", "easily_mistaken") for n in range(6)]),
     question("colour", [option("colour", "odd_colour")])])


def mix_after(degrees, pairs=None):
    network, (rates, _) = compiled(SIX, KIND), prior.rates(SIX, KIND, {})
    return network.posterior(rates, pairs or answered(SIX, degrees).pairs(SIX, KIND)).causes


@settings(max_examples=30, deadline=None)
@given(st.lists(DEGREES, min_size=6, max_size=6))
def test_six_signs_of_one_condition_never_say_more_than_the_condition_itself(degrees):
    found = mix_after({f"soft{n}": d for n, d in enumerate(degrees)})["mix"]
    certain, denied = (mix_after({}, {"too_soft": pair})["mix"] for pair in ((1.0, 0.0), (0.0, 1.0)))
    assert denied - 1e-12 <= found <= certain + 1e-12


def test_six_signs_of_one_condition_do_not_count_six_times():
    nothing, one, six = (mix_after({f"soft{n}": "yes" for n in range(count)})["mix"] for count in (0, 1, 6))
    odds_of_one = (one / (1 - one)) / (nothing / (1 - nothing))
    counted_six_times = nothing / (1 - nothing) * odds_of_one ** 6
    assert nothing < one < six < 0.75
    assert counted_six_times / (1 + counted_six_times) > 0.95


def test_a_confirmed_effect_raises_the_root_that_leads_to_it():
    assert mix_after({f"soft{n}": "yes" for n in range(6)})["wrong_grease"] > 1.5 * mix_after({})["wrong_grease"]


def test_answers_about_another_kind_of_point_change_nothing():
    known = knowledge_of([cause("c", [effect("k")])], [condition("k")],
                         [question("q", [option("s", "k"), option("pin", "k", kinds=("pin_bushing",))])])
    network, (rates, _) = compiled(known, KIND), prior.rates(known, KIND, {})
    answers = answered(known, {"pin": "yes"})
    posterior = network.posterior(rates, answers.pairs(known, KIND))
    assert posterior == network.posterior(rates, {})
    assert explain.factors(network, rates, answers, known) == {"c": ()}
    assert fit.leftover_and_fit(network, rates, answers, posterior, known) == ((), 1.0)
