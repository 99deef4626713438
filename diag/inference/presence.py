"""How likely it is that at least one of some causes is present, exact; and the belief after each answer to a look."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from diag.answers import Answer, Answers, weight_of

if TYPE_CHECKING:
    from diag.case.model import Degree
    from diag.findings import NextQuestion
    from diag.inference.network import Network, Pairs
    from diag.knowledgebase.knowledge import Knowledge
    from diag.knowledgebase.model import Option

__all__ = ["After", "Presence", "after_answers"]

_BOTH: tuple[Degree, Degree] = ("yes", "no")
_MOST_SIGNS = 6  # options of one look that are tried, the most telling ones


@dataclass(frozen=True)
class Presence:
    """P(at least one of these causes | answers), by one batched forward pass; what was asked is remembered."""

    network: Network
    rates: Mapping[str, float]
    pairs: Pairs
    known: dict[frozenset[str], float] = field(default_factory=lambda: {frozenset(): 0.0})

    def any_of(self, sets: Sequence[frozenset[str]]) -> tuple[float, ...]:
        new = [s for s in dict.fromkeys(sets) if s not in self.known]
        if new:
            self.known.update(zip(new, self._fresh(new), strict=True))
        return tuple(self.known[s] for s in sets)

    def _fresh(self, sets: Sequence[frozenset[str]]) -> list[float]:
        network = self.network.only(self.pairs)
        absent = np.array([[False] * len(network.causes), *([c in s for c in network.causes] for s in sets)])
        found = network.log_evidence(network.rate_row(self.rates), network.pair_row(self.pairs), absent)
        some: list[float] = np.clip(1 - np.exp(found[1:] - found[0]), 0.0, 1.0).tolist()
        return some


@dataclass(frozen=True, slots=True)
class After:
    """One possible answer: how likely it comes, and every cause's probability after it."""

    chance: float
    causes: Mapping[str, float]


def after_answers(network: Network, rates: Mapping[str, float], answers: Answers, question: NextQuestion,
                  knowledge: Knowledge) -> tuple[tuple[After, After], ...]:
    """For each open option of the question the belief after yes and after no, in one batched pass."""
    now = answers.pairs(knowledge, network.kind)
    signs = _most_telling([knowledge.signs[o.sign] for o in question.options], knowledge)
    rows = [now, *(_supposed(answers, sign, degree, knowledge, network) for sign in signs for degree in _BOTH)]
    part = network.only({k for row in rows for k in row})
    pairs = np.concatenate([part.pair_row(row) for row in rows])
    causes, _, evidence = part.posteriors(part.rate_row(rates), pairs)
    found = [After(float(evidence[n] / evidence[0]), dict(zip(part.causes, causes[n].tolist(), strict=True)))
             for n in range(1, len(rows))]
    return tuple(zip(found[::2], found[1::2], strict=True))


def _most_telling(options: Sequence[Option], knowledge: Knowledge) -> list[Option]:
    def telling(option: Option) -> float:
        true, false = knowledge.reported(option)
        return abs(true - false)

    return sorted(options, key=telling, reverse=True)[:_MOST_SIGNS]


def _supposed(answers: Answers, option: Option, degree: Degree, knowledge: Knowledge, network: Network) -> Pairs:
    answer = Answer(option.sign, weight_of(degree, knowledge), degree, "said", option.text)
    return replace(answers, by_sign={**answers.by_sign, option.sign: answer}).pairs(knowledge, network.kind)
