"""Which step comes next: what brings you here, may it keep turning, then what is worth asking most."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, Literal

from diag.case.model import Case
from diag.findings import Urgency
from diag.knowledgebase import Knowledge
from diag.knowledgebase.model import Question
from diag.walk.belief import believed, judged
from diag.walk.facts import COMPLAINT, HOT, KIND, PLAN, SINCE_LAST, TELLING, USUAL, Fact, legal_words, value_at
from diag.walk.state import Choice, Step, StepKind, Walk
from diag.wordtext import label

if TYPE_CHECKING:
    from diag.inference.policy import Policy

__all__ = ["next_step", "urgency_now"]

_YES_NO = (Choice("yes", "yes"), Choice("no", "no, not now"))
_GATE_HOW = "A no goes on with what can be told without it."
_GATE_WHY = "The looks of this stage tell more than what is left before it. A no leaves it and later ones out."
_THE_REST = "(Only what wasn't told yet.)"
_FROM_MEMORY = "only from what was seen before; it must not be kept turning for this."
_PRESSING = ("stop_now", "stop_soon")
_GATES = {
    "stopped": "The next look needs the machine standing still, locked off. Can you have it so now?",
    "opened": "The next look needs the point opened. Is it open, or can you open it now?",
    "cleaned": "The next look needs the part washed. Are photographs taken and the grease bagged, so that it "
    "may be washed now?",
    "lab": "The next answer needs a laboratory or a bench test. Do you have its result?",
}
_PLAN_GATE = Step(
    "gate:plan",
    "gate",
    "Shall I ask for size, surroundings and present grease, so that the grease and the "
    "regreasing plan come out exactly?",
    "",
    "Without them the plan rests on assumptions, which the page names.",
    (Choice("yes", "yes, ask"), Choice("no", "no, show the page")),
)


def next_step(walk: Walk, knowledge: Knowledge) -> Step:
    """The step to put now; of kind `done` when nothing more needs asking.

    Cost: one ranking of all open questions once the opening is through (see `inference.questions.rank`).
    """
    opening = next(_opening(walk, knowledge), None)
    if opening is not None:
        return opening
    policy = _policy(walk, knowledge)
    if policy.fact:
        return _fact_step(next(f for f in TELLING if f.id == policy.fact), "")
    if not policy.settled:
        return _look_or_gate(walk, knowledge.questions[policy.ranking.questions[0].id], knowledge)
    return _plan(walk, policy.ranking.why)


def _opening(walk: Walk, knowledge: Knowledge) -> Iterator[Step]:
    """What must be known first: the kind, the complaint, and whether it may keep turning."""
    yield from (_fact_step(fact, "") for fact in _open_facts(walk, (KIND, COMPLAINT, HOT)))
    if walk.case.complaint not in ("failed", "planning"):
        yield from (_look(walk, q, knowledge) for q in _urgent(walk, knowledge))
        yield from (_fact_step(fact, "") for fact in _open_facts(walk, (USUAL, SINCE_LAST)))


def _open_facts(walk: Walk, facts: Iterable[Fact]) -> Iterator[Fact]:
    """Facts that matter in this case, aren't known, and weren't put yet."""
    for fact in facts:
        unknown = value_at(walk.case, fact.path) in (None, (), "")
        if unknown and walk.put(fact.id) is None and fact.when(walk.case):
            yield fact


def _fact_step(fact: Fact, settled: str) -> Step:
    reads, words = legal_words(fact.path)
    kind: StepKind = "free" if not words else "many" if reads == "words" else "one"
    choices = tuple(Choice(w, fact.labels.get(w, label(w))) for w in words)
    return Step(fact.id, kind, fact.text, fact.example, fact.why, choices, settled=settled)


def _urgent(walk: Walk, knowledge: Knowledge) -> list[Question]:
    """Looks at the running point of which an answer not given yet can mean stop now, quickest first."""
    from diag.inference.questions import can_stop

    found = [q for q in knowledge.questions.values()
             if can_stop(q, walk.case.complaint) and _open(walk, q) and _can_still_stop(walk, q)]
    return sorted(found, key=lambda question: question.minutes)


def _can_still_stop(walk: Walk, question: Question) -> bool:
    """Who has said that there is no smoke isn't asked for smoke again; what else the look shows waits its turn."""
    left = {choice.key for choice in _choices(walk, question)}
    return any(option.urgency == "stop_now" for option in question.options if option.sign in left)


