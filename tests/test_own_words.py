"""Free text: what is read, what is left, how far it counts, and that the person has the last word."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diag import knowledgebase
from diag.answers import collect, from_text
from diag.case import read_text
from diag.case.model import Bearing, Case, Point
from diag.errors import InputError
from diag.knowledgebase import Knowledge
from diag.knowledgebase.phrases import Sayings
from diag.review import review
from diag.walk import Walk, back, kept, struck, told, unconfirmed
from diag.words import heard, read
from tests.own_words_score import (
    FRESH,
    NEGATIVE,
    OF_ONE_HAND,
    POSITIVE,
    VOICES,
    published,
    score,
    score_quantities,
    sentences,
)

DIAG = str(Path(sys.executable).parent / "diag")
ALL = (*OF_ONE_HAND, *VOICES)


def degrees(text: str, knowledge: Knowledge, kind: str = "rolling_bearing") -> dict[str, str]:
    return {s.sign: s.degree for s in read(text, kind, knowledge).signs}


def said(text: str, knowledge: Knowledge, more: str = "") -> Case:
    return read_text(f"point: {{kind: rolling_bearing}}\nsaid: {json.dumps(text)}\n{more}", "case.yaml", knowledge)


# Measured on sentences


def test_the_sentences_are_many_and_their_signs_can_be_asked(knowledge: Knowledge) -> None:
    entries = [e for part in VOICES for e in sentences(part)]
    assert len(entries) >= 80
    assert sum(any(d != "yes" for d in e["signs"].values()) for e in entries) >= 60
    for entry in (e for part in ALL for e in sentences(part)):
        for sign in (*entry["signs"], *entry.get("also", ())):
            asked = knowledge.questions[knowledge.question_of[sign]].kinds
            assert entry.get("kind", "rolling_bearing") in {*asked} & {*knowledge.signs[sign].kinds}, sign


def of(*parts: str) -> list[dict[str, Any]]:
    return [e for part in parts for e in sentences(part)]


@pytest.mark.parametrize("parts", [OF_ONE_HAND, tuple(v for v in VOICES if v not in FRESH), FRESH],
                         ids=["by the hand of the phrases", "by others", "by others, never tuned on"])
def test_what_is_read_as_yes_is_meant_so(parts: tuple[str, ...], knowledge: Knowledge) -> None:
    yes = score(of(*parts), knowledge)
    assert yes.precision >= 0.95
    assert yes.recall >= (0.6 if parts == OF_ONE_HAND else 0.2)


def test_positive_and_negative_readings_and_quantities_hold_too(knowledge: Knowledge) -> None:
    own, others = of(*OF_ONE_HAND), of(*VOICES)
    assert score(own, knowledge, POSITIVE).precision >= 0.9
    assert score(own, knowledge, POSITIVE).recall >= 0.85
    assert score(others, knowledge, POSITIVE).precision >= 0.75
    assert score(others, knowledge, POSITIVE).recall >= 0.45
    # "The seal is fine" denies more signs than a sentence's list names.
    assert score(own + others, knowledge, NEGATIVE).precision >= 0.8
    numbers = score_quantities(own + others, knowledge)
    assert numbers.precision >= 0.9
    assert numbers.recall >= 0.6


def test_published_facts_are_read_as_they_were_encoded_by_hand(knowledge: Knowledge) -> None:
    found = published(knowledge)
    assert score(found, knowledge, meant=POSITIVE).precision >= 0.95
    either = score(found, knowledge, POSITIVE)
    assert either.precision >= 0.85
    assert either.recall >= 0.55


def test_every_phrase_is_read_when_it_stands_alone(knowledge: Knowledge) -> None:
    wrong = []
    for question in knowledge.questions.values():
        for option in question.options:
            served = {*question.kinds} & {*option.kinds} & {*knowledge.conditions[option.condition].kinds}
            kind = min(served)
            ways = knowledge.sayings().get(option.sign, Sayings())
            lists = [((*ways.say, *ways.hint), POSITIVE), (ways.deny, NEGATIVE)]
            wrong += [(option.sign, phrase) for phrases, wanted in lists for phrase in phrases
                      if degrees(phrase, knowledge, kind).get(option.sign) not in wanted]
    assert wrong == []


# Denial, hedges, and what states nothing


@pytest.mark.parametrize(
    ("text", "sign", "degree"),
    [
        ("it leaks", "grease_escapes", "yes"),
        ("no leak", "grease_escapes", "no"),
        ("it doesnt leak", "grease_escapes", "no"),
        ("not hot any more", "hotter_than_usual", "no"),
        ("without any noise", "louder_than_usual", "no"),
        ("I think it leaks", "grease_escapes", "probably"),
        ("I don't think it leaks", "grease_escapes", "probably_not"),
        ("maybe it smokes a bit", "smoke_or_burnt_smell", "probably"),
        ("the nipple won't take grease", "fitting_takes_no_grease", "yes"),
        ("the nipple takes grease", "fitting_takes_no_grease", "no"),
        ("won't turn", "locked_up", "yes"),
        ("the squeal is gone", "dry_squeal", "no"),
        ("the squeal is gone but came back", "dry_squeal", "yes"),
        ("the grinding doesn't stop", "grinding_or_banging", "probably"),
    ],
)
def test_denial_and_hedges(text: str, sign: str, degree: str, knowledge: Knowledge) -> None:
    assert degrees(text, knowledge)[sign] == degree


@pytest.mark.parametrize(
    "text",
    [
        "is it smoking?",
        "stop it if it smokes",
        "I don't know whether it leaks",
        "it used to leak",
        "see you on Monday",
        "",
    ],
)
def test_what_states_nothing_is_not_read(text: str, knowledge: Knowledge) -> None:
    assert degrees(text, knowledge) == {}


def test_a_denial_ends_where_a_new_statement_begins(knowledge: Knowledge) -> None:
    assert degrees("no smoke, but it leaks", knowledge) == {"smoke_or_burnt_smell": "no", "grease_escapes": "yes"}
    assert degrees("no smoke and it leaks", knowledge) == {"smoke_or_burnt_smell": "no", "grease_escapes": "yes"}
    assert degrees("no leak since it was smoking", knowledge)["smoke_or_burnt_smell"] == "yes"


def test_the_rest_of_a_denied_list_states_nothing(knowledge: Knowledge) -> None:
    assert degrees("no smoke, rust", knowledge) == {"smoke_or_burnt_smell": "no"}


def test_stated_and_denied_in_one_text_is_likely(knowledge: Knowledge) -> None:
    assert degrees("It leaks. It does not leak.", knowledge) == {"grease_escapes": "probably"}


def test_a_longer_name_wins_over_a_shorter_inside_it(knowledge: Knowledge) -> None:
    assert degrees("it is noisy only when cold", knowledge) == {"groans_cold_quiet_warm": "yes"}


def test_of_a_question_with_one_answer_two_are_only_likely(knowledge: Knowledge) -> None:
    found = degrees("The housing was packed full of grease. The bearing was bone dry.", knowledge)
    assert found["packed_full"] == found["little_left"] == "probably"


def test_of_a_question_with_one_answer_two_stay_likely_when_confirmed(knowledge: Knowledge) -> None:
    found = read("The temperature climbed for hours. It crept up over weeks.", "rolling_bearing", knowledge)
    assert found.worded == {"climbing_after_hours": "probably", "crept_up_over_weeks": "probably"}


def test_a_sentence_of_50_kb_is_read_as_its_beginning(knowledge: Knowledge) -> None:
    said = "hot grease bearing noise seal leak dry black "
    short, long = (read(said * times, "rolling_bearing", knowledge) for times in (3, 1200))
    assert long.worded == short.worded
    assert {one.sign for one in long.signs} == {one.sign for one in short.signs}


def test_signs_of_another_kind_of_point_are_not_read(knowledge: Knowledge) -> None:
    assert degrees("the wiper is torn", knowledge, "slideway") == {"wiper_torn": "yes"}
    assert "wiper_torn" not in degrees("the wiper is torn", knowledge)


def test_of_an_endless_clause_only_what_stands_round_the_words_is_quoted(knowledge: Knowledge) -> None:
    found = read("and so on " * 500 + "the seal lip is torn", "rolling_bearing", knowledge)
    assert [len(s.words.split()) < 40 and "lip is torn" in s.words for s in found.signs] == [True]


def test_sentences_that_gave_nothing_are_named(knowledge: Knowledge) -> None:
    found = read("It leaks. Bring the blue folder. 1480 rpm.", "rolling_bearing", knowledge)
    assert found.unmatched == ("Bring the blue folder.",)


def test_met_among_much_else_or_nearly_as_well_by_another_sign_is_likely(knowledge: Knowledge) -> None:
    assert degrees("the seal lip is torn", knowledge) == {"seal_cut_or_turned": "yes"}
    much_else = degrees("the seal lip is torn where the yellow crane cabin ladder rubbed it on Monday", knowledge)
    assert much_else == {"seal_cut_or_turned": "probably"}
    two = degrees("Grease pushed past the inner seal and is all over the motor windings", knowledge)
    assert two["grease_inside_machine"] == two["fresh_grease_pushed_out"] == "probably"


# Quantities


@pytest.mark.parametrize(
    ("text", "path", "value"),
    [
        ("runs at 190 F", "point.running_temperature", (190 - 32) / 1.8),
        ("greased two days ago", "regreasing.since_last", 48),
        ("we regreased it yesterday", "regreasing.since_last", 24),
        ("about 1750 rpm", "point.speed", 1750),
        ("bore 60 mm", "point.bearing.bore", 60),
        ("normally it runs at 60 C", "point.usual_temperature", 60),
        ("went from 60 C to 85 C", "point.running_temperature", 85),
        ("20 g of grease every 2 weeks", "regreasing.amount", 20),
        ("20 g of grease every 2 weeks", "regreasing.every", 336),
    ],
)
def test_a_number_goes_where_its_clause_says(text: str, path: str, value: float, knowledge: Knowledge) -> None:
    found = {q.path: q.value for q in read(text, "rolling_bearing", knowledge).quantities}
    assert found[path] == pytest.approx(value)


@pytest.mark.parametrize("text", ["hotter by 20 C", "the kiln is at 900 C", "room 40 C", "1,450 rpm",
                                  "painted 3 weeks ago"])
def test_a_number_of_something_else_is_left(text: str, knowledge: Knowledge) -> None:
    assert read(text, "rolling_bearing", knowledge).quantities == ()


# In a review


def test_a_yes_from_the_text_counts_as_a_probably(knowledge: Knowledge) -> None:
    case, signs, _ = heard(said("It leaks.", knowledge), knowledge)
    answer = collect(case, knowledge, from_text(signs, knowledge)).by_sign["grease_escapes"]
    ticked = collect(said("", knowledge, "seen: {grease_escapes: probably}"), knowledge).by_sign["grease_escapes"]
    assert answer.weight == pytest.approx(ticked.weight)
    assert answer.origin == "text"


def test_the_text_moves_the_causes_and_is_listed(knowledge: Knowledge) -> None:
    case = said("Washboard pattern on the outer race.", knowledge)
    told_so = {c.id: c.probability for c in review(case, knowledge).causes}
    silent = {c.id: c.probability for c in review(case, knowledge, text=False).causes}
    assert told_so["electrical_erosion"] > 2 * silent["electrical_erosion"]
    (listed,) = review(case, knowledge).read_from_text
    assert (listed.sign, listed.degree) == ("flutes_seen", "yes")
    assert "washboard" in listed.words
    assert review(case, knowledge, text=False).read_from_text == ()


@pytest.mark.parametrize("degree", ["no", "unknown"])
def test_the_persons_own_answer_stands(degree: str, knowledge: Knowledge) -> None:
    case = said("It leaks.", knowledge, f"seen: {{grease_escapes: '{degree}'}}")
    found = review(case, knowledge)
    assert found.read_from_text == ()
    assert found.causes == review(case, knowledge, text=False).causes


def test_smoke_in_the_text_stops_the_machine(knowledge: Knowledge) -> None:
    assert review(said("Smoke came out of the seal.", knowledge), knowledge).urgency.level == "stop_now"
    assert review(said("No smoke.", knowledge), knowledge).urgency.level != "stop_now"


def test_a_quantity_fills_a_gap_and_says_so(knowledge: Knowledge) -> None:
    case, _, notes = heard(said("Runs at 98 C, 1450 rpm.", knowledge), knowledge)
    assert (case.point.running_temperature, case.point.speed) == (98, 1450)
    assert any("98 degC" in note for note in notes)
    assert any("98 degC" in note for note in review(said("Runs at 98 C.", knowledge), knowledge).assumed)


def test_a_quantity_never_overrides_nor_contradicts(knowledge: Knowledge) -> None:
    bearing = Bearing(outside=50.0)
    case = Case(point=Point(kind="rolling_bearing", speed=900.0, bearing=bearing), said="1450 rpm, bore 60 mm")
    assert heard(case, knowledge)[0].point.speed == 900
    assert heard(case, knowledge)[0].point.bearing.bore is None
    assert heard(said("Runs at 4000 C.", knowledge), knowledge)[0].point.running_temperature is None


@given(st.text(max_size=200))
@settings(max_examples=60, deadline=None)
def test_any_text_can_be_read(text: str) -> None:
    knowledge = knowledgebase.load()
    found = read(text, "rolling_bearing", knowledge)
    assert found == read(text, "rolling_bearing", knowledge)
    assert {s.sign for s in found.signs} <= set(knowledge.signs)


# Confirmed or struck out in one go


def test_the_doubt_of_the_reader_ends_with_the_person_s_word_and_a_hedge_does_not(knowledge: Knowledge) -> None:
    line = "it got hot on the long night shift by the kiln door, and I think the seal lip is torn"
    reading = told(Case(point=Point(kind="rolling_bearing")), line, knowledge)
    assert reading is not None
    assert {s.sign: s.degree for s in reading.signs} == dict.fromkeys(
        ("hotter_than_usual", "seal_cut_or_turned"), "probably")
    walk = kept(Walk(Case(point=Point(kind="rolling_bearing"))), reading, (), line, knowledge)
    assert walk.case.seen == {"hotter_than_usual": "yes", "seal_cut_or_turned": "probably"}


def test_what_is_kept_becomes_an_answer_and_back_takes_it_away(knowledge: Knowledge) -> None:
    start = Walk(Case(point=Point(kind="rolling_bearing")))
    line = "no smoke but it leaks, 98 C"
    reading = told(start.case, line, knowledge)
    assert reading is not None
    walk = kept(start, reading, struck("2", 3), line, knowledge)
    assert walk.case.seen == {"smoke_or_burnt_smell": "no"}
    assert walk.case.point.running_temperature == 98
    assert back(walk, knowledge).case == start.case


def test_what_is_struck_from_said_is_not_read_again(knowledge: Knowledge) -> None:
    walk = Walk(said("No smoke. It leaks.", knowledge))
    reading = unconfirmed(walk, knowledge)
    assert reading is not None
    after = kept(walk, reading, struck("2", 2), "", knowledge)
    assert after.case.seen == {"smoke_or_burnt_smell": "no", "grease_escapes": "unknown"}
    assert unconfirmed(after, knowledge) is None
    assert review(after.case, knowledge).read_from_text == ()


def test_a_quantity_struck_from_said_is_not_read_again_nor_is_its_second_mention(knowledge: Knowledge) -> None:
    said = "It runs at 95 degC at the housing, no smoke. Later it ran at 99 degC at the housing. About 1450 rpm."
    walk = Walk(Case(point=Point(kind="rolling_bearing"), said=said))
    reading = unconfirmed(walk, knowledge)
    assert reading is not None
    place = [q.path for q in reading.quantities].index("point.running_temperature") + 1
    after = kept(walk, reading, {len(reading.signs) + place}, "", knowledge).case
    assert after.point.speed == 1450
    again = review(after, knowledge)
    assert not [note for note in again.assumed if "degC" in note]
    assert after.said is not None
    assert "no smoke" in after.said



def test_striking_out() -> None:
    assert struck("", 3) == struck("yes", 3) == frozenset()
    assert struck("none", 3) == {1, 2, 3}
    assert struck("1, 3", 3) == {1, 3}
    with pytest.raises(InputError, match="4 is not on the list"):
        struck("4", 3)


def test_one_word_or_no_kind_is_no_sentence(knowledge: Knowledge) -> None:
    assert told(Case(point=Point(kind="rolling_bearing")), "smoke", knowledge) is None
    assert told(Case(), "it leaks", knowledge) is None


def test_ask_takes_a_sentence_at_a_question(tmp_path: Path) -> None:
    lines = "1\n1\nruns at 190 F, no smoke but it leaks\n2\nquit\n"
    ran = subprocess.run([DIAG, "ask", "case.yaml"], input=lines, text=True, capture_output=True,
                         cwd=tmp_path, check=True)
    assert "Read out of your words:" in ran.stdout
    assert "running temperature: 190 degF" in ran.stdout
    case = (tmp_path / "case.yaml").read_text("utf-8")
    assert "smoke_or_burnt_smell: no" in case
    assert "grease_escapes" not in case


def test_no_text_leaves_it_out(tmp_path: Path) -> None:
    (tmp_path / "case.yaml").write_text("point: {kind: rolling_bearing}\nsaid: it leaks\n", "utf-8")
    for options, count in (((), 1), (("--no-text",), 0)):
        ran = subprocess.run([DIAG, "review", "case.yaml", "--json", *options], text=True, capture_output=True,
                             cwd=tmp_path, check=True)
        assert len(json.loads(ran.stdout)["read_from_text"]) == count
