"""The review after a failure: what is asked, in which order, and what was answered. No screen, no database here.

From the timeline to the mechanism, its root, the reasons in the work that let it happen, and what is done about them.
Reasons speak of things, lists and places: nobody is named. Texts and reasons by cause: standards/inquiry.yaml.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

import msgspec

from diag.case.words import nearest
from diag.caselog.chain import between, roots_of
from diag.caselog.model import Day, How
from diag.errors import Fault, InputError
from diag.wordtext import label

if TYPE_CHECKING:
    from diag.caselog.model import Record
    from diag.findings import CausePart
    from diag.knowledgebase import Knowledge

__all__ = ["UNKNOWN", "Evidence", "Form", "Guide", "Inquiry", "KnownBy", "Step", "Todo", "guide_of", "judged", "kept",
           "known_by", "new_actions", "next_step", "read", "steps"]

KnownBy = Literal["inspection", "laboratory", "inference"]
Form = Literal["lines", "text", "choice", "evidence", "todo", "day"]
YesNo = Literal["yes", "no", "unknown"]
UNKNOWN = "unknown"


class Evidence(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    how: KnownBy
    text: str


class Todo(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """An action, and the day to look whether it is done and helps."""

    do: str
    by: Day | None = None


class Inquiry(msgspec.Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True, kw_only=True):
    """The answers; None: not asked yet, empty or `unknown`: asked and nothing known."""

    timeline: tuple[str, ...] | None = None
    first_symptom: str | None = None
    failed_first: str | None = None  # id of a place of the guide, or own words
    mechanism: str | None = None  # cause id or `unknown`
    mechanism_known: KnownBy | None = None
    root: str | None = None
    root_known: KnownBy | None = None
    evidence: tuple[Evidence, ...] | None = None
    reasons: dict[str, YesNo] = {}
    other_reasons: str | None = None
    corrective: tuple[Todo, ...] | None = None
    preventive: tuple[Todo, ...] | None = None
    look_again: Day | None = None  # for actions without a day of their own
    tell: tuple[str, ...] | None = None


class Reason(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    ask: str
    prevent: str


class Guide(msgspec.Struct, frozen=True):
    """standards/inquiry.yaml"""

    places: dict[str, str]
    reasons: dict[str, Reason]
    always: tuple[str, ...]
    by_cause: dict[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Step:
    """One question. `choices`: (id, text) to take by number; in `lines` and `todo` they are suggestions."""

    key: str  # field of Inquiry, or `reasons.<id>`
    text: str
    how: str
    form: Form
    choices: tuple[tuple[str, str], ...] = ()


_KNOWN = (("inspection", "seen on the opened or washed part, or measured on it"),
          ("laboratory", "a laboratory or bench test says so"),
          ("inference", "it fits best, but nothing proves it"))
_YES_NO = (("yes", "yes"), ("no", "no"), (UNKNOWN, "not known"))
_LINE = "One a line; an empty line ends."
_DATED = "One a line, such as: Label the gun by 2027-03-31. A number takes the suggestion. An empty line ends."


def guide_of(knowledge: Knowledge) -> Guide:
    return msgspec.convert(knowledge.standard("inquiry"), Guide)


def read(data: Any, place: str, knowledge: Knowledge) -> Inquiry:
    """Answers from plain data, such as a YAML file. Raises InputError, placed, for what isn't legal."""
    unknown = [key for key in data if key not in Inquiry.__struct_fields__]
    if unknown:
        near = nearest(unknown[0], Inquiry.__struct_fields__)
        hint = f"did you mean {near}?" if near else f"legal are {', '.join(Inquiry.__struct_fields__)}"
        raise InputError(Fault(f"unknown key; {hint}", place, unknown[0]))
    try:
        found = msgspec.convert(data, Inquiry)
    except msgspec.ValidationError as error:
        raise InputError(Fault(f"is no answer to the inquiry: {error}", place)) from None
    _check(found, place, knowledge)
    return found


