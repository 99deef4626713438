"""Which step comes next: what brings you here, may it keep turning, then what is worth asking most."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, Literal

from diag.case.model import Case
from diag.findings import Urgency
from diag.knowledgebase import Knowledge
from diag.knowledgebase.model import Question
from diag.walk.facts import COMPLAINT, FIRST, HOT, KIND, PLAN, Fact, legal_words, value_at
from diag.walk.state import Choice, Step, StepKind, Walk

if TYPE_CHECKING:
    from diag.inference.questions import Ranking

__all__ = ["next_step", "urgency_now"]

_YES_NO = (Choice("yes", "yes"), Choice("no", "no, not now"))
_GATE_WHY = (
    "The looks of this stage tell more than what is left before it. A no leaves it and later ones out."
)
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
    ranking = _ranking(walk.case, knowledge)
    looks = [q.id for q in ranking.questions if q.worth > 0 and _open(walk, knowledge.questions[q.id])]
    settled = _settled(ranking, looks)
    if not settled:
        look = _look_or_gate(walk, [knowledge.questions[q] for q in looks], knowledge)
        if look is not None:
            return look
        settled = "What is left to look at needs a stage that isn't open now."
    return _plan(walk, settled)


def _opening(walk: Walk, knowledge: Knowledge) -> Iterator[Step]:
    yield from _facts(walk, (KIND, COMPLAINT, HOT), "")
    if walk.case.complaint != "failed":
        yield from (_look(walk, q, knowledge) for q in _urgent(walk, knowledge))
    yield from _facts(walk, FIRST, "")


def _facts(walk: Walk, facts: Iterable[Fact], settled: str) -> Iterator[Step]:
    """Steps for facts that matter in this case, aren't known, and weren't put yet."""
    for fact in facts:
        unknown = value_at(walk.case, fact.path) in (None, (), "")
        if unknown and walk.put(fact.id) is None and fact.when(walk.case):
            yield _fact_step(fact, settled)


def _fact_step(fact: Fact, settled: str) -> Step:
    reads, words = legal_words(fact.path)
    kind: StepKind = "free" if not words else "many" if reads == "words" else "one"
    choices = tuple(Choice(w, fact.labels.get(w, w.replace("_", " "))) for w in words)
    return Step(fact.id, kind, fact.text, fact.example, fact.why, choices, settled=settled)


def _urgent(walk: Walk, knowledge: Knowledge) -> Iterator[Question]:
    """Questions about the running point some of whose answers decide whether it may keep turning."""
    for question in knowledge.questions.values():
        urgent = question.stage == "running" and any(o.urgency in _PRESSING for o in question.options)
        if urgent and walk.case.point.kind in question.kinds and _open(walk, question):
            yield question


def _open(walk: Walk, question: Question) -> bool:
    return walk.put(f"look:{question.id}") is None and bool(_choices(walk, question))


def _choices(walk: Walk, question: Question) -> tuple[Choice, ...]:
    """The signs of this kind of point that nothing was said of yet."""
    kind, seen = walk.case.point.kind, walk.case.seen
    return tuple(Choice(o.sign, o.text) for o in question.options if kind in o.kinds and o.sign not in seen)


def _look(walk: Walk, question: Question, knowledge: Knowledge) -> Step:
    cautions = tuple(knowledge.cautions[c].text if c in knowledge.cautions else c for c in question.cautions)
    return Step(
        f"look:{question.id}",
        "look",
        question.text,
        question.how,
        question.why,
        _choices(walk, question),
        single=question.choose == "one",
        cautions=cautions,
    )


def _look_or_gate(walk: Walk, looks: Iterable[Question], knowledge: Knowledge) -> Step | None:
    """The best look of a stage that is open, or the gate to the stage of a better one."""
    for question in looks:
        way = _way(walk, question.stage)
        if way == "open":
            return _look(walk, question, knowledge)
        if way == "ask":
            return Step(f"gate:{question.stage}", "gate", _GATES[question.stage], "", _GATE_WHY, _YES_NO)
    return None


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
    wanted = next(_facts(walk, PLAN, settled), None)
    if wanted is None:
        return Step("done", "done", "", settled=settled)
    given = walk.put(_PLAN_GATE.id)
    if walk.case.complaint == "planning" or (given and given.words == "yes"):
        return wanted
    return Step("done", "done", "", settled=settled) if given else replace(_PLAN_GATE, settled=settled)


def _settled(ranking: Ranking, looks: Iterable[str]) -> str:
    """Why nothing more needs to be looked at; empty while something does."""
    if ranking.settled:
        return ranking.why
    return "" if looks else "Nothing that is left to look at would change what to do."


def _ranking(case: Case, knowledge: Knowledge) -> Ranking:
    """All open questions, best first."""
    from diag.answers import collect
    from diag.circumstances import establish
    from diag.compute import compute
    from diag.inference import prior, questions
    from diag.inference.network import compiled

    computed, _ = compute(case, knowledge)
    circumstances = establish(case, computed, knowledge)
    rates, _ = prior.rates(knowledge, case.point.kind, circumstances)
    network = compiled(knowledge, case.point.kind)
    return questions.rank(
        network,
        rates,
        collect(case, knowledge),
        circumstances,
        knowledge,
        limit=len(knowledge.questions),
        complaint=case.complaint,
    )


def urgency_now(case: Case, knowledge: Knowledge) -> Urgency:
    """May it keep turning, by what is known so far. The case needs its kind."""
    from diag.answers import collect
    from diag.circumstances import establish
    from diag.compute import compute
    from diag.urgency import judge

    computed, _ = compute(case, knowledge)
    circumstances = establish(case, computed, knowledge)
    return judge(case, collect(case, knowledge), circumstances, computed, knowledge)
