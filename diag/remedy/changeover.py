"""Keep, purge, strip, switch or replace: rules in order, the first that fires decides; guards bind them all.

Rank is fit less the cost of changing: a grease that serves stays. No rule here weighs urgency against cost.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diag.case.model import Case
from diag.findings import Action, Changeover, CircumstanceFound, Computed, Regrease, Spec, Urgency
from diag.knowledgebase import Knowledge
from diag.remedy.compatibility import explain
from diag.remedy.never import never
from diag.remedy.situation import LEADS, AnswersLike, PosteriorLike, Situation
from diag.remedy.steps import procedure

__all__ = ["GUARDS", "LEADS", "RULES", "SWITCHES", "Choice", "choose", "decide"]

SWITCHES: tuple[Action, ...] = ("purge_and_switch", "strip_clean_and_switch")
_SAME: dict[Action, Action] = {"purge_and_switch": "purge_same", "strip_clean_and_switch": "strip_clean_same"}
_SWITCHED: dict[Action, Action] = {same: switch for switch, same in _SAME.items()}
_STRIPPED: dict[Action, Action] = {"purge_same": "strip_clean_same",
                                   "purge_and_switch": "strip_clean_and_switch"}


@dataclass(frozen=True, slots=True)
class Choice:
    """An action with its reasons."""

    action: Action
    why: tuple[str, ...]

    def instead(self, action: Action, why: str) -> Choice:
        return Choice(action, (*self.why, why))


def decide(case: Case, spec: Spec, computed: Mapping[str, Computed],
           circumstances: Mapping[str, CircumstanceFound], answers: AnswersLike, posterior: PosteriorLike,
           urgency: Urgency, regrease: Regrease, knowledge: Knowledge) -> Changeover:
    """The action, why, the steps, what never to do, and what the charts say of the greases that meet."""
    s = Situation(case, spec, circumstances, answers, posterior, urgency, regrease, knowledge)
    choice = choose(s)
    repair_first = s.not_the_grease
    return Changeover(
        repair_first=repair_first, action=choice.action, why=(*choice.why, *_remarks(s, choice)),
        steps=tuple(step.text for step in procedure(s, choice.action, repair_first)),
        never=never(s, choice.action, repair_first), compatibility=s.compatibility, expected_costs=())


def choose(s: Situation) -> Choice:
    """The first rule that fires, bound by every guard. Restricted duty is past all of them."""
    choice = next(c for rule in RULES if (c := rule(s)) is not None)
    if s.restricted:
        return choice
    for guard in GUARDS:
        choice = guard(s, choice)
    return choice


def _restricted(s: Situation) -> Choice | None:
    if not s.restricted:
        return None
    why = "duty under an approved programme: no switch and no interval from here, its programme decides"
    spoilt = _spoilt_part(s)
    if spoilt is not None:
        return spoilt.instead("replace_part", why)
    calm = s.urgency.level == "run_on" and s.leader is None
    return Choice("keep" if calm else "wait_and_watch", (why,))


def _spoilt_part(s: Situation) -> Choice | None:
    """A part with rust, marks at element pitch and the like isn't kept; nor is one that failed."""
    bars = [c for c in s.knowledge.conditions.values() if s.kind in c.bars_keep and s.seen(c.id)]
    if bars:
        return Choice("replace_part", tuple(f"{c.text}: the part can't be kept" for c in bars))
    if s.case.complaint == "failed":
        return Choice("replace_part", ("the part has failed",))
    return None


def _hot_after_greasing(s: Situation) -> Choice | None:
    """No more grease into a point that is hot after greasing with a closed drain."""
    if not s.hot_after_greasing or s.case.point.drain == "open":
        return None
    shut = s.case.point.drain in ("closed", "none")
    if not shut and (s.kind != "rolling_bearing" or s.leads("over_greasing", "normal_transient")):
        return None
    outlet = "the drain closed" if s.case.point.drain == "closed" else "no open outlet known"
    why = f"hot after greasing with {outlet}: no more grease; open the outlet and let it settle"
    return Choice("wait_and_watch", (why,))


def _repair_first(s: Situation) -> Choice | None:
    cause = s.likeliest
    if not s.not_the_grease or cause is None:
        return None
    remedy = s.knowledge.remedies[cause.remedy.class_]
    why = (f"{cause.name} leads ({s.posterior.causes[cause.id]:.0%}): {remedy.text}; no grease cures it",)
    return Choice(_SAME.get(remedy.action, remedy.action), why)


