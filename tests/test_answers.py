"""What was seen, measured and said becomes one answer per sign."""

from __future__ import annotations

import math
from dataclasses import replace

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diag.answers import Answer, Answers, collect, grade
from diag.case.model import DEGREES, Case, Grease, Point
from diag.errors import InputError
from diag.knowledgebase import Knowledge, load
from diag.knowledgebase.model import ReadingSign
from tests.tiny import case, knowledge

K = knowledge()
SIGNS = sorted(K.signs)


def text_answer(sign: str, degree: str, weight: float | None) -> Answer:
    return Answer(sign, weight, degree, "text", "it says so")  # type: ignore[arg-type]


def test_degrees_become_weights_with_the_soft_odds_of_the_words() -> None:
    seen = {"milky": "yes", "droplets": "probably", "falls_again": "probably_not", "still_climbing": "no",
            "smoke_seen": "unknown"}
    by_sign = collect(case(seen=seen), K).by_sign
    assert {s: a.weight for s, a in by_sign.items()} == {
        "milky": 1.0, "droplets": 0.8, "falls_again": pytest.approx(0.2), "still_climbing": 0.0, "smoke_seen": None}


@pytest.mark.parametrize(("value", "weight"), [(2, 0.0), (3, 0.0), (8, 0.5), (13, 1.0), (40, 1.0)])
def test_a_reading_is_graded_without_a_cliff(value: float, weight: float) -> None:
    answer = collect(case(measured={"temperature_rise": value}), K).by_sign["hotter_than_usual"]
    assert (answer.weight, answer.origin) == (weight, "measured")


def test_a_threshold_that_falls_is_graded_the_other_way() -> None:
    rule = ReadingSign(sign="soft", no_at=59, yes_at=57, source=("practice",), confidence="judgement")
    assert [grade(v, rule) for v in (60, 58, 50)] == [0.0, 0.5, 1.0]


def test_the_rise_follows_from_running_and_usual_temperature() -> None:
    answer = collect(case(point={"running_temperature": 90.0, "usual_temperature": 70.0}), K)
    assert answer.by_sign["hotter_than_usual"].weight == 1.0


def test_a_persons_look_goes_before_a_reading_and_the_conflict_is_said() -> None:
    answers = collect(case(seen={"hotter_than_usual": "no"}, measured={"temperature_rise": 20.0}), K)
    assert (answers.by_sign["hotter_than_usual"].origin, answers.by_sign["hotter_than_usual"].weight) == ("said", 0.0)
    assert len(answers.conflicts) == 1
    assert "hotter than its own usual: 20 K" in answers.conflicts[0]
    assert "your own look counts" in answers.conflicts[0]


def test_an_unknown_leaves_the_word_to_the_reading() -> None:
    answers = collect(case(seen={"hotter_than_usual": "unknown"}, measured={"temperature_rise": 20.0}), K)
    assert answers.by_sign["hotter_than_usual"].origin == "measured"
    assert answers.conflicts == ()


def test_a_complaint_counts_as_its_sign_unless_something_better_is_known() -> None:
    assert collect(case(complaint="hot"), K).by_sign["hotter_than_usual"].weight == pytest.approx(0.8)
    measured = collect(case(complaint="hot", measured={"temperature_rise": 0.0}), K)
    assert measured.by_sign["hotter_than_usual"].weight == 0.0
    assert "the reading counts" in measured.conflicts[0]


def test_text_comes_last() -> None:
    answers = collect(case(lab={"water": 0.05}), K, extra=[text_answer("milky", "yes", 1.0)])
    assert answers.by_sign["milky"].origin == "measured"
    assert collect(case(), K, extra=[text_answer("milky", "yes", 1.0)]).positive("milky")


def test_no_about_the_inside_of_a_sealed_bearing_is_unknown() -> None:
    sealed = {"bearing": {"sealing": "sealed"}}
    answers = collect(case(point=sealed, seen={"milky": "no", "still_climbing": "no"}), K)
    assert (answers.by_sign["milky"].weight, answers.by_sign["still_climbing"].weight) == (None, 0.0)
    assert answers.conflicts == (
        "the bearing is sealed and was not opened: a no about its inside counts as unknown (milky)",)


@pytest.mark.parametrize("more", [
    {"point": {"bearing": {"sealing": "open"}}}, {"complaint": "failed", "point": {"feed": "sealed_for_life"}},
    {"seen": {"milky": "no", "droplets": "yes"}, "point": {"feed": "sealed_for_life"}}])
def test_no_about_the_inside_stands_where_one_could_look(more: dict[str, object]) -> None:
    assert collect(case(**{"seen": {"milky": "no"}, **more}), K).by_sign["milky"].weight == 0.0


def test_an_unknown_sign_is_refused_by_name() -> None:
    with pytest.raises(InputError, match="glows_green: no such sign"):
        collect(case(seen={"glows_green": "yes"}), K)


