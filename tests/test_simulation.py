"""Drawn points: the worlds differ as said, the draws follow their world, the scores add up, seeds hold."""

from __future__ import annotations

import json
from dataclasses import replace

import msgspec
import numpy as np
import pytest

from diag.cli import main
from diag.inference.network import compiled
from diag.knowledgebase.model import ALL_KINDS
from diag.report import assessment
from diag.simulation import walks
from diag.simulation.base_rates import base_rates
from diag.simulation.scoring import score
from diag.simulation.technicians import FIELD, SURE, Technician, cases_of
from diag.simulation.trial import simulate
from diag.simulation.walks import Walked
from diag.simulation.worlds import RATE_FACTOR, as_known, bent, states

KIND = "slideway"  # the smallest network


# -- worlds --------------------------------------------------------------------------------------------------


def test_every_arrow_of_a_bent_world_is_one_level_off(knowledge):
    world, words = bent(knowledge, KIND, np.random.default_rng(1)), list(knowledge.words.chance)
    for name, known in knowledge.causes.items():
        told = world.knowledge.causes[name]
        for before, after in zip((*known.produces, *known.leads_to), (*told.produces, *told.leads_to), strict=True):
            if before.chance in words:
                assert abs(words.index(before.chance) - words.index(after.chance)) == 1


def test_base_rates_of_a_bent_world_are_three_times_off_both_ways(knowledge):
    world, known = bent(knowledge, KIND, np.random.default_rng(1)), as_known(knowledge, KIND)

    def odds(p: float) -> float:
        return p / (1 - p)

    factors = [odds(world.rates[c]) / odds(p) for c, p in known.rates.items() if p > 0]
    assert set(np.round(factors, 6)) == {RATE_FACTOR, round(1 / RATE_FACTOR, 6)}


def test_bent_worlds_tie_signs_of_one_look_and_hide_one_cause(knowledge):
    world = bent(knowledge, KIND, np.random.default_rng(1))
    assert world.tied
    assert all(knowledge.question_of[one] == knowledge.question_of[other] for one, other in world.tied.items())
    assert KIND in knowledge.causes[world.unlisted].base_rate


def test_a_tied_sign_repeats_the_other_whatever_is_there(knowledge):
    random = np.random.default_rng(1)
    world = bent(knowledge, KIND, random)
    both = [(reply[one], reply[other]) for case in cases_of(world, 60, SURE, random)
            for one, other in world.tied.items() for reply in case.replies.values() if one in reply and other in reply]
    assert len(both) > 50
    assert all(a == b for a, b in both)


def test_states_follow_the_marginals_of_their_world(knowledge):
    world = bent(knowledge, KIND, np.random.default_rng(2))
    causes, conditions = states(world, 20_000, np.random.default_rng(3))
    exact = world.network.posterior(world.rates, {})
    for drawn, names, chances in ((causes, world.network.causes, exact.causes),
                                  (conditions, world.network.conditions, exact.conditions)):
        for share, name in zip(drawn.mean(axis=0), names, strict=True):
            # Five standard errors: one in two million by chance, over some sixty of them.
            assert abs(share - chances[name]) < 5 * np.sqrt(chances[name] * (1 - chances[name]) / 20_000) + 1e-4, name


# -- technicians ---------------------------------------------------------------------------------------------


def test_a_third_of_the_looks_is_passed_over(knowledge):
    random = np.random.default_rng(4)
    replies = [r for case in cases_of(as_known(knowledge, KIND), 200, FIELD, random) for r in case.replies.values()]
    with_signs = [q for q in knowledge.questions.values() if KIND in q.kinds and any(
        KIND in o.kinds and KIND in knowledge.conditions[o.condition].kinds for o in q.options)]
    answered = sum(bool(r) for r in replies)
    assert answered / (200 * len(with_signs)) == pytest.approx(2 / 3, abs=0.03)


def test_a_look_that_is_never_answered_right_ticks_only_what_is_not_there(knowledge):
    world = as_known(knowledge, KIND)
    right = cases_of(world, 200, SURE, np.random.default_rng(5))
    wrong = cases_of(world, 200, Technician(unknown=0.0, wrong=1.0), np.random.default_rng(5))

    def ticks(cases):
        return np.mean([any(d == "yes" for d in reply.values()) for case in cases for reply in case.replies.values()])

    assert ticks(right) < 0.6 < ticks(wrong)


def test_a_choice_of_one_never_gets_two_ticks(knowledge):
    single = {q.id for q in knowledge.questions.values() if q.choose == "one"}
    drawn = cases_of(as_known(knowledge, "rolling_bearing"), 100, FIELD, np.random.default_rng(6))
    ticks = [sum(d == "yes" for d in reply.values()) for case in drawn for q, reply in case.replies.items()
             if q in single]
    assert max(ticks) == 1


# -- scores --------------------------------------------------------------------------------------------------


def test_scores_of_a_table_done_by_hand():
    beliefs = np.array([[0.8, 0.1, 0.05, 0.02], [0.4, 0.3, 0.2, 0.1], [0.1, 0.1, 0.1, 0.1]])
    present = np.array([[1, 0, 0, 0], [0, 0, 0, 1], [0, 0, 0, 0]], dtype=bool)
    found = score(beliefs, present, list("abcd"), np.ones((3, 4), dtype=bool))
    assert (found.cases, found.with_cause, found.first, found.three, found.quiet) == (3, 2, 0.5, 0.5, 1.0)
    squares = 0.2**2 + 0.1**2 + 0.05**2 + 0.02**2 + 0.4**2 + 0.3**2 + 0.2**2 + 0.9**2 + 4 * 0.1**2
    assert found.brier == pytest.approx(squares / 12)
    logs = np.log([0.8, 0.9, 0.95, 0.98, 0.6, 0.7, 0.8, 0.1, 0.9, 0.9, 0.9, 0.9])
    assert found.log_score == pytest.approx(logs.mean())
    assert [c.present for c in found.causes] == [1, 0, 0, 1]
    assert sum(b.n for b in found.calibration) == 12


