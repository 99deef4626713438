"""The optional second opinion: drawn away from the knowledge, tried by worlds, kept safely, changing nothing."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import msgspec
import numpy as np
import pytest

from diag import knowledgebase
from diag.case import read_case
from diag.case.model import Case, Point
from diag.cli import main
from diag.errors import InputError
from diag.report import terminal
from diag.report.learned import also as also_page
from diag.report.learned import assessment as assessment_page
from diag.review import gather, review
from diag.secondopinion import keep, worlds
from diag.secondopinion.assess import WAYS, Assessment, also, assess, solved_cases
from diag.secondopinion.features import features, names, row, truth
from diag.secondopinion.model import Model, beliefs, fit
from diag.secondopinion.opinion import beside
from diag.secondopinion.worlds import Known, drawn, recipe

K = knowledgebase.load()
ROOT = Path(__file__).resolve().parent.parent
DEMO = ROOT / "demo_cases"
CAUSES = list(K.causes)
HOT = read_case(DEMO / "dryer_fan_hot_after_greasing.yaml", K)


@pytest.fixture(scope="module")
def invented() -> list[Known]:
    return drawn(K, recipe(K), 300, seed=1)


@pytest.fixture(scope="module")
def kept(invented: list[Known]) -> keep.Kept:
    model = fit(features(invented, K)[0], truth(invented, K), [k.world for k in invented], CAUSES)
    return keep.Kept(model, "invented cases")


@pytest.fixture(scope="module")
def assessed(invented: list[Known]) -> Assessment:
    return assess(invented, [], K)


# -- the generator


def test_the_same_seed_draws_the_same_cases_and_another_one_others(invented: list[Known]) -> None:
    again = drawn(K, recipe(K), 60, seed=1)
    assert [(k.case, k.present) for k in again[:40]] == [(k.case, k.present) for k in invented[:40]]
    assert [k.present for k in drawn(K, recipe(K), 60, seed=2)] != [k.present for k in again]


def test_drawn_cases_are_of_the_brickworks_in_all_kinds_and_each_world_is_one_point(invented: list[Known]) -> None:
    assert {k.case.point.kind for k in invented} == set(knowledgebase.model.ALL_KINDS)
    by_world = {k.world: {k2.case.case.machine for k2 in invented if k2.world == k.world} for k in invented}
    assert len(by_world) == 15 and all(len(machines) == 1 for machines in by_world.values())
    assert "invented" in (DEMO / "generator.yaml").read_text("utf-8").lower()


def test_answers_are_missing_and_circumstances_move_what_is_drawn() -> None:
    how = recipe(K)
    careless = replace(how, technician=replace(how.technician, unknown=1.0))
    assert all(not k.case.seen for k in drawn(K, careless, 40))
    running = replace(how, looked_at={s: float(s == "running") for s in worlds.STAGES})
    stages = {K.questions[K.question_of[s]].stage for k in drawn(K, running, 60) for s in k.case.seen}
    assert stages == {"running"}
    # Two points alike but for the kind of drive: only an inverter lets current through.
    known = {kind: gather(replace(HOT, point=replace(HOT.point, drive=kind)), K).rates for kind in ("belt", "inverter")}
    assert known["inverter"]["electrical_erosion"] > known["belt"]["electrical_erosion"]


@pytest.mark.parametrize(("change", "told"), [
    (lambda t: t.replace("tied: 0.25", "tide: 0.25"), "tide"),
    (lambda t: t.replace("running: 0.15", "running: 0.95"), "don't come to 1"),
    (lambda t: t.replace("speed: 1480 rpm", "speed: fast"), "points[0]"),
])
def test_a_broken_recipe_is_one_line(change: Callable[[str], str], told: str, tmp_path: Path) -> None:
    path = tmp_path / "generator.yaml"
    path.write_text(change((DEMO / "generator.yaml").read_text("utf-8")), "utf-8")
    with pytest.raises(InputError, match=r"generator\.yaml") as fault:
        recipe(K, path)
    assert told in str(fault.value)


# -- the numbers


def test_a_case_is_answers_circumstances_and_kind_and_what_is_not_known_is_missing() -> None:
    case = Case(point=Point(kind="pin_bushing"), seen={"play_too_big": "probably", "grinding_or_banging": "no"})
    known = gather(case, K)
    found = dict(zip(names(K), row(known, K), strict=True))
    assert found["play_too_big"] == known.answers.by_sign["play_too_big"].weight and 0.5 < found["play_too_big"] < 1
    assert found["grinding_or_banging"] == 0.0
    assert np.isnan(found["smoke_or_burnt_smell"])
    assert (found["pin_bushing"], found["slideway"]) == (1.0, 0.0)


def test_network_beliefs_are_those_of_the_review(invented: list[Known]) -> None:
    _, network = features(invented[:3], K)
    for known, belief in zip(invented[:3], network, strict=True):
        alone = {c.id: c.probability for c in review(known.case, K).causes}
        assert dict(zip(CAUSES, belief.tolist(), strict=True)) == pytest.approx(alone, abs=1e-9)


def test_causes_not_told_or_not_possible_are_missing_not_absent() -> None:
    told = Known(HOT, frozenset({"over_greasing"}), 0, told=frozenset({"over_greasing"}))
    found = dict(zip(CAUSES, truth([told], K)[0], strict=True))
    assert found["over_greasing"] == 1.0
    assert np.isnan(found["misalignment"])
    whole = dict(zip(CAUSES, truth([replace(told, told=None)], K)[0], strict=True))
    assert whole["misalignment"] == 0.0
    impossible = [c for c, record in K.causes.items() if "rolling_bearing" not in record.base_rate]
    assert all(np.isnan(whole[c]) for c in impossible)


def test_the_classifier_finds_a_planted_tie_and_bears_missing_answers() -> None:
    """Cause a follows column 0, b is chance, c is too rare: learned, at its share, at its share."""
    random = np.random.default_rng(0)
    rows = random.integers(0, 2, (240, 6)).astype(float)
    there = np.stack([rows[:, 0], random.integers(0, 2, 240), np.arange(240) < 3], axis=1).astype(float)
    rows[random.random(rows.shape) < 0.2] = np.nan
    model = fit(rows, there, list(np.arange(240) // 20), ["a", "b", "c"])
    rest = [1.0, 0.0, np.nan, 1.0, 0.0]
    found = beliefs(model, np.array([[1.0, *rest], [0.0, *rest], [np.nan, *rest]]), ["a", "b", "c", "d"])
    assert found[0, 0] > 0.8 > found[2, 0] > 0.2 > found[1, 0]
    assert np.allclose(found[:, 1], 0.5, atol=0.2)
    assert np.allclose(found[:, 2], 3.5 / 241)
    assert np.all(found[:, 3] == 0.0)


# -- the assessment


def test_all_three_ways_are_scored_on_the_same_cases(assessed: Assessment, invented: list[Known]) -> None:
    assert set(assessed.scores) == set(WAYS)
    assert (assessed.cases, assessed.worlds) == (300, 15)
    sizes = {sum(b.n for b in s.calibration) for s in assessed.scores.values()}
    possible = sum(k.case.point.kind in c.base_rate for k in invented for c in K.causes.values())
    assert sizes == {possible}
    for scores in assessed.scores.values():
        assert scores.first is not None and scores.three is not None
        assert 0 <= scores.first <= scores.three <= 1 and scores.log_score < 0 < scores.brier


def test_answers_tell_the_network_more_than_none(assessed: Assessment) -> None:
    """So few cases are too few for the classifier; what it can learn a planted tie shows."""
    guess, network = assessed.scores["majority"], assessed.scores["network"]
    assert network.first is not None and guess.first is not None and network.first > guess.first + 0.1


def test_no_world_is_trained_and_tried_on_at_once(invented: list[Known], monkeypatch: pytest.MonkeyPatch) -> None:
    trained: list[set[int]] = []

    def spy(rows: object, truth: object, groups: list[int], causes: object) -> Model:
        trained.append(set(groups))
        return fit(np.zeros((2, 1)), np.full((2, len(CAUSES)), np.nan), [0, 1], CAUSES)

    monkeypatch.setattr("diag.secondopinion.assess.fit", spy)
    monkeypatch.setattr("diag.secondopinion.assess.beliefs", lambda _, rows, causes: np.zeros((len(rows), len(causes))))
    assess(invented, [Known(HOT, frozenset({"over_greasing"}), 99, frozenset({"over_greasing"}))], K)
    everything = {k.world for k in invented} | {99}
    left_out = [everything - t for t in trained]
    assert set.union(*left_out) == everything - {99} and sum(map(len, left_out)) == 15


def test_too_few_worlds_are_refused(invented: list[Known]) -> None:
    with pytest.raises(InputError, match="at least 10 worlds"):
        assess(invented[:60], [], K)


def test_solved_cases_are_read_with_their_right_causes_and_scored(invented: list[Known], tmp_path: Path) -> None:
    for name in ("one", "two"):
        (tmp_path / f"{name}.yaml").write_text((DEMO / "pan_mill_grit.yaml").read_text("utf-8"), "utf-8")
    (tmp_path / "causes.yaml").write_text(
        "causes:\n  one: {right: [solid_contamination]}\n  two: {right: [normal_transient]}\n", "utf-8")
    solved = solved_cases(tmp_path, K)
    assert [(s.name, s.right) for s in solved] == [("one", ("solid_contamination",)), ("two", ("normal_transient",))]
    found = also(solved, invented, K)
    assert found.first["network"] == 1 and found.three["network"] == 1
    assert "1 of 2" in also_page("mine", found)


@pytest.mark.parametrize("text", ["causes: {}\n", "causes: {one: {right: [gremlins]}}\n", "other: 1\n"])
def test_a_wrong_sidecar_is_one_line(text: str, tmp_path: Path) -> None:
    (tmp_path / "causes.yaml").write_text(text, "utf-8")
    with pytest.raises(InputError, match=r"causes\.yaml"):
        solved_cases(tmp_path, K)


def test_the_page_shows_all_ways_side_by_side_on_80_columns(assessed: Assessment) -> None:
    text = assessment_page(assessed)
    assert all(name in text for name in ("classifier", "network", "majority guess", "Brier", "log score"))
    assert max(map(len, text.splitlines())) <= 80


# -- kept, and beside the review


def test_a_kept_model_says_the_same_after_reading(kept: keep.Kept, invented: list[Known], tmp_path: Path) -> None:
    path = tmp_path / "model.skops"
    keep.save(path, kept, K)
    again = keep.load(path, K)
    rows = features(invented[:20], K)[0]
    assert np.array_equal(beliefs(again.model, rows, CAUSES), beliefs(kept.model, rows, CAUSES))
    assert again.trained_on == "invented cases"
    assert b"pickle" not in path.read_bytes()


def test_stale_models_are_refused(kept: keep.Kept, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "model.skops"
    keep.save(path, kept, replace(K, fingerprint="of-yesterday"))
    with pytest.raises(InputError, match="stale: it was trained with other knowledge"):
        keep.load(path, K)
    keep.save(path, kept, K)
    monkeypatch.setattr("sklearn.__version__", "0.1")
    with pytest.raises(InputError, match="stale: it was trained with scikit-learn"):
        keep.load(path, K)


class Stranger:
    """A type that nobody trusts."""


def test_untrusted_and_foreign_files_are_refused_in_one_line(
        tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    import pickle

    import skops.io

    case = str(DEMO / "pan_mill_grit.yaml")
    contents = {"strange": skops.io.dumps({"schema": 1, "by_cause": Stranger()}), "pickle": pickle.dumps({"schema": 1}),
                "empty": b"", "other": skops.io.dumps({"schema": 1, "by_cause": {}}), "list": skops.io.dumps([1])}
    for name, content in contents.items():
        (tmp_path / name).write_bytes(content)
        assert main(["review", case, "--second-opinion", str(tmp_path / name)]) == 2
        out, err = capsys.readouterr()
        assert out == "" and len(err.splitlines()) == 1 and "diag learn --train" in err
    assert main(["review", case, "--second-opinion", str(tmp_path / "none")]) == 2
    assert "No such file" in capsys.readouterr().err


def test_it_stands_beside_and_changes_nothing(kept: keep.Kept) -> None:
    found = review(HOT, K)
    opinion = beside(found, HOT, kept, K)
    assert msgspec.structs.replace(opinion, second_opinion=None) == found
    second = opinion.second_opinion
    assert second is not None and set(second) == {"causes", "trained_on", "agrees", "note"}
    assert second["trained_on"] == "invented cases"
    assert len(second["causes"]) == 3 and all(0 < c["probability"] < 1 for c in second["causes"])


@pytest.mark.parametrize(("likely", "agrees", "note"), [
    ({"over_greasing": 0.9}, True, "No reason to look again"),
    ({"fatigue": 0.9}, False, "a reason to look again"),
    ({}, False, "finds no cause likely: a reason to look again"),
])
def test_disagreement_is_a_reason_to_look_again(likely: dict[str, float], agrees: bool, note: str, kept: keep.Kept
                                                ) -> None:
    model = Model(kept.model.fill, {c: likely.get(c, 0.01) for c in CAUSES})
    found = beside(review(HOT, K), HOT, keep.Kept(model, "invented cases"), K)
    assert found.second_opinion is not None
    assert found.second_opinion["agrees"] is agrees and note in found.second_opinion["note"]
    text = " ".join(terminal.page(found, HOT, K).split())
    assert "SECOND OPINION" in text and note in text
    assert "SECOND OPINION" not in terminal.page(review(HOT, K), HOT, K)


def test_learn_trains_a_model_that_review_asks(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    model = tmp_path / "m.skops"
    assert main(["learn", "--train", str(model), "--cases", "200", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["trained"] == {"file": str(model), "on": "invented cases"}
    assert main(["review", str(DEMO / "pan_mill_grit.yaml"), "--json", "--second-opinion", str(model)]) == 0
    assert json.loads(capsys.readouterr().out)["second_opinion"]["trained_on"] == "invented cases"


@pytest.mark.parametrize("words", [[], ["--assess", "--cases", "50"], ["--also", "nowhere"]])
def test_what_cannot_be_learned_is_one_line(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["learn", *words, *(["--cases", "200"] if "--also" in words else [])]) == 2
    out, err = capsys.readouterr()
    assert out == "" and len(err.splitlines()) == 1


def test_confirmed_cases_of_the_log_are_added_and_unconfirmed_ones_are_not(
        tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from diag.caselog.store import Store
    from diag.cli.learn_commands import confirmed

    log = str(tmp_path / "log.sqlite")
    store, text = Store.open(log), (DEMO / "pan_mill_grit.yaml").read_text("utf-8")
    case = read_case(DEMO / "pan_mill_grit.yaml", K)
    ids = [store.add(text, case, review(case, K)) for _ in range(3)]
    store.confirm(ids[0], ("solid_contamination",), "laboratory")
    store.confirm(ids[1], ("fatigue",), "unconfirmed")
    (found,) = confirmed(log, K, world=7)
    assert found.present == found.told == {"solid_contamination"} and found.world == 7
    assert main(["learn", "--train", str(tmp_path / "m"), "--cases", "200", "--log", log]) == 0
    assert "invented cases and 1 confirmed cases of a log" in " ".join(capsys.readouterr().out.split())
