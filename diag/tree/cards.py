"""A tree cut into numbered cards, one a question, and what is to be done, lettered, for where the cards end.

Questions that come to the same are one card; each advice stands once.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import cast

from diag.report.figures import System, figure
from diag.tree.compiling import COMPLAINTS, alike
from diag.tree.model import Advice, Leaf, Look, Node, Tree

__all__ = ["Card", "Deck", "Row", "deck", "foot", "limits", "title"]

STAGES = {
    "running": "at the running machine",
    "stopped": "machine stopped and locked off",
    "opened": "point opened, nothing wiped yet",
    "cleaned": "after photographs and a grease sample: washed",
    "lab": "laboratory or bench test",
}
UNSURE = "can't tell"


@dataclass(frozen=True)
class Row:
    """What is found, why it must stop now (or empty), and where it leads: to a card, or to an advice."""

    answers: tuple[str, ...]
    urgent: str
    card: int | None
    letter: str
    name: str


@dataclass(frozen=True)
class Card:
    number: int
    stage: str  # in words
    text: str
    how: str
    cautions: tuple[str, ...]  # beside what is said before any work
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class Deck:
    """`advice`: by letter, in the order in which the cards name them."""

    cards: tuple[Card, ...]
    advice: Mapping[str, Advice]


def deck(tree: Tree) -> Deck:
    """All cards in the order in which one comes to them, and all advice."""
    looks = _looks(tree.root)
    found = dict.fromkeys(a for look in looks for a in _ends(look)) or {_as_it_stands(tree.root): None}
    letters = {a: _letter(n) for n, a in enumerate(a for a in found if a.cause)}
    numbers = {alike(look): n for n, look in enumerate(looks, 1)}
    cards = tuple(Card(n, STAGES[look.stage], look.text, look.how,
                       tuple(c for c in look.cautions if c not in tree.before_work),
                       tuple(_rows(look, numbers, letters))) for n, look in enumerate(looks, 1))
    return Deck(cards, {letter: advice for advice, letter in letters.items()})


def title(tree: Tree) -> str:
    """What the cards are for."""
    words = f"{tree.kind.replace('_', ' ')}: {COMPLAINTS[tree.complaint]}"
    return words[:1].upper() + words[1:]


def limits(tree: Tree, system: System = "metric") -> list[str]:
    """What stops the machine, readings included."""
    return [*tree.stop_signs, *(f"{s.reading}: over {figure(s.limit, s.unit, system)}" for s in tree.stop_if)]


def foot(tree: Tree) -> str:
    """How far the cards go."""
    return (f"Cut off after {tree.depth} questions, where few cases come to earlier. Size, place and history of the "
            "point are taken as not known; diag ask goes further and says when it is settled. What is likely is "
            f"judgement put into numbers. Knowledge {tree.knowledge[:12]}.")


def _looks(root: Node) -> list[Look]:
    found: dict[bytes, Look] = {}
    waiting: deque[Node] = deque([root])
    while waiting:
        node = waiting.popleft()
        if isinstance(node, Look) and alike(node) not in found:
            found[alike(node)] = node
            waiting.extend(cast(Node, b.to) for b in node.branches)
    return list(found.values())


def _ends(look: Look) -> Iterator[Advice]:
    for branch in look.branches:
        if isinstance(branch.to, Leaf):
            yield branch.to.advice
    yield look.unsure


def _rows(look: Look, numbers: Mapping[bytes, int], letters: Mapping[Advice, str]) -> Iterator[Row]:
    for branch in look.branches:
        to = cast(Node, branch.to)
        if isinstance(to, Look):
            yield Row(branch.answers, branch.urgent, numbers[alike(to)], "", "")
        else:
            yield Row(branch.answers, branch.urgent, None, letters.get(to.advice, ""), to.advice.name)
    yield Row((UNSURE,), "", None, letters.get(look.unsure, ""), look.unsure.name)


def _as_it_stands(node: Node) -> Advice:
    return node.unsure if isinstance(node, Look) else node.advice


def _letter(n: int) -> str:
    """A to Z, then AA, AB ..."""
    return (_letter(n // 26 - 1) if n >= 26 else "") + chr(ord("A") + n % 26)
