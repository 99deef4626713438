"""Each invented brickworks case gets the review that stands beside it in demo_cases/expected.yaml."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from diag.case import read_case
from diag.findings import Findings
from diag.knowledgebase import load
from diag.review import review

FOLDER = Path(__file__).resolve().parent.parent / "demo_cases"
EXPECTED: dict[str, dict[str, Any]] = yaml.safe_load((FOLDER / "expected.yaml").read_text("utf-8"))
KNOWLEDGE = load()


def reviewed(name: str) -> Findings:
    return review(read_case(FOLDER / f"{name}.yaml", KNOWLEDGE), KNOWLEDGE)


def test_every_case_has_its_expectation() -> None:
    assert {p.stem for p in FOLDER.glob("*.yaml")} - {"expected", "generator"} == set(EXPECTED)


def test_every_case_says_that_it_is_invented() -> None:
    for path in FOLDER.glob("*.yaml"):
        assert "invented" in path.read_text("utf-8").lower(), path.name


@pytest.mark.parametrize("name", EXPECTED)
def test_demo_case_gets_the_expected_review(name: str) -> None:
    wanted, found = EXPECTED[name], reviewed(name)
    belief = {c.id: c.probability for c in found.causes}
    if "leads" in wanted:
        assert found.causes[0].id in wanted["leads"], found.causes[0]
    for cause in wanted.get("both", ()):
        assert belief[cause] > 0.5, (cause, belief[cause])
    if wanted.get("nothing_leads") == "yes":
        assert max(belief.values()) < 0.5, found.causes[0]
    if "urgency" in wanted:
        assert found.urgency.level in wanted["urgency"]
    if "action" in wanted:
        assert found.changeover.action in wanted["action"]
    if wanted.get("not_the_grease", "any") != "any":
        assert found.not_the_grease is (wanted["not_the_grease"] == "yes")
    if "repair_first" in wanted:
        assert found.changeover.repair_first is (wanted["repair_first"] == "yes")
