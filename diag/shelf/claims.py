"""Figures that sell: colour, a limit beyond what the thickener stands, a limit beyond what the point needs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from diag.compute import stated_index
from diag.findings import Requirement
from diag.knowledgebase import Knowledge
from diag.remedy.requirement import StatedValue
from diag.shelf.lexicon import Labels
from diag.shelf.model import Claim, Understood
from diag.wordtext import label

__all__ = ["beyond_need", "of_figures"]


def of_figures(understood: Sequence[Understood], labels: Labels, knowledge: Knowledge) -> Iterator[Claim]:
    """Claims that the sheet's own figures make, without knowing the point."""
    said = {u.property: u for u in understood}
    if "colour" in said:
        yield Claim(words=said["colour"].words, why=labels.reasons["colour"])
    highest = said.get("highest_temperature")
    if highest is not None and isinstance(highest.value, float):
        why = _too_hot(highest.value, {p: u.value for p, u in said.items()}, knowledge)
        if why:
            yield Claim(words=highest.words, why=why)
    index, v40, v100 = (said.get(p) for p in ("viscosity_index", "viscosity_40", "viscosity_100"))
    if index and v40 and v100 and (why := _another_index(v40.value, v100.value, index.value)):
        yield Claim(words=index.words, why=why)


def _another_index(v40: StatedValue, v100: StatedValue, index: StatedValue) -> str:
    """Why the index isn't that of the two viscosities; nothing for spans of them."""
    if isinstance(v40, float) and isinstance(v100, float) and isinstance(index, float):
        found = stated_index.words(v40, v100, index)
        return f"{found}: the two viscosities are taken" if found else ""
    return ""


def _too_hot(highest: float, stated: Mapping[str, StatedValue], knowledge: Knowledge) -> str:
    """Why a limit [°C] is too near the dropping point, or over what tables print for the thickener."""
    margin = float(knowledge.standard("specification")["dropping_point_margin"]["value"])
    dropping = stated.get("dropping_point")
    if isinstance(dropping, float) and highest > dropping - margin:
        return (f"{highest:.0f} °C is less than {margin:.0f} K under its dropping point of {dropping:.0f} °C: "
                "grease decays long before it drips")
    family = knowledge.thickeners.get(str(stated.get("thickener")))
    limit = family.table_maximum if family else None
    if family and limit and highest > limit.high:
        return (f"{highest:.0f} °C is over the {limit.high:.0f} °C that tables print for {label(family.id)} "
                "grease; ask for the grease-life test at that temperature")
    return ""


def beyond_need(requirements: Sequence[Requirement], stated: Mapping[str, StatedValue],
                understood: Sequence[Understood], labels: Labels, knowledge: Knowledge) -> Iterator[Claim]:
    """A temperature limit far over what the point asks for, and over what every all-round grease has anyway."""
    highest = stated.get("highest_temperature")
    ordinary = knowledge.thickeners["lithium"].practical_maximum.high
    for wanted in requirements:
        if (wanted.property, wanted.relation) != ("highest_temperature", "min") or not isinstance(highest, float):
            continue
        assert isinstance(wanted.value, int | float)
        if highest > max(ordinary, wanted.value + labels.beyond_need.value):
            words = next(u.words for u in understood if u.property == "highest_temperature")
            why = f"the point asks for {wanted.value:.0f} °C; {highest:.0f} °C buys nothing here"
            yield Claim(words=words, why=why)
            return
