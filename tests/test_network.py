"""The exact network against brute force over all states and against an independent library, to 1e-9."""

from __future__ import annotations

import itertools

import numpy as np
import pyagrum
import pytest

from diag.errors import InputError, KnowledgeError
from diag.inference import contraction
from diag.inference.network import Network, Parents, compiled
from tests.networks import (
    KIND,
    brute_force,
    cause,
    condition,
    effect,
    knowledge_of,
    link,
    option,
    question,
    random_knowledge,
    random_network,
    random_numbers,
)

SHAPES = [
    {"causes": 3, "conditions": 2, "links": 0, "broad": 0},
    {"causes": 6, "conditions": 6, "links": 4, "broad": 0},
    {"causes": 6, "conditions": 7, "links": 5, "broad": 1},
    {"causes": 7, "conditions": 6, "links": 8, "broad": 3},
    {"causes": 8, "conditions": 5, "links": 3, "broad": 2, "reach": 5},
]
SEEDS = range(6)


@pytest.mark.parametrize("shape", SHAPES, ids=str)
@pytest.mark.parametrize("seed", SEEDS)
def test_all_marginals_equal_brute_force_with_links_broad_conditions_and_ruled_out_causes(shape, seed):
    network = random_network(seed, **shape)
    rates, pairs = random_numbers(network, seed)
    found = network.sweep(rates, pairs)
    truth = brute_force(network, rates[0], pairs[0])
    assert np.exp(found.log_evidence[0]) == pytest.approx(truth.evidence, rel=1e-9)
    np.testing.assert_allclose(found.causes[0], truth.causes, rtol=1e-9, atol=1e-12)
    np.testing.assert_allclose(found.conditions[0], truth.conditions, rtol=1e-9, atol=1e-12)
    np.testing.assert_allclose(found.unproduced[0], truth.unproduced, rtol=1e-9, atol=1e-12)


@pytest.mark.parametrize("seed", SEEDS)
def test_marginals_equal_those_of_an_independent_library(seed):
    network = random_network(seed, causes=12, conditions=12, links=9, broad=2)
    rates, pairs = random_numbers(network, seed, ruled_out=2)
    causes, conditions, evidence = network.posteriors(rates, pairs)
    referee = _referee(network, rates[0], pairs[0])
    for name, found in (*zip(network.causes, causes[0], strict=True),
                        *zip(network.conditions, conditions[0], strict=True)):
        assert found == pytest.approx(referee.posterior(name)[1], abs=1e-9), name
    assert evidence[0] == pytest.approx(referee.evidenceProbability(), rel=1e-9)


def _referee(network: Network, rates, pairs) -> pyagrum.LazyPropagation:
    """The same network in the library's own noisy-OR nodes; a cause ruled out is cut from its parents."""
    net = pyagrum.BayesNet()
    for name, rate in zip(network.causes, rates, strict=True):
        net.addNoisyORNet(pyagrum.LabelizedVariable(name, name, 2), float(rate))
    for name, parents in zip(network.conditions, network.parents_of_conditions, strict=True):
        net.addNoisyORNet(pyagrum.LabelizedVariable(name, name, 2), parents.leak)
    ruled_out = {name for name, rate in zip(network.causes, rates, strict=True) if rate == 0}
    children = (*zip(network.causes, network.parents_of_causes, strict=True),
                *zip(network.conditions, network.parents_of_conditions, strict=True))
    for name, parents in children:
        for parent, spared in zip(parents.causes, parents.spared, strict=True):
            if name not in ruled_out:
                net.addWeightedArc(network.causes[parent], name, 1 - spared)
    engine = pyagrum.LazyPropagation(net)
    engine.setEvidence({name: [float(false), float(true)]
                        for name, (true, false) in zip(network.conditions, pairs, strict=True)})
    engine.makeInference()
    return engine


@pytest.mark.parametrize("shared", ["nothing", "rates", "pairs"])
def test_a_batch_gives_what_each_row_gives_alone(shared, monkeypatch):
    monkeypatch.setattr("diag.inference.network._PORTION", 2**8)  # several portions, the last not full
    network = random_network(3, causes=9, conditions=8, links=6, broad=2)
    rates, pairs = random_numbers(network, 3, rows=45)
    rates = rates[:1] if shared == "rates" else rates
    pairs = pairs[:1] if shared == "pairs" else pairs
    together = network.posteriors(rates, pairs)
    for row in range(45):
        alone = network.posteriors(rates[row % len(rates)][None], pairs[row % len(pairs)][None])
        for batch, single in zip(together, alone, strict=True):
            np.testing.assert_allclose(batch[row], single[0], rtol=1e-9)


