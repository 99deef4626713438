"""Prior, explanation, likely sets, leftover and fit, on networks small enough to enumerate."""

from __future__ import annotations

from dataclasses import replace

import msgspec
import numpy as np
import pytest

from diag.answers import Answers
from diag.findings import CircumstanceFound
from diag.inference import explain, fit, prior, sets
from diag.inference.network import compiled
from diag.knowledgebase.model import Need
from tests.networks import (
    KIND,
    answered,
    brute_force,
    cause,
    condition,
    effect,
    favours,
    knowledge_of,
    option,
    question,
    random_knowledge,
)

DEGREES = ("yes", "probably", "no", "probably_not", "unknown")


def known_case(seed: int):
    """Random knowledge with its network, own rates, and answers to about half of all signs."""
    known = random_knowledge(seed)
    random = np.random.default_rng(seed)
    degrees = {s: DEGREES[random.integers(5)] for s in known.signs if random.random() < 0.5}
    rates, _ = prior.rates(known, KIND, {})
    return known, compiled(known, KIND), rates, answered(known, degrees)


def odds(p: float) -> float:
    return p / (1 - p)


# -- prior ---------------------------------------------------------------------------------------------------

def circumstance(name: str, holds: bool | None) -> dict[str, CircumstanceFound]:
    return {name: CircumstanceFound(id=name, holds=holds, value=None, unit="", working="")}


def rate_of(effects, found, estimated=(), **more):
    facts = {e.fact: e.fact in estimated for e in effects}
    known = knowledge_of([cause("c", [effect("k")], circumstances=effects, **more)], [condition("k")], [], facts)
    return prior.rates(known, KIND, found)


@pytest.mark.parametrize(("holds", "factor"), [(True, 3.0), (False, 1 / 3), (None, 1.0)])
def test_a_circumstance_multiplies_the_odds_by_what_is_known_of_it(holds, factor):
    rates, effects = rate_of([favours("wet", "for", "against")], circumstance("wet", holds))
    assert odds(rates["c"]) == pytest.approx(odds(0.05) * factor, rel=1e-12)
    assert [b.factor for b in effects["c"]] == ([] if factor == 1 else [pytest.approx(factor)])
    assert [b.text for b in effects["c"]] == {True: ["text of wet"], False: ["not so: text of wet"], None: []}[holds]


def test_of_one_topic_only_the_factor_furthest_from_one_counts():
    effects = [favours("wet", "for", topic="water"), favours("hosed", "slightly_for", topic="water"),
               favours("indoors", "strongly_against", topic="water"), favours("old_seal", "slightly_for")]
    found = {k: v for e in effects for k, v in circumstance(e.fact, True).items()}
    rates, reasons = rate_of(effects, found)
    assert [b.id for b in reasons["c"]] == ["indoors", "old_seal"]
    assert odds(rates["c"]) == pytest.approx(odds(0.05) * 1.5 / 6, rel=1e-12)


def test_the_product_of_all_circumstances_is_capped_both_ways():
    for word, cap in (("strongly_for", prior.MOST_TOGETHER), ("strongly_against", 1 / prior.MOST_TOGETHER)):
        effects = [favours(f"fact{n}", word) for n in range(4)]
        found = {k: v for e in effects for k, v in circumstance(e.fact, True).items()}
        rates, _ = rate_of(effects, found)
        assert odds(rates["c"]) == pytest.approx(odds(0.05) * cap, rel=1e-12)


def test_estimated_physics_never_exceeds_a_factor_of_two():
    for word, cap in (("strongly_for", 2.0), ("strongly_against", 0.5)):
        _, reasons = rate_of([favours("computed_hot", word)], circumstance("computed_hot", True), ["computed_hot"])
        assert reasons["c"][0].factor == cap


@pytest.mark.parametrize("where", ["circumstance", "effect"])
def test_what_is_recalled_from_memory_never_exceeds_a_factor_of_two(where):
    recalled = {"confidence": "from-memory", "source": ("memory",)}
    swells = favours("seal_swells", "strongly_for")
    if where == "effect":
        swells = msgspec.structs.replace(swells, **recalled)
    knowledge = knowledge_of([cause("c", [], circumstances=[swells])], [], [], {"seal_swells": False})
    if where == "circumstance":
        fact = msgspec.structs.replace(knowledge.circumstances["seal_swells"], **recalled)
        knowledge = replace(knowledge, circumstances={"seal_swells": fact})
    _, reasons = prior.rates(knowledge, KIND, circumstance("seal_swells", True))
    assert reasons["c"][0].factor == 2.0


@pytest.mark.parametrize(("be", "holds", "possible"), [
    (True, True, True), (True, None, True), (True, False, False), (False, True, False), (False, False, True)])
