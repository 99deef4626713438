"""Keep, purge, strip, switch or replace: rules in order, the first that fires decides; guards bind them all.

Rank is fit less the cost of changing: a grease that serves stays. No rule here weighs urgency against cost: cost
decides only between ways that the rules leave open, to purge or to strip, and is set beside the choice otherwise.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import msgspec

from diag.case.model import Case
from diag.findings import Action, Changeover, CircumstanceFound, Compatibility, Computed, Regrease, Spec, Urgency
from diag.knowledgebase import Knowledge
from diag.knowledgebase.model import Condition
from diag.remedy.another_look import Look
from diag.remedy.compatibility import explain
from diag.remedy.cures import COVERS, SAME, STRIPPED, Belief, needed_action
from diag.remedy.never import never
from diag.remedy.situation import LEADS, AnswersLike, PosteriorLike, Situation
from diag.remedy.steps import procedure
from diag.remedy.weighing import Weighing
from diag.wordtext import label

__all__ = ["GUARDS", "LEADS", "RULES", "SWITCHES", "Choice", "choose", "decide", "offered"]

SWITCHES: tuple[Action, ...] = ("purge_and_switch", "strip_clean_and_switch")
_SWITCHED: dict[Action, Action] = {same: switch for switch, same in SAME.items()}


@dataclass(frozen=True, slots=True)
class Choice:
    """An action with its reasons."""

    action: Action
    why: tuple[str, ...]
    by_cause: bool = False  # the leading cause asks for it; else a rule does, whatever it costs

    def instead(self, action: Action, why: str) -> Choice:
        return Choice(action, (*self.why, why), self.by_cause)


def decide(case: Case, spec: Spec, computed: Mapping[str, Computed],
           circumstances: Mapping[str, CircumstanceFound], answers: AnswersLike, posterior: PosteriorLike,
           urgency: Urgency, regrease: Regrease, knowledge: Knowledge, belief: Belief | None = None,
           look: Look | None = None) -> Changeover:
    """The action, why, the steps, what never to do, what the charts say of the greases that meet, and the costs.

    `belief` gives the chances of sets of causes (None: taken as independent), `look` the next question with the
    beliefs after its answers (None: its worth in money isn't told).
    """
    s = Situation(case, spec, circumstances, answers, posterior, urgency, regrease, knowledge, belief,
                  computed)
    choice = choose(s)
    repair_first = s.not_the_grease
    found = Changeover(
        repair_first=repair_first, action=choice.action, why=(*choice.why, *_remarks(s, choice)),
        steps=tuple(step.text for step in procedure(s, choice.action, repair_first)),
        never=never(s, choice.action, repair_first), compatibility=_met(s, choice), expected_costs=())
    return found if s.restricted else _with_costs(found, s, choice, look)


def _with_costs(found: Changeover, s: Situation, choice: Choice, look: Look | None) -> Changeover:
    """The same with the cost table, and a word where the rule and the cost differ."""
    weighing, actions = Weighing(s), offered(s, choice)
    costs = weighing.costs(actions)
    least, own = costs[0], next(c for c in costs if c.action == choice.action)
    stands = "the plan has to be worth it for other reasons" if s.planning and choice.action in SWITCHES else \
        "the rule stands before the cost"
    differ = () if least.action == choice.action else (
        f"by cost alone {label(least.action)} would do ({least.cost:,.0f} against {own.cost:,.0f} expected, at the "
        f"prices below); {stands}",)
    return msgspec.structs.replace(
        found, why=(*found.why, *differ), expected_costs=costs, cost_parts=weighing.parts(actions),
        cost_basis=weighing.basis(), flips=weighing.flips(actions),
        one_more_check=weighing.one_more_check(look, actions))


def _met(s: Situation, choice: Choice) -> Compatibility:
    """What the charts say, in full only where two greases meet: by this action, by plan, or before."""
    meet = choice.action in SWITCHES or s.changed_before
    return s.compatibility if meet else msgspec.structs.replace(s.compatibility, tables=())


def choose(s: Situation) -> Choice:
    """The first rule that fires, bound by every guard. Restricted duty is past all of them."""
    choice = next(c for rule in RULES if (c := rule(s)) is not None)
    if s.restricted:
        return choice
    for guard in GUARDS:
        choice = guard(s, choice)
    return _purge_or_strip(s, choice)


def _purge_or_strip(s: Situation, choice: Choice) -> Choice:
    """Where the leading cause asks for a purge that no rule forbids, the cost decides whether to strip instead."""
    if not choice.by_cause or choice.action not in STRIPPED:
        return choice
    stripped = STRIPPED[choice.action]
    if Weighing(s).cheapest((choice.action, stripped)) == choice.action:
        return choice
    return choice.instead(stripped, "stripping is expected to cost less in the end: other likely causes do not go out "
                                    "by purging")


def offered(s: Situation, choice: Choice) -> tuple[Action, ...]:
    """The actions that no rule of urgency or safety bars here; the one chosen is among them."""
    return tuple(a for a in COVERS if a == choice.action or not _barred(s, a))


def _barred(s: Situation, action: Action) -> bool:
    stopped = s.urgency.level == "stop_now" or s.case.complaint == "failed"
    if stopped and action in ("keep", "wait_and_watch", "adjust_regreasing"):
        return True
    if _spoilt_part(s) is not None and action != "replace_part":
        return True
    # Who plans a change of a point that runs well asks for that change or none: nothing to wait for, dose or clean.
    if s.planning and s.urgency.level == "run_on" and action not in (*SWITCHES, "keep"):
        return True
    # Beside a repair nobody waits or doses: the machine is mended, and what its grease suffered is looked at.
    if s.not_the_grease and action in (*SWITCHES, "wait_and_watch", "adjust_regreasing"):
        return True
    if _hot_after_greasing(s) is not None and action in (*STRIPPED, "adjust_regreasing"):
        return True
    return any(guard(s, Choice(action, ())).action != action for guard in GUARDS)


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
        return Choice("replace_part", tuple(_cannot_be_kept(s, c) for c in bars))
    if s.case.complaint == "failed":
        return Choice("replace_part", ("the part has failed",))
    return None


def _cannot_be_kept(s: Situation, condition: Condition) -> str:
    """Seen on the part, or only likely from other signs: then the look decides."""
    if s.answered(condition.id):
        return f"{condition.text}: the part can't be kept"
    return (f"{condition.text}: likely from the signs told ({s.posterior.conditions[condition.id]:.0%}), and then the "
            "part can't be kept: have a new one at hand before it is opened; where a lamp shows nothing of it, clean "
            "and fill the old one instead")


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


def _surmised(s: Situation) -> Choice | None:
    """Nothing is opened or bought for what nobody complains of and no sign shows."""
    if not s.surmised or s.leader is None or (s.planning and not s.not_the_grease):
        return None
    why = (f"{s.leader.name} is the likeliest ({s.posterior.causes[s.leader.id]:.0%}), by the surroundings alone: "
           "look before any work is done")
    return Choice("keep" if s.urgency.level == "run_on" else "wait_and_watch", (why,))


def _repair_first(s: Situation) -> Choice | None:
    cause, remedy = s.leader, s.remedy
    if not s.not_the_grease or cause is None or remedy is None:
        return None
    why = (f"{cause.name} leads ({s.posterior.causes[cause.id]:.0%}): {remedy.text}; no grease cures it",)
    return Choice(SAME.get(remedy.action, remedy.action), why)


def _planned_change(s: Situation) -> Choice | None:
    if not s.planning:
        return None
    if not s.planned and s.stays:
        return Choice("keep", ("the grease in service meets every must: changing buys nothing",))
    return Choice("purge_and_switch", ("a change of grease is planned",))


def _by_cause(s: Situation) -> Choice | None:
    if s.leader is None or s.remedy is None:
        return None
    cause, needed = s.leader, needed_action(s.leader, s.knowledge)
    choice = Choice(s.remedy.action, (f"{cause.name} leads ({s.posterior.causes[cause.id]:.0%}): {s.remedy.text}",),
                    by_cause=True)
    if needed != choice.action:
        choice = choice.instead(needed, cause.purge.advice)
    if choice.action in _SWITCHED and s.shortfalls:
        names = ", ".join(label(r.property) for r in s.shortfalls)
        choice = choice.instead(_SWITCHED[choice.action], f"the grease in service falls short in {names}")
    return choice


def _nothing_leads(s: Situation) -> Choice:
    if s.urgency.level == "run_on":
        return Choice("keep", ("no cause stands out and nothing is urgent",))
    why = "no cause stands out yet: answer the next question before anything is changed"
    return Choice("wait_and_watch", (why,))


RULES = (_restricted, _spoilt_part, _hot_after_greasing, _surmised, _repair_first, _planned_change, _by_cause,
         _nothing_leads)


def _no_switch(s: Situation, choice: Choice) -> Choice:
    """A grease that meets every must stays."""
    if choice.action in SAME and s.stays:
        return choice.instead(SAME[choice.action], "the grease in service meets every must: it stays")
    return choice


def _no_purge_across(s: Situation, choice: Choice) -> Choice:
    """Incompatible or unknown greases are never purged through one another."""
    reason = s.switch_reason if choice.action in SWITCHES else s.mix_reason
    if choice.action in STRIPPED and reason is not None:
        return choice.instead(STRIPPED[choice.action], f"strip, do not purge: {reason}")
    return choice


def _no_purge_without_outlet(s: Situation, choice: Choice) -> Choice:
    if choice.action in STRIPPED and s.no_purge is not None:
        return choice.instead(STRIPPED[choice.action], f"purging can't work here: {s.no_purge}")
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
    usual, own = s.case.point.usual_temperature, s.case.grease.highest_temperature
    if usual is not None and own is not None and usual > own:
        found.append(f"the point usually runs at {usual:.0f} °C and the grease in service is good to {own:.0f} °C by "
                     "its data sheet: whatever else is mended, it takes less heat or another grease; no interval "
                     "makes up for that")
    if s.leader is not None and choice.action not in SWITCHES and s.shortfalls and not s.not_the_grease:
        found.extend(f"later: the grease in service falls short of {r.property.replace('_', ' ')} "
                     f"({r.because[0]})" for r in s.shortfalls)
    if choice.action in SWITCHES and not s.changed_before and s.wanted.thickener not in (None, s.case.grease.thickener):
        new = label(s.wanted.thickener or "")
        found.append(f"the charts are asked about {new} as the new thickener: of those allowed none suits the old "
                     "grease better; ask again by diag mix for the product you buy")
    if choice.action in SWITCHES or s.changed_before:
        said = {text.split(": ", 1)[-1] for text in choice.why if text.startswith("strip, do not purge")}
        found.extend(text for text in explain(*s.pair, s.compatibility, s.knowledge)
                     if text.split(": ", 1)[-1] not in said)
    if s.mix_reason is not None and choice.action in ("keep", "adjust_regreasing", "wait_and_watch"):
        found.append(f"two greases may have met in there: {s.mix_reason}")
    return tuple(dict.fromkeys(found))
