"""The compiled tree is `diag ask` on paper: same questions, same advice; and how it is printed."""

from __future__ import annotations

import json
import random
from html.parser import HTMLParser

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diag.knowledgebase import Knowledge
from diag.review import LEADS, review
from diag.tree import Leaf, Look, Tree, compile_tree, html, text
from diag.tree.cards import deck
from diag.tree.compiling import COMPLAINTS, alike
from diag.walk import Walk, answer, next_step, urgency_now

TREES = [("rolling_bearing", "hot"), ("pin_bushing", "loose"), ("slideway", "failed")]


@pytest.fixture(scope="module")
def trees(knowledge) -> list[Tree]:
    return [compile_tree(knowledge, kind, complaint, 3, 0.15) for kind, complaint in TREES]


def begun(tree: Tree, knowledge: Knowledge) -> Walk:
    walk = Walk()
    for typed in (tree.kind, tree.complaint):
        walk = answer(walk, next_step(walk, knowledge), typed, knowledge)
    return taken(walk, tree.passed, knowledge)


def taken(walk: Walk, passed, knowledge: Knowledge) -> Walk:
    """The walk after the steps that paper passes over, each of which `ask` must put just then."""
    for step_id, typed in passed:
        step = next_step(walk, knowledge)
        assert step.id == step_id
        walk = answer(walk, step, typed, knowledge)
    return walk


@settings(max_examples=20, deadline=None)
@given(which=st.integers(0, len(TREES) - 1), seed=st.integers(0, 10**6))
def test_walking_the_tree_equals_asking_with_the_same_answers(trees, knowledge, which, seed):
    tree, choose = trees[which], random.Random(seed)
    walk, node = begun(tree, knowledge), tree.root
    first = True
    while isinstance(node, Look):
        walk = walk if first else taken(walk, node.passed, knowledge)
        first = False
        step = next_step(walk, knowledge)
        assert (step.id, step.text, step.cautions) == (node.step, node.text, node.cautions)
        shown = {choice.text for choice in step.choices} | {"none of these"}
        assert {a for b in node.branches for a in b.answers} == shown
        branch = choose.choice(node.branches)
        walk = answer(walk, step, choose.choice(branch.typed), knowledge)
        assert bool(branch.urgent) <= (urgency_now(walk.case, knowledge).level == "stop_now")
        node = branch.to
    found = review(walk.case, knowledge, text=False)
    lead = found.causes[0]
    assert node.advice.cause == (lead.id if lead.probability >= LEADS else "")
    assert node.stop == (found.urgency.level == "stop_now")
    assert node.probability <= lead.probability + 1e-9


def looks(node) -> list[Look]:
    return [node, *(found for b in node.branches for found in looks(b.to))] if isinstance(node, Look) else []


def leaves(node) -> list[Leaf]:
    return [node] if isinstance(node, Leaf) else [leaf for b in node.branches for leaf in leaves(b.to)]


def depth(node) -> int:
    return 1 + max(depth(b.to) for b in node.branches) if isinstance(node, Look) else 0


def test_a_tree_keeps_its_depth_and_its_chances_add_up(trees):
    for tree in trees:
        assert 1 <= depth(tree.root) <= 3
        for look in looks(tree.root):
            assert sum(b.chance for b in look.branches) == pytest.approx(1, abs=1e-9)


def test_no_two_branches_of_a_question_come_to_the_same(trees):
    for tree in trees:
        for look in looks(tree.root):
            ends = [(bool(b.urgent), alike(b.to)) for b in look.branches]
            assert len(ends) == len(set(ends))


def test_every_leaf_with_a_cause_says_how_to_check_and_what_to_do(trees, knowledge):
    for tree in trees:
        led = [leaf.advice for leaf in leaves(tree.root) if leaf.advice.cause]
        assert led
        assert all(a.check and a.remedy and a.name == knowledge.causes[a.cause].name for a in led)


def test_where_it_must_stand_nothing_is_checked_at_the_running_point(trees, knowledge):
    seen = 0
    for leaf in (leaf for tree in trees for leaf in leaves(tree.root) if leaf.stop and leaf.advice.cause):
        running = {f"{c.test}: {c.criterion}" for c in knowledge.causes[leaf.advice.cause].confirm
                   if c.stage == "running" and not c.desk}
        assert leaf.advice.check not in running
        seen += 1
    assert seen


def test_the_text_fits_80_columns_and_holds_every_card_and_advice(trees):
    for tree in trees:
        page, found = text.page(tree), deck(tree)
        assert max(map(len, page.splitlines())) <= 80
        assert page.index("STOP AT ONCE") < page.index("CARD 1.")
        assert all(f"CARD {card.number}. " in page for card in found.cards)
        assert all(f"\n{letter}. {a.name}"[:60] in page for letter, a in found.advice.items())


def test_cards_lead_to_cards_and_letters_there_are(trees):
    for tree in trees:
        found = deck(tree)
        numbers = {card.number for card in found.cards}
        for row in (row for card in found.cards for row in card.rows):
            assert row.card in numbers if row.card else (row.letter in found.advice or not row.letter)
        assert numbers - {1} == {row.card for card in found.cards for row in card.rows if row.card}


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.said: list[str] = []

    def handle_starttag(self, tag, attrs):
        assert not {"src", "href"} & {name for name, _ in attrs}
        if tag not in ("meta", "br"):
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.said.append(data)


def test_the_page_is_whole_fetches_nothing_and_says_what_the_text_says(trees):
    for tree in trees:
        reader = _Reader()
        reader.feed(html.page(tree))
        assert reader.open == []
        said = " ".join(reader.said)
        assert all(limit in said for limit in tree.stop_signs)
        assert all(a.check in said and a.remedy in said for a in deck(tree).advice.values())


def test_the_command_prints_json_and_writes_a_page(run, tmp_path):
    tree = json.loads(run("tree", "--kind", "pin_bushing", "--for", "stiff", "--depth", "1", "--json")[1])
    assert tree["kind"] == "pin_bushing" and tree["root"]["type"] == "look"
    out = tmp_path / "cards.html"
    assert run("tree", "--kind", "pin_bushing", "--for", "stiff", "--depth", "1", "--html", str(out))[0] == 0
    assert out.read_text("utf-8").startswith("<!doctype html>")


@pytest.mark.parametrize(("arguments", "words"), [
    (("--for", "planning"), "none of hot, noisy"), (("--kind", "wheel"), "rolling_bearing"), (("--depth", "0"), "1 to"),
])
def test_a_wrong_option_is_one_line_that_says_what_would_be_right(run, arguments, words):
    status, out, err = run("tree", *arguments)
    assert (status, out) == (2, "")
    assert words in err and err.count("\n") == 1


def test_every_complaint_but_planning_has_a_tree():
    assert set(COMPLAINTS) == {"hot", "noisy", "leaking", "stiff", "loose", "failed"}
