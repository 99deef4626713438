"""The grease this point must have, from its duty, its likely causes and its manual."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import msgspec

from diag.case.model import Case
from diag.compute import usual_temperature
from diag.findings import CircumstanceFound, Computed, Requirement, Spec
from diag.inference.network import Posterior
from diag.knowledgebase import Knowledge
from diag.remedy import conflicts
from diag.remedy.codes import din_code, iso_code
from diag.remedy.manual import difference
from diag.remedy.merge import merge
from diag.remedy.needs import additives, chemistry, consistency, film, temperature
from diag.remedy.needs.duty import Duty, require
from diag.remedy.requirement import compare, from_manual

__all__ = ["LIKELY", "specify"]

LIKELY = 0.3  # a cause from this probability on has its say in the specification (judgement)
_CAUSES_MAY_ONLY_ADVISE = {"viscosity_40", "viscosity_at_running", "nlgi"}  # sized by duty, not by suspicion
_HAND = 15.0  # K; limits of temperature nearer than the hand that is kept over the usual heat say nothing (judgement)


def specify(case: Case, computed: Mapping[str, Computed], circumstances: Mapping[str, CircumstanceFound],
            posterior: Posterior, knowledge: Knowledge) -> tuple[Spec, tuple[str, ...], tuple[str, ...]]:
    """The specification, where the manual differs from it, and which demands collide.

    The manual's demands stand beside the computed ones with strength `must` and source "the machine's
    manual"; where both can be met they are one requirement, else both are kept, ours as a `should`, and the
    difference is said.
    """
    usual, words = usual_temperature(case, computed, circumstances)
    duty = Duty(case=case, computed=computed, circumstances=circumstances, knowledge=knowledge,
                usual=usual, usual_words=words)
    own, clashes = merge([*_from_duty(duty), *_from_causes(duty, posterior)])
    together, differences = _with_manual(own, from_manual(case.point.manual), case)
    spec = Spec(requirements=together, codes={"din51825": din_code(together), "iso6743_9": iso_code(together)})
    return spec, differences, (*conflicts.collisions(duty, together), *clashes)


def _from_duty(duty: Duty) -> Iterator[Requirement]:
    for group in (film, consistency, chemistry, temperature, additives):
        yield from group.needs(duty)


def _from_causes(duty: Duty, posterior: Posterior) -> Iterator[Requirement]:
    """What each likely cause asks of the next grease; a mechanical cause asks nothing of it."""
    for cause in duty.knowledge.causes.values():
        probability = posterior.causes.get(cause.id, 0.0)
        if probability < LIKELY or duty.knowledge.remedies[cause.remedy.class_].not_the_grease:
            continue
        for rule in cause.remedy.requires:
            if duty.case.point.kind not in rule.kinds or rule.property in _CAUSES_MAY_ONLY_ADVISE:
                continue
            yield require(rule.property, rule.relation, rule.value, rule.strength,
                          f"{rule.because} ({cause.name.lower()}: {probability:.0%})",
                          duty.knowledge.cite(rule.source, rule.confidence), rule.unit)


def _with_manual(own: tuple[Requirement, ...], manual: tuple[Requirement, ...], case: Case
                 ) -> tuple[tuple[Requirement, ...], tuple[str, ...]]:
    """Join the manual's demands with ours; where they can't both be met keep the two and say so."""
    together, differences = list(own), []
    for demand in manual:
        place = next((i for i, r in enumerate(together)
                      if (r.property, r.relation) == (demand.property, demand.relation)), None)
        if place is None:
            place = _barring(together, demand)
            if place is not None:
                differences.append(difference(together[place], demand, case))
                together[place] = msgspec.structs.replace(together[place], strength="should")
            together.append(demand)
            continue
        joined, collisions = merge([together[place], demand])
        if collisions:
            # The manual is never silently overridden: ours steps back to a `should` and the difference is said.
            differences.append(difference(together[place], demand, case))
            together[place] = msgspec.structs.replace(together[place], strength="should")
            together.append(demand)
        else:
            if _other_duty(together[place], demand):
                differences.append(difference(together[place], demand, case))
            together[place] = joined[0]
    return tuple(together), tuple(differences)


def _other_duty(ours: Requirement, manual: Requirement) -> bool:
    """A grease can meet both limits of temperature, but the manual reckons with another duty than this one."""
    if ours.property not in ("lowest_temperature", "highest_temperature") or not (
            isinstance(ours.value, float | int) and isinstance(manual.value, float | int)):
        return False
    return abs(ours.value - manual.value) > _HAND and compare(ours, {ours.property: manual.value}) == "falls_short"


def _barring(own: list[Requirement], demand: Requirement) -> int | None:
    """The place of a demand of ours to avoid what the manual asks for."""
    asked = {} if demand.value is None else {demand.property: demand.value}
    return next((i for i, r in enumerate(own) if r.property == demand.property and r.relation == "avoid"
                 and compare(r, asked) == "falls_short"), None)
