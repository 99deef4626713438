"""How well two causes can be told apart, and by which look; and when a case hangs on that."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, get_args

import numpy as np

from diag.inference import prior
from diag.knowledgebase.model import Stage

if TYPE_CHECKING:
    from diag.inference.contraction import Table
    from diag.inference.network import Network, Posterior
    from diag.knowledgebase.knowledge import Knowledge
    from diag.knowledgebase.model import Cause, Option, Question

__all__ = ["SETTLES", "STAGES", "Separation", "best_look", "close_call", "separations"]

STAGES: tuple[Stage, ...] = get_args(Stage)
# Expected log-odds [nats] from which two causes count as told apart: 20 to 1, judgement, set before any pair
# was looked at.
SETTLES = float(np.log(20))

# A case hangs by a thread where the two likeliest causes with different remedies lie within this factor of odds:
# what one clear sign, or one word of the knowledge a step off, can turn (judgement).
_CLOSE = 3.0
_LEAST = 0.15  # a cause less likely than this is not told in full either
_SURE = 0.9  # two causes above it are at work together, which is no close call
_TELLS = float(np.log(2))  # a look with less expected log-odds than this is not named as the check
_MOST_SIGNS = 6  # signs of one condition that are enumerated, the most telling ones


@dataclass(frozen=True, slots=True)
class Separation:
    """Two causes and the log-odds [nats] expected between them once all looks up to a stage are answered."""

    first: str
    second: str
    by_stage: Mapping[Stage, float]  # each with all stages before it; lab: everything


def separations(network: Network, knowledge: Knowledge) -> tuple[Separation, ...]:
    """All pairs of causes of this kind of point whose remedies differ, hardest to tell apart in the field first.

    Expected log-odds = Σ over conditions of E[ln P(answers | first, not second) / P(answers | second, not
    first)] with the first at work, or the same with the second at work, whichever is less; every other cause at
    its base rate, every look answered. The conditions are taken one by one, which neglects what they share
    through other causes: sound for an order of pairs, too good by some as a number.
    """
    pairs = [(a, b) for n, a in enumerate(network.causes) for b in network.causes[n + 1:]
             if knowledge.causes[a].remedy.class_ != knowledge.causes[b].remedy.class_]
    with_first, with_second = _conditions(network, knowledge, pairs)
    signs = [o for o in knowledge.signs.values() if network.kind in o.kinds]
    by_stage = {stage: _log_odds(network, knowledge, _up_to(signs, stage, knowledge), with_first, with_second)
                for stage in STAGES}
    found = [Separation(a, b, {s: float(by_stage[s][n]) for s in STAGES}) for n, (a, b) in enumerate(pairs)]
    return tuple(sorted(found, key=lambda s: s.by_stage["cleaned"]))


def close_call(network: Network, posterior: Posterior, answered: Collection[str], knowledge: Knowledge,
               may_turn: bool = True) -> tuple[str, ...]:
    """One sentence where the two likeliest causes with different remedies lie close together; else nothing.

    It names the check that separates them: what their records say of it, and the look still open (no sign in
    `answered`) that is expected to tell most for its cost; never an intervention, and nothing at the running
    point unless it `may_turn`. Causes of which one leads to the other belong together and make no close call.
    """
    pair = _closest(posterior, knowledge)
    if pair is None:
        return ()
    a, b = pair
    names = " and ".join(f"{c.name} ({100 * posterior.causes[c.id]:.0f} %)" for c in pair)
    said = next((look.how for one, other in ((a, b), (b, a)) for look in one.look_alikes if look.cause == other.id), "")
    look = best_look(network, (a.id, b.id), answered, knowledge, may_turn)
    check = f" The look that tells them apart best: {look[0].text}" if look else ""
    apart = f" What separates them: {said}" if said else ""
    if not (check or apart):
        check = " No look left here separates them; settle it by the remedy that is cheaper to try, or get help."
    return (f"Close call: {names} lie close together and are cured differently; one more answer may turn "
            f"their order.{apart}{check}",)


def _closest(posterior: Posterior, knowledge: Knowledge) -> tuple[Cause, Cause] | None:
    """The likeliest cause and the next one with another remedy, if both are in play and close in odds."""
    order = [knowledge.causes[c] for c in sorted(posterior.causes, key=lambda c: -posterior.causes[c])]
    first = order[0]
    other = next((c for c in order[1:] if c.remedy.class_ != first.remedy.class_), None)
    if other is None or _linked(first, other):
        return None
    p, q = posterior.causes[first.id], posterior.causes[other.id]
    close = q >= _LEAST and q <= p <= _SURE and p * (1 - q) < _CLOSE * q * (1 - p)
    return (first, other) if close else None


def _linked(a: Cause, b: Cause) -> bool:
    return any(link.cause == b.id for link in a.leads_to) or any(link.cause == a.id for link in b.leads_to)


def _open(network: Network, answered: Collection[str], knowledge: Knowledge, may_turn: bool
          ) -> list[tuple[Question, list[Option]]]:
    """Looks at this kind of point that only look and that nobody has answered, with their signs."""
    found = [(q, [o for o in q.options if network.kind in o.kinds]) for q in knowledge.questions.values()
             if network.kind in q.kinds and not q.intervention and (may_turn or q.stage != "running")]
    return [(q, signs) for q, signs in found if signs and not any(o.sign in answered for o in signs)]


def best_look(network: Network, pair: tuple[str, str], answered: Collection[str], knowledge: Knowledge,
              may_turn: bool = True) -> tuple[Question, float] | None:
    """The open look that tells most a minute at the earliest stage where one tells enough, and how much [nats].

    None when none tells enough.
    """
    with_first, with_second = _conditions(network, knowledge, [pair])
    telling = []
    for question, signs in _open(network, answered, knowledge, may_turn):
        odds = float(_log_odds(network, knowledge, signs, with_first, with_second)[0])
        if odds >= _TELLS:
            telling.append((STAGES.index(question.stage), -odds / question.minutes, question.id, odds))
    if not telling:
        return None
    *_, name, most = min(telling)
    return knowledge.questions[name], most


def _conditions(network: Network, knowledge: Knowledge, pairs: Sequence[tuple[str, str]]) -> tuple[Table, Table]:
    """P(condition | first, not second) and the reverse, (pairs, m); all other causes at their base rate."""
    base = network.rate_row(prior.rates(knowledge, network.kind, {})[0])
    place = {c: n for n, c in enumerate(network.causes)}
    rows = [*pairs, *((b, a) for a, b in pairs)]
    rates = np.repeat(base, len(rows), axis=0)
    absent = np.zeros(rates.shape, dtype=bool)
    for row, (there, not_there) in enumerate(rows):
        rates[row, place[there]] = 1.0
        absent[row, place[not_there]] = True
    found = network.sweep(rates, network.pair_row({}), absent).conditions
    return found[:len(pairs)], found[len(pairs):]


def _up_to(signs: Iterable[Option], stage: Stage, knowledge: Knowledge) -> list[Option]:
    wanted = STAGES[:STAGES.index(stage) + 1]
    return [o for o in signs if knowledge.questions[knowledge.question_of[o.sign]].stage in wanted]


def _log_odds(network: Network, knowledge: Knowledge, signs: Iterable[Option], with_first: Table,
              with_second: Table) -> Table:
    """The lesser of the two directions, (pairs,)."""
    forth, back = np.zeros(len(with_first)), np.zeros(len(with_first))
    of: dict[str, list[Option]] = {}
    for sign in signs:
        of.setdefault(sign.condition, []).append(sign)
    for condition, options in of.items():
        if condition not in network.conditions:
            continue
        k = network.conditions.index(condition)
        true, false = _outcomes(options, knowledge)
        first = np.outer(with_first[:, k], true) + np.outer(1 - with_first[:, k], false)
        second = np.outer(with_second[:, k], true) + np.outer(1 - with_second[:, k], false)
        ratio = np.log(first / second)
        forth += (first * ratio).sum(1)
        back -= (second * ratio).sum(1)
    least: Table = np.minimum(forth, back)
    return least


def _outcomes(options: Sequence[Option], knowledge: Knowledge) -> tuple[Table, Table]:
    """P(each combination of yes and no | condition) and the same without it, (2^signs,)."""
    telling = sorted(((knowledge.level("report", o.if_true), knowledge.level("false_report", o.if_false))
                      for o in options), key=lambda t: -abs(t[0] - t[1]))[:_MOST_SIGNS]
    true, false = np.ones(1), np.ones(1)
    for yes_true, yes_false in telling:
        true = np.concatenate([true * yes_true, true * (1 - yes_true)])
        false = np.concatenate([false * yes_false, false * (1 - yes_false)])
    return true, false
