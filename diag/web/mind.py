"""What is thought of a walk, remembered for the next request: a page and its reload cost one computation."""

from __future__ import annotations

from functools import lru_cache

from diag.case import read_text, to_text
from diag.case.model import Case
from diag.findings import Findings, Urgency
from diag.knowledgebase import Knowledge
from diag.review import review
from diag.walk import Given, Step, Walk, confirming, next_step, unconfirmed, urgency_now

__all__ = ["Mind"]


class Mind:
    """Answers by the text of the case, so that equal cases are thought through once. Safe for threads."""

    def __init__(self, knowledge: Knowledge) -> None:
        self.knowledge = knowledge
        self._step = lru_cache(512)(self._find_step)
        self._put = lru_cache(512)(self._find_put)
        self._urgency = lru_cache(512)(self._find_urgency)
        self._findings = lru_cache(128)(self._find_findings)

    def put(self, walk: Walk) -> Step:
        """What the page puts now: own words that nobody has gone through yet, else the next question."""
        return self._put(_text(walk.case), walk.trail)

    def step(self, walk: Walk) -> Step:
        """The next question."""
        return self._step(_text(walk.case), walk.trail)

    def urgency(self, case: Case) -> Urgency | None:
        """None as long as nothing is known of the point."""
        return self._urgency(_text(case)) if case.point.kind else None

    def findings(self, case: Case) -> Findings:
        return self._findings(_text(case))

    def _find_put(self, text: str, trail: tuple[Given, ...]) -> Step:
        reading = unconfirmed(Walk(self._case(text), trail), self.knowledge)
        return self._step(text, trail) if reading is None else confirming(reading, self.knowledge)

    def _find_step(self, text: str, trail: tuple[Given, ...]) -> Step:
        return next_step(Walk(self._case(text), trail), self.knowledge)

    def _find_urgency(self, text: str) -> Urgency:
        return urgency_now(self._case(text), self.knowledge)

    def _find_findings(self, text: str) -> Findings:
        return review(self._case(text), self.knowledge)

    def _case(self, text: str) -> Case:
        return read_text(text, "the case", self.knowledge) if text else Case()


def _text(case: Case) -> str:
    return to_text(case) if case.point.kind else ""
