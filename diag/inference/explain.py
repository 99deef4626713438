"""What spoke for and against each cause.

Factor of a sign or condition = odds of the cause with all answers ÷ odds with this one unknown. Answers of
one condition share what they say, so that factors do not multiply up; a condition stands beside its signs
where several of them were answered.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

import numpy as np

from diag.findings import Because, CausePart

if TYPE_CHECKING:
    from diag.answers import Answers
    from diag.inference.contraction import Table
    from diag.inference.network import Network, Posterior
    from diag.knowledgebase.knowledge import Knowledge
    from diag.knowledgebase.model import Cause

__all__ = ["AGAINST", "FOR", "causes", "counted", "factors"]

# Nearer to 1 a factor is not worth a technician's reading time.
FOR, AGAINST = 1.05, 0.95
# Odds are taken of probabilities no nearer to 0 and 1 than this: beyond it they are rounding.
_LEAST = 1e-12


def causes(network: Network, rates: Mapping[str, float], effects: Mapping[str, tuple[Because, ...]],
           answers: Answers, posterior: Posterior, knowledge: Knowledge) -> tuple[CausePart, ...]:
    """All causes, most likely first (ties in the order of the files), each with what moved it.

    Cost: one row of the batched pass per answered sign and per condition with several of them.
    """
    found = factors(network, rates, answers, knowledge)
    # Of equals those that no grease cures first, as the remedy takes them.
    order = sorted(knowledge.causes, key=lambda c: (
        -posterior.causes[c], not knowledge.remedies[knowledge.causes[c].remedy.class_].not_the_grease))
    return tuple(_part(knowledge.causes[c], posterior.causes[c], effects.get(c, ()), found.get(c, ()))
                 for c in order)


def factors(network: Network, rates: Mapping[str, float], answers: Answers, knowledge: Knowledge
            ) -> dict[str, tuple[Because, ...]]:
    """By cause of this kind: the factor of every answered sign and condition; none for a cause ruled out."""
    left_out = list(_left_out(network, answers, knowledge))
    network = network.only({condition for _, _, condition in left_out})
    rate_row = network.rate_row(rates)
    rows = _rows(network, answers, knowledge, [(condition, name) for name, _, condition in left_out])
    odds = _odds(network.posteriors(rate_row, rows)[0])
    by_cause = (odds[0] / odds[1:]).T.tolist()
    return {
        cause: tuple(Because(id=name, text=text, factor=f)
                     for (name, text, _), f in zip(left_out, found, strict=True))
        for cause, rate, found in zip(network.causes, rate_row[0], by_cause, strict=True) if rate > 0}


def counted(network: Network, answers: Answers, knowledge: Knowledge) -> list[str]:
    """Signs that were answered and count at this kind of point."""
    def counts(sign: str) -> bool:
        option = knowledge.signs[sign]
        return network.kind in option.kinds and option.condition in network.conditions

    return [s for s, answer in answers.by_sign.items() if answer.weight is not None and counts(s)]


def _left_out(network: Network, answers: Answers, knowledge: Knowledge) -> Iterator[tuple[str, str, str]]:
    """(sign or condition, its text, condition) of all that was answered and counts at this kind of point."""
    signs_of: dict[str, list[str]] = {}
    for sign in counted(network, answers, knowledge):
        signs_of.setdefault(knowledge.signs[sign].condition, []).append(sign)
    for condition, signs in signs_of.items():
        if len(signs) > 1:
            yield condition, knowledge.conditions[condition].text, condition
        yield from ((s, _said(answers, knowledge, s), condition) for s in signs)


def _said(answers: Answers, knowledge: Knowledge, sign: str) -> str:
    """The text of a sign, with "not" before one that was denied."""
    text = knowledge.signs[sign].text
    return f"not: {text}" if answers.by_sign[sign].negative else text


def _rows(network: Network, answers: Answers, knowledge: Knowledge, without: list[tuple[str, str]]
          ) -> Table:
    """Pairs with all answers, then with each of `without` (condition, sign or condition) unknown."""
    everything = network.pair_row(answers.pairs(knowledge, network.kind))
    rows = np.repeat(everything, 1 + len(without), axis=0)
    for row, (condition, name) in enumerate(without, start=1):
        rest = answers.pairs(knowledge, network.kind, without=frozenset({name}))
        rows[row, network.conditions.index(condition)] = rest.get(condition, (1.0, 1.0))
    return rows


def _odds(probability: Table) -> Table:
    held = np.clip(probability, _LEAST, 1 - _LEAST)
    odds: Table = held / (1 - held)
    return odds


def _part(cause: Cause, probability: float, effects: tuple[Because, ...], found: tuple[Because, ...]
          ) -> CausePart:
    speaks_for = sorted((b for b in found if b.factor > FOR), key=lambda b: -b.factor)
    speaks_against = sorted((b for b in found if b.factor < AGAINST), key=lambda b: b.factor)
    return CausePart(
        id=cause.id, name=cause.name, role=cause.role, probability=probability, for_=tuple(speaks_for),
        against=tuple(speaks_against), circumstances=effects,
        confirm=tuple(f"{c.test}: {c.criterion}" for c in cause.confirm))
