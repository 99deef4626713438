"""Invented technicians: what they answer to each look at a point in a given state."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from diag.answers import Answer, Answers, weight_of
from diag.simulation.worlds import World, states

if TYPE_CHECKING:
    from collections.abc import Iterable

    from diag.case.model import Degree
    from diag.knowledgebase.knowledge import Knowledge
    from diag.knowledgebase.model import Kind, Question

__all__ = ["FIELD", "SURE", "DrawnCase", "Technician", "cases_of"]


@dataclass(frozen=True, slots=True)
class Technician:
    """Shares [0 to 1] of the looks passed over as not known, and of those answered, answered wrong.

    A wrong answer ticks an option that should not be ticked and none that should. It comes on top of the slips
    that are in the report words of the knowledge already.
    """

    unknown: float
    wrong: float


FIELD = Technician(unknown=1 / 3, wrong=1 / 10)
SURE = Technician(unknown=0.0, wrong=0.0)


@dataclass(frozen=True, slots=True)
class DrawnCase:
    """One point: what truly holds, what brings the technician here, and the answer to every look there is."""

    kind: Kind
    complaint: str | None
    present: frozenset[str]  # causes at work
    unlisted: str | None  # the cause of this world that the tool doesn't know
    replies: Mapping[str, Mapping[str, Degree]]  # question → sign → answer; empty: passed over

    def answers(self, asked: Iterable[str], knowledge: Knowledge) -> Answers:
        """The complaint and what was answered to the looks `asked`."""
        found = {e.sign: Answer(e.sign, weight_of(e.degree, knowledge), e.degree, "complaint", "")
                 for e in knowledge.complaints if e.complaint == self.complaint and self.kind in e.kinds}
        for question in asked:
            for sign, degree in self.replies.get(question, {}).items():
                found[sign] = Answer(sign, weight_of(degree, knowledge), degree, "said", "")
        return Answers(found)


def cases_of(world: World, cases: int, technician: Technician, random: np.random.Generator) -> list[DrawnCase]:
    """Points of one world, each with a technician's answers."""
    causes, conditions = states(world, cases, random)
    names, known = np.array(world.network.causes), world.network.conditions
    return [_case(world, frozenset(names[there].tolist()), dict(zip(known, state.tolist(), strict=True)),
                  technician, random)
            for there, state in zip(causes, conditions, strict=True)]


def _case(world: World, present: frozenset[str], state: Mapping[str, bool], technician: Technician,
          random: np.random.Generator) -> DrawnCase:
    reported = _reported(world, state, random)
    replies = {q.id: _reply(q, world.kind, reported, technician, random)
               for q in world.knowledge.questions.values() if world.kind in q.kinds}
    return DrawnCase(world.kind, _complaint(world, state, random), present, world.unlisted, replies)


def _reported(world: World, state: Mapping[str, bool], random: np.random.Generator) -> dict[str, bool]:
    """Every sign of the kind as it would be reported on a careful look, slips and ties included."""
    knowledge = world.knowledge
    found: dict[str, bool] = {}
    for sign, option in knowledge.signs.items():
        if world.kind not in option.kinds or option.condition not in state:
            continue
        true, false = knowledge.level("report", option.if_true), knowledge.level("false_report", option.if_false)
        found[sign] = bool(random.random() < (true if state[option.condition] else false))
        if world.tied.get(sign) in found:
            found[sign] = found[world.tied[sign]]
    return found


def _reply(question: Question, kind: Kind, reported: Mapping[str, bool], technician: Technician,
           random: np.random.Generator) -> dict[str, Degree]:
    """As in the guided walk: what is ticked is a yes and the rest stays unknown; none of these is a no to all."""
    signs = [o.sign for o in question.options if o.sign in reported and kind in o.kinds]
    if not signs or random.random() < technician.unknown:
        return {}
    ticked = [sign for sign in signs if reported[sign]]
    if random.random() < technician.wrong:
        free = [sign for sign in signs if sign not in ticked]
        ticked = [str(random.choice(free))] if free else []
    if question.choose == "one" and len(ticked) > 1:
        ticked = [str(random.choice(ticked))]
    return dict.fromkeys(ticked, "yes") if ticked else dict.fromkeys(signs, "no")


def _complaint(world: World, state: Mapping[str, bool], random: np.random.Generator) -> str | None:
    """One of the complaints whose state is there; None when somebody asks without any of them."""
    signs = world.knowledge.signs
    there = [e.complaint for e in world.knowledge.complaints
             if world.kind in e.kinds and state.get(signs[e.sign].condition, False)]
    return str(random.choice(there)) if there else None
