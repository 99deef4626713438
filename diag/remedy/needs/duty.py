"""The duty a grease is sized for: the few facts every requirement rule reads."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from diag.case.model import Case
from diag.findings import CircumstanceFound, Computed, Requirement
from diag.knowledgebase import Knowledge
from diag.knowledgebase.greases import Figure

__all__ = ["Duty", "number", "require", "source_text"]

_NO_CEILING = Figure(low=math.inf, high=math.inf, source=(), confidence="judgement")


@dataclass(frozen=True, slots=True)
class Duty:
    """Facts of the point, gathered once."""

    case: Case
    computed: Mapping[str, Computed]
    circumstances: Mapping[str, CircumstanceFound]
    knowledge: Knowledge
    usual: float | None  # usual temperature [°C]
    usual_words: str

    def holds(self, circumstance: str) -> bool:
        """True only when the circumstance is known to hold."""
        found = self.circumstances.get(circumstance)
        return found is not None and found.holds is True

    def computed_value(self, name: str) -> float | None:
        """The computed number, None where the inputs did not allow it."""
        item = self.computed.get(name)
        return item.value if item is not None and isinstance(item.value, float) else None

    @property
    def rolling(self) -> bool:
        return self.case.point.kind == "rolling_bearing"

    @property
    def fast(self) -> bool:
        factor = self.computed_value("speed_factor")
        return factor is not None and factor > self.ceiling.low

    @property
    def ceiling(self) -> Figure:
        """The lowest speed factor [mm/min] from which on solids and tack have no place; without one, never."""
        known = [a.speed_factor_ceiling for a in self.knowledge.additives.values() if a.speed_factor_ceiling]
        return min(known, key=lambda c: c.low, default=_NO_CEILING)

    @property
    def heavy(self) -> bool:
        return self.case.point.load.level in ("heavy", "shock") or self.holds("heavy_load")

    @property
    def wet(self) -> bool:
        return bool({"splash", "wash_down", "submerged", "steam"} & set(self.case.point.exposure))

    @property
    def very_wet(self) -> bool:
        return bool({"wash_down", "submerged", "steam"} & set(self.case.point.exposure))


def _entry(duty: Duty, name: str) -> dict[str, Any]:
    entry: dict[str, Any] = duty.knowledge.standard("specification")[name]
    return entry


def number(duty: Duty, name: str) -> float:
    """A single number of standards/specification.yaml."""
    return float(_entry(duty, name)["value"])


def window(duty: Duty, name: str) -> tuple[float, float]:
    """A pair of numbers of standards/specification.yaml."""
    low, high = _entry(duty, name)["value"]
    return float(low), float(high)


def source_text(duty: Duty, name: str) -> str:
    """Where a number of standards/specification.yaml comes from, with its confidence."""
    entry = _entry(duty, name)
    return duty.knowledge.cite(tuple(entry["source"]), entry["confidence"])


def require(property: str, relation: str, value: object, strength: str, because: str, source: str,
            unit: str = "") -> Requirement:
    """A `Requirement` with one reason."""
    return Requirement(property=property, relation=relation, value=value, unit=unit,  # type: ignore[arg-type]
                       strength=strength, because=(because,), source=source)  # type: ignore[arg-type]
