"""What a log teaches, before and after, on 80 columns and as plain facts for JSON."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from diag.caselog.experience import LISTED, LISTED_STRENGTH, STRENGTH, Experience, GroupExperience
from diag.inference.prior import rates
from diag.report.layout import paragraph
from diag.wordtext import label

if TYPE_CHECKING:
    from diag.knowledgebase import Knowledge
    from diag.knowledgebase.model import Kind

__all__ = ["facts", "lines"]

_KINDS: tuple[Kind, ...] = ("rolling_bearing", "pin_bushing", "slideway")


def facts(experience: Experience, knowledge: Knowledge) -> dict[str, Any]:
    """Groups with their factors, and each base rate before and after."""
    tables = _tables(experience, knowledge)
    return {
        "cases": experience.cases,
        "prior_strength": STRENGTH,
        "listed": experience.listed,
        "listed_prior": {"mean": LISTED, "strength": LISTED_STRENGTH},
        "groups": [{"group": g.group, "expected": g.expected, "confirmed": g.confirmed, "factor": g.factor,
                    "rates": _rows(g, tables)} for g in experience.groups],
    }


def lines(experience: Experience, knowledge: Knowledge) -> list[str]:
    """A table of the groups with the base rates of a rolling bearing, then how it was counted."""
    if not experience.cases:
        return paragraph("No case is confirmed by inspection or laboratory yet, so nothing is learnt.")
    tables = _tables(experience, knowledge)
    counted = "1 confirmed case" if experience.cases == 1 else f"{experience.cases} confirmed cases"
    return [
        *paragraph(f"{counted}. Base rates are those of a rolling bearing where it can have "
                   "the cause, with nothing else known."),
        "", f"{'group, cause':<40}{'expected':>9} {'confirmed':>9} {'factor':>7}",
        *(line for g in experience.groups for line in _group(g, tables)),
        "", *_how(experience)]


def _how(experience: Experience) -> list[str]:
    texts = (
        f"expected: what the judgements added up to. factor: on the odds of each cause of the group, held to 1 as if "
        f"{STRENGTH:.0f} cases for each group had said so.",
        f"A cause at work is taken to be found and listed with {100 * experience.listed:.0f} %, estimated with the "
        "factors; one that isn't listed is missing, not absent. Unconfirmed cases don't count.",
    )
    return [line for text in texts for line in paragraph(text)]


def _group(group: GroupExperience, tables: Mapping[str, tuple[Mapping[str, float], Mapping[str, float]]]) -> list[str]:
    head = f"{label(group.group):<40}{group.expected:>9.1f} {group.confirmed:>9} {group.factor:>7.2f}"
    return [head, *(f"  {label(row['cause']):<38}{100 * row['before']:>7.1f} % -> {100 * row['after']:.1f} %"
                    for row in _rows(group, tables) if row["kind"] == _KINDS[0])]


def _rows(group: GroupExperience, tables: Mapping[str, tuple[Mapping[str, float], Mapping[str, float]]]
          ) -> list[dict[str, Any]]:
    return [{"cause": cause, "kind": kind, "before": before[cause], "after": after[cause]}
            for kind, (before, after) in tables.items() for cause in group.causes if before[cause] > 0]


def _tables(experience: Experience, knowledge: Knowledge
            ) -> dict[str, tuple[Mapping[str, float], Mapping[str, float]]]:
    """By kind: base rates as carried, and as taught."""
    plain, taught = (knowledge.with_base_rates(f) for f in ({}, experience.factors))
    return {kind: (rates(plain, kind, {})[0], rates(taught, kind, {})[0]) for kind in _KINDS}
