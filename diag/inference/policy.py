"""What to ask next: a look at the point, or a fact that somebody may know without looking.

Both are weighed in one currency, hours gained per hour of asking (`questions`). A fact moves circumstances, and
these the odds of causes; what it would gain is told from the strength words alone, without a pass of the network.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from diag.inference import questions
from diag.inference.questions import Outlook, Ranking

if TYPE_CHECKING:
    from diag.answers import Answers
    from diag.case.model import Case
    from diag.findings import CircumstanceFound
    from diag.inference.network import Network
    from diag.knowledgebase.knowledge import Knowledge
    from diag.knowledgebase.model import Cause, Kind

__all__ = ["FACT_MINUTES", "Policy", "choose", "gain_of_fact", "standing"]

# A fact takes less than a minute to say, and longer to remember or to look up (judgement).
FACT_MINUTES = 3.0
# Where a circumstance that fails is no evidence (its word is neutral), its chance doesn't follow from the words
# (judgement).
_USUAL_CHANCE = 0.25
_MOST_CHANCE = 0.6


@dataclass(frozen=True, slots=True)
class Policy:
    """The choice: a fact, else the looks of the ranking; `settled` when neither pays any more."""

    ranking: Ranking
    fact: str | None

    @property
    def settled(self) -> bool:
        return self.fact is None and self.ranking.settled


def choose(network: Network, rates: Mapping[str, float], answers: Answers,
           circumstances: Mapping[str, CircumstanceFound], knowledge: Knowledge,
           facts: Mapping[str, Collection[str]], complaint: str | None = None, asked: Collection[str] = (),
           may_intervene: bool = True, standing: float = 1.0) -> Policy:
    """The look or the fact that gains most per hour; a fact counts as a look at the running machine.

    `facts`: what can still be asked → the circumstances that it can decide. A look that decides whether the
    machine may keep turning, and one the complaint calls for, comes before any fact.
    """
    ranking = questions.rank(network, rates, answers, circumstances, knowledge, limit=1, complaint=complaint,
                             asked=asked, may_intervene=may_intervene, standing=standing)
    worth = {f: gain_of_fact(ranking.now, moved, network.kind, rates, circumstances, knowledge) * 60 / FACT_MINUTES
             for f, moved in facts.items()}
    best = max(worth, key=lambda f: worth[f], default=None)
    if best is None or worth[best] < 1 or ranking.pressing:
        return Policy(ranking, None)
    look = ranking.questions[0] if ranking.questions and not ranking.settled else None
    if look is not None and look.stage == "running" and look.worth > worth[best]:
        return Policy(ranking, None)
    return Policy(replace(ranking, settled=False, why=""), best)


def standing(case: Case) -> float:
    """What an hour of the machine standing costs, in hours of labour; nothing where the part lies on the bench.

    One hour where the case doesn't say both (judgement).
    """
    if case.complaint == "failed":
        return 0.0
    downtime, labour = case.costs.downtime_per_hour, case.costs.labour_per_hour
    return downtime / labour if downtime is not None and labour else 1.0


def gain_of_fact(now: Outlook, moved: Collection[str], kind: Kind, rates: Mapping[str, float],
                 circumstances: Mapping[str, CircumstanceFound], knowledge: Knowledge) -> float:
    """Expected fall of the loss [h, ≥ 0] when the circumstances `moved` are established.

    Of those not known yet only. Their effects on different causes are added up, never beyond what could be gained
    at all. An approximation: links that run on from a cause aren't followed.
    """
    most = now.now - now.knowing
    open_ = [c for c in moved if c not in circumstances or circumstances[c].holds is None]
    gains = np.array([_gain(now, c, kind, rates, knowledge) for c in open_])
    if most <= 0 or not len(gains):
        return 0.0
    return most * float(1 - np.prod(1 - np.minimum(1.0, gains / most)))


def _gain(now: Outlook, fact: str, kind: Kind, rates: Mapping[str, float], knowledge: Knowledge) -> float:
    """Of one circumstance: loss at the mean of its two outcomes, less the mean of their losses."""
    kept = {True: np.ones(len(now.work)), False: np.ones(len(now.work))}
    chances = []
    for cause in knowledge.causes.values():
        for holds, fails in _factors(cause, fact, kind, rates, knowledge):
            chances.append(_chance(holds, fails))
            place = now.classes.index(cause.remedy.class_)
            for outcome, factor in ((True, holds), (False, fails)):
                kept[outcome][place] *= _spared(now.causes[cause.id], factor)
    if not chances:
        return 0.0
    chance = float(np.mean(chances))
    true, false = now.none * kept[True], now.none * kept[False]
    mean = chance * true + (1 - chance) * false
    one = np.ones(())
    after = chance * now.expected_loss(one, true) + (1 - chance) * now.expected_loss(one, false)
    return max(0.0, float(now.expected_loss(one, mean) - after))


def _factors(cause: Cause, fact: str, kind: Kind, rates: Mapping[str, float], knowledge: Knowledge
             ) -> Iterator[tuple[float, float]]:
    """What the odds of a cause are multiplied by where the circumstance holds, and where it doesn't."""
    if kind not in cause.base_rate or rates.get(cause.id, 0.0) == 0:
        return
    for effect in cause.circumstances:
        if effect.fact == fact:
            yield knowledge.level("strength", effect.holds), knowledge.level("strength", effect.if_not)
    for need in cause.needs:
        if need.fact == fact:
            yield (1.0, 0.0) if need.be else (0.0, 1.0)


def _chance(holds: float, fails: float) -> float:
    """P(it holds) at which its two factors average 1; the usual chance where they can't."""
    if holds == fails or fails == 1 or (holds - 1) * (fails - 1) >= 0:
        return _USUAL_CHANCE
    return min(_MOST_CHANCE, (1 - fails) / (holds - fails))


def _spared(probability: float, factor: float) -> float:
    """P(cause absent) after its odds took this factor, over P(absent) before."""
    return 1 / (1 - probability + probability * factor) if probability < 1 else 1.0
