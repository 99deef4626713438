"""The cards on 80 columns, plain text."""

from __future__ import annotations

from collections.abc import Iterator

from diag.report.figures import System
from diag.report.layout import bullets, heading, paragraph
from diag.report.worded import worded
from diag.tree.cards import Card, Row, deck, foot, limits, title
from diag.tree.model import Advice, Tree

__all__ = ["page"]


def page(tree: Tree, system: System = "metric") -> str:
    """Urgency first, then one card a question, then what to do."""
    tree = worded(tree, system)
    found = deck(tree)
    lines = [
        *paragraph(f"Field cards. {title(tree)}"),
        *heading("Stop at once"),
        *bullets(limits(tree, system)),
        *heading("Before any work"),
        *bullets(tree.before_work),
        *(line for card in found.cards for line in _card(card)),
        *heading("What to do"),
        *(line for letter, advice in found.advice.items() for line in _advice(letter, advice)),
        "",
        *paragraph(foot(tree)),
    ]
    return "\n".join(lines)


def _card(card: Card) -> Iterator[str]:
    yield from heading(f"Card {card.number}. {card.stage}")
    yield from paragraph(card.text)
    yield from paragraph(card.how, 2) if card.how else ()
    for caution in card.cautions:
        yield from paragraph(caution, 2, "Careful: ")
    for row in card.rows:
        yield from _row(row)


def _row(row: Row) -> Iterator[str]:
    to = f"card {row.card}" if row.card else f"{row.letter} {row.name}".strip()
    yield from paragraph(f"{', or '.join(row.answers)} → {to}", 2, "- ")
    if row.urgent:
        yield from paragraph(f"{row.urgent}.", 4, "STOP NOW: ")


def _advice(letter: str, advice: Advice) -> Iterator[str]:
    yield from paragraph(advice.name, 0, f"{letter}. ")
    for lead, words in (("Check: ", advice.check), ("First: ", advice.remedy), ("Mind: ", advice.caution)):
        yield from paragraph(words, 3, lead) if words else ()
