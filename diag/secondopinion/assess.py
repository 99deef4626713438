"""How good the second opinion is, beside the network and a guess, on worlds and cases it wasn't trained on."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from diag import yamltext
from diag.case import read_case
from diag.errors import Fault, InputError
from diag.secondopinion.features import Table, features, possible, truth
from diag.secondopinion.model import beliefs, fit
from diag.secondopinion.worlds import Known
from diag.simulation.scoring import Scores, score

if TYPE_CHECKING:
    from collections.abc import Callable

    from diag.knowledgebase import Knowledge

__all__ = ["Also", "Assessment", "Solved", "also", "assess", "solved_cases"]

FOLDS = 5
WAYS = ("classifier", "network", "majority")
_LEAST = 1e-6  # a share of belief is held above it in the log score


@dataclass(frozen=True, slots=True)
class Assessment:
    """Scores by way: the classifier, the network, and the shares of the causes in the training part."""

    cases: int
    worlds: int
    folds: int
    added: int  # confirmed cases of the log, trained on in every fold and tried in none
    scores: Mapping[str, Scores]


@dataclass(frozen=True, slots=True)
class Solved:
    """A case beside the causes that would each be right."""

    name: str
    known: Known
    right: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Also:
    """On solved cases, by way: how many have a right cause first and among three, and the mean log of the share of
    belief on right causes (0 is best)."""

    cases: int
    first: Mapping[str, int]
    three: Mapping[str, int]
    log_score: Mapping[str, float]


def assess(cases: Sequence[Known], added: Sequence[Known], knowledge: Knowledge,
           progress: Callable[[int, int], None] | None = None) -> Assessment:
    """Cross-validated by world: no world is trained and tried on at once. Errors: InputError for too few worlds."""
    from sklearn.model_selection import GroupKFold

    worlds = np.array([known.world for known in cases])
    if len(set(worlds.tolist())) < 2 * FOLDS:
        raise InputError(Fault(f"too few: at least {2 * FOLDS} worlds are needed", "--cases"))
    rows, network = features(cases, knowledge)
    there = truth(cases, knowledge)
    extra = _extra(added, knowledge)
    found = {way: np.zeros_like(network) for way in WAYS} | {"network": network}
    for n, (train, test) in enumerate(GroupKFold(FOLDS).split(rows, groups=worlds), 1):
        part = _joined((rows[train], there[train], worlds[train]), extra)
        found["classifier"][test] = beliefs(fit(*part, list(knowledge.causes)), rows[test], list(knowledge.causes))
        found["majority"][test] = _shares(there[train])
        if progress:
            progress(n, FOLDS)
    can = possible(cases, knowledge)
    scores = {way: score(np.where(can, b, 0.0), there == 1, tuple(knowledge.causes), can) for way, b in found.items()}
    return Assessment(len(cases), len(set(worlds.tolist())), FOLDS, len(added), scores)


def _shares(there: Table) -> Table:
    """Share of each cause among the cases in which it is possible: the guess that sees nothing."""
    told = (~np.isnan(there)).sum(axis=0)
    shares: Table = np.nansum(there, axis=0) / np.maximum(told, 1)
    return shares


def _extra(added: Sequence[Known], knowledge: Knowledge) -> tuple[Table, Table, Table]:
    return features(added, knowledge)[0], truth(added, knowledge), np.array([k.world for k in added])


def _joined(part: tuple[Table, Table, Table], extra: tuple[Table, Table, Table]) -> tuple[Table, Table, list[int]]:
    rows, there, worlds = part
    if not len(extra[0]):
        return rows, there, worlds.astype(int).tolist()
    return (np.concatenate([rows, extra[0]]), np.concatenate([there, extra[1]]),
            np.concatenate([worlds, extra[2]]).astype(int).tolist())


# -- solved cases


def solved_cases(folder: Path, knowledge: Knowledge) -> list[Solved]:
    """The case files that `causes.yaml` of the folder names, each with its `right` causes. Errors: InputError."""
    sidecar = folder / "causes.yaml"
    entries = yamltext.to_data(yamltext.read_file(sidecar)).get("causes")
    if not isinstance(entries, dict) or not entries:
        raise InputError(Fault("has no causes: give {causes: {case file name: {right: [cause]}}}", str(sidecar)))
    return [Solved(name, Known(read_case(folder / f"{name}.yaml", knowledge), frozenset(right), 0), right)
            for name, entry in entries.items() for right in [_right(entry, name, sidecar, knowledge)]]


def _right(entry: object, name: str, sidecar: Path, knowledge: Knowledge) -> tuple[str, ...]:
    right = entry.get("right") if isinstance(entry, dict) else None
    if not isinstance(right, list) or not right or any(c not in knowledge.causes for c in right):
        raise InputError(Fault("give right: a list of ids that `diag knowledge causes` shows", str(sidecar), name))
    return tuple(right)


def also(solved: Sequence[Solved], trained: Sequence[Known], knowledge: Knowledge) -> Also:
    """Train on all of `trained` and try on the solved cases."""
    names = list(knowledge.causes)
    rows, there = features(trained, knowledge)[0], truth(trained, knowledge)
    new, network = features([s.known for s in solved], knowledge)
    model = fit(rows, there, [k.world for k in trained], names)
    found = {"classifier": beliefs(model, new, names), "network": network,
             "majority": np.tile(_shares(there), (len(solved), 1))}
    can = possible([s.known for s in solved], knowledge)
    judged = {way: [_judge(b, s.right, names) for b, s in zip(np.where(can, found[way], 0.0), solved, strict=True)]
              for way in WAYS}
    return Also(len(solved), {w: sum(rank < 1 for rank, _ in j) for w, j in judged.items()},
                {w: sum(rank < 3 for rank, _ in j) for w, j in judged.items()},
                {w: sum(log for _, log in j) / len(j) for w, j in judged.items()})


def _judge(belief: Table, right: Sequence[str], names: Sequence[str]) -> tuple[int, float]:
    """Rank of the best right cause (0 = first), and the log of the share of belief on right ones."""
    order = [names[n] for n in np.argsort(-belief, kind="stable")]
    share = sum(belief[names.index(c)] for c in right) / belief.sum()
    return min(order.index(c) for c in right), math.log(max(share, _LEAST))
