"""What each action is expected to cost, and where another one would become the cheapest.

    cost = standstill + labour + grease + part + (1 − works · (1 − left)) · (goes_on · failure + second try)

`left` is the chance that the action leaves a cause behind. Rules of urgency and safety come first: an action that a
rule bars has no row. The cost is linear in each price and in the chance of a cause, so that a flip is where two
straight lines cross; each is proved by working the table out anew on both sides of it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from diag.findings import Action, CostPart, ExpectedCost, Flip
from diag.knowledgebase import Knowledge
from diag.knowledgebase.model import RemedyClass
from diag.remedy.cures import SURPLUS, Belief, counted, left_by, likeliest
from diag.remedy.prices import PRICES, PriceName, Prices

__all__ = ["Amounts", "Job", "cheapest", "cost", "expected", "flips", "jobs", "parts"]

_EITHER_SIDE = 0.01  # how far off a flip the table is worked out anew, as a share (of the odds for a chance)
_FAR = 20.0  # a price is looked at from a twentieth to twenty times what it is
Amounts = Mapping[Action, float]  # grease an action takes, kg, where the sizes give it


@dataclass(frozen=True, slots=True)
class Job:
    """One row of the table: what the action takes and what it leaves."""

    action: Action
    downtime_h: float
    labour_h: float
    grease_kg: float
    parts: int
    works: float
    goes_on: float
    left: float  # P(a counted cause is present that this action does not cure)
    if_present: float = 0.0  # the same, were the likeliest cause certain
    if_absent: float = 0.0  # and were it ruled out

    @property
    def cures(self) -> float:
        """Chance that all is well after it."""
        return self.works * (1 - self.left)


def jobs(actions: Sequence[Action], causes: Mapping[str, float], belief: Belief, repair: RemedyClass | None,
         amounts: Amounts, knowledge: Knowledge, *, let_out: bool = False) -> tuple[Job, ...]:
    """The rows for these actions, with the repair of the machine beside each where one comes first.

    `let_out`: waiting opens the outlet at this point, so that surplus grease leaves.
    """
    names = counted(causes, knowledge)
    leader = likeliest(causes, knowledge) or ""
    left = [left_by(a, names, repair.id if repair else None, knowledge, let_out=let_out) for a in actions]
    # One question of all sets, so that the network is run through once.
    chances = belief.any_of([*left, *(s | {leader} for s in left), frozenset({leader})])
    n, p = len(left), chances[-1]
    return tuple(
        _job(a, repair, amounts, knowledge, chances[i], _split(p, leader in left[i], chances[i], chances[n + i]),
             _works(a, names, let_out, knowledge))
        for i, a in enumerate(actions))


def _works(action: Action, names: Sequence[str], let_out: bool, knowledge: Knowledge) -> float:
    """Chance that the work succeeds; waiting that lets surplus out is the same work as dosing less."""
    surplus = any(knowledge.causes[c].remedy.class_ == SURPLUS for c in names)
    same: Action = "adjust_regreasing" if action == "wait_and_watch" and let_out and surplus else action
    return knowledge.costs.work[same].works


def _split(p: float, leaves_it: bool, left: float, or_it: float) -> tuple[float, float]:
    """P(something left) with the leader certain, and with it ruled out: P(A, not B) = P(A or B) − P(B)."""
    without = (or_it - p) / (1 - p) if p < 1 else 0.0
    if leaves_it:
        return 1.0, min(1.0, max(0.0, without))
    with_it = (left - (or_it - p)) / p if p > 0 else left
    return min(1.0, max(0.0, with_it)), min(1.0, max(0.0, without))


def _job(action: Action, repair: RemedyClass | None, amounts: Amounts, knowledge: Knowledge, left: float,
         split: tuple[float, float], works: float) -> Job:
    work = knowledge.costs.work[action]
    watched = knowledge.costs.work["wait_and_watch"].goes_on  # who has mended something looks after it
    least = repair.work_h if repair else 0.0  # the repair's hours hold all its work, the part's change included
    return Job(action, max(work.downtime_h, least), max(work.labour_h, least), amounts.get(action, work.grease_kg),
               int(work.new_part), works, min(work.goes_on, watched) if repair else work.goes_on, left, *split)


def cost(job: Job, prices: Prices, hours: float = 1.0) -> float:
    """Expected money; `hours` multiplies all hours of the work itself."""
    doing = hours * prices.hours(job.downtime_h, job.labour_h)
    material = job.grease_kg * prices.grease_per_kg + job.parts * prices.bearing
    return doing + material + (1 - job.cures) * (job.goes_on * prices.repeat_failure + prices.second_try)


def expected(table: Sequence[Job], prices: Prices, low: Prices, high: Prices, knowledge: Knowledge
             ) -> tuple[ExpectedCost, ...]:
    """Each row's cost with a low and a high: prices, hours and the chance of what is left all good, or all bad."""
    k = knowledge.costs
    rows = (ExpectedCost(action=job.action, cost=round(cost(job, prices), 2),
                         low=round(cost(_odds(job, 1 / k.odds), low, k.hours_low), 2),
                         high=round(cost(_odds(job, k.odds), high, k.hours_high), 2)) for job in table)
    return tuple(sorted(rows, key=lambda row: row.cost))


