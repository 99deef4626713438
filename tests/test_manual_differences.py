"""Where the machine's manual differs from the computing although one grease can meet both."""

from __future__ import annotations

import pytest

from diag import knowledgebase
from diag.case import read_text
from diag.review import review


def found(highest: str) -> tuple[tuple[str, ...], float]:
    """The differences told, and the lasting temperature asked for, at a point that runs at 85 °C."""
    knowledge = knowledgebase.load()
    case = read_text(f"""
point: {{kind: rolling_bearing, usual_temperature: 85 degC, manual: {{highest_temperature: {highest}}}}}
""", "case", knowledge)
    findings = review(case, knowledge)
    asked = [r.value for r in findings.spec.requirements if r.property == "highest_temperature"]
    return findings.manual_differences, float(asked[0])


@pytest.mark.parametrize(("highest", "told"), [("60 degC", True), ("95 degC", False), ("150 degC", False)])
def test_a_manual_that_reckons_with_a_cooler_point_is_told_and_the_real_heat_still_counts(highest: str, told: bool):
    differences, asked = found(highest)
    assert any("60 °C" in d and "highest temperature" in d for d in differences) is told
    assert asked >= 100
