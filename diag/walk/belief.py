"""What is believed of a case in the middle of a walk: enough to choose the next question, less than a review."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from diag.case.model import Case, Degree
from diag.findings import CircumstanceFound, Urgency
from diag.knowledgebase import Knowledge
from diag.walk.state import Step, Walk

if TYPE_CHECKING:
    from diag.answers import Answers
    from diag.inference.contraction import Table
    from diag.inference.network import Network

__all__ = ["Belief", "Consequence", "believed", "chances", "consequences", "judged"]

NONE = "none of these"


@dataclass(frozen=True)
class Belief:
    network: Network
    rates: dict[str, float]
    answers: Answers
    circumstances: dict[str, CircumstanceFound]
    urgency: Urgency


@dataclass(frozen=True, slots=True)
class Consequence:
    """What one answer to a look would do: how likely it comes, and the cause that it moves most."""

    answer: str
    chance: float
    cause: str
    before: float
    after: float


def believed(case: Case, knowledge: Knowledge) -> Belief:
    """The case needs its kind."""
    from diag.heat_sign import graded
    from diag.inference import prior
    from diag.inference.network import compiled

    answers, circumstances, urgency = judged(case, knowledge)
    rates, _ = prior.rates(knowledge, case.point.kind, circumstances)
    return Belief(compiled(knowledge, case.point.kind), rates, graded(answers, circumstances, knowledge), circumstances,
                  urgency)


def judged(case: Case, knowledge: Knowledge) -> tuple[Answers, dict[str, CircumstanceFound], Urgency]:
    """What is answered, what holds at the point, and how urgent that is."""
    from diag.answers import collect
    from diag.circumstances import establish
    from diag.compute import compute
    from diag.urgency import judge

    computed, _ = compute(case, knowledge)
    circumstances = establish(case, computed, knowledge)
    answers = collect(case, knowledge)
    return answers, circumstances, judge(case, answers, circumstances, computed, knowledge)


def consequences(walk: Walk, step: Step, knowledge: Knowledge) -> tuple[Consequence, ...]:
    """For each answer to a look, alone, what it would do; nothing for other steps."""
    if step.kind != "look" or not step.choices:
        return ()
    belief = believed(walk.case, knowledge)
    causes, chance = _after(belief, _rows(belief, step, knowledge))
    told = [*(choice.text for choice in step.choices), NONE]
    return tuple(_most_moved(belief, causes[0], after, words, float(c), knowledge)
                 for after, words, c in zip(causes[1:], told, chance[1:], strict=True))


def chances(walk: Walk, step: Step, knowledge: Knowledge) -> tuple[float, ...]:
    """How likely each choice of a look is seen, then that none of them is. They overlap: no shares of a whole."""
    belief = believed(walk.case, knowledge)
    return tuple(_after(belief, _rows(belief, step, knowledge))[1][1:].tolist())


def _rows(belief: Belief, step: Step, knowledge: Knowledge) -> list[dict[str, tuple[float, float]]]:
    """Pairs as they are, with each sign alone seen, and with none of them."""
    from diag.answers import Answer, weight_of

    def supposed(signs: list[str], degree: Degree) -> dict[str, tuple[float, float]]:
        new = {s: Answer(s, weight_of(degree, knowledge), degree, "said", s) for s in signs}
        answers = replace(belief.answers, by_sign={**belief.answers.by_sign, **new})
        return answers.pairs(knowledge, belief.network.kind)

    signs = [choice.key for choice in step.choices]
    return [supposed([], "yes"), *(supposed([sign], "yes") for sign in signs), supposed(signs, "no")]


def _after(belief: Belief, rows: list[dict[str, tuple[float, float]]]) -> tuple[Table, Table]:
    """P(cause) by row, and how likely each row's answers are beside those of the first."""
    import numpy as np

    network = belief.network
    causes, _, evidence = network.posteriors(network.rate_row(belief.rates),
                                             np.concatenate([network.pair_row(row) for row in rows]))
    return causes, evidence / evidence[0]


def _most_moved(belief: Belief, before: Table, after: Table, words: str, chance: float, knowledge: Knowledge
                ) -> Consequence:
    n = int(abs(after - before).argmax())
    return Consequence(words, chance, knowledge.causes[belief.network.causes[n]].name, float(before[n]),
                       float(after[n]))