def parts(table: Sequence[Job], prices: Prices) -> tuple[CostPart, ...]:
    """What each row's cost is made of, cheapest first; the parts make up the whole."""
    return tuple(_part(job, prices) for job in sorted(table, key=lambda job: cost(job, prices)))


def _part(job: Job, prices: Prices) -> CostPart:
    standstill, labour = prices.hours(job.downtime_h, 0), prices.hours(0, job.labour_h)
    material = job.grease_kg * prices.grease_per_kg + job.parts * prices.bearing
    risk = cost(job, prices) - standstill - labour - material
    return CostPart(action=job.action, cures=round(job.cures, 4), standstill=round(standstill, 2),
                    labour=round(labour, 2), material=round(material, 2), risk=round(risk, 2))


def _odds(job: Job, factor: float) -> Job:
    return replace(job, left=factor * job.left / (1 - job.left + factor * job.left))


def cheapest(table: Sequence[Job], prices: Prices) -> Job:
    """The row of least cost; of equals the first."""
    return min(table, key=lambda job: cost(job, prices))


def flips(table: Sequence[Job], prices: Prices, leader: str, chance: float) -> tuple[Flip, ...]:
    """Where another action becomes the cheapest: for each price, and for the chance of the likeliest cause."""
    if len(table) < 2:
        return ()
    found = [flip for name in PRICES for flip in _price_flips(name, table, prices)]
    return tuple(found + list(_chance_flips(table, prices, leader, chance)))


Costs = Callable[[Job, float], float]


def _price_flips(name: PriceName, table: Sequence[Job], prices: Prices) -> Iterator[Flip]:
    now = prices.of(name)

    def at(job: Job, value: float) -> float:
        return cost(job, prices.at(name, value))

    for value, before, after in _crossings(table, at, now, now / _FAR, now * _FAR, now * _EITHER_SIDE):
        yield Flip(variable=name, text=PRICES[name], now=_three(now), at=_three(value),
                   side="above" if value > now else "below", instead_of=before, action=after)


def _chance_flips(table: Sequence[Job], prices: Prices, leader: str, chance: float) -> Iterator[Flip]:
    def at(job: Job, p: float) -> float:
        return cost(replace(job, left=p * job.if_present + (1 - p) * job.if_absent), prices)

    for p, before, after in _crossings(table, at, chance, 0.0, 1.0, _EITHER_SIDE / 2):
        yield Flip(variable=f"chance of {leader}", text=leader, now=_three(chance), at=_three(p),
                   side="above" if p > chance else "below", instead_of=before, action=after)


def _crossings(table: Sequence[Job], at: Costs, now: float, least: float, most: float, step: float
               ) -> Iterator[tuple[float, Action, Action]]:
    """The nearest value under and over `now` at which another row becomes the cheapest, and both rows' actions."""
    best = _least(table, at, now)
    crossed = [x for job in table if job is not best and (x := _cross(best, job, at, now)) is not None
               and least <= x <= most]
    nearest = (max((x for x in crossed if x < now), default=None), min((x for x in crossed if x > now), default=None))
    for place in nearest:
        if place is None:
            continue
        # Worked out anew on both sides: on this one the same is the cheapest as now, beyond it another.
        way = step if place > now else -step
        here, beyond = _least(table, at, place - way), _least(table, at, place + way)
        if here is best and beyond is not best:
            yield place, best.action, beyond.action


def _least(table: Sequence[Job], at: Costs, value: float) -> Job:
    return min(table, key=lambda job: at(job, value))


def _cross(one: Job, other: Job, at: Costs, now: float) -> float | None:
    """Where two straight lines cross; None where they run side by side."""
    width = max(abs(now), 1e-3)
    gap_now, gap_then = at(one, now) - at(other, now), at(one, now + width) - at(other, now + width)
    slope = (gap_then - gap_now) / width
    return None if abs(slope) < 1e-12 else now - gap_now / slope


def _three(value: float) -> float:
    return float(f"{value:.3g}")