def test_pairs_multiply_the_answers_of_one_condition() -> None:
    answers = collect(case(seen={"hotter_than_usual": "yes", "hotter_than_sister": "no"}), K)
    pairs = answers.pairs(K, "rolling_bearing")
    assert pairs == {"runs_hot": (pytest.approx(0.9 * 0.5), pytest.approx(0.25 * 0.75))}


def test_a_soft_answer_mixes_yes_and_no() -> None:
    pairs = collect(case(seen={"milky": "probably"}), K).pairs(K, "rolling_bearing")
    assert pairs["water_in_grease"] == (pytest.approx(0.8 * 0.9 + 0.2 * 0.1), pytest.approx(0.8 * 0.02 + 0.2 * 0.98))


def test_pairs_leave_out_signs_and_conditions_and_other_kinds() -> None:
    answers = collect(case(seen={"milky": "yes", "droplets": "yes", "still_climbing": "yes"}), K)
    assert answers.pairs(K, "rolling_bearing", without=frozenset({"milky"}))["water_in_grease"] == (0.5, 0.02)
    assert "water_in_grease" not in answers.pairs(K, "rolling_bearing", without=frozenset({"water_in_grease"}))
    assert "rise_goes_on" not in answers.pairs(K, "slideway")


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(SIGNS), st.sampled_from(DEGREES)), unique_by=lambda t: t[0]), st.randoms())
def test_order_never_matters_and_pairs_are_chances(found: list[tuple[str, str]], chance: object) -> None:
    shuffled = list(found)
    chance.shuffle(shuffled)  # type: ignore[attr-defined]
    one, other = collect(case(seen=dict(found)), K), collect(case(seen=dict(shuffled)), K)
    first, second = one.pairs(K, "rolling_bearing"), other.pairs(K, "rolling_bearing")
    assert first.keys() == second.keys()
    for condition, pair in first.items():
        assert all(math.isclose(a, b) for a, b in zip(pair, second[condition], strict=True))
        assert all(0 < p <= 1 for p in pair)


@settings(max_examples=40, deadline=None)
@given(st.dictionaries(st.sampled_from(SIGNS), st.sampled_from(DEGREES)), st.sampled_from(SIGNS))
def test_one_more_unknown_changes_no_pair(seen: dict[str, str], more: str) -> None:
    known = {s: d for s, d in seen.items() if s != more}
    with_unknown = collect(case(seen={**known, more: "unknown"}), K)
    assert with_unknown.pairs(K, "rolling_bearing") == collect(case(seen=known), K).pairs(K, "rolling_bearing")


@settings(max_examples=40, deadline=None)
@given(st.floats(0.05, 0.95), st.floats(0.02, 0.95), st.floats(0.1, 1.0))
def test_trust_tempers_a_yes_and_a_no_alike_and_leaves_chances(true: float, false: float, trust: float) -> None:
    told = msgspec.structs.replace(K.signs["milky"], if_true=str(true), if_false=str(false))
    with_it, without_it = trusting(trust).reported(told)
    assert 0 < with_it < 1
    assert 0 < without_it < 1
    if abs(true - false) > 1e-3:
        assert with_it / without_it == pytest.approx((true / false) ** trust, rel=1e-6)
        assert (1 - with_it) / (1 - without_it) == pytest.approx(((1 - true) / (1 - false)) ** trust, rel=1e-6)


def test_two_tempered_reports_of_one_condition_move_its_odds_by_the_power_of_their_product() -> None:
    seen = {"milky": "yes", "droplets": "no"}
    (plain, less) = (collect(case(seen=seen), K).pairs(k, "rolling_bearing")["water_in_grease"]
                     for k in (trusting(1.0), trusting(0.7)))
    assert less[0] / less[1] == pytest.approx((plain[0] / plain[1]) ** 0.7)


def trusting(trust: float) -> Knowledge:
    return replace(K, words=msgspec.structs.replace(K.words, trust=trust))


def test_no_answers_no_pairs() -> None:
    assert Answers().pairs(K, "rolling_bearing") == {}


@pytest.mark.parametrize(("grade", "penetration", "sign"), [("2", 370.0, "lab_softer"), ("0", 250.0, "lab_stiffer")])
def test_a_penetration_counts_against_the_grade_of_the_new_grease(grade: str, penetration: float, sign: str) -> None:
    carried = load()
    case = Case(point=Point(kind="rolling_bearing"), grease=Grease(nlgi=grade), lab={"penetration": penetration})
    assert collect(case, carried).by_sign[sign].weight == 1.0


def test_a_penetration_without_a_grade_says_nothing() -> None:
    case = Case(point=Point(kind="rolling_bearing"), lab={"penetration": 400.0})
    assert collect(case, load()).by_sign == {}