def _open(walk: Walk, question: Question) -> bool:
    asked = walk.put(f"look:{question.id}") is not None or walk.case.point.kind not in question.kinds
    return not asked and not _chosen(walk, question) and bool(_choices(walk, question))


def _chosen(walk: Walk, question: Question) -> bool:
    """Only one of its answers can hold, and that one was given, in own words or in the file."""
    return question.choose == "one" and any(walk.case.seen.get(o.sign) == "yes" for o in question.options)


def _choices(walk: Walk, question: Question) -> tuple[Choice, ...]:
    """The signs of this kind of point that nothing was said of yet."""
    kind, seen = walk.case.point.kind, walk.case.seen
    return tuple(Choice(o.sign, o.text) for o in question.options if kind in o.kinds and o.sign not in seen)


def _look(walk: Walk, question: Question, knowledge: Knowledge) -> Step:
    cautions = tuple(knowledge.cautions[c].text for c in question.cautions)
    if question.stage == "running" and urgency_now(walk.case, knowledge).level == "stop_now":
        cautions = (_FROM_MEMORY,)
    choices = _choices(walk, question)
    partly = len(choices) < sum(walk.case.point.kind in option.kinds for option in question.options)
    return Step(
        f"look:{question.id}",
        "look",
        f"{question.text} {_THE_REST}" if partly else question.text,
        question.how,
        question.why,
        choices,
        single=question.choose == "one",
        cautions=cautions,
    )


def _look_or_gate(walk: Walk, question: Question, knowledge: Knowledge) -> Step:
    """The look, or first the gate to its stage."""
    if _way(walk, question.stage) == "open":
        return _look(walk, question, knowledge)
    return Step(f"gate:{question.stage}", "gate", _GATES[question.stage], _GATE_HOW, _GATE_WHY, _YES_NO)


def _way(walk: Walk, stage: str) -> Literal["open", "ask", "closed"]:
    """Whether looks of a stage can be asked: a yes opens all stages before it, a no closes all after it."""
    if stage == "running" or (walk.case.complaint == "failed" and stage in ("stopped", "opened")):
        return "open"
    order = ("lab",) if stage == "lab" else ("stopped", "opened", "cleaned")
    at = order.index(stage)
    if any(_gate_words(walk, s) == "yes" for s in order[at:]):
        return "open"
    return "ask" if all(_gate_words(walk, s) in (None, "yes") for s in order[: at + 1]) else "closed"


def _gate_words(walk: Walk, stage: str) -> str | None:
    """yes, no, or empty when the gate was passed over; None when it was never put."""
    given = walk.put(f"gate:{stage}")
    return given.words if given else None


def _plan(walk: Walk, settled: str) -> Step:
    """What grease and plan still need, once the cause needs no more looks; then the end."""
    fact = next(_open_facts(walk, PLAN), None)
    if fact is None:
        return Step("done", "done", "", settled=settled)
    given = walk.put(_PLAN_GATE.id)
    if walk.case.complaint == "planning" or (given and given.words == "yes"):
        return _fact_step(fact, settled)
    return Step("done", "done", "", settled=settled) if given else replace(_PLAN_GATE, settled=settled)


def _policy(walk: Walk, knowledge: Knowledge) -> Policy:
    """The best open look or fact that was neither put before nor lies behind a gate that was answered no."""
    from diag.inference import policy

    belief = believed(walk.case, knowledge)
    closed = [q.id for q in knowledge.questions.values() if _way(walk, q.stage) == "closed" or _chosen(walk, q)]
    put = [g.step.removeprefix("look:") for g in walk.trail]
    return policy.choose(
        belief.network,
        belief.rates,
        belief.answers,
        belief.circumstances,
        knowledge,
        facts={fact.id: fact.decides for fact in _open_facts(walk, TELLING)},
        complaint=walk.case.complaint,
        asked={*closed, *put},
        may_intervene=belief.urgency.level not in _PRESSING,
        standing=policy.standing(walk.case),
    )


def urgency_now(case: Case, knowledge: Knowledge) -> Urgency:
    """May it keep turning, by what is known so far. The case needs its kind."""
    return judged(case, knowledge)[2]
