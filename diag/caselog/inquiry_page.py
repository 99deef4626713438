"""The inquiry as a document: finished values, then a plain template, in Markdown or as one HTML file."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Literal, NamedTuple

from diag.caselog.chain import between, further
from diag.caselog.inquiry import UNKNOWN, Inquiry, Todo, guide_of, judged, known_by, next_step
from diag.caselog.model import LEADS
from diag.errors import InputError
from diag.report.layout import percent
from diag.report.worded import worded
from diag.wordtext import label

if TYPE_CHECKING:
    from diag.caselog.model import Record
    from diag.findings import Because
    from diag.knowledgebase import Knowledge
    from diag.report.figures import System

__all__ = ["Document", "document", "render"]

_TEMPLATES = Path(__file__).parent / "templates"
_ROWS = 6  # signs for a cause, and against it, strongest first
_SEEN_AT = {"lab": "laboratory", "opened": "inspection", "cleaned": "inspection"}
_MARKS = re.compile(r"([\\`*_{}\[\]<>#|~&])|^([-+]|\d+\.)(?=\s)")


class Link(NamedTuple):
    """One cause of the chain; `how`: by what the one before led to it, empty for the first."""

    name: str
    role: str
    known: str
    how: str


class Row(NamedTuple):
    """One line of the evidence table."""

    what: str
    speaks: str
    known: str


class Reply(NamedTuple):
    ask: str
    answer: str


class Task(NamedTuple):
    text: str
    due: str
    state: str


@dataclass(frozen=True, slots=True)
class Document:
    """Everything the templates show, in words."""

    title: str
    place: str
    record: str
    about: str
    timeline: tuple[str, ...]
    first_symptom: str
    failed_first: str
    chain: tuple[Link, ...]
    gap: str  # where no link of the knowledge joins root and mechanism
    evidence: tuple[Row, ...]
    proven: tuple[str, ...]
    inferred: tuple[str, ...]
    reasons: tuple[Reply, ...]
    other_reasons: str
    corrective: tuple[Task, ...]
    preventive: tuple[Task, ...]
    tell: tuple[str, ...]
    open: str  # what is still to be asked
    to_confirm: str  # command for what was told here as certain and the log doesn't hold as confirmed


def document(answers: Inquiry, record: Record, knowledge: Knowledge, system: System = "metric") -> Document:
    """Finished values of the inquiry of a record; what people told stands as they told it."""
    guide = guide_of(knowledge)
    links = worded(tuple(_links(answers, record, knowledge)), system)
    missing = next_step(answers, record, knowledge)
    return Document(
        title=record.title or record.place or label(record.kind),
        place=", ".join(part for part in (record.site, record.place) if part) or "not told",
        record=record.id,
        about=f"Case of {record.added[:10]}, judged by diag {record.version} with knowledge {record.knowledge}.",
        timeline=answers.timeline or (),
        first_symptom=_said(_sign_text(answers.first_symptom, knowledge)),
        failed_first=_said(guide.places.get(answers.failed_first or "", answers.failed_first)),
        chain=tuple(link for _, link in links),
        gap=_gap(answers, record, knowledge),
        evidence=(*_found(answers, record, knowledge), *worded(tuple(_reported(answers, record, knowledge)), system)),
        proven=tuple(f"{link.name} ({link.known})" for cause, link in links
                     if known_by(cause, answers, record) != "inference"),
        inferred=tuple(f"{link.name} ({link.known})" for cause, link in links
                       if known_by(cause, answers, record) == "inference"),
        reasons=worded(tuple(Reply(guide.reasons[r].ask, label(a)) for r, a in answers.reasons.items()), system),
        other_reasons="" if answers.other_reasons in (None, UNKNOWN) else str(answers.other_reasons),
        corrective=tuple(_task(t, answers, record) for t in answers.corrective or ()),
        preventive=tuple(_task(t, answers, record) for t in answers.preventive or ()),
        tell=answers.tell or (),
        open=f"Not finished; the next question is: {missing.text}" if missing else "",
        to_confirm=_to_confirm(answers, record))


def _to_confirm(answers: Inquiry, record: Record) -> str:
    """The command that lets the log learn it."""
    held = record.confirmation.causes if record.confirmation else ()
    sure = [c for c in dict.fromkeys((answers.root, answers.mechanism)) if c not in (None, UNKNOWN, *held)
            and known_by(str(c), answers, record) != "inference"]
    if not sure:
        return ""
    named = " ".join(f"--cause {c}" for c in (*held, *sure))
    by = known_by(str(sure[-1]), answers, record)
    return f"diag log confirm {record.id} {named} --by {by}"


def _sign_text(words: str | None, knowledge: Knowledge) -> str | None:
    """A file of answers may name a sign by its id."""
    return knowledge.signs[words].text if words in knowledge.signs else words


def _said(words: str | None) -> str:
    return "not known" if words in (None, UNKNOWN) else str(words)


def _links(answers: Inquiry, record: Record, knowledge: Knowledge) -> Iterator[tuple[str, Link]]:
    """Root to mechanism along the links, and one step on to damage that was likely or confirmed."""
    root, end = (None if c in (None, UNKNOWN) else str(c) for c in (answers.root, answers.mechanism))
    chain = between(root, end, knowledge, record.kind) if root and end else []
    chain = chain or [(c, "") for c in (root, end) if c]
    there = {p.id for p in judged(record) if p.probability >= LEADS}
    there |= set(record.confirmation.causes) if record.confirmation else set()
    chain += further(end, there - {c for c, _ in chain}, knowledge, record.kind) if end else []
    for cause, how in chain:
        known = knowledge.causes[cause]
        yield cause, Link(known.name, known.role, _known(cause, answers, record), how)


def _known(cause: str, answers: Inquiry, record: Record) -> str:
    by = known_by(cause, answers, record)
    if by != "inference":
        return f"confirmed by {by}"
    part = next((p for p in judged(record) if p.id == cause), None)
    return f"inference; at the review {percent(part.probability)}" if part else "inference"


def _gap(answers: Inquiry, record: Record, knowledge: Knowledge) -> str:
    root, end = answers.root, answers.mechanism
    if root in (None, UNKNOWN) or end in (None, UNKNOWN) or between(str(root), str(end), knowledge, record.kind):
        return ""
    names = [knowledge.causes[str(c)].name for c in (root, end)]
    return (f"No link of the knowledge leads from “{names[0]}” to “{names[1]}”: that step is told by this inquiry "
            "alone. Ask whether both were at work side by side.")


def _found(answers: Inquiry, record: Record, knowledge: Knowledge) -> Iterator[Row]:
    """What the inquiry added, then what the log holds as confirmed."""
    for found in answers.evidence or ():
        yield Row(found.text, "found in this inquiry", found.how)
    confirmation = record.confirmation
    if confirmation and confirmation.how != "unconfirmed":
        for cause in confirmation.causes:
            name = knowledge.causes[cause].name if cause in knowledge.causes else label(cause)
            yield Row(name, f"confirmed in the log on {confirmation.at[:10]}", confirmation.how)


def _reported(answers: Inquiry, record: Record, knowledge: Knowledge) -> Iterator[Row]:
    """What the case reported of root and mechanism."""
    chain = dict.fromkeys(c for c in (answers.root, answers.mechanism) if c)
    for part in (p for p in judged(record) if p.id in chain):
        for word, because in (("for", part.for_), ("against", part.against)):
            for one in because[:_ROWS]:
                yield Row(one.text, f"{word}: {part.name} (odds × {one.factor:.2g})", _seen_at(one, knowledge))


def _seen_at(because: Because, knowledge: Knowledge) -> str:
    """How a sign came to be known, by the stage of its question; what it says of a cause stays inference."""
    question = knowledge.question_of.get(because.id)
    if question is None:
        return "several signs together"
    return _SEEN_AT.get(knowledge.questions[question].stage, "seen or measured from outside")


def _task(todo: Todo, answers: Inquiry, record: Record) -> Task:
    held = next((a for a in record.actions if a.text == todo.do), None)
    due = todo.by or answers.look_again or "no day yet"
    return Task(todo.do, due, f"done {held.done[:10]}" if held and held.done else "open")


# -- templates -----------------------------------------------------------------------------------------------


def render(found: Document, form: Literal["md", "html"]) -> str:
    """The document as text. Raises InputError when the template library is missing."""
    if find_spec("jinja2") is None:
        raise InputError("the inquiry needs jinja2: pip install 'diag[log]'")
    from jinja2 import Environment, FileSystemLoader, StrictUndefined  # 40 ms that no other command of the log needs

    environment = Environment(loader=FileSystemLoader(_TEMPLATES), autoescape=form == "html", trim_blocks=True,
                              lstrip_blocks=True, undefined=StrictUndefined, keep_trailing_newline=True)
    environment.filters["plain"] = _plain
    return environment.get_template(f"inquiry.{form}").render(page=found)


def _plain(text: str) -> str:
    """Text that Markdown leaves as it is, on one line."""
    return _MARKS.sub(lambda m: f"\\{m[1]}" if m[1] else f"{m[2][:-1]}\\{m[2][-1]}", " ".join(text.split()))
