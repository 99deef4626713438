"""Whether the knowledge fits the case: signs that no listed cause produced, answers unlikely together.

Both serve to say "what you describe is not in here", which is not the same as "healthy".
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from diag.answers import soft
from diag.findings import Leftover
from diag.inference.explain import counted

if TYPE_CHECKING:
    from diag.answers import Answers
    from diag.inference.contraction import Table
    from diag.inference.network import Mask, Network, Parents, Posterior
    from diag.knowledgebase.knowledge import Knowledge

__all__ = ["DRAWS", "leftover_and_fit"]

# Draws for `fit`: standard error at most 2.5 %, 1.1 % at a tail of 5 %; about 10 ms on a network of width 9.
DRAWS = 400
# Two evidences nearer than this (in ln) count as equal: they differ by rounding only.
_EQUAL = 1e-9


def leftover_and_fit(network: Network, rates: Mapping[str, float], answers: Answers, posterior: Posterior,
                     knowledge: Knowledge, seed: int = 0) -> tuple[tuple[Leftover, ...], float]:
    """Leftover per positive sign, most first, and the fit.

    Leftover of a sign [0–1] = P(no listed cause produced its condition | all answers): every cause that could
    bring it about is absent or did not reach it, so that the condition is there by its leak alone or the
    report is false. Exact, from the same pass as the posterior.

    Fit [0–1] = P(a case of this network, asked the same questions, gives answers as unlikely as these or less
    likely), by simulation: causes from the rates and links, conditions from the causes, each sign reported as
    surely as it was here; (1 + number as unlikely) ÷ (1 + draws). 1 when nothing was answered. `seed` fixes
    it.
    """
    left = [Leftover(sign=s, probability=posterior.unproduced[knowledge.signs[s].condition])
            for s in counted(network, answers, knowledge) if answers.by_sign[s].positive]
    return (tuple(sorted(left, key=lambda x: -x.probability)),
            _fit(network, network.rate_row(rates), answers, knowledge, np.random.default_rng(seed)))


def _fit(network: Network, rates: Table, answers: Answers, knowledge: Knowledge, random: np.random.Generator
         ) -> float:
    signs = counted(network, answers, knowledge)
    if not signs:
        return 1.0
    network = network.only({knowledge.signs[s].condition for s in signs})
    here = network.log_evidence(rates, network.pair_row(answers.pairs(knowledge, network.kind)))[0]
    conditions = _draw(network.parents_of_conditions, _draw_causes(network, rates[0], random), random)
    pairs = np.ones((DRAWS, len(network.conditions), 2))
    for sign in signs:
        condition = network.conditions.index(knowledge.signs[sign].condition)
        pairs[:, condition] *= _reports(sign, conditions[:, condition], answers, knowledge, random)
    as_unlikely = np.count_nonzero(network.log_evidence(rates, pairs) <= here + _EQUAL)
    return float((1 + as_unlikely) / (1 + DRAWS))


def _draw_causes(network: Network, rates: Table, random: np.random.Generator) -> Mask:
    """Causes of simulated cases (DRAWS, n), parents before children."""
    states = np.zeros((DRAWS, len(rates)), dtype=bool)
    for c, parents in enumerate(network.parents_of_causes):
        spared = _spared(parents, states) * (1 - rates[c])
        states[:, c] = (random.random(DRAWS) >= spared) & (rates[c] > 0)
    return states


def _draw(of_conditions: tuple[Parents, ...], states: Mask, random: np.random.Generator) -> Mask:
    """Conditions of simulated cases (DRAWS, m)."""
    missed = np.stack([_spared(p, states) * (1 - p.leak) for p in of_conditions], axis=1)
    drawn: Mask = random.random(missed.shape) >= missed
    return drawn


def _spared(parents: Parents, states: Mask) -> Table:
    """P(no parent reaches it), (DRAWS,)."""
    spared: Table = np.where(states[:, list(parents.causes)], np.array(parents.spared), 1.0).prod(axis=1)
    return spared


def _reports(sign: str, condition: Mask, answers: Answers, knowledge: Knowledge, random: np.random.Generator
             ) -> Table:
    """Pairs (DRAWS, 2) of one sign in the simulated cases, reported as surely as it was here."""
    option, weight = knowledge.signs[sign], answers.by_sign[sign].weight
    assert weight is not None  # only counted signs come here
    sure = max(weight, 1 - weight)
    true, false = (soft(sure, chance) for chance in knowledge.reported(option))
    yes = random.random(len(condition)) < np.where(condition, true, false)
    return np.where(yes[:, None], (true, false), (1 - true, 1 - false))
