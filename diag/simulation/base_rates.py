"""The base rates beside what is published, and what a complaint makes of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from diag.answers import Answers, collect
from diag.case.model import Case, Point
from diag.inference import prior
from diag.inference.network import compiled
from diag.knowledgebase.model import ALL_KINDS

if TYPE_CHECKING:
    from diag.knowledgebase.knowledge import Knowledge
    from diag.knowledgebase.model import Kind

__all__ = ["BaseRates", "Group", "Outset", "base_rates"]


@dataclass(frozen=True, slots=True)
class Outset:
    """What is believed of a kind of point before any look; `complaint` None: nothing known at all."""

    kind: Kind
    complaint: str | None
    none: float  # P(no cause in here)
    expected: float  # mean number of causes at work
    causes: dict[str, float]  # P(present), likeliest first


@dataclass(frozen=True, slots=True)
class Group:
    """One published group: our exclusive share [%], the published ones by set, and their range."""

    group: str
    ours: float
    published: dict[str, float]
    low: float
    high: float

    @property
    def within(self) -> bool:
        return self.low <= self.ours <= self.high


@dataclass(frozen=True, slots=True)
class BaseRates:
    groups: tuple[Group, ...]  # rolling bearings; nothing is published of pins and ways
    outsets: tuple[Outset, ...]
    reading: str
    not_found: str


def base_rates(knowledge: Knowledge) -> BaseRates:
    """Groups against the published sets, and the outset of every kind and complaint.

    The published shares are exclusive and ours are not: ours are each cause's marginal by the sum of all.
    """
    table = knowledge.standard("published_shares")["published_shares"]
    outsets = tuple(o for kind in ALL_KINDS for o in _outsets(kind, knowledge))
    rolling = next(o for o in outsets if o.kind == "rolling_bearing" and o.complaint is None)
    return BaseRates(_groups(rolling, table), outsets, table["reading"], table["not_found"])


def _groups(outset: Outset, table: Mapping[str, Any]) -> tuple[Group, ...]:
    ours = {group: 100 * sum(outset.causes.get(c, 0.0) for c in causes) / outset.expected
            for group, causes in table["categories"].items()}
    ours |= {group: sum(ours[part] for part in parts) for group, parts in table["sums"].items()}
    found = []
    for group, share in ours.items():
        parts = table["sums"].get(group, [group])
        published = {s["id"]: p for s in table["sets"] if (p := _share(s["shares"], group, parts)) is not None}
        counted = [published[s["id"]] for s in table["sets"] if s["id"] in published and not s.get("left_out")]
        if counted:
            found.append(Group(group, share, published, min(counted), max(counted)))
    return tuple(found)


def _share(shares: Mapping[str, float], group: str, parts: Sequence[str]) -> float | None:
    """Percent of a group in one set: as printed, or the sum of its parts; None where the set doesn't tell."""
    if group in shares:
        return float(shares[group])
    return float(sum(shares[p] for p in parts)) if all(p in shares for p in parts) else None


def _outsets(kind: Kind, knowledge: Knowledge) -> list[Outset]:
    """One batched pass: nothing known, then each complaint that says something at this kind."""
    complaints: list[str | None] = [None, *dict.fromkeys(e.complaint for e in knowledge.complaints
                                                         if kind in e.kinds)]
    network, rates = compiled(knowledge, kind), prior.rates(knowledge, kind, {})[0]
    pairs = np.concatenate([network.pair_row(_said(kind, c, knowledge).pairs(knowledge, kind)) for c in complaints])
    rate_row = network.rate_row(rates)
    causes, _, evidence = network.posteriors(rate_row, pairs)
    nothing = np.zeros((1, len(network.causes)), dtype=bool)
    none = [float(np.exp(network.log_joint(rate_row[0], row, nothing)[0]) / e)
            for row, e in zip(pairs, evidence, strict=True)]
    return [Outset(kind, c, n, float(row.sum()), _ordered(network.causes, row.tolist()))
            for c, n, row in zip(complaints, none, causes, strict=True)]


def _said(kind: Kind, complaint: str | None, knowledge: Knowledge) -> Answers:
    return collect(Case(point=Point(kind=kind), complaint=complaint), knowledge)


def _ordered(names: Sequence[str], chances: Sequence[float]) -> dict[str, float]:
    return dict(sorted(zip(names, chances, strict=True), key=lambda pair: -pair[1]))
