"""What a log teaches: `diag log experience`, `similar` and `inquiry`."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import msgspec

from diag import knowledgebase, yamltext
from diag.case import read_text, replace_file
from diag.caselog import experience_page
from diag.caselog.experience import learn
from diag.caselog.inquiry import Inquiry, Step, kept, new_actions, next_step, steps
from diag.caselog.inquiry import read as read_answers
from diag.caselog.inquiry_page import document, render
from diag.caselog.similar import facts, lines, nearest
from diag.cli.log_commands import opened
from diag.cli.output import put, put_part
from diag.cli.reading import read
from diag.errors import Fault, InputError
from diag.report import json
from diag.report.figures import System
from diag.report.layout import paragraph
from diag.report.worded import worded

if TYPE_CHECKING:
    from diag.caselog.model import Record
    from diag.caselog.store import Store
    from diag.knowledgebase import Knowledge

__all__ = ["experience", "inquiry", "similar"]

_HELP = (
    "number      take that answer         -       nothing to say, or not known",
    "back        undo the last answer     quit    stop here; all is saved, the same command goes on",
)


def experience(site: str, as_json: bool, log: str) -> None:
    """`diag log experience`"""
    knowledge = knowledgebase.load()
    learnt = learn(opened(log).each(), knowledge, site)
    if as_json:
        put(json.text(experience_page.facts(learnt, knowledge)))
    else:
        put("\n".join(experience_page.lines(learnt, knowledge)))


def similar(name: str, most: int, as_json: bool, units: System, log: str) -> None:
    """`diag log similar`: of a case file, or of a case in the log by its id."""
    knowledge, store = knowledgebase.load(), opened(log)
    if name == "-" or name.endswith((".yaml", ".yml")) or Path(name).is_file():
        case, own = read(name, knowledge), ""
    else:
        record = store.get(name)
        case, own = read_text(record.case, record.id, knowledge), record.id
    found = nearest(case, (r for r in store.each() if r.id != own), knowledge, most)
    put(json.text(facts(found)) if as_json else "\n".join(lines(found, knowledge, units)))


@dataclass
class _Sitting:
    """One inquiry: where it is kept, and its answers so far."""

    store: Store
    record: Record
    knowledge: Knowledge
    answers: Inquiry
    units: System

    def keep(self, answers: Inquiry) -> None:
        """On the disk, with the actions that are new, when it returns."""
        actions = new_actions(answers, self.record)
        self.store.keep_inquiry(self.record.id, msgspec.to_builtins(answers), actions)
        self.answers, self.record = answers, self.store.get(self.record.id)


def inquiry(name: str, answers: str, out: str, units: System, log: str) -> None:
    """`diag log inquiry`: ask what is still open, or take the answers of a file, then print or write the document."""
    form = _form(out)
    sitting = _begun(name, units, log)
    if answers:
        sitting.keep(_merged(sitting.answers, answers, sitting.knowledge))
    elif not _converse(sitting):
        put(f"\nAll is saved. Go on: diag log inquiry {sitting.record.id}")
        return
    text = render(document(sitting.answers, sitting.record, sitting.knowledge, units), form)
    if out:
        _write(out, text)
        put(f"Written to {out}.")
    else:
        put(text)


def _form(out: str) -> Literal["md", "html"]:
    """By the ending of the file; Markdown on the screen."""
    if out.lower().endswith((".html", ".htm")):
        return "html"
    if out and not out.lower().endswith(".md"):
        raise InputError(Fault("name a file that ends in .md or .html", out))
    return "md"


def _begun(name: str, units: System, log: str) -> _Sitting:
    knowledge, store = knowledgebase.load(), opened(log)
    record = store.get(name)
    kept_before = record.inquiry
    answers = read_answers(kept_before, f"inquiry of {record.id}", knowledge) if kept_before else Inquiry()
    return _Sitting(store, record, knowledge, answers, units)


def _merged(before: Inquiry, name: str, knowledge: Knowledge) -> Inquiry:
    """The answers of a file over those kept before."""
    data = yamltext.to_data(yamltext.read_file(name))
    given = read_answers(data, name, knowledge)
    new = {key: getattr(given, key) for key in data}
    if "reasons" in new:
        new["reasons"] = before.reasons | new["reasons"]
    return msgspec.structs.replace(before, **new)


def _converse(sitting: _Sitting) -> bool:
    """True when all was answered, False when the person left; end of input and Ctrl-C leave like `quit`."""
    try:
        while (step := next_step(sitting.answers, sitting.record, sitting.knowledge)) is not None:
            if not _put(sitting, step):
                return False
    except KeyboardInterrupt:
        return False
    return True


def _put(sitting: _Sitting, step: Step) -> bool:
    """Ask until there is an answer that can be kept; False when the person leaves.

    A suggestion that is taken is kept in the words in which it was read.
    """
    step = worded(step, sitting.units)
    put("\n".join(_shown(step)))
    while True:
        typed = _typed(step)
        if typed is None or (word := " ".join(typed).casefold()) in ("quit", "exit", "q"):
            return False
        if word in ("help", "h", "?"):
            put("\n".join(_HELP))
        elif word == "back":
            _back(sitting, step)
            return True
        else:
            try:
                sitting.keep(kept(sitting.answers, step, typed, sitting.knowledge))
                return True
            except InputError as fault:
                put("\n".join(paragraph(f"{fault.faults[0].what}.", 2)))


def _shown(step: Step) -> list[str]:
    lines = ["", *paragraph(step.text), *paragraph(step.how, 2)]
    for number, (_, text) in enumerate(step.choices, 1):
        lines += paragraph(text, 2, f"{number:>2}  ")
    return lines


def _typed(step: Step) -> Sequence[str] | None:
    """One line, or lines up to an empty one; None at the end of input."""
    lines: list[str] = []
    while True:
        put_part("> ")
        line = sys.stdin.readline()
        if not line:
            return None
        if step.form not in ("lines", "evidence", "todo"):
            return [line.strip()]
        if not line.strip():
            return lines
        lines.append(line.strip())
        if len(lines) == 1 and lines[0].casefold() in ("quit", "exit", "q", "back", "help", "h", "?", "-"):
            return lines


def _back(sitting: _Sitting, step: Step) -> None:
    """Ask the question before once more. Actions agreed already stay in the log."""
    before = None
    for one in steps(sitting.answers, sitting.record, sitting.knowledge):
        if one.key == step.key:
            break
        before = one
    if before is None:
        put("  This is the first question.")
        return
    name, _, reason = before.key.partition(".")
    left = {r: a for r, a in sitting.answers.reasons.items() if r != reason} if reason else None
    sitting.keep(msgspec.structs.replace(sitting.answers, **{name: left}))


def _write(out: str, text: str) -> None:
    try:
        replace_file(Path(out), text.encode())
    except (OSError, ValueError) as error:
        raise InputError(Fault(f"can't be written ({getattr(error, 'strerror', None) or error})", out)) from None
