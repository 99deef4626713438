"""What confirmed outcomes teach: how much more or less often a site has the causes of a group.

Only causes confirmed by inspection or laboratory count. For cause c of record r the judgement of its day gives
p = P(c | answers) without experience; with the factor f of the group of c it would be q, odds(q) = f · odds(p).

    listed by who looked      ln q
    not listed                ln(1 − s · q)      s: chance that a cause at work is found and listed
    before any case, a group  f/(1 + f) ~ Beta(STRENGTH/2, STRENGTH/2), as if STRENGTH cases had been split evenly
    before any case, s        Beta, mean LISTED, LISTED_STRENGTH causes strong

The mode over all f and s is found by expectation and maximisation: in the E step what was not listed is present with
q(1 − s)/(1 − q·s), missing and not absent (Dempster, Laird, Rubin, J. R. Stat. Soc. B 39 (1977)). Which cases are
confirmed may depend on their answers, since p is given them: a case picked because it looked electrical and then
proved electrical moves next to nothing. That some causes are found more readily than others, whatever the answers, is
met by s only on average over the groups; the strength of the prior has to bear the rest. Causes of one case are taken
as independent given p. Tried and left, since both lost on worlds with other links: a share s of each group, and the
answers of open cases through the model, which take a fault of the links for a rate of the site.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import msgspec
import numpy as np
from numpy.typing import NDArray

from diag.case.words import plain
from diag.inference.prior import SITE_EXPERIENCE

if TYPE_CHECKING:
    from diag.caselog.model import Record
    from diag.knowledgebase import Knowledge

__all__ = ["STRENGTH", "Experience", "GroupExperience", "experienced", "learn"]

STRENGTH = 45.0  # equivalent cases of the prior of each group (judgement; tried on bent worlds, see DEVELOPERS.md)
LISTED, LISTED_STRENGTH = 0.85, 40.0  # causes at work that are listed, and how many causes that is worth (judgement)
CERTAIN = ("inspection", "laboratory")

_LEAST = 1e-6  # a judgement is held this far from 0 and 1, where odds are rounding
_ROUNDS = 500  # most rounds of the search; it ends sooner, when no logarithm moves by _STILL
_STILL = 1e-6

Table = NDArray[np.float64]
Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class GroupExperience:
    """One group over the confirmed cases. `factor` [-] multiplies the odds of each of its causes."""

    group: str
    causes: tuple[str, ...]
    expected: float  # causes at work that the judgements held for likely, summed chances
    confirmed: int
    factor: float


@dataclass(frozen=True, slots=True)
class Experience:
    """What a log teaches. `listed`: chance [0 to 1] that a cause at work was found and listed."""

    cases: int  # confirmed ones that counted
    listed: float
    groups: tuple[GroupExperience, ...]

    @property
    def factors(self) -> dict[str, float]:
        """Cause → factor on the odds of its base rate; empty without a confirmed case."""
        return {cause: g.factor for g in self.groups for cause in g.causes} if self.cases else {}


class _Because(msgspec.Struct, frozen=True):
    id: str
    factor: float


class _Judged(msgspec.Struct, frozen=True):
    """As much of a cause in the findings as is needed here."""

    id: str
    probability: float
    circumstances: tuple[_Because, ...] = ()


class _Findings(msgspec.Struct, frozen=True):
    causes: tuple[_Judged, ...]


def experienced(knowledge: Knowledge, records: Iterable[Record], site: str = "") -> Knowledge:
    """The knowledge with the base rates of this site; itself when nothing was confirmed yet."""
    factors = learn(records, knowledge, site).factors
    return knowledge.with_base_rates(factors) if factors else knowledge


def learn(records: Iterable[Record], knowledge: Knowledge, site: str = "") -> Experience:
    """Factors of all groups from the confirmed cases among the records.

    `site`: cases that name another site are left out; () or a case without a site counts everywhere.
    """
    counted = [r for r in records if _counts(r, knowledge) and _same_site(r.site, site)]
    names = tuple(knowledge.causes)
    groups = sorted({c.group for c in knowledge.causes.values()})
    group_of = np.array([groups.index(knowledge.causes[c].group) for c in names])
    odds = _odds(counted, names)
    listed = _listed(counted, names) & (odds > 0)  # a cause held for impossible is a fault of a need, not of its rate
    logs, share = _fit(odds, listed, group_of, len(groups))
    expected = _by_group(odds / (1 + odds), group_of, len(groups))
    found = _by_group(listed, group_of, len(groups))
    return Experience(len(counted), share, tuple(
        GroupExperience(g, tuple(c for c in names if knowledge.causes[c].group == g), float(expected[i]),
                        int(found[i]), float(np.exp(logs[i])))
        for i, g in enumerate(groups)))


def _counts(record: Record, knowledge: Knowledge) -> bool:
    """Confirmed for certain, with a cause that the knowledge still has."""
    confirmation = record.confirmation
    return (confirmation is not None and confirmation.how in CERTAIN
            and any(cause in knowledge.causes for cause in confirmation.causes))


def _same_site(one: str, other: str) -> bool:
    return not (one and other) or plain(one) == plain(other)


def _odds(records: Sequence[Record], names: Sequence[str]) -> Table:
    """Odds as judged (cases, causes), with any experience of that day taken out; 0 where a cause was ruled out."""
    odds = np.zeros((len(records), len(names)))
    for row, record in zip(odds, records, strict=True):
        judged = {c.id: c for c in msgspec.json.decode(record.findings, type=_Findings).causes}
        row[:] = [_before(judged[name]) if name in judged else 0.0 for name in names]
    return odds


def _before(cause: _Judged) -> float:
    if cause.probability == 0:
        return 0.0
    held = min(max(cause.probability, _LEAST), 1 - _LEAST)
    taught = next((b.factor for b in cause.circumstances if b.id == SITE_EXPERIENCE), 1.0)
    return held / (1 - held) / taught


def _listed(records: Sequence[Record], names: Sequence[str]) -> Mask:
    """Causes confirmed (cases, causes)."""
    listed = np.zeros((len(records), len(names)), dtype=bool)
    for row, record in zip(listed, records, strict=True):
        confirmed = record.confirmation.causes if record.confirmation else ()
        row[:] = [name in confirmed for name in names]
    return listed


def _fit(odds: Table, listed: Mask, group_of: NDArray[np.int_], groups: int) -> tuple[Table, float]:
    """ln f of each group and s: one Newton step for each group, and the mode of s, after each E step."""
    logs: Table = np.zeros(groups)
    share = LISTED
    for _ in range(_ROUNDS):
        shifted = odds * np.exp(logs)[group_of]
        chance = shifted / (1 + shifted)
        present = np.where(listed, 1.0, chance * (1 - share) / (1 - chance * share))
        prior = 1 / (1 + np.exp(-logs))
        slope = _by_group(present - chance, group_of, groups) + STRENGTH * (0.5 - prior)
        bend = _by_group(chance * (1 - chance), group_of, groups) + STRENGTH * prior * (1 - prior)
        step = np.clip(slope / bend, -1, 1)  # a long Newton step can overshoot and never come back
        logs = logs + step
        share = float((listed.sum() + LISTED * LISTED_STRENGTH) / (present.sum() + LISTED_STRENGTH))
        if np.abs(step).max() < _STILL:
            break
    return logs, share


def _by_group(table: Table | Mask, group_of: NDArray[np.int_], groups: int) -> Table:
    """Sums over cases and the causes of each group."""
    return np.asarray(np.bincount(group_of, weights=table.sum(axis=0), minlength=groups), dtype=np.float64)
