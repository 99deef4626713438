"""What a designation code says of a grease or a manual's page, put where nothing else is stated.

A code is the maker's claim: what is stated in plain words stays. Its upper letter is a 100 h rig result and no
working limit, so it fills in no highest temperature; missing letters prove nothing and fill in nothing.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any, TypeVar

from diag.case.model import Case, Grease, Manual
from diag.remedy.codes import states

__all__ = ["with_codes"]

Coded = TypeVar("Coded", Grease, Manual)


def with_codes(case: Case, ep: bool = False) -> tuple[Case, tuple[str, ...]]:
    """The case with the codes of its greases and manual read, and in words what was taken from each.

    `ep`: put the P of a code into an empty list of additives too. That is for the numbers and circumstances: a
    list is taken as whole where greases are compared, and there the code is read by itself.
    """
    grease, grease_words = _filled(case.grease, "the grease", ep)
    earlier, earlier_words = _filled(case.earlier_grease, "the earlier grease", ep)
    manual, manual_words = _filled(case.point.manual, "the manual", ep)
    words = (*grease_words, *earlier_words, *manual_words)
    if not words:
        return case, ()
    return replace(case, grease=grease, earlier_grease=earlier, point=replace(case.point, manual=manual)), words


def _filled(stated: Coded, whose: str, ep: bool) -> tuple[Coded, tuple[str, ...]]:
    if not stated.code:
        return stated, ()
    new = {key: value for key, value in _read(stated.code, ep).items()
           if hasattr(stated, key) and getattr(stated, key) in (None, ())}
    if not new:
        return stated, ()
    said = ", ".join(f"{key.replace('_', ' ')} {_shown(value)}" for key, value in new.items())
    return replace(stated, **new), (f"the code {stated.code} says of {whose}: {said}",)


def _read(code: str, ep: bool) -> dict[str, Any]:
    """Keys of the case that a code fills: base oil, grade, lowest temperature, EP."""
    told = states(code)
    found: dict[str, Any] = {}
    for key, name in (("base_oil", "base_oil_type"), ("nlgi", "nlgi")):
        if isinstance(word := told.get(name), str) and word != "other":
            found[key] = word
    if isinstance(lowest := told.get("lowest_temperature"), float):
        found["lowest_temperature"] = lowest
    if ep and told.get("ep") == "yes":
        found["additives"] = ("ep",)
    return found


def _shown(value: object) -> str:
    if isinstance(value, float):
        return f"{value:.0f} °C"
    return ", ".join(value).upper() if isinstance(value, tuple) else str(value)
