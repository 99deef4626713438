"""The complaint "hot" against what physics explains: one graded sign in its place, never both.

Heat that speed, load, oil, fill and surroundings explain says little of a fault. The balance behind it is good to
about half of the rise, so the sign it leaves counts for a factor of 2 at most either way.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from diag.answers import Answers
from diag.findings import CircumstanceFound
from diag.inference.prior import MOST_ESTIMATED
from diag.knowledgebase import Knowledge

__all__ = ["HOT", "graded"]

HOT = "hotter_than_usual"
TOP = 0.95  # share of the drawn temperatures below the upper end of the band


def graded(answers: Answers, circumstances: Mapping[str, CircumstanceFound], knowledge: Knowledge) -> Answers:
    """The answers with the complaint's "hot" graded by `heat_explained`.

    Within the band the graded sign stands for the complaint. Over its upper end the complaint comes back, without
    a step, and the balance adds nothing to it. A person's own answer and a measured rise over the point's own
    usual temperature are not touched: they compare with this point, not with a model.
    """
    heat, said = circumstances.get("heat_explained"), answers.by_sign.get(HOT)
    if heat is None or heat.value is None or said is None or said.origin != "complaint" or said.weight is None:
        return answers
    share = float(heat.value)
    sign = knowledge.signs[HOT]
    weight = _weight(MOST_ESTIMATED ** (2 * min(share, TOP) - 1), *knowledge.reported(sign))
    unexplained = max(0.0, (share - TOP) / (1 - TOP))
    weight += unexplained * (said.weight - weight)
    if weight == said.weight:
        return answers
    answer = replace(said, weight=weight, degree="unknown", words=f"{said.words}; but {heat.working}")
    return replace(answers, by_sign={**answers.by_sign, HOT: answer})


def _weight(factor: float, true: float, false: float) -> float:
    """The weight [-] at which a sign with these two chances changes the odds of its condition by `factor`."""
    return (factor * (1 - false) - (1 - true)) / ((2 * true - 1) - factor * (2 * false - 1))
