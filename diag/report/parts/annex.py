"""What the answer rests on: words read, contradictions, assumptions, working, sources, trust."""

from __future__ import annotations

from diag.findings import Computed, Findings, FromText
from diag.knowledgebase import Knowledge
from diag.report.figures import System, figure
from diag.report.layout import bullets, heading, paragraph
from diag.wordtext import label

__all__ = ["TRUST", "basis", "doubts", "number_words", "read_words", "totals_words", "trust", "working"]

TRUST = (
    "How far to trust this: the sums follow the sources named; the chances are judgement and were "
    "never counted in a field. It knows only what it was told. The machine's manual and the people "
    "who know the machine come first."
)


def basis(found: Findings, knowledge: Knowledge) -> list[str]:
    """Text that was read as answers, and what was assumed for want of a number."""
    parts = (
        ("Read out of your own words", [read_words(r, knowledge) for r in found.read_from_text]),
        ("Assumed, because it wasn't told", found.assumed),
    )
    return [line for title, texts in parts if texts for line in (*heading(title), *bullets(texts))]


def doubts(found: Findings) -> list[str]:
    """Causes too close together to call, and what contradicts itself."""
    return [*heading("Close calls and contradictions"), *bullets(found.conflicts)] if found.conflicts else []


def read_words(read: FromText, knowledge: Knowledge) -> str:
    """What a passage of free text was taken for, and how to undo it."""
    text = knowledge.signs[read.sign].text if read.sign in knowledge.signs else label(read.sign)
    taken = f'"{read.words}" was taken as: {text} ({label(read.degree)}).'
    return f"{taken} Put {read.sign} under seen if that is wrong."


def working(found: Findings, system: System) -> list[str]:
    """Every computed number and every circumstance with its working."""
    lines = heading("Working")
    for number in found.computed:
        lines += paragraph(f"{label(number.id)}: {number_words(number, system)}", 2, "- ")
        lines += paragraph(f"{number.working} [{number.source}]" if number.source else number.working, 6)
    known = [c for c in found.circumstances if c.holds is not None]
    lines += ["Circumstances of the point:"] if known else []
    for fact in known:
        state = "yes" if fact.holds else "no"
        lines += paragraph(f"{label(fact.id)}: {state}. {fact.working}", 2, "- ")
    return [*lines, *paragraph(totals_words(found))]


def totals_words(found: Findings) -> str:
    """What stands behind all causes together, and the knowledge it was judged with."""
    return (
        f"Sets of causes too unlikely to be listed hold {100 * found.neglected:.2g} % together. "
        f"Nothing wrong at all: {100 * found.healthy:.2g} %. Fit: {found.fit:.2g}. "
        f"Knowledge {found.knowledge}."
    )


def number_words(number: Computed, system: System) -> str:
    """A computed number with its band."""
    if isinstance(number.value, str):
        return label(number.value)
    text = figure(number.value, number.unit, system)
    if number.low is None or number.high is None:
        return text
    return f"{text} ({figure(number.low, number.unit, system)} to {figure(number.high, number.unit, system)})"


def trust(found: Findings) -> list[str]:
    """Sources by title, and one honest line."""
    lines = []
    if found.sources:
        lines = [*heading("Sources"), *bullets(found.sources)]
    return [*lines, "", *paragraph(TRUST)]
