"""Two causes side by side, answers only supposed, and the check that settles between two causes."""

from __future__ import annotations

import json
import math

import pytest

from diag import answers
from diag.case import read_case
from diag.cli import demo
from diag.cli.supposing import supposed
from diag.errors import InputError
from diag.inference.compare import compare
from diag.inference.separation import SETTLES
from diag.report import json as written
from diag.report.parts.compare import compare as page
from diag.review import review

CASE = "wash_plant_pulley_milky"


def beside(knowledge, name, first, second):
    case = read_case(demo.cases()[name], knowledge)
    return compare(review(case, knowledge), case, first, second, answers.collect(case, knowledge).by_sign, knowledge)


def test_findings_stand_on_the_side_they_speak_for(knowledge):
    found = beside(knowledge, CASE, "water_ingress_corrosion", "solid_contamination")
    assert found.for_first and all(b.first > b.second for b in found.for_first)
    assert all(b.second > b.first for b in found.for_second)
    assert all(abs(math.log(b.first / b.second)) <= math.log(1.2) + 1e-9 for b in found.agree)
    assert "milky" in {b.id for b in found.for_first}
    ratios = [b.first / b.second for b in found.for_first]
    assert ratios == sorted(ratios, reverse=True)


def test_turned_round_it_says_the_same_the_other_way(knowledge):
    one = beside(knowledge, CASE, "water_ingress_corrosion", "solid_contamination")
    other = beside(knowledge, CASE, "solid_contamination", "water_ingress_corrosion")
    assert {b.id for b in one.for_first} == {b.id for b in other.for_second}
    assert {b.id for b in one.agree} == {b.id for b in other.agree}
    assert one.check == other.check


def test_the_check_is_open_and_its_worth_is_told(knowledge):
    found = beside(knowledge, "exhauster_build_up", "overload_or_unbalance", "misalignment")
    case = read_case(demo.cases()["exhauster_build_up"], knowledge)
    signs = {o.sign for o in knowledge.questions[found.check.id].options}
    assert not signs & set(answers.collect(case, knowledge).by_sign)
    assert 0 < found.check.log_odds < 4 * SETTLES
    words = " ".join(" ".join(page(found)).split())
    assert f"log-odds of {found.check.log_odds:.1f}" in words and found.check.text in words


def test_the_same_work_needs_no_telling_apart(knowledge):
    found = beside(knowledge, CASE, "water_ingress_corrosion", "water_washout")
    assert found.same_work
    assert "They need no telling apart" in " ".join(page(found))


@pytest.mark.parametrize(("pair", "words"), [
    (("water_washout", "rain"), "no cause"), (("water_washout", "water_washout"), "different"),
])
def test_causes_that_cannot_be_compared_are_refused(knowledge, pair, words):
    with pytest.raises(InputError, match=words):
        beside(knowledge, CASE, *pair)


def test_a_supposed_answer_counts_as_if_it_had_been_seen_and_is_stored_nowhere(run, knowledge):
    path = demo.cases()[CASE]
    before = path.read_bytes()
    case = read_case(path, knowledge)
    other = supposed(case, ["milky=no", "gritty=probably"], knowledge)
    assert other.seen == {**case.seen, "milky": "no", "gritty": "probably"}
    given = (str(path), "--suppose", "milky=no", "--suppose", "gritty=probably")
    told = json.loads(run("review", *given, "--json")[1])
    assert told["causes"] == json.loads(written.text(review(other, knowledge)))["causes"]
    assert told["causes"] != json.loads(run("review", str(path), "--json")[1])["causes"]
    assert "Supposed, and not stored: milky=no, gritty=probably." in run("review", *given)[1]
    assert path.read_bytes() == before


@pytest.mark.parametrize(("word", "words"), [
    ("milkyy=yes", "nearest is milky"), ("milky=perhaps", "probably"), ("milky", "such as milky=yes"),
])
def test_a_wrong_supposition_says_what_would_be_right(knowledge, word, words):
    case = read_case(demo.cases()[CASE], knowledge)
    with pytest.raises(InputError, match=words):
        supposed(case, [word], knowledge)


def test_the_command_compares_on_the_page_and_as_json(run):
    asked = ("review", str(demo.cases()[CASE]), "--compare", "water_ingress_corrosion", "seal_failure")
    status, out, _ = run(*asked)
    assert status == 0
    assert max(map(len, out.splitlines())) <= 80
    found = json.loads(run(*asked, "--json")[1])
    assert (found["first"]["id"], found["second"]["id"]) == ("water_ingress_corrosion", "seal_failure")
