"""Named facts that change the odds of a cause before anything is looked at: yes, no or not known."""

from __future__ import annotations

from collections.abc import Mapping

from diag.case.model import Case
from diag.circumstances import film, grease, greasing, heat, place  # noqa: F401 - importing them enters their functions
from diag.circumstances.base import FUNCTIONS, Found, Scene
from diag.circumstances.paths import by_path
from diag.compute.lately import greased_lately
from diag.findings import CircumstanceFound, Computed
from diag.knowledgebase.knowledge import Knowledge

__all__ = ["FUNCTIONS", "establish", "greased_lately"]


def establish(case: Case, computed: Mapping[str, Computed], knowledge: Knowledge
              ) -> dict[str, CircumstanceFound]:
    """Every circumstance of the knowledge by id; `holds` is None where the case doesn't say.

    Raises KeyError for a function or path that doesn't exist: `diag knowledge check` finds it before.
    """
    scene = Scene(case, computed, knowledge, _look)
    found = {circumstance_id: scene.find(circumstance_id) for circumstance_id in knowledge.circumstances}
    return {i: CircumstanceFound(id=i, holds=f.holds, value=f.value, unit=f.unit, working=f.working)
            for i, f in found.items()}


def _look(scene: Scene, circumstance_id: str) -> Found:
    circumstance = scene.knowledge.circumstances[circumstance_id]
    if circumstance.function:
        return FUNCTIONS[circumstance.function](scene)
    return by_path(circumstance, scene)
