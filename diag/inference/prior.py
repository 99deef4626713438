"""How likely each cause is before anything is looked at: base rate of the kind times what the circumstances
say.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from diag.findings import Because, CircumstanceFound

if TYPE_CHECKING:
    from diag.knowledgebase.knowledge import Knowledge
    from diag.knowledgebase.model import Cause, CircumstanceEffect, Kind

__all__ = ["MOST_ESTIMATED", "MOST_TOGETHER", "SITE_EXPERIENCE", "experience_words", "rates"]

# All circumstances of a cause together: with more, they alone could make a cause certain against what is
# seen, though strengths of several topics are judged one by one and overlap in the field (judgement).
MOST_TOGETHER = 20.0
# One circumstance that rests on estimated physics (heat balance) or on something recalled and not read.
MOST_ESTIMATED = 2.0

SITE_EXPERIENCE = "site_experience"
_WORTH_TELLING = 1.1  # a factor on odds nearer to 1 changes no word of a page

Circumstances = Mapping[str, CircumstanceFound]


def rates(knowledge: Knowledge, kind: Kind, circumstances: Circumstances
          ) -> tuple[dict[str, float], dict[str, tuple[Because, ...]]]:
    """Own rate of each cause [-] and, per cause, what moved it from the base rate of this kind.

    The odds of the base rate are multiplied, per topic, by the factor furthest from 1 among the circumstances
    known to hold or not to hold; the product stays within 1/20 … 20. Site experience multiplies it after
    that. 0 = ruled out by a need that is known to be unmet (factor 0 in the reasons), or not of this kind.
    """
    rate, reasons = {}, {}
    for cause in knowledge.causes.values():
        rate[cause.id], reasons[cause.id] = _rate(cause, knowledge, kind, circumstances)
    return rate, reasons


def experience_words(knowledge: Knowledge) -> tuple[str, ...]:
    """One sentence when base rates of this site's log are in use, none otherwise."""
    if not knowledge.base_rate_factors:
        return ()
    by_group = {knowledge.causes[c].group: factor for c, factor in knowledge.base_rate_factors.items()}
    moved = sorted(((g, f) for g, f in by_group.items() if abs(math.log(f)) >= math.log(_WORTH_TELLING)),
                   key=lambda pair: -abs(math.log(pair[1])))
    told = ", ".join(f"{group.replace('_', ' ')} × {factor:.2g}" for group, factor in moved)
    return ("site experience counted: confirmed cases of the log moved the odds of causes by group "
            f"({told or 'none by more than a tenth'}); --no-experience leaves it out",)


def _rate(cause: Cause, knowledge: Knowledge, kind: Kind, circumstances: Circumstances
          ) -> tuple[float, tuple[Because, ...]]:
    if kind not in cause.base_rate:
        return 0.0, ()
    barred = tuple(_barred(cause, circumstances))
    if barred:
        return 0.0, barred
    base = knowledge.level("base_rate", cause.base_rate[kind])
    moved = _moved(cause, knowledge, circumstances)
    factor = _held(math.prod(b.factor for b in moved), MOST_TOGETHER)
    experience = knowledge.base_rate_factors.get(cause.id, 1.0)
    if experience != 1:
        moved.append(Because(id=SITE_EXPERIENCE, text="how often this site has had it", factor=experience))
    odds = base / (1 - base) * factor * experience
    return odds / (1 + odds), tuple(moved)


def _barred(cause: Cause, circumstances: Circumstances) -> Iterator[Because]:
    """Needs that are known to be unmet; an unknown one bars nothing."""
    for need in cause.needs:
        found = circumstances.get(need.fact)
        if found is not None and found.holds is (not need.be):
            yield Because(id=need.fact, text=need.why, factor=0.0)


def _moved(cause: Cause, knowledge: Knowledge, circumstances: Circumstances) -> list[Because]:
    """One reason per topic, strongest first; on a tie the first in the file."""
    strongest: dict[str, Because] = {}
    for effect in cause.circumstances:
        because = _because(effect, knowledge, circumstances)
        topic = effect.topic or effect.fact
        if because.factor != 1 and _force(because) > _force(strongest.get(topic)):
            strongest[topic] = because
    return sorted(strongest.values(), key=_force, reverse=True)


def _because(effect: CircumstanceEffect, knowledge: Knowledge, circumstances: Circumstances) -> Because:
    record = knowledge.circumstances[effect.fact]
    found = circumstances.get(effect.fact)
    holds = None if found is None else found.holds
    word = {True: effect.holds, False: effect.if_not, None: None}[holds]
    factor = 1.0 if word is None else knowledge.level("strength", word)
    if record.estimated or "from-memory" in (record.confidence, effect.confidence):
        factor = _held(factor, MOST_ESTIMATED)
    text = record.text if holds else f"not so: {record.text}"
    why = f" ({effect.why})" if effect.why and holds else ""
    return Because(id=effect.fact, text=text + why, factor=factor)


def _force(because: Because | None) -> float:
    """Distance of a factor from 1, the same for a factor and its reciprocal."""
    return 0.0 if because is None else abs(math.log(because.factor))


def _held(factor: float, most: float) -> float:
    return min(most, max(1 / most, factor))
