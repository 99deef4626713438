"""Causes with different remedies are told apart in the field, or the knowledge says what settles them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from diag.case import from_data
from diag.inference import separation
from diag.inference.network import Network, Posterior, compiled
from diag.inference.separation import SETTLES, STAGES, Separation, close_call, separations
from diag.knowledgebase import Knowledge
from diag.knowledgebase.model import ALL_KINDS, Kind
from diag.review import review
from tests.networks import cause, condition, effect, knowledge_of, option, question


@pytest.fixture(scope="module")
def pairs(knowledge: Knowledge) -> dict[Kind, tuple[Separation, ...]]:
    return {kind: separations(compiled(knowledge, kind), knowledge) for kind in ALL_KINDS}


def close_in_the_field(pairs: Mapping[Kind, tuple[Separation, ...]]) -> set[frozenset[str]]:
    return {frozenset((p.first, p.second)) for found in pairs.values() for p in found
            if p.by_stage["cleaned"] < SETTLES}


def test_every_pair_is_told_apart_in_the_field_or_listed_with_what_settles_it(knowledge, pairs):
    listed = {frozenset(e.causes) for e in knowledge.separability.values()}
    assert close_in_the_field(pairs) - listed == set()


def test_the_list_names_no_pair_that_is_told_apart(knowledge, pairs):
    listed = {frozenset(e.causes) for e in knowledge.separability.values()}
    assert listed - close_in_the_field(pairs) == set()


def test_listed_pairs_have_different_remedies_and_say_how_in_a_sentence(knowledge):
    for entry in knowledge.separability.values():
        first, second = (knowledge.causes[c] for c in entry.causes)
        assert first.remedy.class_ != second.remedy.class_, entry.id
        assert len(entry.how.split()) > 8, entry.id


def test_pairs_of_one_remedy_are_left_out(knowledge, pairs):
    for found in pairs.values():
        assert all(knowledge.causes[p.first].remedy.class_ != knowledge.causes[p.second].remedy.class_ for p in found)


def test_looking_further_never_tells_less(pairs):
    for found in pairs.values():
        for pair in found:
            odds = [pair.by_stage[stage] for stage in STAGES]
            assert all(later >= earlier - 1e-9 for earlier, later in pairwise(odds)), pair


def two_causes(chance: str = "usual") -> Knowledge:
    """Each brings about a state of its own; the stopped look sees the first, the opened one the second."""
    return knowledge_of(
        [cause("c0", [effect("k0", chance)], [], "regular", remedy="one"),
         cause("c1", [effect("k1", chance)], [], "regular", remedy="other")],
        [condition("k0"), condition("k1")],
        [question("q0", [option("s0", "k0", "plain", "slips")], "stopped", 5.0),
         question("q1", [option("s1", "k1", "plain", "slips")], "opened", 5.0)],
        fingerprint=f"two causes {chance}")


def test_expected_log_odds_agree_with_the_sum_over_all_answers():
    knowledge = two_causes()
    found = separations(compiled(knowledge, "rolling_bearing"), knowledge)[0]
    leak, there = knowledge.words.leak["now_and_then"], knowledge.words.chance["usual"]
    true, false = knowledge.words.report["plain"], knowledge.words.false_report["slips"]
    brought = 1 - (1 - leak) * (1 - there)
    yes, yes_else = (q * true + (1 - q) * false for q in (brought, leak))
    one_way = yes * np.log(yes / yes_else) + (1 - yes) * np.log((1 - yes) / (1 - yes_else))
    back = yes_else * np.log(yes_else / yes) + (1 - yes_else) * np.log((1 - yes_else) / (1 - yes))
    assert found.by_stage["running"] == 0
    assert found.by_stage["stopped"] == pytest.approx(min(one_way, back))
    # Both looks together: one speaks for the first and one against the second, so both directions are equal.
    assert found.by_stage["opened"] == pytest.approx(one_way + back)


def test_weaker_effects_are_harder_to_tell_apart():
    odds = [separations(compiled(k, "rolling_bearing"), k)[0].by_stage["lab"]
            for k in map(two_causes, ("usual", "common", "occasional", "rare"))]
    assert odds == sorted(odds, reverse=True)


# -- close calls ---------------------------------------------------------------------------------------------


def call(knowledge: Knowledge, causes: dict[str, float], answered: tuple[str, ...] = (), may_turn: bool = True
         ) -> tuple[str, ...]:
    network: Network = compiled(knowledge, "rolling_bearing")
    return close_call(network, Posterior(causes, {}, 1.0), answered, knowledge, may_turn)


def test_a_close_call_names_both_causes_and_the_look_that_separates_them():
    (text,) = call(two_causes(), {"c0": 0.5, "c1": 0.45})
    assert "(50 %)" in text and "(45 %)" in text
    assert "q0?" in text  # the earlier stage costs less and tells as much


def test_an_answered_look_is_not_named_again():
    (text,) = call(two_causes(), {"c0": 0.5, "c1": 0.45}, ("s0",))
    assert "q1?" in text and "q0?" not in text


def test_with_every_look_taken_the_close_call_says_that_none_is_left():
    (text,) = call(two_causes(), {"c0": 0.5, "c1": 0.45}, ("s0", "s1"))
    assert "No look left" in text


@pytest.mark.parametrize("causes", [{"c0": 0.9, "c1": 0.2}, {"c0": 0.14, "c1": 0.13}, {"c0": 0.96, "c1": 0.95}],
                         ids=["far apart", "neither in play", "both at work"])
def test_no_close_call_where_nothing_hangs_on_it(causes):
    assert call(two_causes(), causes) == ()


def test_no_close_call_between_causes_of_one_remedy():
    knowledge = two_causes()
    same = dict(knowledge.causes)
    same["c1"] = cause("c1", [effect("k1", "usual")], [], "regular", remedy="one")
    assert call(replace(knowledge, causes=same, fingerprint="one remedy"), {"c0": 0.5, "c1": 0.45}) == ()


def test_a_close_call_never_sends_anyone_to_intervene_or_to_a_point_that_must_stand(knowledge):
    network = compiled(knowledge, "rolling_bearing")
    for may_turn in (True, False):
        for looked, _ in separation._open(network, (), knowledge, may_turn):
            assert not looked.intervention
            assert may_turn or looked.stage != "running"
    assert any(q.intervention for q in knowledge.questions.values())


def test_review_says_that_a_case_hangs_by_a_thread(knowledge):
    case = from_data({"point": {"kind": "pin_bushing"}, "complaint": "loose"}, "case", knowledge)
    thin = review(case, knowledge)
    first, *others = thin.causes
    second = next(c for c in others if knowledge.causes[c.id].remedy.class_
                  != knowledge.causes[first.id].remedy.class_)
    assert first.probability - second.probability < 0.1  # else this case shows nothing
    assert any(c.startswith("Close call: ") and first.name in c and second.name in c for c in thin.conflicts)
