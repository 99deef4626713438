"""NLGI grades against the worked penetration as printed (NLGI classification, ASTM D217, DIN 51818; cross-checked)."""

from __future__ import annotations

import pytest

from diag.knowledgebase import load
from diag.shelf.label import read_label

K = load()
PUBLISHED = {"000": (445, 475), "00": (400, 430), "0": (355, 385), "1": (310, 340), "2": (265, 295), "3": (220, 250),
             "4": (175, 205), "5": (130, 160), "6": (85, 115)}


def test_the_grades_are_those_printed_and_no_others() -> None:
    assert {g: tuple(row["penetration"]) for g, row in K.standard("nlgi")["grades"].items()} == PUBLISHED


@pytest.mark.parametrize(("grade", "edges"), PUBLISHED.items())
def test_a_penetration_on_a_label_is_its_grade_up_to_both_edges(grade: str, edges: tuple[int, int]) -> None:
    for penetration in (*edges, sum(edges) // 2):
        assert read_label(f"worked penetration {penetration}", "label", K).stated["nlgi"] == grade
