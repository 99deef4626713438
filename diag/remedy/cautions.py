"""The warning that stands before each step."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from diag.case.model import Case
from diag.findings import Caution, Changeover, CircumstanceFound
from diag.knowledgebase import Knowledge
from diag.remedy.steps import tags_of

__all__ = ["collect"]


def collect(case: Case, changeover: Changeover, circumstances: Mapping[str, CircumstanceFound],
            knowledge: Knowledge) -> tuple[Caution, ...]:
    """Each caution once, before the first step it belongs to, in the order of the steps.

    A caution of a special duty (oxygen, food, explosive surroundings, fluorinated grease, process fluid,
    raised loads) is given only where that duty is stated.
    """
    found: dict[str, Caution] = {}
    for place, step in enumerate(changeover.steps):
        tags = {*tags_of(step, knowledge), *(("any",) if place == 0 else ())}
        for caution in knowledge.cautions.values():
            if caution.id not in found and tags & set(caution.before) and _belongs(caution.id, case, circumstances):
                found[caution.id] = Caution(id=caution.id, text=caution.text, before=step)
    return tuple(found.values())


def _belongs(caution: str, case: Case, circumstances: Mapping[str, CircumstanceFound]) -> bool:
    if caution in _ONLY_IN:
        found = circumstances.get(_ONLY_IN[caution])
        return found is not None and found.holds is True
    only = _ONLY_WHERE.get(caution)
    return only is None or only(case)


def _fluorinated(case: Case) -> bool:
    greases = (case.grease, case.earlier_grease)
    return any(g.base_oil == "pfpe" or g.thickener == "ptfe" or "ptfe" in g.additives for g in greases)


# Caution → circumstance that must hold, or fact of the case that must be stated.
_ONLY_IN = {"explosive": "explosive_surroundings", "chemicals": "chemical_exposure"}
_ONLY_WHERE: dict[str, Callable[[Case], bool]] = {
    "oxygen": lambda case: "oxygen" in case.point.exposure,
    "food": lambda case: "food_contact" in case.point.exposure,
    "fluorinated": _fluorinated,
    "raised_loads": lambda case: case.point.kind == "pin_bushing",
}