def test_evidence_of_an_absent_cause_is_conditioning_on_it():
    network = random_network(5, causes=6, conditions=5, links=5)
    rates, pairs = random_numbers(network, 5, ruled_out=0)
    absent = np.zeros((1, 6), dtype=bool)
    absent[0, [1, 4]] = True
    found = network.sweep(rates, pairs, absent)
    without = {s: p for s, p in brute_force(network, rates[0], pairs[0]).sets.items() if not s & {1, 4}}
    total = sum(without.values())
    for c in range(6):
        expected = sum(p for s, p in without.items() if c in s) / total
        assert found.causes[0, c] == pytest.approx(expected, abs=1e-12)


def test_the_joint_probability_of_every_set_equals_brute_force():
    network = random_network(2, causes=6, conditions=6, links=5, broad=1)
    rates, pairs = random_numbers(network, 2, ruled_out=1)
    truth = brute_force(network, rates[0], pairs[0])
    states = np.array([[c in s for c in range(6)] for s in truth.sets])
    found = np.exp(network.log_joint(rates[0], pairs[0], states)) / truth.evidence
    np.testing.assert_allclose(found, list(truth.sets.values()), rtol=1e-9, atol=1e-15)


def test_a_cause_ruled_out_stays_out_though_a_link_leads_to_it():
    network = Network(KIND, {"a": Parents((), ()), "b": Parents((0,), (0.1,))},
                      {"k": Parents((1,), (0.1,), 0.02)})
    found = network.posterior({"a": 0.9, "b": 0.0}, {"k": (0.9, 0.05)})
    assert found.causes["b"] == 0.0
    assert found.conditions["k"] == pytest.approx(0.02 * 0.9 / (0.02 * 0.9 + 0.98 * 0.05), abs=1e-12)


def test_untouched_conditions_have_their_prior_marginal():
    network = Network(KIND, {"a": Parents((), ())},
                      {"k": Parents((0,), (0.2,), 0.1), "loose": Parents((), (), 0.3)})
    found = network.posterior({"a": 0.25}, {})
    assert found.conditions == pytest.approx({"k": 1 - 0.9 * (0.75 + 0.25 * 0.2), "loose": 0.3}, abs=1e-12)
    assert found.evidence == pytest.approx(1.0, abs=1e-12)


def test_many_contradicting_answers_do_not_underflow():
    network = random_network(1, causes=6, conditions=6)
    rates, _ = random_numbers(network, 1)
    pairs = np.full((1, 6, 2), (1e-150, 1e-152))
    found = network.sweep(rates, pairs)
    same_ratio = network.sweep(rates, np.full((1, 6, 2), (1.0, 1e-2)))
    np.testing.assert_allclose(found.causes, same_ratio.causes, rtol=1e-9)
    assert found.log_evidence[0] == pytest.approx(same_ratio.log_evidence[0] + 6 * np.log(1e-150), rel=1e-12)


def test_impossible_answers_are_named_as_such():
    network = Network(KIND, {"a": Parents((), ())}, {"k": Parents((0,), (0.2,), 0.1)})
    with pytest.raises(InputError, match="contradict one another"):
        network.posterior({"a": 0.5}, {"k": (0.0, 0.0)})
    causes, _, evidence = network.posteriors(np.array([[0.5]]), np.array([[[0.0, 0.0]], [[0.9, 0.1]]]))
    assert evidence[0] == 0 and np.isnan(causes[0, 0])
    assert evidence[1] > 0 and 0 < causes[1, 0] < 1


def test_a_network_too_wide_is_refused():
    everything = tuple(range(22))
    with pytest.raises(KnowledgeError, match="more than 20"):
        Network(KIND, {f"c{n}": Parents((), ()) for n in everything},
                {"k": Parents(everything, (0.5,) * 22, 0.1)})


def test_a_broad_condition_keeps_the_width_low():
    everything = tuple(range(22))
    network = Network(KIND, {f"c{n}": Parents((), ()) for n in everything},
                      {"k": Parents(everything, (0.5,) * 22, 0.1, broad=True)})
    assert network.width <= 3
    found = network.posterior({f"c{n}": 0.1 for n in everything}, {"k": (0.0, 1.0)})
    # All chances are independent, so that a denied condition leaves each cause with odds halved.
    assert found.causes["c7"] == pytest.approx(0.1 * 0.5 / (0.9 + 0.1 * 0.5), rel=1e-12)


