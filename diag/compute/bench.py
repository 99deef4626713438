"""The bench on which numbers are worked out one after the other, each from the case and those before it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache
from typing import NamedTuple

from diag.case.model import Case
from diag.errors import InputError
from diag.findings import Computed
from diag.knowledgebase.knowledge import Knowledge

__all__ = ["STEPS", "Bench", "Oil", "Step", "computed", "hundreds", "step"]



class Oil(NamedTuple):
    """Base oil of the grease in service: viscosity at 40 °C [mm²/s] and its index [-] with its span."""

    v40: float
    vi: float
    vi_low: float
    vi_high: float
    words: str


@lru_cache(maxsize=32)  # found by halving, and asked for by film, life and heat of one case
def hundreds(oil: Oil) -> tuple[float, ...]:
    """Viscosities at 100 °C [mm²/s] with the likely index, then with the ends of its span."""
    import numpy as np

    from diag.tribology.viscosity_index import v100_from_index

    return tuple(np.asarray(v100_from_index(oil.v40, np.array([oil.vi, oil.vi_low, oil.vi_high]))).tolist())


@dataclass
class Bench:
    """A case on the bench: what has been worked out and what had to be assumed."""

    case: Case
    knowledge: Knowledge
    done: dict[str, Computed] = field(default_factory=dict)
    assumed: dict[str, None] = field(default_factory=dict)

    def number(self, computed_id: str) -> float | None:
        """A number worked out before, None when it could not be."""
        item = self.done.get(computed_id)
        return item.value if item is not None and isinstance(item.value, float) else None

    def assume(self, text: str) -> None:
        """Note an assumption, once."""
        self.assumed[text] = None

    @property
    def rolling(self) -> bool:
        return self.case.point.kind == "rolling_bearing"

    @property
    def running(self) -> tuple[float, str] | None:
        """Temperature to work with [°C] and what it is: the measured one, else the usual one."""
        point = self.case.point
        if point.running_temperature is not None:
            return point.running_temperature, "running temperature"
        if point.usual_temperature is not None:
            self.assume("it runs at its usual temperature, since none was measured")
            return point.usual_temperature, "usual temperature"
        return None

    @property
    def oil(self) -> Oil | None:
        """The oil as far as it is stated; None, with a note, where it lies beyond the viscosity index."""
        try:
            oil = self._oil()
            if oil is not None:
                hundreds(oil)
        except InputError as error:
            self.assume(f"nothing is computed with this base oil, which the viscosity index doesn't reach: {error}")
            return None
        return oil

    def _oil(self) -> Oil | None:
        """The index by the family of the oil, or 95, when it isn't stated. Raises InputError beyond its range."""
        from diag.tribology.viscosity_index import index_from, v40_from_index

        grease = self.case.grease
        if grease.viscosity_40 is not None and grease.viscosity_100 is not None:
            index = float(index_from(grease.viscosity_40, grease.viscosity_100))
            return Oil(grease.viscosity_40, index, index, index, f"VI {index:.0f} from both viscosities")
        if grease.viscosity_40 is not None:
            return Oil(grease.viscosity_40, *self._index())
        if grease.viscosity_100 is not None:
            found = self._index()
            return Oil(float(v40_from_index(grease.viscosity_100, found[0])), *found)
        return None

    def _index(self) -> tuple[float, float, float, str]:
        """Viscosity index [-] with the ends of its span: stated, by the family of the oil, else the usual one."""
        from diag.tribology.viscosity_index import USUAL_INDEX

        grease = self.case.grease
        if grease.viscosity_index is not None:
            index = grease.viscosity_index
            return index, index, index, f"VI {index:g}"
        family = self.knowledge.base_oils.get(grease.base_oil or "")
        if family is None or family.id == "mineral":
            self.assume(f"the base oil has a viscosity index of {USUAL_INDEX:.0f}, since none is stated")
            return USUAL_INDEX, USUAL_INDEX, USUAL_INDEX, f"VI {USUAL_INDEX:.0f} assumed"
        low, high = family.viscosity_index.low, family.viscosity_index.high
        index = (low + high) / 2
        self.assume(f"the base oil has a viscosity index of {index:.0f} ({family.name}: {low:g} to {high:g})")
        return index, low, high, f"VI {index:.0f} assumed for {family.name}"


Step = Callable[[Bench], Computed | None]
STEPS: dict[str, Step] = {}


def step(computed_id: str) -> Callable[[Step], Step]:
    """Enters a step into the registry; `diag.compute` says in which order they run."""

    def enter(work: Step) -> Step:
        STEPS[computed_id] = work
        return work

    return enter


def computed(computed_id: str, value: float | str, unit: str, working: str, source: str,
             band: tuple[float, float] | None = None) -> Computed:
    """One result; `band` is its low and high end."""
    low, high = band if band is not None else (None, None)
    return Computed(
        id=computed_id, value=value, low=low, high=high, unit=unit, working=working, source=source)