def test_a_need_known_to_be_unmet_rules_the_cause_out(be, holds, possible):
    need = [Need(fact="driven_by_inverter", be=be, why="no current, no erosion")]
    rates, reasons = rate_of([], circumstance("driven_by_inverter", holds), needs=need)
    assert (rates["c"] > 0) is possible
    assert [b.text for b in reasons["c"]] == ([] if possible else ["no current, no erosion"])


def test_a_cause_of_another_kind_has_no_rate():
    rates, _ = rate_of([], {}, kinds=("slideway",))
    assert rates == {"c": 0.0}


def test_site_experience_multiplies_the_odds_and_is_told():
    known = knowledge_of([cause("c", [effect("k")])], [condition("k")], []).with_base_rates({"c": 4.0})
    rates, reasons = prior.rates(known, KIND, {})
    assert odds(rates["c"]) == pytest.approx(4 * odds(0.05), rel=1e-12)
    assert [b.id for b in reasons["c"]] == [prior.SITE_EXPERIENCE]


# -- explanation ---------------------------------------------------------------------------------------------

@pytest.mark.parametrize("seed", range(4))
def test_the_factor_of_a_sign_is_the_odds_with_it_over_the_odds_with_it_unknown(seed):
    known, network, rates, answers = known_case(seed)
    with_all = network.posterior(rates, answers.pairs(known, KIND))
    found = explain.factors(network, rates, answers, known)
    counted = [s for s, a in answers.by_sign.items() if a.weight is not None]
    for sign in counted:
        fewer = Answers({s: a for s, a in answers.by_sign.items() if s != sign})
        without = network.posterior(rates, fewer.pairs(known, KIND))
        for c in network.causes:
            factor = next(b.factor for b in found[c] if b.id == sign)
            assert factor == pytest.approx(odds(with_all.causes[c]) / odds(without.causes[c]), rel=1e-9)


def test_a_condition_is_told_as_one_where_several_of_its_signs_were_answered():
    known, network, rates, _ = known_case(1)
    answers = answered(known, {"k1s0": "yes", "k1s1": "yes", "k2s0": "no"})
    found = explain.factors(network, rates, answers, known)
    assert [b.id for b in found["c0"]] == ["k1", "k1s0", "k1s1", "k2s0"]
    without = network.posterior(rates, answers.pairs(known, KIND, without=frozenset({"k1"})))
    with_all = network.posterior(rates, answers.pairs(known, KIND))
    assert found["c0"][0].factor == pytest.approx(odds(with_all.causes["c0"]) / odds(without.causes["c0"]))
    assert found["c0"][3].text == "not: text of k2s0"


def test_causes_come_most_likely_first_with_what_speaks_for_and_against_in_order_of_strength():
    known, network, rates, answers = known_case(2)
    posterior = network.posterior(rates, answers.pairs(known, KIND))
    parts = explain.causes(network, rates, {}, answers, posterior, known)
    assert {p.id: p.probability for p in parts} == posterior.causes
    assert [p.probability for p in parts] == sorted(posterior.causes.values(), reverse=True)
    spoken = [b for p in parts for b in (*p.for_, *p.against)]
    assert any(p.for_ for p in parts) and any(p.against for p in parts)
    assert not [b for b in spoken if explain.AGAINST <= b.factor <= explain.FOR]
    for part in parts:
        assert [b.factor for b in part.for_] == sorted((b.factor for b in part.for_), reverse=True)
        assert [b.factor for b in part.against] == sorted(b.factor for b in part.against)
    assert parts[0].confirm == (f"look at {parts[0].id}: it is there",)


def test_a_cause_ruled_out_is_listed_last_and_nothing_speaks_for_it():
    known, network, rates, answers = known_case(3)
    rates["c2"] = 0.0
    posterior = network.posterior(rates, answers.pairs(known, KIND))
    last = explain.causes(network, rates, {}, answers, posterior, known)[-1]
    assert (last.id, last.probability, last.for_, last.against) == ("c2", 0.0, (), ())


# -- sets ----------------------------------------------------------------------------------------------------

@pytest.mark.parametrize("seed", range(6))
def test_sets_healthy_and_neglected_equal_brute_force(seed):
    known, network, rates, answers = known_case(seed)
    pairs = answers.pairs(known, KIND)
    listed, neglected, healthy = sets.together(network, rates, pairs, network.posterior(rates, pairs))
    truth = brute_force(network, network.rate_row(rates)[0], network.pair_row(pairs)[0])
    assert healthy == pytest.approx(truth.sets[frozenset()], abs=1e-12)
    assert sum(t.probability for t in listed) + neglected == pytest.approx(1, abs=1e-12)
    likeliest = sorted(truth.sets.values(), reverse=True)
    assert [t.probability for t in listed] == pytest.approx(likeliest[: len(listed)], abs=1e-12)
    for entry in listed:
        positions = frozenset(network.causes.index(c) for c in entry.causes)
        assert entry.probability == pytest.approx(truth.sets[positions], abs=1e-12)


