"""What a form does to a kept walk. Pure: the store keeps the result."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from diag.case import from_data
from diag.case.model import Case
from diag.errors import InputError
from diag.knowledgebase import Knowledge
from diag.walk import SAID, Step, Walk, answer, back, pass_over, unconfirmed
from diag.walk import kept as gone_through
from diag.walk.revise import with_values, without
from diag.web import forms
from diag.web.mind import Mind
from diag.web.store import Draft, Kept, Start

__all__ = ["StaleError", "about", "moved", "start_of"]


class StaleError(InputError):
    """The form belongs to a question that is no longer the one being asked."""


def start_of(fields: Draft, knowledge: Knowledge) -> Start:
    """What a start form says. Raises InputError for text that no case file could hold."""
    start = Start(
        title=" ".join(forms.first(fields, "title").split()),
        complaint=forms.first(fields, "complaint"),
        said=forms.first(fields, "said").replace("\r\n", "\n").strip(),
        units="us" if forms.first(fields, "units") == "us" else "metric",
    )
    _check(start, knowledge)
    return start


def _check(start: Start, knowledge: Knowledge) -> None:
    from_data({"point": {"kind": "rolling_bearing"}, **_values(start)}, "the form", knowledge)


def _values(start: Start) -> dict[str, Any]:
    pairs = {"title": start.title, "complaint": start.complaint, "said": start.said}
    return {key: value for key, value in pairs.items() if value}


def about(kept: Kept, start: Start, knowledge: Knowledge) -> Kept:
    """With title, complaint and own words as they are now; what is left empty is unknown again."""
    walk = kept.walk if start.said == kept.start.said else _unsaid(kept.walk, knowledge)
    case = walk.case
    if case.point.kind:
        cleared = replace(case, title=None, complaint=None, said=None)
        case = with_values(cleared, _values(start), knowledge)
    return replace(kept, start=start, walk=replace(walk, case=case))


def _unsaid(walk: Walk, knowledge: Knowledge) -> Walk:
    """Other words than before: what was taken out of the old ones goes, and the new ones are gone through anew."""
    given = walk.put(SAID)
    if given is None:
        return walk
    trail = tuple(g for g in walk.trail if g is not given)
    return Walk(without(walk.case, given.wrote, knowledge), trail)


def moved(kept: Kept, fields: Draft, mind: Mind) -> Kept:
    """After the button `do` of a question's form was pressed.

    Raises StaleError when another question is being asked by now, InputError when the answer can't be read.
    """
    step, do = mind.put(kept.walk), forms.first(fields, "do")
    if do == "back":
        return replace(kept, walk=_back(kept, mind.knowledge))
    if forms.first(fields, "step") != step.id or step.kind == "done":
        raise StaleError("That question was answered before, perhaps on another device. This one is open now.")
    if do in ("skip", "unsure"):
        return replace(kept, walk=pass_over(kept.walk, step, sure=do == "unsure"))
    reading = unconfirmed(kept.walk, mind.knowledge)
    if reading is not None:
        return replace(kept, walk=gone_through(kept.walk, reading, _struck(step, fields), "", mind.knowledge))
    walk = answer(kept.walk, step, forms.words(step, fields), mind.knowledge)
    after = replace(kept, walk=walk)
    return about(after, kept.start, mind.knowledge) if _has_begun(kept.walk.case, step) else after


def _back(kept: Kept, knowledge: Knowledge) -> Walk:
    """The walk before its last step; what was struck out of the own words comes back whole."""
    before = back(kept.walk, knowledge)
    if not kept.walk.put(SAID) or before.put(SAID) or not before.case.point.kind:
        return before
    return replace(before, case=with_values(before.case, {"said": kept.start.said}, knowledge))


def _struck(step: Step, fields: Draft) -> list[int]:
    """Numbers of what was read out of the own words and isn't ticked any more."""
    ticked = [] if forms.first(fields, "do") == "none" else fields.get("choice", [])
    return [number for number, choice in enumerate(step.choices, 1) if choice.key not in ticked]


def _has_begun(before: Case, step: Step) -> bool:
    """The kind was just told: what was said at the start can enter the case now."""
    return not before.point.kind and step.id == "fact:point.kind"
