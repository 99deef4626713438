"""A tree cut into numbered cards, one a question; questions that come to the same are one card."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from typing import cast

from diag.tree.compiling import COMPLAINTS, alike
from diag.tree.model import Advice, Branch, Look, Node, Tree

__all__ = ["Card", "Row", "as_it_stands", "cards", "first_steps", "title"]

STAGES = {
    "running": "at the running machine",
    "stopped": "machine stopped and locked off",
    "opened": "point opened, nothing wiped yet",
    "cleaned": "after photographs and a grease sample: washed",
    "lab": "laboratory or bench test",
}


@dataclass(frozen=True)
class Row:
    """`card`: number of the card to go on with; else `advice` is the end of the way."""

    answers: tuple[str, ...]
    urgent: str
    card: int | None
    advice: Advice | None


@dataclass(frozen=True)
class Card:
    number: int
    look: Look
    rows: tuple[Row, ...]

    @property
    def stage(self) -> str:
        """Where the machine must be for this look, in words."""
        return STAGES[self.look.stage]


def cards(tree: Tree) -> tuple[Card, ...]:
    """Cards in the order in which one comes to them; none where the tree is advice alone."""
    numbers: dict[bytes, int] = {}
    looks: list[Look] = []
    waiting: deque[Node] = deque([tree.root])
    while waiting:
        node = waiting.popleft()
        if isinstance(node, Look) and alike(node) not in numbers:
            numbers[alike(node)] = len(looks) + 1
            looks.append(node)
            waiting.extend(cast(Node, b.to) for b in node.branches)
    return tuple(Card(n, look, tuple(_row(b, numbers) for b in look.branches)) for n, look in enumerate(looks, 1))


def _row(branch: Branch, numbers: dict[bytes, int]) -> Row:
    to = cast(Node, branch.to)
    if isinstance(to, Look):
        return Row(branch.answers, branch.urgent, numbers[alike(to)], None)
    return Row(branch.answers, branch.urgent, None, to.advice)


def as_it_stands(node: Node) -> Advice:
    """The advice for who goes no further from here."""
    return node.unsure if isinstance(node, Look) else node.advice


def title(tree: Tree) -> str:
    """What the cards are for."""
    return f"{tree.kind.replace('_', ' ')}: {COMPLAINTS[tree.complaint]}"


def first_steps(advice: Advice) -> str:
    """The advice in one sentence for who has one line for it."""
    return f"{advice.name}: {advice.remedy}" if advice.remedy else advice.name