def _check(answers: Inquiry, place: str, knowledge: Knowledge) -> None:
    """What types can't say: ids that exist, days that exist."""
    for key, cause in (("mechanism", answers.mechanism), ("root", answers.root)):
        if cause is not None:
            _legal(cause, (UNKNOWN, *knowledge.causes), place, key)
    for reason in answers.reasons:
        _legal(reason, tuple(guide_of(knowledge).reasons), place, "reasons")
    todos = (*(answers.corrective or ()), *(answers.preventive or ()))
    for day in (answers.look_again, *(t.by for t in todos)):
        if day:
            _day(day, place)


def _legal(word: str, legal: Sequence[str], place: str, key: str) -> None:
    if word not in legal:
        near = nearest(word, legal)
        raise InputError(Fault(f"there is no {word!r}{f'; did you mean {near}?' if near else ''}", place, key))


def _day(typed: str, place: str = "") -> str:
    from datetime import date

    try:
        return date.fromisoformat(typed).isoformat()
    except ValueError:
        raise InputError(Fault(f"{typed!r} is no day; give it like 2027-03-31", place)) from None


# -- what is asked -------------------------------------------------------------------------------------------


def next_step(answers: Inquiry, record: Record, knowledge: Knowledge) -> Step | None:
    """The first question that has no answer yet; None when all have one."""
    return next((s for s in steps(answers, record, knowledge) if not _answered(answers, s.key)), None)


def _answered(answers: Inquiry, key: str) -> bool:
    name, _, reason = key.partition(".")
    return reason in answers.reasons if reason else getattr(answers, name) is not None


def steps(answers: Inquiry, record: Record, knowledge: Knowledge) -> Iterator[Step]:
    """All questions as far as the answers show them, in their order."""
    guide = guide_of(knowledge)
    yield Step("timeline", "What happened when? Begin with the last time that all was well.",
               f"A day and what happened, such as: 2027-02-03 greased, yellow tube. {_LINE}", "lines")
    yield Step("first_symptom", "What was the very first thing anybody noticed?",
               "A number or your own words; - when nobody knows.", "text", _noticed(record, knowledge))
    yield Step("failed_first", "What failed first, as far as can be told?", "A number or your own words.", "text",
               (*guide.places.items(), (UNKNOWN, "not known")))
    yield from _cause_steps(answers, record, knowledge)
    yield Step("evidence", "What else was found that proves or speaks against it?",
               f"inspection:, laboratory: or inference:, then what, such as laboratory: 2 % water. {_LINE}", "evidence")
    for reason in reasons_asked(answers, guide, knowledge, record):
        yield Step(f"reasons.{reason}", guide.reasons[reason].ask, "", "choice", _YES_NO)
    yield Step("other_reasons", "Why else could it happen?",
               "Things, lists and places, no names of people; - for none.", "text")
    yield from _action_steps(answers, record, knowledge, guide)


def _cause_steps(answers: Inquiry, record: Record, knowledge: Knowledge) -> Iterator[Step]:
    """Mechanism and root, and how each is known where the log doesn't say it already."""
    yield Step("mechanism", "By what did it fail in the end?", "The last link of the chain that can be named.",
               "choice", _named(_suspects(record, knowledge), knowledge))
    if answers.mechanism not in (None, UNKNOWN) and not _confirmed(answers.mechanism, record):
        yield Step("mechanism_known", "How is that known?", "", "choice", _KNOWN)
    yield Step("root", "What was at its root?", "What had to be otherwise for it not to happen.", "choice",
               _named(_roots(answers.mechanism, record, knowledge), knowledge))
    if answers.root not in (None, UNKNOWN, answers.mechanism) and not _confirmed(answers.root, record):
        yield Step("root_known", "How is that known?", "", "choice", _KNOWN)


