"""Watching a point after work on it: when to stop it, and where its temperature should level off."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from diag.case.model import Grease
from diag.findings import StopIf
from diag.limits import upper_limits
from diag.remedy.situation import Situation

__all__ = ["levels_off", "ring_limit", "stops"]

_NEW = "the new grease goes over the limit of its own data sheet"


def stops(s: Situation, fresh: bool = False) -> Iterator[str]:
    """When to stop at once; `fresh`: another grease or part is in, so that the old grease's limit speaks no more."""
    for x in s.urgency.stop_if:
        if fresh and x.unit == "°C":
            yield from _fresh_limit(s)
        else:
            yield _over(x)


def _fresh_limit(s: Situation) -> Iterator[str]:
    """What ring and seal bear, where the point does not usually run hotter; and the new grease by its sheet."""
    usual = s.case.point.usual_temperature
    lasting = upper_limits(replace(s.case, grease=Grease()), s.knowledge)
    if lasting and (usual is None or usual < lasting[0].value):
        yield f"the {lasting[0].text} goes over {lasting[0].value:.0f} °C"
    yield _NEW


def _over(x: StopIf) -> str:
    return f"{x.reading} over {x.limit:.0f} {x.unit}"


def ring_limit(s: Situation) -> float | None:
    """What rings of the standard kind stay true at [°C]."""
    rings = {str(kind): limit for kind, limit in s.knowledge.limits.ring.items()}
    found = rings.get(s.kind)
    return None if found is None else found.value


def levels_off(s: Situation) -> str:
    """Where it should settle: its usual temperature; the estimate with its band only where none is stated."""
    usual, expected = s.case.point.usual_temperature, s.computed.get("expected_temperature")
    if usual is not None:
        return f"; it should come to its usual {usual:.0f} °C or near it"
    if expected is None or not isinstance(expected.value, float) or expected.low is None or expected.high is None:
        return ""
    return (f"; no usual temperature is stated: by the heat balance it levels off somewhere between "
            f"{expected.low:.0f} and {expected.high:.0f} °C (a rough estimate)")
