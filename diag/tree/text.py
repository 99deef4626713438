"""The cards on 80 columns, plain text."""

from __future__ import annotations

from collections.abc import Iterator

from diag.report.layout import bullets, heading, paragraph
from diag.tree.cards import Card, Row, as_it_stands, cards, first_steps, title
from diag.tree.model import Advice, Tree

__all__ = ["page"]


def page(tree: Tree) -> str:
    """Urgency first, then one card a question."""
    found = cards(tree)
    lines = [
        *paragraph(f"Field cards. {title(tree)[:1].upper()}{title(tree)[1:]}"),
        *heading("Stop at once"),
        *bullets([*tree.stop_signs, *(f"{s.reading}: over {s.limit:g} {s.unit}" for s in tree.stop_if)]),
        *heading("Before any work"),
        *bullets(tree.before_work),
        *(line for card in found for line in _card(card)),
    ]
    if not found:
        lines += ["", *paragraph(first_steps(as_it_stands(tree.root)))]
    return "\n".join(lines)


def _card(card: Card) -> Iterator[str]:
    yield from heading(f"Card {card.number}. {card.stage}")
    yield from paragraph(card.look.text)
    yield from paragraph(card.look.how, 2) if card.look.how else ()
    for caution in card.look.cautions:
        yield from paragraph(caution, 2, "Careful: ")
    for row in card.rows:
        yield from _row(row)
    yield from paragraph(f"you can't tell. As it stands: {first_steps(card.look.unsure)}", 2, "- ")


def _row(row: Row) -> Iterator[str]:
    yield from paragraph(f"{', or '.join(row.answers)}{'' if row.card is None else f': card {row.card}'}", 2, "- ")
    if row.urgent:
        yield from paragraph(f"{row.urgent}.", 4, "STOP NOW: ")
    if row.advice is not None:
        yield from _advice(row.advice)


def _advice(advice: Advice) -> Iterator[str]:
    told = (("Likely: ", advice.name), ("Check: ", advice.check), ("First: ", advice.remedy),
            ("Mind: ", advice.caution))
    for lead, words in told:
        if words:
            yield from paragraph(words, 4, lead)
