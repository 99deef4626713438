"""What the changeover rules look at: the facts of a case, drawn together once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Protocol

from diag.case.model import Case, Grease
from diag.findings import CircumstanceFound, Compatibility, Computed, Regrease, Requirement, Spec, Urgency, Verdict
from diag.knowledgebase import Knowledge
from diag.knowledgebase.model import Cause, RemedyClass
from diag.remedy.compatibility import judge, must_strip
from diag.remedy.cures import Belief, Independent, likeliest
from diag.remedy.requirement import compare, from_grease

__all__ = ["LEADS", "SEEN", "AnswersLike", "PosteriorLike", "Situation", "is_stated", "wanted_grease"]

LEADS = 0.3  # below this no cause is called leading (judgement)
LEADS_UNSPOKEN = 0.5  # below this no work is done on the surroundings' word alone (judgement)
SEEN = 0.5  # from this degree or probability on a state counts as seen or likely (judgement)
_HOT_CONDITION = "runs_hot"
# What has to be stripped is stripped, whichever chart says so: the first allowed one is as good as any.
_MILDNESS: dict[Verdict, int] = {"same": 0, "compatible": 1, "borderline": 2, "incompatible": 3, "unknown": 3}
_OILS = ("mineral", "pao", "ester", "pag", "silicone", "pfpe")


class AnswerLike(Protocol):
    @property
    def weight(self) -> float | None: ...


class AnswersLike(Protocol):
    """All that is needed of diag.answers.Answers."""

    @property
    def by_sign(self) -> Mapping[str, AnswerLike]: ...


class PosteriorLike(Protocol):
    """All that is needed of diag.inference.network.Posterior."""

    @property
    def causes(self) -> Mapping[str, float]: ...
    @property
    def conditions(self) -> Mapping[str, float]: ...


@dataclass(frozen=True)
class Situation:
    """Case, findings so far, and what follows from them for the changeover."""

    case: Case
    spec: Spec
    circumstances: Mapping[str, CircumstanceFound]
    answers: AnswersLike
    posterior: PosteriorLike
    urgency: Urgency
    regrease: Regrease
    knowledge: Knowledge
    belief: Belief | None = None  # None: the causes are taken as independent
    computed: Mapping[str, Computed] = field(default_factory=dict)

    def holds(self, circumstance: str) -> bool:
        """True only when the circumstance is known to hold."""
        found = self.circumstances.get(circumstance)
        return found is not None and found.holds is True

    def seen(self, condition: str) -> bool:
        """The condition is likely, or one of its signs was answered yes or probably."""
        return self.posterior.conditions.get(condition, 0.0) >= SEEN or self.answered(condition)

    def answered(self, condition: str) -> bool:
        """One of its signs was answered yes or probably."""
        return any(
            (answer.weight or 0.0) >= SEEN and self.knowledge.signs[sign].condition == condition
            for sign, answer in self.answers.by_sign.items() if sign in self.knowledge.signs)

    def leads(self, *causes: str) -> bool:
        """One of these causes leads."""
        return self.leader is not None and self.leader.id in causes

    @property
    def kind(self) -> str:
        return self.case.point.kind

    @property
    def planning(self) -> bool:
        return self.case.complaint == "planning"

    @cached_property
    def likeliest(self) -> Cause | None:
        """The most probable cause, however weak."""
        best = likeliest(self.posterior.causes, self.knowledge)
        return None if best is None else self.knowledge.causes[best]

    @cached_property
    def leader(self) -> Cause | None:
        """The most probable cause when it is strong enough to act on."""
        best = self.likeliest
        return best if best is not None and self.posterior.causes[best.id] >= LEADS else None

    @property
    def surmised(self) -> bool:
        """What leads does so by the surroundings alone: nobody complains and no sign was answered yes or probably."""
        spoken = self.case.complaint not in (None, "planning") or any(
            (answer.weight or 0.0) >= SEEN for answer in self.answers.by_sign.values())
        return self.leader is not None and not spoken and self.posterior.causes[self.leader.id] < LEADS_UNSPOKEN

    @cached_property
    def chances(self) -> Belief:
        """How likely sets of causes are."""
        return self.belief or Independent(self.posterior.causes)

    @cached_property
    def remedy(self) -> RemedyClass | None:
        """The work that cures the leading cause."""
        return None if self.leader is None else self.knowledge.remedies[self.leader.remedy.class_]

    @cached_property
    def not_the_grease(self) -> bool:
        """A mechanical, electrical or outside cause leads, so that no grease cures it."""
        return self.remedy is not None and self.remedy.not_the_grease

    @property
    def restricted(self) -> bool:
        """Duty under an approved programme: no switch and no interval from here."""
        return self.holds("restricted_duty") or self.case.point.safety_critical is True

    @property
    def hot(self) -> bool:
        return self.case.complaint == "hot" or self.holds("over_own_baseline") or self.holds("over_limit") \
            or self.seen(_HOT_CONDITION)

    @property
    def hot_after_greasing(self) -> bool:
        greased = "regreasing" in self.case.history.since or self.holds("greased_within_a_day")
        return self.holds("hot_after_greasing") or (greased and self.hot)

    @cached_property
    def settling(self) -> bool:
        """What is wanted is to let it settle after greasing, rather than to leave it alone."""
        return self.hot_after_greasing or self.leads("over_greasing", "normal_transient")

    @property
    def lets_out(self) -> bool:
        """Waiting opens the outlet here, or finds it open, so that surplus grease leaves."""
        return self.settling and self.kind == "rolling_bearing" and not self.sealed \
            and self.case.point.drain != "none"

    @property
    def sealed(self) -> bool:
        """Nothing can be cleaned or filled: the part is changed whole."""
        return self.case.point.feed == "sealed_for_life" or self.case.point.bearing.sealing == "sealed"

    @cached_property
    def no_purge(self) -> str | None:
        """Why old grease can't be pushed out of this point; None when it can."""
        point = self.case.point
        if self.sealed:
            return "the bearing is sealed: no grease gets in or out"
        if point.bearing.sealing == "shielded":
            return "a shield may face the supply and keeps new grease from pushing out the old"
        if point.drain == "none":
            return "there is no outlet for the old grease"
        if point.feed == "hand_packed":
            return "the point is packed by hand and has no supply to push with"
        return None

    @cached_property
    def changed_before(self) -> bool:
        """Another grease was in the point before, stated or only said to have been changed."""
        return "changeover" in self.case.history.since or is_stated(self.case.earlier_grease)

    @cached_property
    def planned(self) -> bool:
        """A change from the earlier grease to the stated one is being planned."""
        return self.planning and is_stated(self.case.earlier_grease) and is_stated(self.case.grease)

    @cached_property
    def pair(self) -> tuple[Grease, Grease]:
        """The two greases that meet: by plan, by a change already made, or by the change advised."""
        if self.changed_before:
            return self.case.earlier_grease, self.case.grease
        return self.case.grease, self.wanted

    @cached_property
    def wanted(self) -> Grease:
        """A grease as the specification asks for, as near to the one in service as it allows."""
        return wanted_grease(self.spec.requirements, self.case.grease, self.knowledge)

    @cached_property
    def compatibility(self) -> Compatibility:
        return judge(*self.pair, self.knowledge)

    @cached_property
    def mix_reason(self) -> str | None:
        """Why what is in the point now must not be purged through with the grease in service."""
        return must_strip(*self.pair, self.knowledge) if self.changed_before else None

    @cached_property
    def switch_reason(self) -> str | None:
        """Why a switch can't be made by purging."""
        if self.planned:
            return self.mix_reason
        return self.mix_reason or must_strip(self.case.grease, self.wanted, self.knowledge)

    @cached_property
    def stays(self) -> bool:
        """The grease in service meets every must."""
        return bool(self.musts) and is_stated(self.case.grease) and all(
            compare(r, self.stated) == "meets" for r in self.musts)

    @cached_property
    def shortfalls(self) -> tuple[Requirement, ...]:
        """The musts that the grease in service falls short of by what it states."""
        return tuple(r for r in self.musts if compare(r, self.stated) == "falls_short")

    @cached_property
    def musts(self) -> tuple[Requirement, ...]:
        return tuple(r for r in self.spec.requirements if r.strength == "must")

    @cached_property
    def stated(self) -> Mapping[str, float | str | tuple[float | str, ...]]:
        return from_grease(self.case.grease)


