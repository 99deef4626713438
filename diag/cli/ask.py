"""`diag ask`: puts the steps of a walk to a person, in a terminal or a pipe. `walk` decides what is asked."""

from __future__ import annotations

import sys
from dataclasses import dataclass, field
from pathlib import Path

from diag import knowledgebase
from diag.cli import savefile
from diag.cli.experience import with_log
from diag.cli.output import put, put_part
from diag.errors import InputError
from diag.findings import Urgency
from diag.knowledgebase import Knowledge
from diag.report import terminal
from diag.report.figures import System
from diag.report.layout import paragraph, percent
from diag.report.parts.urgency import preserve, urgency
from diag.report.worded import worded, worded_knowledge
from diag.review import review
from diag.walk import (
    Step,
    Walk,
    answer,
    back,
    consequences,
    kept,
    next_step,
    pass_over,
    struck,
    told,
    unconfirmed,
    urgency_now,
)
from diag.words import Reading
from diag.wordtext import label

__all__ = ["ask"]

_HELP = (
    "number(s)   what you see, several with a blank between; 2? probably, -2 looked and not there",
    "0           none of these        ?, unknown   not sure, or can't be known",
    "skip        leave this one       back         undo the last answer",
    "why         why it is asked      so far       what is thought up to now",
    "quit        stop here; all is saved, and the same command goes on",
    "A quantity is typed with its unit: 85 degC, 185 F, 1450 rpm, 3 weeks.",
    "Your own words are read too, such as: no leak, but it squeals when cold.",
)
_KNOWN_URGENT = ("stop_now", "stop_soon")


@dataclass
class _Session:
    """One sitting: the walk, where it is kept, and what was said already."""

    path: Path
    knowledge: Knowledge
    units: System
    walk: Walk
    warned: set[str] = field(default_factory=set)
    cautioned: set[str] = field(default_factory=set)
    settled: bool = False


def ask(name: str | None, units: System, experience: bool = True) -> None:
    """Ask until settled or left; end of input and Ctrl-C leave like `quit`, with all saved.

    `experience`: with what the log teaches.
    """
    path = savefile.begin(name)
    knowledge = knowledgebase.load()
    walk = savefile.load(path, knowledge)
    if experience:
        knowledge = with_log(knowledge, walk.case.case.site)
    session = _Session(path, knowledge, units, walk)
    _greet(session)
    try:
        ended = _converse(session)
    except KeyboardInterrupt:
        ended = False
    if ended:
        _finish(session)
    else:
        _leave(session)


def _greet(session: _Session) -> None:
    new = not session.walk.case.point.kind
    lines = paragraph(f"{'Each answer is saved in' if new else 'Going on with'} {session.path}.")
    if not new:
        lines += paragraph(f"{len(session.walk.trail)} questions were put before. Answers are saved there.")
    put("\n".join([*lines, "Type help for the words you can use; quit leaves, and nothing is lost."]))


def _converse(session: _Session) -> bool:
    """True when the walk came to its end, False when the person left."""
    before = unconfirmed(session.walk, session.knowledge)
    if before is not None and not _confirm(session, before, ""):
        return False
    while True:
        _warn(session)
        step = next_step(session.walk, session.knowledge)
        _say_settled(session, step)
        if step.kind == "done":
            return True
        put("\n".join(_shown(worded(step, session.units), session)))
        if not _put_step(session, step):
            return False


def _put_step(session: _Session, step: Step) -> bool:
    """Read lines until the walk has moved; False when the person leaves."""
    before = session.walk
    while session.walk is before:
        line = _read_line()
        if line is None or line.lower() in ("quit", "exit", "q"):
            return False
        if not _take(session, step, line):
            return False
    savefile.save(session.path, session.walk)
    return True


def _read_line() -> str | None:
    """One line without its end; None at the end of input."""
    put_part("> ")
    line = sys.stdin.readline()
    return line.strip() if line else None


def _take(session: _Session, step: Step, line: str) -> bool:
    """One line typed: a word for the program, or an answer. False when the person leaves."""
    word = " ".join(line.lower().split())
    if word in ("help", "h"):
        put("\n".join(_HELP))
    elif word == "why":
        put("\n".join(_why(session, step)))
    elif word == "so far":
        put(_so_far(session))
    elif word == "skip":
        session.walk = pass_over(session.walk, step)
    elif word == "back":
        _back(session)
    else:
        return _answer(session, step, line)
    return True


def _answer(session: _Session, step: Step, line: str) -> bool:
    """An answer to the step, else a sentence to be read; False when the person leaves."""
    try:
        session.walk = answer(session.walk, step, line, session.knowledge)
    except InputError as fault:
        reading = told(session.walk.case, line, session.knowledge)
        if reading is not None:
            return _confirm(session, reading, line)
        put("\n".join(paragraph(f"{fault.faults[0].what}.", 2)))
    return True