def test_a_network_without_causes_still_answers():
    network = Network(KIND, {}, {"k": Parents((), (), 0.2)}, other_causes=["elsewhere"])
    found = network.posterior({}, {"k": (0.9, 0.1)})
    assert found.causes == {"elsewhere": 0.0}
    assert found.conditions["k"] == pytest.approx(0.2 * 0.9 / (0.2 * 0.9 + 0.8 * 0.1))


@pytest.mark.parametrize("seed", SEEDS)
def test_contraction_equals_one_einsum_over_everything(seed):
    random = np.random.default_rng(seed)
    inputs = [tuple(random.choice(7, random.integers(1, 4), replace=False).tolist()) for _ in range(8)]
    tables = [random.random((2,) * len(i) + (1 if n % 2 else 3,)) for n, i in enumerate(inputs)]
    made = contraction.plan(inputs)
    total, values = contraction.forward(made, tables)
    arguments = [x for i, t in zip(inputs, tables, strict=True)
                 for x in (np.broadcast_to(t, (*t.shape[:-1], 3)), [*i, 9])]
    np.testing.assert_allclose(total, np.einsum(*arguments, [9]), rtol=1e-12)
    for number, gradient in contraction.backward(made, values).items():
        np.testing.assert_allclose((gradient * tables[number]).reshape(-1, 3).sum(0), total, rtol=1e-12)


# -- compiled from knowledge ---------------------------------------------------------------------------------

TWO_KINDS = knowledge_of(
    [cause("root", [effect("k"), effect("only_pins", kinds=("pin_bushing",))],
           [link("child"), link("elsewhere"), link("pins_child", kinds=("pin_bushing",))]),
     cause("child", [effect("k", "rare")]), cause("pins_child", [effect("k", "rare")]),
     cause("elsewhere", [effect("k")], kinds=("pin_bushing",))],
    [condition("k"), condition("only_pins", kinds=("pin_bushing",))],
    [question("q", [option("s", "k")])])


def test_structure_follows_the_kind():
    bearing, pin = compiled(TWO_KINDS, "rolling_bearing"), compiled(TWO_KINDS, "pin_bushing")
    assert set(bearing.causes) == {"root", "child", "pins_child"} and bearing.conditions == ("k",)
    assert set(pin.causes) == set(TWO_KINDS.causes) and pin.conditions == ("k", "only_pins")
    parents = dict(zip(bearing.causes, bearing.parents_of_causes, strict=True))
    assert parents["pins_child"].causes == () and parents["child"].spared == pytest.approx((0.2,))
    assert bearing.posterior({"root": 0.1}, {}).causes["elsewhere"] == 0.0


def test_links_come_parents_first_whatever_the_order_of_the_files():
    backwards = knowledge_of([cause("last", [effect("k")]), cause("middle", [effect("k")], [link("last")]),
                              cause("first", [effect("k")], [link("middle")])], [condition("k")], [])
    assert compiled(backwards, KIND).causes == ("first", "middle", "last")


def test_compiling_is_done_once_and_site_experience_does_not_change_the_structure():
    known = random_knowledge(4)
    assert compiled(known, KIND) is compiled(known.with_base_rates({"c1": 3.0}), KIND)
    assert compiled(random_knowledge(5), KIND) is not compiled(known, KIND)


def test_circular_links_are_refused_by_name():
    leads_to = {"seal": "water", "water": "rust", "rust": "seal"}
    circle = knowledge_of([cause(a, [effect("k")], [link(b)]) for a, b in leads_to.items()], [condition("k")], [])
    with pytest.raises(KnowledgeError) as refused:
        compiled(circle, KIND)
    named = str(refused.value).split("circle: ")[1].split(";")[0].split(" → ")
    assert named[0] == named[-1] and set(named) == {"seal", "water", "rust"}
    assert all(leads_to[a] == b for a, b in itertools.pairwise(named))


def test_a_confirmed_mix_raises_the_wrong_grease_that_leads_to_it():
    known = knowledge_of(
        [cause("wrong_grease", [effect("odd_colour", "common")], [link("mix", "usual")]),
         cause("mix", [effect("too_soft")])], [condition("odd_colour"), condition("too_soft")], [])
    network, rates = compiled(known, KIND), {"wrong_grease": 0.05, "mix": 0.05}
    before = network.posterior(rates, {}).causes["wrong_grease"]
    after = network.posterior(rates, {"too_soft": (0.9, 0.02)}).causes["wrong_grease"]
    assert after > 2 * before
