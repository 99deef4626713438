"""Changes to a case, each checked as if the case had been read from its file.

So nothing can be saved that would not read back; units, synonyms, contradictions are judged in one place.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from diag import yamltext
from diag.case import from_data, to_text
from diag.case.model import Case
from diag.knowledgebase import Knowledge

__all__ = ["with_values", "without"]

NAME = "your answer"


def with_values(case: Case, values: Mapping[str, Any], knowledge: Knowledge) -> Case:
    """The case with raw values (text, or a list of words) at dotted key paths.

    Raises InputError when a value can't be read or contradicts the rest of the case.
    """
    data = _data(case)
    for path, value in values.items():
        *parents, last = path.split(".")
        place = data
        for name in parents:
            place = place.setdefault(name, {})
        place[last] = value
    changed = from_data(data, NAME, knowledge)
    return replace(changed, assumed=(*case.assumed, *changed.assumed))


def without(case: Case, paths: tuple[str, ...], knowledge: Knowledge) -> Case:
    """The case with the values at these paths unknown again; without its kind it is an empty case."""
    data = _data(case)
    for path in paths:
        *parents, last = path.split(".")
        place = data
        for name in parents:
            place = place.get(name, {})
        place.pop(last, None)
    return from_data(_pruned(data), NAME, knowledge) if data.get("point", {}).get("kind") else Case()


def _data(case: Case) -> dict[str, Any]:
    """The case as its file holds it: nested mappings of text."""
    if not case.point.kind:
        return {}
    data = yamltext.to_data(yamltext.read(to_text(case), NAME))
    return data if isinstance(data, dict) else {}


def _pruned(data: dict[str, Any]) -> dict[str, Any]:
    """Without mappings that have become empty."""
    slim = {k: _pruned(v) if isinstance(v, dict) else v for k, v in data.items()}
    return {k: v for k, v in slim.items() if v != {}}