def _action_steps(answers: Inquiry, record: Record, knowledge: Knowledge, guide: Guide) -> Iterator[Step]:
    remedies = [knowledge.causes[c].remedy for c in _causes(answers)]
    cures = [text for remedy in remedies for text in (*remedy.other, *remedy.grease)]
    prevents = [guide.reasons[r].prevent for r, held in answers.reasons.items() if held == "yes"]
    yield Step("corrective", "What puts this point right?", _DATED, "todo", _suggested(cures))
    yield Step("preventive", "What keeps it from happening again, here and elsewhere?", _DATED, "todo",
               _suggested(prevents))
    if any(t.by is None for t in (*(answers.corrective or ()), *(answers.preventive or ()))):
        yield Step("look_again", "On which day are the actions without a day looked at again?",
                   "Such as 2027-03-31.", "day")
    yield Step("tell", "What should the others know?", f"A number takes the suggestion. {_LINE}", "lines",
               _suggested(_lessons(answers, record, knowledge)))


def reasons_asked(answers: Inquiry, guide: Guide, knowledge: Knowledge, record: Record) -> tuple[str, ...]:
    """Reasons by cause along the chain, root first, then those that are always asked."""
    chain = list(_causes(answers))
    if len(chain) == 2:
        chain += [c for c, _ in between(chain[0], chain[1], knowledge, record.kind) if c not in chain]
    return tuple(dict.fromkeys((*(r for c in chain for r in guide.by_cause.get(c, ())), *guide.always)))


def _causes(answers: Inquiry) -> tuple[str, ...]:
    """Root and mechanism as far as they are named."""
    return tuple(dict.fromkeys(c for c in (answers.root, answers.mechanism) if c not in (None, UNKNOWN)))


def _noticed(record: Record, knowledge: Knowledge) -> tuple[tuple[str, str], ...]:
    """Signs that spoke for the suspects on the day of the review."""
    suspects = [part for part in judged(record) if part.id in record.suspected]
    texts = [b.text for part in suspects for b in part.for_ if b.id in knowledge.signs]
    return tuple((t, t) for t in dict.fromkeys(texts))


def _suspects(record: Record, knowledge: Knowledge) -> tuple[str, ...]:
    """Confirmed causes, then likely ones, then what these lead to."""
    confirmed = record.confirmation.causes if record.confirmation else ()
    found = [c for c in (*confirmed, *record.suspected) if c in knowledge.causes]
    ends = [link.cause for c in found for link in knowledge.causes[c].leads_to if record.kind in link.kinds]
    return tuple(dict.fromkeys((*found, *ends)))


def _roots(mechanism: str | None, record: Record, knowledge: Knowledge) -> tuple[str, ...]:
    """Causes that lead to the mechanism, suspects first; then the mechanism itself and the other suspects."""
    suspects = _suspects(record, knowledge)
    if mechanism in (None, UNKNOWN):
        return suspects
    before = roots_of(str(mechanism), knowledge, record.kind)
    likely = [c for c in suspects if c in before]
    return tuple(dict.fromkeys((*likely, str(mechanism), *before, *suspects)))


def _named(causes: Sequence[str], knowledge: Knowledge) -> tuple[tuple[str, str], ...]:
    return (*((c, knowledge.causes[c].name) for c in causes), (UNKNOWN, "not known, or something else"))


def _suggested(texts: Sequence[str]) -> tuple[tuple[str, str], ...]:
    return tuple((t, t) for t in dict.fromkeys(texts))


def _lessons(answers: Inquiry, record: Record, knowledge: Knowledge) -> list[str]:
    names = [knowledge.causes[c].name for c in _causes(answers)]
    if not names:
        return []
    came = f"{names[-1]}, which came from: {names[0]}" if len(names) == 2 else names[0]
    signs = [text for _, text in _noticed(record, knowledge)][:2]
    look = f" Look at your points for: {'; '.join(signs)}." if signs else ""
    return [f"At {record.place or f'a {label(record.kind)}'} we had: {came}.{look}"]


def _confirmed(cause: str | None, record: Record) -> bool:
    found = record.confirmation
    return found is not None and found.how != "unconfirmed" and cause in found.causes