def test_a_cause_that_the_kind_of_point_cannot_have_counts_nowhere():
    beliefs, present = np.array([[0.9, 0.0]]), np.array([[True, False]])
    found = score(beliefs, present, list("ab"), np.array([[True, False]]))
    assert found.brier == pytest.approx(0.01)
    assert sum(b.n for b in found.calibration) == 1


# -- the whole -----------------------------------------------------------------------------------------------


def test_with_sure_technicians_in_its_own_world_what_is_said_is_how_often_it_is_so(knowledge):
    """Proves the code: draws, answers and network are one model. It says nothing of the field."""
    knowledge = replace(knowledge, words=msgspec.structs.replace(knowledge.words, trust=1.0))
    random = np.random.default_rng(7)
    cases = cases_of(as_known(knowledge, KIND), 3000, SURE, random)
    # A tick leaves the rest of a look unknown, which depends on the answer; a look with one sign has no rest.
    looks = [q.id for q in knowledge.questions.values()
             if KIND in q.kinds and sum(KIND in o.kinds for o in q.options) == 1]
    assert looks
    walked = [Walked(without_complaint(case), tuple(looks), 0.0) for case in cases]
    said = walks.beliefs(walked, KIND, knowledge)
    names = compiled(knowledge, KIND).causes
    there = np.array([[n in case.present for n in names] for case in cases])
    spread = np.sqrt((said * (1 - said)).sum(axis=0))
    assert (np.abs(said.sum(axis=0) - there.sum(axis=0)) < 4.5 * spread).all()
    for row in score(said, there, names, np.ones(there.shape, dtype=bool)).calibration:
        error = np.sqrt(row.believed * (1 - row.believed) / row.n)
        assert abs(row.present - row.believed) < 4.5 * error, row


def without_complaint(case):
    """The same point without what brings the technician: he picks one of several, which tells of the others."""
    return replace(case, complaint=None)


def test_the_same_seed_gives_the_same_numbers_whatever_the_workers(knowledge):
    one = simulate(knowledge, 22, seed=3, kinds=[KIND])
    assert one == simulate(knowledge, 22, seed=3, kinds=[KIND], workers=2)
    assert one.guided != simulate(knowledge, 22, seed=4, kinds=[KIND]).guided


def test_the_walk_beats_the_guess_at_naming_a_cause_even_in_bent_worlds(knowledge):
    found = simulate(knowledge, 60, seed=1, kinds=[KIND])
    assert found.guided.first > found.guess.first
    assert found.questions > 3 and found.minutes > 10


def test_what_the_tool_does_not_know_it_never_names(knowledge):
    random = np.random.default_rng(8)
    world = bent(knowledge, KIND, random)
    walked = [walks.guided(case, knowledge) for case in cases_of(world, 10, FIELD, random)]
    column = compiled(knowledge, KIND).causes.index(world.unlisted)
    assert (walks.beliefs(walked, KIND, knowledge)[:, column] == 0).all()


def test_progress_is_told_to_the_end(knowledge):
    seen = []
    simulate(knowledge, 30, kinds=[KIND], progress=lambda done, total: seen.append((done, total)))
    assert seen == [(20, 30), (30, 30)]


def test_the_page_says_what_draws_prove(knowledge):
    bent_page = " ".join(assessment.trial(simulate(knowledge, 12, kinds=[KIND])).split())
    own_page = " ".join(assessment.trial(simulate(knowledge, 12, kinds=[KIND], own=True)).split())
    assert "not how often it is right" in bent_page
    assert "proves the code and nothing else" in own_page


def test_simulate_as_a_command(capsys):
    assert main(["knowledge", "simulate", "--cases", "6", "--kind", KIND, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["cases"] == 6
    assert {"guided", "fixed", "guess", "questions", "minutes"} <= set(found)
    assert main(["knowledge", "simulate", "--cases", "0"]) == 2


# -- base rates ----------------------------------------------------------------------------------------------


def test_groups_lie_within_the_range_of_the_published_sets(knowledge):
    found = base_rates(knowledge).groups
    assert {g.group for g in found} >= {"lubrication", "contamination", "mounting", "fatigue"}
    assert [g.group for g in found if not g.within] == []


def test_every_cause_stands_in_one_published_category(knowledge):
    table = knowledge.standard("published_shares")["published_shares"]
    placed = [c for causes in table["categories"].values() for c in causes]
    assert sorted(placed) == sorted(knowledge.causes)


def test_none_of_the_causes_is_what_is_left_when_nothing_is_at_work(knowledge):
    for kind in ALL_KINDS:
        outset = next(o for o in base_rates(knowledge).outsets if o.kind == kind and o.complaint is None)
        rates = as_known(knowledge, kind).rates
        assert outset.none == pytest.approx(np.prod([1 - p for p in rates.values()]))
        assert 1.1 < outset.expected < 1.75


def test_a_complaint_leaves_less_room_for_nothing(knowledge):
    outsets = base_rates(knowledge).outsets
    for kind in ALL_KINDS:
        nothing, *complaints = [o for o in outsets if o.kind == kind]
        assert complaints
        assert all(o.none < nothing.none for o in complaints)


@pytest.mark.parametrize("command", ["rates", "separability"])
def test_the_other_pages_as_commands(command, capsys):
    assert main(["knowledge", command]) == 0
    page = capsys.readouterr().out
    assert max(map(len, page.splitlines())) <= 80
    assert main(["knowledge", command, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)
