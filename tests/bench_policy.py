"""What choosing the next question is worth: `python -m tests.bench_policy [POINTS]`, no test.

Points are drawn from worlds bent away from the knowledge (`diag.simulation.worlds`), answered by technicians who
pass over a third of the looks. Guided: the walk's policy until it calls the case settled. Static: one order for
all points of a kind, the one the guided walks of other points used most, cut off after a number of minutes.
Both are judged by what acting on their beliefs loses once the truth is known, in hours of labour a point, at the
full hours of the knowledge (`loss_h` where work that was needed is left undone).
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


@dataclass(frozen=True)
class Taken:
    """The looks taken at a point, and what they led to."""

    asked: tuple[str, ...]
    minutes: float  # of looking, each weighted with what its stage costs
    loss: float  # h


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
    needed = {knowledge.causes[c].remedy.class_ for c in case.present}
    done = (1 - now.none) * undone > now.work
    lost = np.where(done, now.work, undone * np.array([r in needed for r in now.classes]))
    return Taken(tuple(asked), minutes(asked, knowledge), float(lost.sum()))


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


def mean(walks: Sequence[Taken], what: str) -> float:
    return float(np.mean([len(w.asked) if what == "looks" else getattr(w, what) for w in walks]))


def equal_quality(cases: Sequence[DrawnCase], order: Sequence[str], loss: float, knowledge: Knowledge
                  ) -> list[Taken] | None:
    """The static walks with the least budget at which they lose no more than this; None where none does."""
    for n in range(1, len(order) + 1):
        walks = [static(c, order, minutes(order[:n], knowledge), knowledge) for c in cases]
        if mean(walks, "loss") <= loss:
            return walks
    return None


def line(name: str, walks: Sequence[Taken]) -> str:
    return (f"  {name:28s} {mean(walks, 'looks'):5.1f} looks  {mean(walks, 'minutes'):6.0f} min  "
            f"{mean(walks, 'loss'):6.2f} h lost")


def main(points: int) -> None:
    knowledge = knowledgebase.load()
    for kind in KINDS:
        learned = [guided(c, knowledge) for c in drawn(knowledge, kind, points, 1)]
        order = [q for q, _ in Counter(q for w in learned for q in w.asked).most_common()]
        cases = drawn(knowledge, kind, points, 2)
        ours = [guided(c, knowledge) for c in cases]
        same = [static(c, order, mean(ours, "minutes"), knowledge) for c in cases]
        equal = equal_quality(cases, order, mean(ours, "loss"), knowledge)
        print(f"{kind}: {points} points")
        print(line("nothing asked", [taken(c, (), knowledge) for c in cases]))
        print(line("guided", ours))
        print(line("static, same minutes", same))
        if equal:
            print(line("static, equal quality", equal))
            print(f"  ratio of minutes {mean(ours, 'minutes') / mean(equal, 'minutes'):.2f}, "
                  f"of looks {mean(ours, 'looks') / mean(equal, 'looks'):.2f}")
        else:
            print("  no length of the static order comes as far")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
