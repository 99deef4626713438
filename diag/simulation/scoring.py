"""How good a set of beliefs was, once the truth is known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from diag.review import LEADS

__all__ = ["Bin", "CauseScore", "Scores", "score"]

# A belief is held this far from 0 and 1 in the log score: a cause the tool doesn't know has belief 0, and one
# such case would otherwise make the whole score infinite.
_LEAST = 0.001
_BINS = (0.0, 0.02, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)


@dataclass(frozen=True, slots=True)
class Bin:
    """One row of the calibration table: beliefs from `low` to `high`, and how often the cause was there."""

    low: float
    high: float
    n: int
    believed: float  # mean belief
    present: float  # share in which the cause was present


@dataclass(frozen=True, slots=True)
class CauseScore:
    """One cause: in how many cases it was present, and what became of it there."""

    cause: str
    present: int
    first: int  # named first where present
    three: int  # among the three likeliest where present
    believed_present: float | None  # mean belief where it was present; None where it never was
    believed_absent: float | None


@dataclass(frozen=True, slots=True)
class Scores:
    """`first`, `three`: share of the cases with a cause in which one at work is named first, or among three.

    `log_score` (≤ 0, nats) and `brier` (≥ 0) are means per cause and case. `quiet`: share of the cases without
    any cause in which none leads. None: a share of no case.
    """

    cases: int
    with_cause: int
    first: float | None
    three: float | None
    log_score: float
    brier: float
    quiet: float | None
    calibration: tuple[Bin, ...]
    causes: tuple[CauseScore, ...]


def score(beliefs: NDArray[np.float64], present: NDArray[np.bool_], names: Sequence[str],
          possible: NDArray[np.bool_]) -> Scores:
    """Scores of beliefs (cases, n) against the causes present (cases, n).

    `possible` (cases, n): causes of the kind of point the case was at; the others count nowhere.
    """
    rank = _ranks(np.where(possible, beliefs, -1.0))
    sick, first, three = (_any(present & (rank < most)) for most in (rank.max() + 1, 1, 3))
    held = np.clip(beliefs, _LEAST, 1 - _LEAST)
    logs = np.where(present, np.log(held), np.log(1 - held))
    return Scores(
        len(beliefs), int(sick.sum()), _share(first[sick]), _share(three[sick]), float(logs[possible].mean()),
        float(((beliefs - present) ** 2)[possible].mean()), _share((beliefs.max(axis=1) < LEADS)[~sick]),
        _calibration(beliefs[possible], present[possible]),
        tuple(_of_cause(n, name, beliefs, present, rank, possible) for n, name in enumerate(names)))


def _any(hits: NDArray[np.bool_]) -> NDArray[np.bool_]:
    found: NDArray[np.bool_] = np.any(hits, axis=1)
    return found


def _ranks(beliefs: NDArray[np.float64]) -> NDArray[np.int64]:
    """0 for the likeliest; ties in the order of the columns."""
    order = np.argsort(-beliefs, axis=1, kind="stable")
    ranks: NDArray[np.int64] = np.argsort(order, axis=1, kind="stable")
    return ranks


def _share(hits: NDArray[np.bool_]) -> float | None:
    return float(hits.mean()) if len(hits) else None


def _calibration(beliefs: NDArray[np.float64], present: NDArray[np.bool_]) -> tuple[Bin, ...]:
    rows = []
    for low, high in pairwise(_BINS):
        within = (beliefs >= low) & ((beliefs < high) | (high == 1.0))
        if within.any():
            rows.append(Bin(low, high, int(within.sum()), float(beliefs[within].mean()),
                            float(present[within].mean())))
    return tuple(rows)


def _of_cause(n: int, name: str, beliefs: NDArray[np.float64], present: NDArray[np.bool_],
              rank: NDArray[np.int64], possible: NDArray[np.bool_]) -> CauseScore:
    there, absent = present[:, n], possible[:, n] & ~present[:, n]
    return CauseScore(
        name, int(there.sum()), int((rank[there, n] < 1).sum()), int((rank[there, n] < 3).sum()),
        _mean(beliefs[there, n]), _mean(beliefs[absent, n]))


def _mean(values: NDArray[np.float64]) -> float | None:
    return float(values.mean()) if len(values) else None
