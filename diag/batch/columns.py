"""A table of cases: one case a row, the key paths of a case file with dots as columns."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields
from functools import cache
from typing import TYPE_CHECKING, Any

from diag.case.model import Case
from diag.case.words import nearest
from diag.errors import Fault, InputError

if TYPE_CHECKING:
    from diag.knowledgebase import Knowledge

__all__ = ["check_header", "columns", "nested"]

_BETWEEN_WORDS = re.compile(r"[;,|]")


def columns(knowledge: Knowledge) -> tuple[str, ...]:
    """Every column there can be, in the order of the case file."""
    return tuple(path for path, what in _paths(Case, "") for path in _opened(path, what, knowledge))


def _opened(path: str, what: str, knowledge: Knowledge) -> Iterator[str]:
    """The column itself, or one for each sign or reading that may stand under it."""
    if what == "degrees":
        yield from (f"{path}.{sign}" for sign in knowledge.signs)
    elif what == "readings":
        yield from (f"{path}.{r.id}" for r in knowledge.readings.values() if r.where == path)
    else:
        yield path


def _paths(cls: Any, path: str) -> Iterator[tuple[str, str]]:
    """Key path and kind of every field of the case that is no section."""
    for f in fields(cls):
        what, below = f.metadata["as"], f"{path}.{f.name}" if path else f.name
        if what == "part":
            yield from _paths(f.metadata["class"], below)
        elif what != "aside":
            yield below, what


@cache
def _lists() -> frozenset[str]:
    return frozenset(path for path, what in _paths(Case, "") if what == "words")


def check_header(header: Sequence[str], name: str, knowledge: Knowledge) -> None:
    """Errors: InputError for a column that is unknown, nameless or there twice, or no `point.kind`."""
    legal = columns(knowledge)
    faults = [fault for n, column in enumerate(header)
              if (fault := _fault(column, header[:n], n, legal)) is not None]
    if "point.kind" not in header and not faults:
        faults = ["there is no column point.kind; `diag batch --template` prints all columns"]
    if faults:
        raise InputError(*(Fault(what, f"{name}:1") for what in faults))


def _fault(column: str, before: Sequence[str], n: int, legal: Sequence[str]) -> str | None:
    if not column:
        return f"column {n + 1} has no name; `diag batch --template` prints all columns"
    if column in before:
        return f"column {column} is there twice; keep one of them"
    if column in legal:
        return None
    near = nearest(column, legal)
    return f"no column {column!r}; {f'did you mean {near}?' if near else '`diag batch --template` prints all columns'}"


def nested(row: Mapping[str, str]) -> dict[str, Any]:
    """The cells that hold something, as the mapping a case is read from; lists are split at ; , or |."""
    found: dict[str, Any] = {}
    for path, cell in row.items():
        if not cell.strip():
            continue
        *sections, key = path.split(".")
        part = found
        for section in sections:
            part = part.setdefault(section, {})
        part[key] = [w.strip() for w in _BETWEEN_WORDS.split(cell)] if path in _lists() else cell.strip()
    return found
