"""A case as numbers: answers, circumstances and kind; what isn't known stays missing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from diag.knowledgebase.model import ALL_KINDS
from diag.review import Gathered, gather, weigh
from diag.secondopinion.worlds import Known

if TYPE_CHECKING:
    from diag.knowledgebase import Knowledge

__all__ = ["Table", "features", "names", "network_beliefs", "possible", "row", "truth"]

Table = NDArray[np.float64]
_PORTION = 256  # cases weighed at once


def names(knowledge: Knowledge) -> list[str]:
    """The columns: signs, circumstances, kinds."""
    return [*knowledge.signs, *knowledge.circumstances, *ALL_KINDS]


def row(known: Gathered, knowledge: Knowledge) -> list[float]:
    """Weight of each answer (1 yes to 0 no), each circumstance and kind (1 or 0); NaN where it isn't known."""
    answers, circumstances = known.answers.by_sign, known.circumstances
    weights = [answers[s].weight if s in answers else None for s in knowledge.signs]
    holds = [circumstances[c].holds if c in circumstances else None for c in knowledge.circumstances]
    kinds = [kind == known.case.point.kind for kind in ALL_KINDS]
    return [np.nan if value is None else float(value) for value in (*weights, *holds, *kinds)]


def features(cases: Iterable[Known], knowledge: Knowledge) -> tuple[Table, Table]:
    """(cases, columns) as `row`, and (cases, causes) P(present) as the network has it."""
    rows, beliefs = [], []
    for part in _portions(cases):
        gathered = [gather(known.case, knowledge) for known in part]
        rows += [row(g, knowledge) for g in gathered]
        beliefs += network_beliefs(gathered, knowledge)
    return np.array(rows).reshape(-1, len(names(knowledge))), np.array(beliefs).reshape(-1, len(knowledge.causes))


def network_beliefs(gathered: Sequence[Gathered], knowledge: Knowledge) -> list[list[float]]:
    """P(present) of every cause; Errors: InputError where the answers exclude each other."""
    found = []
    for posterior in weigh(gathered):
        if isinstance(posterior, Exception):
            raise posterior
        found.append([posterior.causes[c] for c in knowledge.causes])
    return found


def truth(cases: Sequence[Known], knowledge: Knowledge) -> Table:
    """(cases, causes): 1 at work, 0 not, NaN not known or not possible at this kind of point."""
    return np.array([[_true(known, cause, knowledge) for cause in knowledge.causes] for known in cases]).reshape(
        -1, len(knowledge.causes))


def _true(known: Known, cause: str, knowledge: Knowledge) -> float:
    if known.case.point.kind not in knowledge.causes[cause].base_rate:
        return np.nan
    if known.told is not None and cause not in known.told:
        return np.nan
    return float(cause in known.present)


def possible(cases: Sequence[Known], knowledge: Knowledge) -> NDArray[np.bool_]:
    """(cases, causes): whether the cause can be at work at this kind of point."""
    return np.array([[known.case.point.kind in c.base_rate for c in knowledge.causes.values()] for known in cases])


def _portions(cases: Iterable[Known]) -> Iterator[list[Known]]:
    rest = iter(cases)
    while part := list(islice(rest, _PORTION)):
        yield part
