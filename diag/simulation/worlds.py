"""Worlds to be diagnosed in: like the knowledge, or bent away from it, and the states and reports they give.

A bent world differs so (all judgement, none of it measured in a field): every link and effect word stands one
level off, the odds of every base rate are three times higher or lower, one cause is one that the tool doesn't
know, and a quarter of the signs repeat what was said of another sign of the same look, whatever is there.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, TypeVar

import msgspec
import numpy as np
from numpy.typing import NDArray

from diag.inference import prior
from diag.inference.network import compiled

if TYPE_CHECKING:
    from diag.findings import CircumstanceFound
    from diag.inference.network import Network, Parents
    from diag.knowledgebase.knowledge import Knowledge
    from diag.knowledgebase.model import Cause, Effect, Kind, Link, Question

__all__ = ["World", "as_known", "bent", "states"]

RATE_FACTOR = 3.0
TIED = 0.25

Mask = NDArray[np.bool_]
T = TypeVar("T", "Effect", "Link")


@dataclass(frozen=True)
class World:
    """What truly holds. `tied`: sign → the sign it repeats; `unlisted`: the cause that the tool doesn't know.

    `circumstances`: what is known of the points in it.
    """

    knowledge: Knowledge
    kind: Kind
    tied: Mapping[str, str] = field(default_factory=dict)
    unlisted: str | None = None
    circumstances: Mapping[str, CircumstanceFound] = field(default_factory=dict)

    @property
    def network(self) -> Network:
        return compiled(self.knowledge, self.kind)

    @property
    def rates(self) -> dict[str, float]:
        """Own rate of each cause under the circumstances."""
        return prior.rates(self.knowledge, self.kind, self.circumstances)[0]


def as_known(knowledge: Knowledge, kind: Kind) -> World:
    """The world as the knowledge has it: what is drawn from it can prove the code and nothing else."""
    return World(knowledge, kind)


def bent(knowledge: Knowledge, kind: Kind, random: np.random.Generator, rate_factor: float = RATE_FACTOR,
         tied: float = TIED) -> World:
    """A world that differs from the knowledge in all four ways at once.

    `rate_factor`: on the odds of every base rate, up or down; `tied`: share of the signs that repeat another.
    """
    causes = {c: _bent_cause(record, tuple(knowledge.words.chance), random) for c, record in knowledge.causes.items()}
    factors = dict(zip(causes, rate_factor ** random.choice([-1.0, 1.0], len(causes)), strict=True))
    # The compiled network is kept by fingerprint, so that another world needs another one.
    name = f"{knowledge.fingerprint}-world-{random.integers(2**62)}"
    changed = replace(knowledge, causes=causes, fingerprint=name).with_base_rates(factors)
    possible = [c for c, record in causes.items() if kind in record.base_rate]
    return World(changed, kind, _ties(knowledge, kind, tied, random), str(random.choice(possible)))


def states(world: World, cases: int, random: np.random.Generator) -> tuple[Mask, Mask]:
    """Causes (cases, n) and conditions (cases, m), in the order of the world's network."""
    network = world.network
    rates = network.rate_row(world.rates)[0]
    causes = np.zeros((cases, len(rates)), dtype=bool)
    for c, parents in enumerate(network.parents_of_causes):
        causes[:, c] = (random.random(cases) >= _spared(parents, causes) * (1 - rates[c])) & (rates[c] > 0)
    missed = np.stack([_spared(p, causes) * (1 - p.leak) for p in network.parents_of_conditions], axis=1)
    return causes, random.random(missed.shape) >= missed


def _spared(parents: Parents, causes: Mask) -> NDArray[np.float64]:
    """P(no parent reaches it), (cases,)."""
    reached: NDArray[np.float64] = np.where(causes[:, list(parents.causes)], np.array(parents.spared), 1.0)
    spared: NDArray[np.float64] = reached.prod(axis=1)
    return spared


def _bent_cause(cause: Cause, words: tuple[str, ...], random: np.random.Generator) -> Cause:
    return msgspec.structs.replace(
        cause, produces=tuple(_one_off(e, words, random) for e in cause.produces),
        leads_to=tuple(_one_off(link, words, random) for link in cause.leads_to))


def _one_off(arrow: T, words: tuple[str, ...], random: np.random.Generator) -> T:
    """Its word one level up or down; at an end of the scale inwards. A number with its source stays."""
    if arrow.chance not in words:
        return arrow
    at = words.index(arrow.chance) + int(random.choice([-1, 1]))
    at = 1 if at < 0 else len(words) - 2 if at == len(words) else at
    return msgspec.structs.replace(arrow, chance=words[at])


def _ties(knowledge: Knowledge, kind: Kind, share: float, random: np.random.Generator) -> dict[str, str]:
    found: dict[str, str] = {}
    for question in knowledge.questions.values():
        signs = _signs(question, kind)
        for one, other in zip(signs[1:], signs, strict=False):
            if random.random() < share:
                found[one] = other
    return found


def _signs(question: Question, kind: Kind) -> list[str]:
    return [o.sign for o in question.options if kind in o.kinds] if kind in question.kinds else []
