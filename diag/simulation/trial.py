"""`diag knowledge simulate`: many drawn points, walked by the tool, by a fixed order, and guessed at."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from diag.inference.network import compiled
from diag.knowledgebase.model import ALL_KINDS
from diag.simulation import walks
from diag.simulation.scoring import Scores, score
from diag.simulation.technicians import FIELD, Technician, cases_of
from diag.simulation.worlds import as_known, bent

if TYPE_CHECKING:
    from diag.inference.contraction import Table
    from diag.knowledgebase.knowledge import Knowledge
    from diag.knowledgebase.model import Kind
    from diag.simulation.walks import Walked

__all__ = ["Progress", "Trial", "simulate"]

_IN_A_WORLD = 20  # points drawn from one world before another is bent

Progress = Callable[[int, int], None]  # done, of how many


@dataclass(frozen=True, slots=True)
class Trial:
    """The three ways beside one another on the same points, and what the guided walk took."""

    seed: int
    cases: int
    worlds: int
    unlisted: int  # cases in which the cause that the tool doesn't know was at work
    as_known: bool  # drawn from the knowledge itself: proves the code and nothing else
    technician: Technician
    guided: Scores
    fixed: Scores
    guess: Scores
    questions: float  # mean looks taken by the guided walk
    minutes: float  # mean minutes of looking, the same budget for the fixed order


@dataclass(frozen=True, slots=True)
class _Portion:
    """The points of one world."""

    kind: Kind
    cases: int
    seed: np.random.SeedSequence


def simulate(knowledge: Knowledge, cases: int = 2000, seed: int = 0, kinds: Sequence[Kind] = ALL_KINDS,
             technician: Technician = FIELD, own: bool = False, progress: Progress | None = None,
             workers: int = 1) -> Trial:
    """Draw `cases` points over `kinds` in equal shares and score the tool on them.

    `own`: from the knowledge itself instead of from worlds bent away from it. The same seed gives the same
    numbers, whatever the `workers` (processes). Cost: some 0.2 s a point.
    """
    portions = _portions(cases, seed, kinds)
    walked: list[Walked] = []
    for found in _each(partial(_walk, knowledge=knowledge, technician=technician, own=own), portions, workers):
        walked += found
        if progress:
            progress(len(walked), cases)
    return _judged(knowledge, walked, (seed, 1 if own else len(portions), own), technician)


def _portions(cases: int, seed: int, kinds: Sequence[Kind]) -> list[_Portion]:
    """Points by kind in equal shares, by world, each world with a seed of its own."""
    shares = [cases // len(kinds) + (n < cases % len(kinds)) for n in range(len(kinds))]
    sizes = [(kind, min(_IN_A_WORLD, share - start)) for kind, share in zip(kinds, shares, strict=True)
             for start in range(0, share, _IN_A_WORLD)]
    seeds = np.random.SeedSequence(seed).spawn(len(sizes))
    return [_Portion(kind, size, own) for (kind, size), own in zip(sizes, seeds, strict=True)]


def _each(work: Callable[[_Portion], list[Walked]], portions: Sequence[_Portion], workers: int
          ) -> Iterator[list[Walked]]:
    if workers < 2:
        yield from map(work, portions)
        return
    with ProcessPoolExecutor(workers) as pool:
        yield from pool.map(work, portions)


def _walk(portion: _Portion, knowledge: Knowledge, technician: Technician, own: bool) -> list[Walked]:
    random = np.random.default_rng(portion.seed)
    world = as_known(knowledge, portion.kind) if own else bent(knowledge, portion.kind, random)
    return [walks.guided(case, knowledge) for case in cases_of(world, portion.cases, technician, random)]


def _judged(knowledge: Knowledge, walked: Sequence[Walked], drawn: tuple[int, int, bool], technician: Technician
            ) -> Trial:
    seed, worlds, own = drawn
    fixed = _by_fixed_order(walked, knowledge)
    guessed = [walks.Walked(w.case, (), 0.0) for w in walked]
    return Trial(
        seed, len(walked), worlds, sum(w.case.unlisted in w.case.present for w in walked), own, technician,
        _scores(walked, knowledge), _scores(fixed, knowledge), _scores(guessed, knowledge, guess=True),
        float(np.mean([len(w.asked) for w in walked])), float(np.mean([w.minutes for w in walked])))


def _by_fixed_order(walked: Sequence[Walked], knowledge: Knowledge) -> list[Walked]:
    orders = {kind: walks.order_of(w for w in walked if w.case.kind == kind) for kind in ALL_KINDS}
    # The budget is the mean of the kind, not that of the case: how hard a case is isn't known beforehand.
    budget = {kind: np.mean([w.minutes for w in walked if w.case.kind == kind] or [0.0]) for kind in ALL_KINDS}
    return [walks.fixed(w.case, orders[w.case.kind], float(budget[w.case.kind]), knowledge) for w in walked]


def _scores(walked: Sequence[Walked], knowledge: Knowledge, guess: bool = False) -> Scores:
    names = tuple(knowledge.causes)
    beliefs, present, possible = [], [], []
    for kind in ALL_KINDS:
        own = [w for w in walked if w.case.kind == kind]
        beliefs.append(_spread(_guess(own, kind, knowledge) if guess else walks.beliefs(own, kind, knowledge),
                               kind, knowledge))
        there = np.array([[n in w.case.present for n in names] for w in own], dtype=bool)
        present.append(there.reshape(-1, len(names)))
        possible.append(np.tile([kind in c.base_rate for c in knowledge.causes.values()], (len(own), 1)))
    return score(np.concatenate(beliefs), np.concatenate(present), names, np.concatenate(possible))


def _guess(own: Sequence[Walked], kind: Kind, knowledge: Knowledge) -> Table:
    """The base rates of the kind with nothing seen, not even the complaint: always the three commonest."""
    network = compiled(knowledge, kind)
    rates = np.concatenate([network.rate_row(walks.rates_for(w.case, knowledge)) for w in own] or [
        np.empty((0, len(network.causes)))])
    return network.posteriors(rates, network.pair_row({}))[0] if own else rates


def _spread(beliefs: Table, kind: Kind, knowledge: Knowledge) -> Table:
    """Columns of one kind's network at their places among all causes; 0 elsewhere."""
    names, network = list(knowledge.causes), compiled(knowledge, kind)
    wide = np.zeros((len(beliefs), len(names)))
    wide[:, [names.index(c) for c in network.causes]] = beliefs
    return wide

