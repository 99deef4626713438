"""Is one more look worth its minutes in money? By the cost table itself, before and after each possible answer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from diag.findings import Action, NextQuestion, OneMoreCheck
from diag.inference.questions import STAGE_COST
from diag.remedy.cures import Independent, likeliest
from diag.remedy.decision import Amounts, cheapest, cost, jobs
from diag.remedy.prices import Prices
from diag.remedy.situation import LEADS, Situation

__all__ = ["Look", "one_more_check"]


class AfterLike(Protocol):
    """All that is needed of diag.inference.presence.After."""

    @property
    def chance(self) -> float: ...
    @property
    def causes(self) -> Mapping[str, float]: ...


@dataclass(frozen=True)
class Look:
    """The next question, and for each of its options the belief after yes and after no."""

    question: NextQuestion
    answers: Sequence[tuple[AfterLike, AfterLike]]


def one_more_check(s: Situation, look: Look, offered: Sequence[Action], prices: Prices, amounts: Amounts
                   ) -> OneMoreCheck:
    """Money that the most telling option of the question is expected to save, against what looking takes.

    Causes are taken as independent here, before and after alike: what counts is the difference.
    """
    def least(causes: Mapping[str, float]) -> float:
        return _least(s, causes, offered, prices, amounts)

    now = least(s.posterior.causes)
    saves = max((now - sum(a.chance * least(a.causes) for a in option if a.chance > 0) for option in look.answers),
                default=0.0)
    takes = _price_of_looking(look.question, prices)
    return OneMoreCheck(question=look.question.id, text=look.question.text, saves=round(max(0.0, saves), 2),
                        costs=round(takes, 2), worth_it=saves > takes)


def _price_of_looking(question: NextQuestion, prices: Prices) -> float:
    """The question's time at its stage, in money."""
    labour, standing = next(hours for stage, hours in STAGE_COST.items() if stage == question.stage)
    return question.minutes / 60 * prices.hours(standing, labour)


def _least(s: Situation, causes: Mapping[str, float], offered: Sequence[Action], prices: Prices, amounts: Amounts
           ) -> float:
    """Cost of the cheapest way open under this belief: any action a rule lets stand, the repair beside it or not."""
    leader, belief = likeliest(causes, s.knowledge), Independent(causes)
    ways = list(jobs(offered, causes, belief, None, amounts, s.knowledge, let_out=s.lets_out))
    remedy = None if leader is None else s.knowledge.remedies[s.knowledge.causes[leader].remedy.class_]
    if remedy is not None and remedy.not_the_grease and causes[leader or ""] >= LEADS:
        ways += jobs(offered, causes, belief, remedy, amounts, s.knowledge, let_out=s.lets_out)
    return cost(cheapest(ways, prices), prices)