def _planned_change(s: Situation) -> Choice | None:
    if not s.planning:
        return None
    if not s.planned and s.stays:
        return Choice("keep", ("the grease in service meets every must: changing buys nothing",))
    return Choice("purge_and_switch", ("a change of grease is planned",))


def _by_cause(s: Situation) -> Choice | None:
    if s.leader is None or s.remedy is None:
        return None
    cause, action = s.leader, s.remedy.action
    choice = Choice(action, (f"{cause.name} leads ({s.posterior.causes[cause.id]:.0%}): {s.remedy.text}",))
    # For the wrong grease, purge or strip hangs on the pair alone, and a guard looks at that.
    if cause.purge.action == "strip" and action in _STRIPPED and cause.id != "wrong_grease_applied":
        choice = choice.instead(_STRIPPED[action], cause.purge.advice)
    if choice.action in _SWITCHED and s.shortfalls:
        names = ", ".join(r.property.replace("_", " ") for r in s.shortfalls)
        choice = choice.instead(_SWITCHED[choice.action], f"the grease in service falls short in {names}")
    return choice


def _nothing_leads(s: Situation) -> Choice:
    if s.urgency.level == "run_on":
        return Choice("keep", ("no cause stands out and nothing is urgent",))
    why = "no cause stands out yet: answer the next question before anything is changed"
    return Choice("wait_and_watch", (why,))


RULES = (_restricted, _spoilt_part, _hot_after_greasing, _repair_first, _planned_change, _by_cause,
         _nothing_leads)


def _no_switch(s: Situation, choice: Choice) -> Choice:
    """A grease that meets every must stays."""
    if choice.action in _SAME and s.stays:
        return choice.instead(_SAME[choice.action], "the grease in service meets every must: it stays")
    return choice


def _no_purge_across(s: Situation, choice: Choice) -> Choice:
    """Incompatible or unknown greases are never purged through one another."""
    reason = s.switch_reason if choice.action in SWITCHES else s.mix_reason
    if choice.action in _STRIPPED and reason is not None:
        return choice.instead(_STRIPPED[choice.action], f"strip, do not purge: {reason}")
    return choice


def _no_purge_without_outlet(s: Situation, choice: Choice) -> Choice:
    if choice.action in _STRIPPED and s.no_purge is not None:
        return choice.instead(_STRIPPED[choice.action], f"purging can't work here: {s.no_purge}")
    return choice


def _broken_is_opened(s: Situation, choice: Choice) -> Choice:
    """Smoke, grinding, a moved shaft: the part is opened and looked at, whatever the cause."""
    signs = [o for sign, answer in s.answers.by_sign.items() if (answer.weight or 0.0) >= 0.5
             and (o := s.knowledge.signs.get(sign)) is not None and o.urgency == "stop_now"]
    if signs and choice.action not in ("strip_clean_same", "strip_clean_and_switch", "replace_part"):
        opened: Action = "strip_clean_and_switch" if choice.action in SWITCHES else "strip_clean_same"
        return choice.instead(opened, f"{signs[0].text}: stopped, it has to be opened and looked at")
    return choice


def _sealed_is_replaced(s: Situation, choice: Choice) -> Choice:
    """What can't be opened can't be cleaned, filled or dosed."""
    if s.sealed and choice.action not in ("keep", "wait_and_watch", "replace_part"):
        return choice.instead("replace_part", "the bearing is sealed for life: it is changed whole")
    return choice


GUARDS = (_no_switch, _no_purge_across, _no_purge_without_outlet, _broken_is_opened, _sealed_is_replaced)


def _remarks(s: Situation, choice: Choice) -> tuple[str, ...]:
    """What the reader should know beside the action."""
    found: list[str] = []
    if s.restricted:
        return ()
    if s.leader is not None and choice.action not in SWITCHES and s.shortfalls and not s.not_the_grease:
        found.extend(f"later: the grease in service falls short of {r.property.replace('_', ' ')} "
                     f"({r.because[0]})" for r in s.shortfalls)
    if choice.action in SWITCHES or s.changed_before:
        found.extend(explain(*s.pair, s.compatibility, s.knowledge))
    if s.mix_reason is not None and choice.action in ("keep", "adjust_regreasing", "wait_and_watch"):
        found.append(f"two greases may have met in there: {s.mix_reason}")
    return tuple(dict.fromkeys(found))
