"""The likeliest explanations as sets of causes, each with its exact probability."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from diag.findings import Together

if TYPE_CHECKING:
    from diag.inference.contraction import Table
    from diag.inference.network import Mask, Network, Pairs, Posterior

__all__ = ["together"]

# Sets are drawn from the causes most likely by themselves: all 2^10 = 1024 subsets, under 1 ms.
_CANDIDATES = 10
_SHOWN = 8  # sets told at most
_LEAST = 0.01  # a set less likely than this is not worth a line


def together(network: Network, rates: Mapping[str, float], pairs: Pairs, posterior: Posterior
             ) -> tuple[tuple[Together, ...], float, float]:
    """Sets, most likely first; what is neglected = 1 − their sum; healthy = P(no cause at all | answers).

    P(set) = P(exactly these causes and no other, answers) ÷ P(answers), exact. The set of no cause (healthy)
    is listed like any other where it is likely enough, so that the list and `neglected` make 1.
    """
    states = _states(network, posterior)
    rate_row, pair_row = network.rate_row(rates)[0], network.pair_row(pairs)[0]
    chance: Table = np.exp(network.log_joint(rate_row, pair_row, states) - math.log(posterior.evidence))
    best = [s for s in np.argsort(-chance, kind="stable")[:_SHOWN] if chance[s] >= _LEAST]
    listed = tuple(Together(causes=_names(network, posterior, states[s]), probability=float(chance[s]))
                   for s in best)
    return listed, max(0.0, 1 - sum(t.probability for t in listed)), min(1.0, float(chance[0]))


def _states(network: Network, posterior: Posterior) -> Mask:
    """All subsets of the likeliest causes, the empty one first."""
    marginals = np.array([posterior.causes[c] for c in network.causes])
    chosen = [c for c in np.argsort(-marginals, kind="stable")[:_CANDIDATES] if marginals[c] > 0]
    numbers = np.arange(2 ** len(chosen))
    states = np.zeros((len(numbers), len(marginals)), dtype=bool)
    states[:, chosen] = numbers[:, None] >> np.arange(len(chosen)) & 1 == 1
    return states


def _names(network: Network, posterior: Posterior, state: Mask) -> tuple[str, ...]:
    """The causes of one set, most likely first."""
    present = [c for c, here in zip(network.causes, state, strict=True) if here]
    return tuple(sorted(present, key=lambda c: -posterior.causes[c]))
