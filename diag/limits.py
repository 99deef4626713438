"""What must not get hotter at a point: ring, seal and grease, each as far as it is known."""

from __future__ import annotations

from collections.abc import Iterator

from diag.case.model import Case
from diag.knowledgebase.knowledge import Knowledge
from diag.knowledgebase.model import Confidence
from diag.knowledgebase.rules import Limit
from diag.wordtext import label

__all__ = ["over", "upper_limits"]


def upper_limits(case: Case, knowledge: Knowledge) -> tuple[Limit, ...]:
    """Upper temperatures [°C] of the point, the lowest first; empty when nothing of it is known."""
    point, rules = case.point, knowledge.limits
    found = list(_grease_limits(case, knowledge))
    if ring := {str(kind): limit for kind, limit in rules.ring.items()}.get(point.kind):
        found.append(ring)
    if seal := rules.seal.get(point.seal.material or ""):
        found.append(seal)
    return tuple(sorted(found, key=lambda limit: limit.value))


def over(value: float | None, limit: Limit) -> bool:
    """Known to be over the limit."""
    return value is not None and value > limit.value


def _grease_limits(case: Case, knowledge: Knowledge) -> Iterator[Limit]:
    """The stated highest temperature, else thickener and oil; and the distance to the dropping point."""
    grease = case.grease
    if grease.highest_temperature is not None:
        yield _limit(grease.highest_temperature, "grease by its data sheet", ("practice",), "common-practice")
    else:
        yield from _family_limits(case, knowledge)
    if grease.dropping_point is not None:
        margin = knowledge.limits.dropping_point_margin
        text = f"grease: {margin.value:.0f} K under its dropping point"
        yield _limit(grease.dropping_point - margin.value, text, margin.source, margin.confidence)


def _family_limits(case: Case, knowledge: Knowledge) -> Iterator[Limit]:
    if thickener := knowledge.thickeners.get(case.grease.thickener or ""):
        text = f"{label(thickener.id)} thickener in lasting service"
        span = thickener.practical_maximum
        yield _limit(thickener.practical_max, text, span.source, span.confidence)
    if oil := knowledge.base_oils.get(case.grease.base_oil or ""):
        text = f"{label(oil.id)} base oil in lasting service"
        span = oil.long_term_maximum
        yield _limit(oil.practical_max, text, span.source, span.confidence)


def _limit(value: float, text: str, source: tuple[str, ...], confidence: Confidence) -> Limit:
    return Limit(value=value, unit="°C", text=text, source=source, confidence=confidence)
