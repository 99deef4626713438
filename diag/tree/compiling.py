"""Compiles the policy into a tree: the steps that `diag ask` would put, down every answer that is likely enough."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import cast

import msgspec

from diag.case.model import Kind
from diag.findings import Findings
from diag.knowledgebase import Knowledge
from diag.knowledgebase.model import Cause, RemedyClass
from diag.review import LEADS, review
from diag.tree.model import Advice, Branch, Leaf, Look, Node, Tree
from diag.walk import Step, Walk, answer, chances, next_step, pass_over
from diag.walk.facts import COMPLAINT, KIND

__all__ = ["COMPLAINTS", "DEPTH", "LEAST_REACH", "alike", "compile_tree"]

# A plan is no complaint: there is nothing to find.
COMPLAINTS = {word: text for word, text in COMPLAINT.labels.items() if word != "planning"}

DEPTH = 5
# Answers that fewer cases than this come to end with the advice as it stands there: a card for one case in a
# hundred isn't carried (judgement). So do answers that mean stop now: what follows is done at a standing machine.
LEAST_REACH = 0.04
_ON_EVERY_CARD = ("local_rules", "power_off_blocked", "rotating_parts", "hot_surfaces")
_TAGS = {
    "keep": "disassembly", "replace_part": "disassembly", "adjust_regreasing": "greasing", "purge_same": "purge",
    "purge_and_switch": "purge", "strip_clean_same": "cleaning", "strip_clean_and_switch": "cleaning",
}
_NOTHING = "no cause stands out yet: go on with diag ask"


@dataclass(frozen=True)
class _Place:
    """Where the compiling stands. `reach`: share of the cases that come here; `left`: looks that may follow."""

    walk: Walk
    reach: float
    left: int


def compile_tree(knowledge: Knowledge, kind: Kind, complaint: str, depth: int = DEPTH,
                 least_reach: float = LEAST_REACH) -> Tree:
    """The tree for a kind of point and a complaint, at most `depth` looks deep.

    Facts of the point are left unknown (`?`), as on paper nobody computes with them. Cost: one ranking a look and
    one review a leaf, some 0.1 s each: about `1 / least_reach` of both.
    """
    start = _begun(knowledge, kind, complaint)
    found = review(start.case, knowledge, text=False)
    walk, passed, step = _to_next_look(start, knowledge)
    root = _node(_Place(walk, 1.0, depth), step, (), knowledge, least_reach)
    signs = [o.text for q in knowledge.questions.values() for o in q.options
             if o.urgency == "stop_now" and kind in o.kinds and q.stage == "running"]
    return Tree(kind=kind, complaint=complaint, depth=depth, knowledge=knowledge.fingerprint,
                stop_signs=tuple(dict.fromkeys(signs)), stop_if=found.urgency.stop_if,
                before_work=tuple(knowledge.cautions[c].text for c in _ON_EVERY_CARD), passed=passed, root=root)


def _begun(knowledge: Knowledge, kind: str, complaint: str) -> Walk:
    """A walk after what it is and what brings somebody here."""
    walk = Walk()
    for fact, word in ((KIND, kind), (COMPLAINT, complaint)):
        step = next_step(walk, knowledge)
        assert step.id == fact.id
        walk = answer(walk, step, word, knowledge)
    return walk


def _to_next_look(walk: Walk, knowledge: Knowledge) -> tuple[Walk, tuple[tuple[str, str], ...], Step]:
    """Past the steps that paper doesn't ask, to a look or the end."""
    passed: list[tuple[str, str]] = []
    step = next_step(walk, knowledge)
    while step.kind not in ("look", "done") and not step.settled:
        typed = "yes" if step.kind == "gate" else "?"
        walk = answer(walk, step, typed, knowledge)
        passed.append((step.id, typed))
        step = next_step(walk, knowledge)
    return walk, tuple(passed), step


def _node(place: _Place, step: Step, passed: tuple[tuple[str, str], ...], knowledge: Knowledge, least: float) -> Node:
    """The look that comes next with its branches, or the advice where paper ends."""
    if step.kind != "look" or place.left == 0 or place.reach < least:
        return _leaf(place.walk, step.kind == "look", knowledge)
    question = knowledge.questions[step.id.removeprefix("look:")]
    branches = _merged([_branch(place, step, typed, words, chance, knowledge, least)
                        for typed, words, chance in _answers(place.walk, step, knowledge)])
    return Look(step=step.id, text=step.text, how=step.how, stage=question.stage, cautions=step.cautions,
                passed=passed, branches=branches,
                unsure=_leaf(pass_over(place.walk, step, sure=True), True, knowledge).advice)


