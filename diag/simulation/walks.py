"""Which looks are taken at a drawn point: the tool's own choice, or a fixed order."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from diag.inference import prior, questions
from diag.inference.network import compiled

if TYPE_CHECKING:
    from diag.inference.contraction import Table
    from diag.inference.network import Network
    from diag.knowledgebase.knowledge import Knowledge
    from diag.knowledgebase.model import Kind, Stage
    from diag.simulation.technicians import DrawnCase

__all__ = ["AT_ONCE", "FURTHEST", "Walked", "beliefs", "fixed", "guided", "order_of", "rates_for"]

AT_ONCE = 3  # looks taken before the tool is asked again
FURTHEST: Stage = "cleaned"  # everything there is to see in the field; no laboratory


@dataclass(frozen=True, slots=True)
class Walked:
    """A drawn point and the looks taken there, in order."""

    case: DrawnCase
    asked: tuple[str, ...]
    minutes: float


def guided(case: DrawnCase, knowledge: Knowledge) -> Walked:
    """The looks that the tool ranks first, answered, and so on until it calls the case settled.

    Three at a time, as the page lists them, where they are of one stage. Cost: one ranking a round, 20 ms at a
    rolling bearing.
    """
    network, rates = compiled(knowledge, case.kind), rates_for(case, knowledge)
    asked: list[str] = []
    while True:
        ranking = questions.rank(network, rates, case.answers(asked, knowledge), {}, knowledge, limit=AT_ONCE,
                                 stage=FURTHEST, complaint=case.complaint, asked=asked)
        if ranking.settled or not ranking.questions:
            return Walked(case, tuple(asked), _minutes(asked, knowledge))
        asked += [q.id for q in ranking.questions if q.stage == ranking.questions[0].stage]


def order_of(walks: Iterable[Walked]) -> tuple[str, ...]:
    """The fixed order: the looks that the guided walks took most often come first.

    Learned on the very cases it is then tried on, which favours it.
    """
    return tuple(q for q, _ in Counter(q for walk in walks for q in walk.asked).most_common())


def fixed(case: DrawnCase, order: Sequence[str], minutes: float, knowledge: Knowledge) -> Walked:
    """The looks of `order` in turn, as many as go into `minutes`."""
    asked: list[str] = []
    for question in order:
        if _minutes([*asked, question], knowledge) > minutes:
            break
        asked.append(question)
    return Walked(case, tuple(asked), _minutes(asked, knowledge))


def beliefs(walks: Sequence[Walked], kind: Kind, knowledge: Knowledge) -> Table:
    """P(present | answers) of every cause of the kind, one row a walk, in one batched pass."""
    network = compiled(knowledge, kind)
    if not walks:
        return np.empty((0, len(network.causes)))
    rates = np.concatenate([network.rate_row(rates_for(w.case, knowledge)) for w in walks])
    return network.posteriors(rates, _pairs(walks, network, knowledge))[0]


def rates_for(case: DrawnCase, knowledge: Knowledge) -> dict[str, float]:
    """What the tool believes at the outset: its base rates, and nothing of the cause it doesn't know."""
    rates = prior.rates(knowledge, case.kind, {})[0]
    return rates if case.unlisted is None else {**rates, case.unlisted: 0.0}


def _pairs(walks: Sequence[Walked], network: Network, knowledge: Knowledge) -> Table:
    return np.concatenate([network.pair_row(w.case.answers(w.asked, knowledge).pairs(knowledge, network.kind))
                           for w in walks])


def _minutes(asked: Iterable[str], knowledge: Knowledge) -> float:
    return sum(knowledge.questions[q].minutes for q in asked)
