"""One requirement a property: several demands on the same property drawn together, or their collision said."""

from __future__ import annotations

from collections.abc import Iterable

import msgspec

from diag.findings import Requirement

__all__ = ["merge"]

_RANK = {"note": 0, "should": 1, "must": 2}


def merge(requirements: Iterable[Requirement]) -> tuple[tuple[Requirement, ...], tuple[str, ...]]:
    """Draw together what has the same property and relation.

    Returns
    -------
    The merged requirements in first-seen order, and the collisions in words (empty intersections keep the
    stronger demand).
    """
    merged: dict[tuple[str, str], Requirement] = {}
    collisions: list[str] = []
    for item in requirements:
        key = (item.property, item.relation)
        if key not in merged:
            merged[key] = item
            continue
        joined, words = _join(merged[key], item)
        merged[key] = joined
        collisions.extend(words)
    return tuple(merged.values()), tuple(collisions)


def _join(first: Requirement, second: Requirement) -> tuple[Requirement, tuple[str, ...]]:
    value, agrees = _value(first, second)
    because = tuple(dict.fromkeys(first.because + second.because))
    strong = max((first, second), key=lambda r: _RANK[r.strength])
    sources = "; ".join(dict.fromkeys(part for r in (first, second) for part in r.source.split("; ")))
    joined = msgspec.structs.replace(first, value=value if agrees else strong.value, because=because,
                                     strength=strong.strength, source=sources)
    if agrees:
        return joined, ()
    return joined, (f"{first.property}: {_words(first)} ({first.because[0]}) and {_words(second)} "
                    f"({second.because[0]}) can't both be met; the stronger demand stands",)


def _value(first: Requirement, second: Requirement) -> tuple[object, bool]:
    """The joint value, and whether the two agree."""
    a, b = first.value, second.value
    if first.relation == "min" and isinstance(a, float | int) and isinstance(b, float | int):
        return max(a, b), True
    if first.relation == "max" and isinstance(a, float | int) and isinstance(b, float | int):
        return min(a, b), True
    if first.relation == "range" and isinstance(a, tuple) and isinstance(b, tuple):
        low, high = max(float(a[0]), float(b[0])), min(float(a[1]), float(b[1]))
        return (low, high), low <= high
    if first.relation == "in":
        both = tuple(x for x in _tuple(a) if x in _tuple(b))
        return both, bool(both)
    if first.relation == "avoid":
        return tuple(dict.fromkeys(_tuple(a) + _tuple(b))) or None, True
    return a, a == b


def _tuple(value: object) -> tuple[object, ...]:
    if value is None:
        return ()
    return value if isinstance(value, tuple) else (value,)


def _words(item: Requirement) -> str:
    value = " to ".join(f"{v:g}" if isinstance(v, float) else str(v) for v in _tuple(item.value)) \
        if item.relation == "range" else ", ".join(str(v) for v in _tuple(item.value))
    return f"{item.relation} {value} {item.unit}".strip()