def _answers(walk: Walk, step: Step, knowledge: Knowledge) -> list[tuple[str, str, float]]:
    """(typed, words, chance) of each single tick, then of none.

    The chance of none is exact; the rest is shared among the ticks as each is likely, since on paper one row is
    followed.
    """
    *ticked, none = chances(walk, step, knowledge)
    seen = sum(ticked)
    shares = [(1 - none) * c / seen for c in ticked]
    told = [(str(n), choice.text, share) for n, (choice, share) in enumerate(zip(step.choices, shares, strict=True), 1)]
    return [*told, ("0", "none of these", none)]


def _branch(place: _Place, step: Step, typed: str, words: str, chance: float, knowledge: Knowledge, least: float
            ) -> Branch:
    walk = answer(place.walk, step, typed, knowledge)
    urgent = [knowledge.signs[s] for s, degree in walk.case.seen.items()
              if degree == "yes" and s not in place.walk.case.seen]
    stop = next((o.why_urgent or o.text for o in urgent if o.urgency == "stop_now"), "")
    reach = place.reach * chance
    below = _Place(walk, reach, place.left - 1)
    if stop or reach < least or below.left == 0:
        to: Node = _leaf(walk, True, knowledge)
    else:
        further, passed, following = _to_next_look(walk, knowledge)
        to = _node(replace(below, walk=further), following, passed, knowledge, least)
    return Branch(answers=(words,), typed=(typed,), chance=chance, urgent=stop, to=to)


def _leaf(walk: Walk, more: bool, knowledge: Knowledge) -> Leaf:
    found = review(walk.case, knowledge, text=False)
    first, stop = found.causes[0], found.urgency.level == "stop_now"
    if first.probability < LEADS:
        nothing = Advice(cause="", name=_NOTHING, check="", remedy="", caution="")
        return Leaf(advice=nothing, probability=first.probability, stop=stop, more=more)
    cause = knowledge.causes[first.id]
    remedy = _remedy(found, cause, knowledge)
    advice = Advice(cause=cause.id, name=cause.name, check=next(iter(first.confirm), ""), remedy=remedy.text,
                    caution=_caution(remedy, knowledge))
    return Leaf(advice=advice, probability=first.probability, stop=stop, more=more)


def _remedy(found: Findings, cause: Cause, knowledge: Knowledge) -> RemedyClass:
    """The cause's own work; waiting where the review holds that back."""
    own = knowledge.remedies[cause.remedy.class_]
    if found.changeover.action == "wait_and_watch" and not own.not_the_grease:
        return next(r for r in knowledge.remedies.values() if r.action == "wait_and_watch")
    return own


def _caution(remedy: RemedyClass, knowledge: Knowledge) -> str:
    """The first thing to mind at such work, beside what stands on every card."""
    tag = _TAGS.get(remedy.action)
    return next((c.text for c in knowledge.cautions.values() if tag in c.before and c.id not in _ON_EVERY_CARD), "")


def _merged(branches: Sequence[Branch]) -> tuple[Branch, ...]:
    """Branches that come to the same advice become one; urgent ones stay apart, and stand first."""
    found: dict[bytes, Branch] = {}
    for branch in sorted(branches, key=lambda b: not b.urgent):
        key = _signature(branch)
        found[key] = _joined(found[key], branch) if key in found else branch
    return tuple(found.values())


def _joined(one: Branch, other: Branch) -> Branch:
    urgent = "; or ".join(dict.fromkeys((one.urgent, other.urgent)))
    return Branch(answers=(*one.answers, *other.answers), typed=(*one.typed, *other.typed),
                  chance=one.chance + other.chance, urgent=urgent, to=_likelier(one.to, other.to))


def _likelier(one: Node, other: Node) -> Node:
    """Of two nodes of the same advice: leaves keep the lower probability."""
    if isinstance(one, Leaf) and isinstance(other, Leaf):
        return one if one.probability <= other.probability else other
    return one


def _signature(branch: Branch) -> bytes:
    """What two branches must share to be one: urgency, and all that follows."""
    return str(bool(branch.urgent)).encode() + alike(cast(Node, branch.to))


def alike(node: Node) -> bytes:
    """The same for two nodes of which all questions, answers and advice are the same, whatever their chances."""
    return msgspec.json.encode(_bare(node))


def _bare(node: Node) -> object:
    if isinstance(node, Leaf):
        return node.advice, node.stop
    rest = [(b.typed, b.urgent, _bare(cast(Node, b.to))) for b in node.branches]
    return (node.step, node.passed, node.unsure, rest)
