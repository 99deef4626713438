"""The second opinion, short and plainly apart from the findings."""

from __future__ import annotations

from diag.findings import Findings
from diag.knowledgebase import Knowledge
from diag.report.layout import heading, paragraph, percent
from diag.wordtext import label

__all__ = ["second_opinion"]


def second_opinion(found: Findings, knowledge: Knowledge) -> list[str]:
    """What the trained classifier holds likely; nothing where none was asked."""
    opinion = found.second_opinion
    if opinion is None:
        return []
    named = ", ".join(f"{_name(c['id'], knowledge)} ({percent(c['probability'])})" for c in opinion["causes"])
    stand = "agrees" if opinion["agrees"] else "does not agree"
    return [
        *heading("Second opinion"),
        *paragraph(f"A classifier trained on {opinion['trained_on']} {stand}: {named}."),
        *paragraph(opinion["note"]),
    ]


def _name(cause: str, knowledge: Knowledge) -> str:
    return knowledge.causes[cause].name if cause in knowledge.causes else label(cause)