def known_by(cause: str, answers: Inquiry, record: Record) -> KnownBy:
    """How a cause of the chain is known: as the log has it, else as the inquiry was told, else by inference."""
    if _confirmed(cause, record) and record.confirmation:
        how: How = record.confirmation.how
        return "laboratory" if how == "laboratory" else "inspection"
    told = {answers.root: answers.root_known, answers.mechanism: answers.mechanism_known}
    return told.get(cause) or "inference"


def judged(record: Record) -> tuple[CausePart, ...]:
    """Causes as judged on the day; () where the findings have another schema than this program's."""
    try:
        return record.judged.causes
    except msgspec.ValidationError:
        return ()


# -- what is answered ----------------------------------------------------------------------------------------


def kept(answers: Inquiry, step: Step, typed: Sequence[str], knowledge: Knowledge) -> Inquiry:
    """The answers with this one; `typed`: the lines, without the empty one. Raises InputError."""
    lines = [" ".join(line.split()) for line in typed if line.strip() not in ("", "-")]
    value = _VALUES[step.form](step, lines)
    name, _, reason = step.key.partition(".")
    new = {name: answers.reasons | {reason: value}} if reason else {name: value}
    found = msgspec.structs.replace(answers, **new)
    _check(found, "", knowledge)
    return found


def _lines(step: Step, lines: Sequence[str]) -> tuple[str, ...]:
    return tuple(_picked(step, line) or line for line in lines)


def _text(step: Step, lines: Sequence[str]) -> str:
    if len(lines) == 1 and (picked := _picked(step, lines[0])):
        return picked
    return " ".join(lines) or UNKNOWN


def _choice(step: Step, lines: Sequence[str]) -> str:
    """By number, id or text; nothing is unknown where that can be chosen."""
    legal = {word.casefold(): key for key, text in step.choices for word in (key, label(key), text)}
    typed = " ".join(lines) or UNKNOWN
    picked = _picked(step, typed) or legal.get(typed.casefold())
    if picked is None:
        raise InputError(f"{typed!r} is none of the answers; give a number from 1 to {len(step.choices)}")
    return picked


def _evidence(step: Step, lines: Sequence[str]) -> tuple[Evidence, ...]:
    found = []
    for line in lines:
        how, colon, text = line.partition(":")
        if not colon or how.casefold() not in ("inspection", "laboratory", "inference") or not text.strip():
            raise InputError(f"{line!r} doesn't say how it is known; begin with inspection:, laboratory: or inference:")
        found.append(msgspec.convert({"how": how.casefold(), "text": text.strip()}, Evidence))
    return tuple(found)


def _todo(step: Step, lines: Sequence[str]) -> tuple[Todo, ...]:
    """`TEXT by DAY`; a number stands for a suggestion."""
    found = []
    for line in lines:
        words, _, day = line.rpartition(" by ")
        dated = bool(words) and day[:1].isdigit()
        text = words if dated else line
        found.append(Todo(_picked(step, text) or text, _day(day) if dated else None))
    return tuple(found)


def _day_typed(step: Step, lines: Sequence[str]) -> str:
    return _day(" ".join(lines))


def _picked(step: Step, typed: str) -> str | None:
    """The choice of a number."""
    if typed.isdecimal() and 1 <= int(typed) <= len(step.choices):
        return step.choices[int(typed) - 1][0]
    return None


_VALUES = {"lines": _lines, "text": _text, "choice": _choice, "evidence": _evidence, "todo": _todo, "day": _day_typed}


def new_actions(answers: Inquiry, record: Record) -> tuple[tuple[str, str | None], ...]:
    """Actions (text, day) of the inquiry that the log doesn't hold yet. None while a day is still to be asked for."""
    todos = (*(answers.corrective or ()), *(answers.preventive or ()))
    held = {a.text for a in record.actions}
    dated = [(t.do, t.by or answers.look_again) for t in todos]
    return tuple((text, day) for text, day in dict(dated).items() if day and text not in held)
