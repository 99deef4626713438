"""The shape of the network: nothing idle, nothing told twice, nothing too broad."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from diag.knowledgebase.checks.base import Found, causes_of, rule
from diag.knowledgebase.knowledge import Knowledge
from diag.knowledgebase.model import Kind, Option

MOST_CAUSES = 5  # a condition with more is one big table unless it is broad
MOST_WIDTH = 14  # cost follows 2^width


@rule("idle_condition", "error")
def idle_conditions(knowledge: Knowledge) -> Iterator[Found]:
    """A condition that no cause brings about, or of which no sign speaks."""
    for condition in knowledge.conditions.values():
        if not causes_of(knowledge, condition.id):
            yield f"conditions.{condition.id}", "no cause produces it"
        if not knowledge.signs_of[condition.id]:
            yield f"conditions.{condition.id}", "no sign speaks of it"


@rule("idle_sign", "error")
def idle_signs(knowledge: Knowledge) -> Iterator[Found]:
    """A sign that moves no cause anywhere."""
    for sign, option in knowledge.signs.items():
        place = f"questions.{knowledge.question_of[sign]}.{sign}"
        if not any(_moves(knowledge, option, kind) for kind in option.kinds):
            yield place, f"no cause produces {option.condition} where the sign is asked"
        if not _tells(knowledge, option):
            yield place, "is reported as often without its condition as with it"


@rule("asked_in_vain", "warning")
def signs_asked_in_vain(knowledge: Knowledge) -> Iterator[Found]:
    """A sign that is asked at a kind of point where it moves nothing."""
    for sign, option in knowledge.signs.items():
        question = knowledge.questions[knowledge.question_of[sign]]
        moved = [kind for kind in option.kinds if _moves(knowledge, option, kind)]
        for kind in option.kinds:
            if moved and kind not in moved and kind in question.kinds:
                yield f"questions.{question.id}.{sign}", f"moves nothing at a {kind}: leave it out there"


@rule("idle_question", "error")
def idle_questions(knowledge: Knowledge) -> Iterator[Found]:
    """A question of which no answer moves any cause."""
    for question in knowledge.questions.values():
        if not any(_tells(knowledge, o) and causes_of(knowledge, o.condition) for o in question.options):
            yield f"questions.{question.id}", "no answer to it moves any cause"


@rule("crowded_condition", "warning")
def crowded_conditions(knowledge: Knowledge) -> Iterator[Found]:
    """A condition with more causes than one table should hold, and not marked broad."""
    for condition in knowledge.conditions.values():
        most = max((len(causes_of(knowledge, condition.id, kind)) for kind in condition.kinds), default=0)
        if most > MOST_CAUSES and not condition.broad:
            text = f"{most} causes; mark it broad, or split it (at most {MOST_CAUSES})"
            yield f"conditions.{condition.id}", text


@rule("two_layers", "error")
def facts_in_two_layers(knowledge: Knowledge) -> Iterator[Found]:
    """A fact that is both a circumstance and a sign would count twice."""
    texts = {o.text.casefold(): sign for sign, o in knowledge.signs.items()}
    fed = {f"{r.where}.{r.id}" for r in knowledge.readings.values() if r.gives}
    if knowledge.complaints:
        fed.add("complaint")
    for circumstance in knowledge.circumstances.values():
        place = f"circumstances.{circumstance.id}"
        if circumstance.id in knowledge.signs or circumstance.text.casefold() in texts:
            yield place, "is a sign as well"
        if circumstance.path in fed:
            yield place, f"{circumstance.path} gives a sign as well"
        if circumstance.path.startswith("seen."):
            yield place, "reads a sign"


@rule("say_twice", "warning")
def phrases_of_two_signs(knowledge: Knowledge) -> Iterator[Found]:
    """One phrase that stands for two signs: free text could not tell which is meant."""
    meant: dict[str, list[str]] = defaultdict(list)
    for sign, ways in knowledge.sayings().items():
        for phrase in {p.casefold().strip() for p in (*ways.say, *ways.hint)}:
            meant[phrase].append(sign)
    for phrase, signs in meant.items():
        if len(signs) > 1:
            yield f"sayings.{signs[0]}", f"“{phrase}” is said of {' and '.join(signs)}"


@rule("dangling_saying", "error")
def sayings_without_a_sign(knowledge: Knowledge) -> Iterator[Found]:
    """Ways of naming a sign that is not there."""
    for sign in knowledge.sayings().keys() - knowledge.signs.keys():
        yield f"sayings.{sign}", "is no sign"


@rule("no_confirmation", "error")
def causes_without_confirmation(knowledge: Knowledge) -> Iterator[Found]:
    """A cause that nobody could confirm, or whose record doesn't say when it is wrong."""
    for cause in knowledge.causes.values():
        if not cause.confirm:
            yield f"causes.{cause.id}.confirm", "names no test that would confirm it"
        if not cause.wrong_if.strip():
            yield f"causes.{cause.id}.wrong_if", "doesn't say when it is wrong"


def _moves(knowledge: Knowledge, option: Option, kind: Kind) -> bool:
    served = kind in knowledge.conditions[option.condition].kinds
    return served and bool(causes_of(knowledge, option.condition, kind))


def _tells(knowledge: Knowledge, option: Option) -> bool:
    return knowledge.level("report", option.if_true) != knowledge.level("false_report", option.if_false)