def _confirm(session: _Session, reading: Reading, words: str) -> bool:
    """Show what was read and take it, but for what the person strikes out; False when the person leaves."""
    put("\n".join(_read_out(session, reading)))
    while True:
        line = _read_line()
        if line is None or line.lower() in ("quit", "exit", "q"):
            return False
        try:
            out = struck(line, len(reading.signs) + len(reading.quantities))
            session.walk = kept(session.walk, reading, out, words, session.knowledge)
        except InputError as fault:
            put("\n".join(paragraph(f"{fault.faults[0].what}.", 2)))
            continue
        savefile.save(session.path, session.walk)
        return True


def _read_out(session: _Session, reading: Reading) -> list[str]:
    known = worded_knowledge(session.knowledge, session.units).signs
    signs = [f"{known[s.sign].text}: {label(reading.worded[s.sign])}" for s in reading.signs]
    numbers = [f"{label(q.path.removeprefix('point.').replace('.', ' '))}: {q.text}" for q in reading.quantities]
    lines = ["", "Read out of your words:"]
    for number, text in enumerate([*signs, *numbers], 1):
        lines += paragraph(text, 2, f"{number:>2}  ")
    return [*lines, "Enter keeps all; numbers strike those out; none drops all."]


def _back(session: _Session) -> None:
    if session.walk.trail:
        session.walk = back(session.walk, session.knowledge)
        session.settled = False
    else:
        put("  This is the first question.")


def _why(session: _Session, step: Step) -> list[str]:
    """Why it is asked, and what each answer would do."""
    why, found = worded((step.why, consequences(session.walk, step, session.knowledge)), session.units)
    lines = paragraph(why or "It tells causes apart.", 2)
    if found:
        lines += ["  What each answer would move most:"]
    for one in found:
        moved = "raises" if one.after >= one.before else "lowers"
        lines += paragraph(f"{one.answer}: {moved} “{one.cause}” from {percent(one.before)} to {percent(one.after)}", 4,
                           "- ")
    return lines


def _so_far(session: _Session) -> str:
    if not session.walk.case.point.kind:
        return "  Nothing is known yet."
    found = review(session.walk.case, session.knowledge)
    return terminal.outlook(found, session.walk.case, session.knowledge, session.units)


def _shown(step: Step, session: _Session) -> list[str]:
    """The step as it is put: progress, what to take care of, question, how to look, the numbered answers."""
    state = "settled" if step.settled else "not settled yet"
    lines = ["", f"Question {len(session.walk.trail) + 1} ({state})"]
    if step.id == "gate:cleaned":
        lines += preserve(session.walk.case)
    new = [caution for caution in step.cautions if caution not in session.cautioned]
    session.cautioned.update(new)
    lines += [line for caution in new for line in paragraph(caution, 2, "Careful: ")]
    lines += paragraph(step.text)
    if step.how:
        lines += paragraph(f"such as {step.how}" if step.kind == "free" else step.how, 2)
    lines += _choices(step)
    return lines


def _choices(step: Step) -> list[str]:
    if all(choice.key.isdecimal() for choice in step.choices):
        return paragraph(" ".join(choice.key for choice in step.choices), 2)
    lines = [
        line for number, choice in enumerate(step.choices, 1) for line in paragraph(choice.text, 2, f"{number:>2}  ")
    ]
    if step.kind in ("look", "many"):
        lines.append("   0  none of these")
    return lines


def _warn(session: _Session) -> None:
    """Say at once, and once, when it must be stopped."""
    if not session.walk.case.point.kind:
        return
    found: Urgency = urgency_now(session.walk.case, session.knowledge)
    if found.level in _KNOWN_URGENT and found.level not in session.warned:
        session.warned.add(found.level)
        put("\n".join(urgency(worded(found, session.units), session.walk.case, session.units)))


def _say_settled(session: _Session, step: Step) -> None:
    if step.settled and not session.settled:
        session.settled = True
        put("\n".join(["", *paragraph(worded(f"Settled. {step.settled}", session.units))]))


def _finish(session: _Session) -> None:
    case = session.walk.case
    found = review(case, session.knowledge)
    put("\n" + terminal.page(found, case, session.knowledge, session.units))
    skipped = [g.step for g in session.walk.trail if g.how == "skipped"]
    if skipped:
        count = "One question was" if len(skipped) == 1 else f"{len(skipped)} questions were"
        put("\n".join(["", *paragraph(f"{count} skipped.")]))
    put(f"\nKept in {session.path}; diag review {session.path} shows this again.")


def _leave(session: _Session) -> None:
    if session.walk.case.point.kind:
        path = session.path
        put(f"\nAll is saved in {path}.\nGo on: diag ask {path}\nWhat is thought: diag review {path}")
    else:
        put("\nNothing was answered, so nothing was saved.")
