"""What choosing the next question is worth: `python -m tests.bench_policy [POINTS [KIND ...]]`, no test.

Points are drawn from worlds bent away from the knowledge (`diag.simulation.worlds`), answered by technicians who
pass over a third of the looks. Guided: the walk's policy until it calls the case settled. Static: one order for
all points of a kind, the one the guided walks of other points used most, cut off after a number of minutes.
Both are judged by what acting on their beliefs loses once the truth is known, in hours of labour a point: with the
share of the harm that the policy counts (`BEFORE_FOUND`), with all of it (`loss_h`), and by how often the work held for
likeliest is work that was needed. The interval of a ratio is the middle 95 % of 400 draws of as many points.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from diag import knowledgebase
from diag.inference import prior, questions
from diag.inference.network import compiled
from diag.knowledgebase import Knowledge
from diag.simulation.technicians import FIELD, DrawnCase, cases_of
from diag.simulation.worlds import bent

KINDS = ("rolling_bearing", "pin_bushing", "slideway")
IN_A_WORLD = 10
YARDSTICKS = ("h lost, share of harm", "h lost, all harm", "wrong work first")
RESAMPLED = 400
LEARNT_FROM = 150  # points at most
MOST = 24  # looks of the longest static order


@dataclass(frozen=True)
class Taken:
    """The looks taken at a point, and what they led to by each yardstick, less being better."""

    asked: tuple[str, ...]
    minutes: float  # of looking, each weighted with what its stage costs
    bad: tuple[float, ...]  # in the order of YARDSTICKS


def drawn(knowledge: Knowledge, kind: str, points: int, seed: int) -> list[DrawnCase]:
    random = np.random.default_rng(seed)
    found: list[DrawnCase] = []
    while len(found) < points:
        found += cases_of(bent(knowledge, kind, random), IN_A_WORLD, FIELD, random)
    return found[:points]


def believed(case: DrawnCase, knowledge: Knowledge) -> dict[str, float]:
    """Base rates as the tool has them; a cause that it doesn't know has none."""
    rates = prior.rates(knowledge, case.kind, {})[0]
    return {**rates, case.unlisted: 0.0} if case.unlisted else rates


def minutes(asked: Iterable[str], knowledge: Knowledge) -> float:
    return sum(60 * questions.cost_h(knowledge.questions[q]) for q in asked)


def taken(case: DrawnCase, asked: Sequence[str], knowledge: Knowledge) -> Taken:
    """Every class of work is done where that is the lesser expected loss; then the truth comes out."""
    network = compiled(knowledge, case.kind)
    now = questions.outlook(network, believed(case, knowledge), case.answers(asked, knowledge), knowledge)
    undone = np.array([knowledge.remedies[r].loss_h for r in now.classes])
    present = {knowledge.causes[c].remedy.class_ for c in case.present}
    needed = np.array([r in present for r in now.classes])
    lost = [_lost(now, loss, needed) for loss in (now.loss, undone)]
    wrong = bool(present) and not needed[now.none.argmin()]
    return Taken(tuple(asked), minutes(asked, knowledge), (*lost, float(wrong)))


def _lost(now: questions.Outlook, loss: np.ndarray, needed: np.ndarray) -> float:
    return float(np.where((1 - now.none) * loss > now.work, now.work, loss * needed).sum())


def guided(case: DrawnCase, knowledge: Knowledge) -> Taken:
    network, rates = compiled(knowledge, case.kind), believed(case, knowledge)
    asked: list[str] = []
    while True:
        ranking = questions.rank(network, rates, case.answers(asked, knowledge), {}, knowledge, limit=1,
                                 complaint=case.complaint, asked=asked)
        if ranking.settled or not ranking.questions:
            return taken(case, asked, knowledge)
        asked.append(ranking.questions[0].id)


def static(case: DrawnCase, order: Sequence[str], budget: float, knowledge: Knowledge) -> Taken:
    asked: list[str] = []
    for question in order:
        if minutes([*asked, question], knowledge) > budget:
            break
        asked.append(question)
    return taken(case, asked, knowledge)


def equal_quality(ours: np.ndarray, lengths: np.ndarray) -> int | None:
    """The shortest static order, of rows of `lengths`, that is on average no worse than ours; None where none is."""
    good = np.flatnonzero(lengths.mean(axis=1) <= ours.mean())
    return int(good[0]) if len(good) else None


def ratio(ours: Sequence[Taken], lengths: Sequence[Sequence[Taken]], yardstick: int) -> tuple[float, float, float]:
    """Minutes guided ÷ minutes of the static order of equal quality, and its interval; 0 where none is as good."""
    guided_minutes = np.array([w.minutes for w in ours])
    bad = np.array([w.bad[yardstick] for w in ours])
    other = np.array([[w.bad[yardstick] for w in walks] for walks in lengths])
    spent = np.array([walks[0].minutes for walks in lengths])

    def of(points: np.ndarray) -> float:
        n = equal_quality(bad[points], other[:, points])
        return 0.0 if n is None else float(guided_minutes[points].mean() / max(1.0, spent[n]))

    random = np.random.default_rng(0)
    drawn_again = [of(random.integers(0, len(ours), len(ours))) for _ in range(RESAMPLED)]
    low, high = np.quantile(drawn_again, (0.025, 0.975))
    return of(np.arange(len(ours))), float(low), float(high)


def line(name: str, walks: Sequence[Taken]) -> str:
    bad = "  ".join(f"{np.mean([w.bad[n] for w in walks]):6.2f}" for n in range(len(YARDSTICKS)))
    return (f"  {name:22s} {np.mean([len(w.asked) for w in walks]):5.1f} looks  "
            f"{np.mean([w.minutes for w in walks]):6.0f} min  {bad}")


def main(points: int, kinds: Sequence[str]) -> None:
    knowledge = knowledgebase.load()
    for kind in kinds:
        learned = [guided(c, knowledge) for c in drawn(knowledge, kind, min(points, LEARNT_FROM), 1)]
        order = [q for q, _ in Counter(q for w in learned for q in w.asked).most_common()]
        cases = drawn(knowledge, kind, points, 2)
        ours = [guided(c, knowledge) for c in cases]
        budget = float(np.mean([w.minutes for w in ours]))
        lengths = [[taken(c, order[:n], knowledge) for c in cases] for n in range(min(MOST, len(order)) + 1)]
        print(f"{kind}: {points} points; {', '.join(YARDSTICKS)}")
        print(line("nothing asked", lengths[0]))
        print(line("guided", ours))
        print(line("static, same minutes", [static(c, order, budget, knowledge) for c in cases]))
        for n, name in enumerate(YARDSTICKS):
            told, low, high = ratio(ours, lengths, n)
            print(f"  {name}: ratio of minutes {told:.2f} ({low:.2f} to {high:.2f})", flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100, sys.argv[2:] or KINDS)