def is_stated(grease: Grease) -> bool:
    """Anything at all is known of the grease."""
    return grease != Grease()


def wanted_grease(requirements: tuple[Requirement, ...], old: Grease, knowledge: Knowledge) -> Grease:
    """Thickener and oil that meet the demands and go best with the old grease: changing costs, too."""
    thickeners = _allowed(requirements, "thickener", tuple(knowledge.thickeners), old.thickener)
    oils = _allowed(requirements, "base_oil_type", _OILS, old.base_oil)
    fresh = replace(Grease(), base_oil=oils[0] if oils else None)
    choices = [replace(fresh, thickener=t) for t in thickeners]
    return min(choices, key=lambda new: _MILDNESS[judge(old, new, knowledge).verdict], default=fresh)


def _allowed(requirements: tuple[Requirement, ...], property: str, all_words: tuple[str, ...],
             present: str | None) -> tuple[str, ...]:
    """Words that meet every demand on the property, the present one first; () with nothing asked or known."""
    asked = [r for r in requirements if r.property == property and r.relation != "ignore"]
    if not asked:
        return (present,) if present else ()
    named = [str(w) for r in asked if r.relation == "in" and isinstance(r.value, tuple) for w in r.value]
    order = dict.fromkeys((*(w for w in named if w in all_words), *all_words))  # as the specification lists them
    serving = [w for w in order if all(compare(r, {property: w}) == "meets" for r in asked)]
    return tuple(sorted(serving, key=lambda w: w != present))
