"""The one gate between what was found and what is shown: our own sentences in the units of the person.

All that a face shows goes through it whole, so that no sentence can be forgotten; what stays as it is stands here.
"""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from typing import Any, TypeVar

import msgspec

from diag.knowledgebase import Knowledge
from diag.units import System
from diag.units_text import in_text

__all__ = ["worded", "worded_knowledge"]

Shown = TypeVar("Shown")

# Fields that hold no sentence of ours: ids, units, codes, titles of sources, and what a person or a sheet said.
_LEFT = frozenset({"id", "sign", "step", "key", "unit", "codes", "source", "sources", "knowledge", "sheet", "file",
                   "FromText.words", "Understood.words", "Claim.words", "Column.name"})
_FORMULA = ("=", "×", "÷", " / ")  # a working with one of these is calculated in the units it stands in


def worded(found: Shown, system: System) -> Shown:
    """Findings, a step, a tree or any other plain structure with every sentence of ours in the units of `system`.

    Numbers in fields of their own are left: the face shows them by `figures`. A working that is a formula keeps the
    units of the formula. In metric it is `found` itself; JSON never comes through here.
    """
    if system == "metric":
        return found
    shown: Shown = _worded(found, "")
    return shown


def worded_knowledge(knowledge: Knowledge, system: System) -> Knowledge:
    """The knowledge with the texts that pages take straight from it, those of looks and circumstances, as `worded`.

    For showing only: nothing is judged with it.
    """
    if system == "metric":
        return knowledge
    return replace(knowledge, questions=worded(knowledge.questions, system),
                   circumstances=worded(knowledge.circumstances, system))


def _worded(value: Any, name: str) -> Any:
    if isinstance(value, str):
        return value if name == "working" and any(mark in value for mark in _FORMULA) else in_text(value, "us")
    if isinstance(value, dict):
        return {key: _worded(item, name) for key, item in value.items()}
    if isinstance(value, tuple | list):
        items = [_worded(item, name) for item in value]
        return type(value)(*items) if hasattr(value, "_fields") else type(value)(items)
    if isinstance(value, msgspec.Struct):
        return msgspec.structs.replace(value, **_changes(value, value.__struct_fields__))
    if is_dataclass(value) and not isinstance(value, type):
        return replace(value, **_changes(value, [f.name for f in fields(value)]))
    return value


def _changes(value: Any, names: Any) -> dict[str, Any]:
    kind = type(value).__name__
    return {name: _worded(getattr(value, name), name) for name in names
            if name not in _LEFT and f"{kind}.{name}" not in _LEFT}
