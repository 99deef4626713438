"""Confirmations: only what can be had at this point is named, and every cause keeps one."""

from __future__ import annotations

import re
from typing import Any

import pytest

from diag.case.model import Case
from diag.inference.confirming import possible
from diag.knowledgebase import load
from diag.review import review
from tests.tiny import case

K = load()
RUN = "Open the drain and run"
SHOT = "Small shot while listening"
BREAK = "Break the line"
FILL = "Fill seen on opening"
SHEET = "Load figures on the data sheet"


def named(found: Case, cause: str) -> tuple[str, ...]:
    return next(part.confirm for part in review(found, K).causes if part.id == cause)


def names(found: Case, cause: str, test: str) -> bool:
    return any(words.startswith(test) for words in named(found, cause))


@pytest.mark.parametrize(("cause", "test", "point", "there"), [
    ("over_greasing", RUN, {}, True),
    ("over_greasing", RUN, {"drain": "closed"}, True),
    ("over_greasing", RUN, {"drain": "none"}, False),
    ("over_greasing", FILL, {"kind": "pin_bushing"}, False),
    ("over_greasing", FILL, {"bearing": {"sealing": "open"}}, True),
    ("over_greasing", FILL, {"bearing": {"sealing": "sealed"}}, False),
    ("under_greasing", BREAK, {"bearing": {"sealing": "sealed"}}, False),
    ("under_greasing", BREAK, {"feed": "hand_gun"}, True),
    ("under_greasing", SHOT, {"drain": "open"}, True),
    ("under_greasing", SHOT, {"drain": "closed"}, False),
    ("under_greasing", "Lubricator", {"feed": "hand_gun"}, False),
    ("under_greasing", "Lubricator", {"feed": "lubricator"}, True),
    ("water_ingress_corrosion", "Place of the rust", {"kind": "slideway"}, False)])
def test_what_cannot_be_done_at_a_point_is_not_named(cause: str, test: str, point: dict[str, Any], there: bool) -> None:
    assert names(case(point=point), cause, test) is there


def test_no_shot_of_grease_is_named_for_a_point_just_greased() -> None:
    assert names(case(regreasing={"since_last": 400.0}), "under_greasing", SHOT)
    assert not names(case(regreasing={"since_last": 3.0}), "under_greasing", SHOT)


def test_on_the_bench_nothing_runs_papers_can_be_read_and_a_sealed_bearing_is_cut_open() -> None:
    bench = case(point={"bearing": {"sealing": "sealed"}}, complaint="failed")
    assert not names(bench, "under_greasing", "Ultrasound")
    assert names(bench, "insufficient_ep", SHEET)
    assert names(bench, "over_greasing", FILL)


def test_what_must_stop_now_is_not_tested_running() -> None:
    smoking = case(seen={"smoke_or_burnt_smell": "yes"})
    assert review(smoking, K).urgency.level == "stop_now"
    assert not names(smoking, "over_greasing", RUN)
    assert names(smoking, "over_greasing", FILL)


@pytest.mark.parametrize("cause", sorted(K.causes))
def test_every_cause_keeps_a_confirmation_at_each_kind_of_point(cause: str) -> None:
    record = K.causes[cause]
    for kind in record.base_rate:
        assert possible(record, case(point={"kind": kind}), {}, may_turn=True)


@pytest.mark.parametrize("cause", sorted(K.causes))
def test_every_cause_has_a_confirmation_with_a_number_of_its_own(cause: str) -> None:
    """Numbers of standards don't count."""
    plain = [re.sub(r"\bD\d+", "", test.criterion) for test in K.causes[cause].confirm]
    assert any(re.search(r"\d", criterion) for criterion in plain)
