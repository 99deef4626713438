"""Circumstances that compare one key of the case, or one computed number, with a value."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from typing import Any, NamedTuple

from diag.circumstances.base import Found, Scene
from diag.knowledgebase.model import Circumstance
from diag.units import DIMENSIONS

__all__ = ["Looked", "by_path", "look_up"]


class Looked(NamedTuple):
    """What stands at a path: None where nothing is stated."""

    value: Any
    unit: str = ""
    working: str = ""


def by_path(circumstance: Circumstance, scene: Scene) -> Found:
    """Compare what stands at the path; nothing stated, or an empty list, is not known."""
    value, unit, working = look_up(circumstance.path, scene)
    if value is None or value == ():
        return Found(None, working=f"{circumstance.path} is not stated")
    shown = list(value) if isinstance(value, tuple) else value
    return Found(_compare(circumstance, value), shown, unit, working or f"{circumstance.path}: {_words(value, unit)}")


def look_up(path: str, scene: Scene) -> Looked:
    """The value at `point.speed`, `computed.viscosity_ratio`, `measured.water` ..., with its unit.

    Raises AttributeError for a path that a case doesn't have: a fault of the knowledge, found by its check.
    """
    head, _, rest = path.partition(".")
    if head == "computed":
        item = scene.computed.get(rest)
        return Looked(None) if item is None else Looked(item.value, item.unit, item.working)
    if head in ("measured", "lab"):
        value = getattr(scene.case, head).get(rest)
        return Looked(value, scene.knowledge.readings[rest].unit)
    return _in_case(path, scene)


def _in_case(path: str, scene: Scene) -> Looked:
    part: Any = scene.case
    dimension = None
    for name in path.split("."):
        if is_dataclass(part):
            dimension = {f.name: f for f in fields(part)}[name].metadata.get("dimension")
        part = getattr(part, name)
    return Looked(part, DIMENSIONS[dimension].text if dimension else "")


def _compare(circumstance: Circumstance, value: Any) -> bool:
    """The one operator of the circumstance."""
    if circumstance.below is not None:
        return bool(value < circumstance.below)
    if circumstance.above is not None:
        return bool(value > circumstance.above)
    if circumstance.in_:
        return value in circumstance.in_
    if circumstance.has:
        return circumstance.has in value
    return bool(value == circumstance.is_)


def _words(value: Any, unit: str) -> str:
    if isinstance(value, tuple):
        return ", ".join(map(str, value))
    return f"{value:g} {unit}".rstrip() if isinstance(value, float) else str(value)
