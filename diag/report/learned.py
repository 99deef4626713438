"""Page on the second opinion: classifier, network and majority guess side by side."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diag.report.assessment import percent_of, table
from diag.report.layout import heading, paragraph

if TYPE_CHECKING:
    from collections.abc import Mapping

    from diag.secondopinion.assess import Also, Assessment
    from diag.simulation.scoring import Bin, Scores

__all__ = ["also", "assessment"]

_WAYS = {"classifier": "classifier", "network": "network", "majority": "majority guess"}


def assessment(found: Assessment) -> str:
    """Scores and reliability over the folds."""
    added = f" {found.added} confirmed cases of the log were trained on in every fold." if found.added else ""
    lines = [
        *paragraph(
            f"{found.cases} invented cases from {found.worlds} worlds, in {found.folds} folds by world: none is "
            f"trained and tried on at once.{added}"
        ),
        "",
        *table(("", "first", "in three", "log score", "Brier", "quiet"), [
            _row(name, found.scores[way]) for way, name in _WAYS.items()]),
        "",
        *paragraph(
            "first, in three: a cause at work is named first, or among three. Log score and Brier (0 is best): mean "
            "per cause and case. quiet: nothing leads where no cause is at work. The classifier was trained on worlds "
            "bent in the same ways as those it is tried on; the network was not told of the bends, and the field has "
            "others. No goal is set: this is no measure of how often either is right there."
        ),
        *heading("Reliability: said, and how often it was so"),
        *_reliability(found.scores),
    ]
    return "\n".join(lines)


def _row(name: str, scores: Scores) -> tuple[str, ...]:
    return (name, percent_of(scores.first), percent_of(scores.three), f"{scores.log_score:.3f}",
            f"{scores.brier:.3f}", percent_of(scores.quiet))


def _reliability(scores: Mapping[str, Scores]) -> list[str]:
    """One row a band of belief; by way how often it was said, and in which share of these it was so."""
    bins = {way: {b.low: b for b in scores[way].calibration} for way in _WAYS}
    bands = sorted({(b.low, b.high) for found in bins.values() for b in found.values()})
    rows = [(f"{100 * low:.0f} to {100 * high:.0f} %",
             *(cell for way in _WAYS for cell in _cells(bins[way].get(low)))) for low, high in bands]
    return table(("said", *(cell for name in _WAYS for cell in (name, "so"))), rows)


def _cells(band: Bin | None) -> tuple[str, str]:
    return ("-", "-") if band is None else (str(band.n), percent_of(band.present))


def also(name: str, found: Also) -> str:
    """The three ways on solved cases."""
    rows = [(label, f"{found.first[way]} of {found.cases}", f"{found.three[way]} of {found.cases}",
             f"{found.log_score[way]:.2f}") for way, label in _WAYS.items()]
    lines = [
        *heading(f"On the {found.cases} solved cases of {name}"),
        *table(("", "first", "in three", "log score"), rows), "",
        *paragraph("first, in three: a right cause. Log score: mean log of the share of belief on right causes."),
    ]
    return "\n".join(lines)
