"""`diag review` with answers only supposed, and with two causes side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from diag import answers
from diag.case.model import DEGREES, Case, Degree
from diag.case.words import nearest
from diag.cli.experience import read_with_log
from diag.cli.output import put
from diag.errors import Fault, InputError
from diag.inference.compare import compare as set_beside
from diag.knowledgebase import Knowledge
from diag.report import json, terminal
from diag.report.figures import System
from diag.report.layout import paragraph
from diag.report.parts.compare import compare as compared
from diag.report.worded import worded
from diag.review import review

__all__ = ["compare", "noted", "supposed"]


def supposed(case: Case, words: Sequence[str], knowledge: Knowledge) -> Case:
    """The case with each `sign=degree` in place of what was seen; nothing is stored. Raises InputError."""
    return replace(case, seen={**case.seen, **dict(_sign(word, knowledge) for word in words)})


def compare(name: str, pair: tuple[str, str], words: Sequence[str], as_json: bool, units: System, text: bool,
            experience: bool) -> None:
    """`diag review CASE --compare A B`."""
    case, knowledge = read_with_log(name, experience)
    case = supposed(case, words, knowledge)
    answered = answers.collect(case, knowledge).by_sign
    found = set_beside(review(case, knowledge, text), case, *pair, answered, knowledge)
    if as_json:
        put(json.text(found))
    else:
        put("\n".join([*paragraph(terminal.title(case)), *noted(words), *compared(worded(found, units))]))


def noted(words: Sequence[str]) -> list[str]:
    """Says on the page what was only supposed."""
    return paragraph(f"Supposed, and not stored: {', '.join(words)}.") if words else []


def _sign(word: str, knowledge: Knowledge) -> tuple[str, Degree]:
    sign, equals, said = (part.strip() for part in word.partition("="))
    degree = next((d for d in DEGREES if d == said), None)
    if not equals or degree is None:
        raise InputError(Fault(f"{word!r} is no answer; give a sign and one of {', '.join(DEGREES)}, such as "
                               "milky=yes", key="--suppose"))
    if sign not in knowledge.signs:
        near = nearest(sign, list(knowledge.signs))
        hint = f"; the nearest is {near}" if near else "; `diag knowledge signs` lists them"
        raise InputError(Fault(f"{sign!r} is no sign{hint}", key="--suppose"))
    return sign, degree