def test_healthy_is_exact_where_every_cause_is_likely():
    known, network, _, answers = known_case(0)
    rates = dict.fromkeys(network.causes, 0.9)
    pairs = answers.pairs(known, KIND)
    _, _, healthy = sets.together(network, rates, pairs, network.posterior(rates, pairs))
    truth = brute_force(network, [0.9] * len(network.causes), network.pair_row(pairs)[0])
    assert healthy == pytest.approx(truth.sets[frozenset()], rel=1e-9)


# -- leftover and fit ----------------------------------------------------------------------------------------

@pytest.mark.parametrize("seed", range(4))
def test_leftover_equals_brute_force_for_every_positive_sign(seed):
    known, network, rates, answers = known_case(seed)
    pairs = answers.pairs(known, KIND)
    left, _ = fit.leftover_and_fit(network, rates, answers, network.posterior(rates, pairs), known)
    truth = brute_force(network, network.rate_row(rates)[0], network.pair_row(pairs)[0])
    assert {x.sign for x in left} == {s for s in answers.by_sign if answers.positive(s)}
    assert [x.probability for x in left] == sorted((x.probability for x in left), reverse=True)
    for x in left:
        k = network.conditions.index(known.signs[x.sign].condition)
        assert x.probability == pytest.approx(truth.unproduced[k], abs=1e-9)


ONE_SIGN = knowledge_of([cause("c", [effect("k", "usual")])], [condition("k")],
                        [question("q", [option("s", "k"), option("t", "k")])])


@pytest.mark.parametrize(("degree", "tail"), [("yes", None), ("no", 1.0)])
def test_fit_of_one_answer_is_the_chance_of_answers_no_likelier(degree, tail):
    network, rates, answers = compiled(ONE_SIGN, KIND), {"c": 0.05}, answered(ONE_SIGN, {"s": degree})
    posterior = network.posterior(rates, answers.pairs(ONE_SIGN, KIND))
    _, found = fit.leftover_and_fit(network, rates, answers, posterior, ONE_SIGN)
    expected = posterior.evidence if tail is None else tail
    assert found == pytest.approx(expected, abs=4 * (expected * (1 - expected) / fit.DRAWS) ** 0.5 + 1 / fit.DRAWS)


def test_fit_is_the_same_on_every_run_and_one_where_nothing_was_answered():
    known, network, rates, answers = known_case(1)
    posterior = network.posterior(rates, answers.pairs(known, KIND))
    first, again = (fit.leftover_and_fit(network, rates, answers, posterior, known) for _ in range(2))
    assert first == again
    nothing = answered(known, {"k1s0": "unknown"})
    assert fit.leftover_and_fit(network, rates, nothing, network.posterior(rates, {}), known) == ((), 1.0)


def test_fit_of_cases_drawn_from_the_model_is_spread_over_the_whole_range():
    known, network, rates, _ = known_case(2)
    random, row = np.random.default_rng(7), network.rate_row(rates)[0]
    tails = []
    for _ in range(60):
        answers = _simulated(network, row, known, random)
        posterior = network.posterior(rates, answers.pairs(known, KIND))
        tails.append(fit.leftover_and_fit(network, rates, answers, posterior, known)[1])
    # A tail probability is at most u in at most a share u of the cases; ties can only push it up.
    assert np.mean(np.array(tails) <= 0.1) <= 0.1 + 3 * (0.09 / 60) ** 0.5
    assert min(tails) < 0.4 and max(tails) > 0.8


def test_answers_against_the_model_fit_badly():
    known, network, rates, _ = known_case(2)
    answers = answered(known, {s: "yes" if n % 2 else "no" for n, s in enumerate(known.signs)})
    posterior = network.posterior(rates, answers.pairs(known, KIND))
    assert fit.leftover_and_fit(network, rates, answers, posterior, known)[1] < 0.02


def _simulated(network, rates, known, random) -> Answers:
    """A case drawn from the definitions, every sign reported."""
    causes: list[int] = []
    for c, parents in enumerate(network.parents_of_causes):
        off = (1 - rates[c]) * np.prod([s for p, s in zip(parents.causes, parents.spared, strict=True) if p in causes])
        if random.random() >= off:
            causes.append(c)
    degrees = {}
    for k, parents in zip(network.conditions, network.parents_of_conditions, strict=True):
        off = (1 - parents.leak) * np.prod(
            [s for p, s in zip(parents.causes, parents.spared, strict=True) if p in causes])
        there = random.random() >= off
        for sign in known.signs_of[k]:
            o = known.signs[sign]
            yes = known.level("report", o.if_true) if there else known.level("false_report", o.if_false)
            degrees[sign] = "yes" if random.random() < yes else "no"
    return answered(known, degrees)
