"""Confirmed outcomes teach base rates: how much, by what, and that it helps on new cases of the site."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from pathlib import Path

import msgspec
import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import minimize

from diag import knowledgebase
from diag.caselog.experience import LISTED, LISTED_STRENGTH, STRENGTH, Experience, experienced, learn
from diag.caselog.model import Event, How, Record
from diag.caselog.store import Store
from diag.cli import main
from diag.inference import prior
from diag.inference.network import compiled
from diag.knowledgebase import Knowledge
from diag.knowledgebase.model import Kind
from diag.review import review
from diag.simulation.scoring import score
from diag.simulation.technicians import FIELD, DrawnCase, Technician, cases_of
from diag.simulation.worlds import World, as_known, bent
from tests.log_cases import FAN, add, judged

KNOWLEDGE = knowledgebase.load()
KIND: Kind = "rolling_bearing"
NETWORK = compiled(KNOWLEDGE, KIND)
NAMES = NETWORK.causes
GROUPS = sorted({c.group for c in KNOWLEDGE.causes.values()})
HURRIED = Technician(unknown=0.7, wrong=0.0)  # answers a third of the looks, and those as well as the words say

Listing = Callable[[frozenset[str], np.random.Generator], Sequence[str]]


def record(number: int, chances: dict[str, float], confirmed: Sequence[str] = (), how: How = "inspection",
           site: str = "", taught: float = 1.0) -> Record:
    """A record with these judgements, closed with `confirmed` if there are any."""
    why = [{"id": "site_experience", "text": "", "factor": taught}] if taught != 1 else []
    causes = [{"id": c, "probability": p, "circumstances": why} for c, p in chances.items()]
    events = (Event(key=f"k{number:05}", at="2026-03-02T08:00:00.000000Z", what="confirmed",
                    causes=tuple(confirmed), how=how),) if confirmed else ()
    return Record(id=f"r{number:05}", added="2026-03-01T08:00:00.000000Z", site=site, machine="Dryer fan",
                  point=str(number), kind=KIND, complaint="hot", title="", case="", version="0",
                  findings=msgspec.Raw(msgspec.json.encode({"causes": causes})), knowledge="", events=events)


def beliefs(cases: Iterable[DrawnCase], knowledge: Knowledge = KNOWLEDGE) -> NDArray[np.float64]:
    """P(cause | answers) of cases at points of which nothing else is known."""
    rates = NETWORK.rate_row(prior.rates(knowledge, KIND, {})[0])
    pairs = [NETWORK.pair_row(c.answers(KNOWLEDGE.questions, KNOWLEDGE).pairs(KNOWLEDGE, KIND)) for c in cases]
    return NETWORK.posteriors(rates, np.concatenate(pairs))[0]


def site(seed: int, other_links: bool) -> tuple[World, np.random.Generator]:
    """A world in which the odds of every group are three times higher or lower than the knowledge has them."""
    random = np.random.default_rng(seed)
    world = replace(bent(KNOWLEDGE, KIND, random), unlisted=None) if other_links else as_known(KNOWLEDGE, KIND)
    factors = dict(zip(GROUPS, 3.0 ** random.choice([-1.0, 1.0], len(GROUPS)), strict=True))
    by_cause = {c: factors[r.group] for c, r in KNOWLEDGE.causes.items()}
    return replace(world, knowledge=world.knowledge.with_base_rates(by_cause)), random


def all_found(present: frozenset[str], _: np.random.Generator) -> list[str]:
    return sorted(present)


def one_found(present: frozenset[str], random: np.random.Generator) -> list[str]:
    """Whoever looks stops at the first cause."""
    return [str(random.choice(sorted(present)))] if present else []


def what_shows_on_metal(present: frozenset[str], random: np.random.Generator) -> list[str]:
    """Marks and dirt are found nine times in ten, what the grease was or was given three times in ten."""
    plain = ("mechanical", "electrical", "contamination")
    return [c for c in sorted(present) if random.random() < (0.9 if KNOWLEDGE.causes[c].group in plain else 0.3)]


def confirmed_cases(world: World, wanted: int, listing: Listing, technician: Technician,
                    random: np.random.Generator) -> list[Record]:
    """A log with `wanted` confirmed cases; those in which nothing was found stay open in it."""
    log: list[Record] = []
    while sum(r.confirmation is not None for r in log) < wanted:
        cases = cases_of(world, 15, technician, random)
        for case, row in zip(cases, beliefs(cases).tolist(), strict=True):
            log.append(record(len(log), dict(zip(NAMES, row, strict=True)), listing(case.present, random)))
    last = [n for n, r in enumerate(log) if r.confirmation][wanted - 1]
    return log[:last + 1]


def gain(world: World, log: Sequence[Record], technician: Technician, random: np.random.Generator) -> float:
    """Log score [nats a case] on 120 new cases of the site, with the log minus without."""
    new = cases_of(world, 120, technician, random)
    present = np.array([[c in case.present for c in NAMES] for case in new])
    possible = np.ones_like(present)
    with_log, without = (score(beliefs(new, k), present, NAMES, possible).log_score
                         for k in (experienced(KNOWLEDGE, log), KNOWLEDGE))
    return (with_log - without) * len(NAMES)


@pytest.mark.parametrize("listing", [all_found, one_found, what_shows_on_metal])
@pytest.mark.parametrize(("other_links", "technician"), [(False, HURRIED), (True, FIELD)],
                         ids=["links as known", "other links"])
def test_forty_confirmed_cases_help_on_new_ones(other_links: bool, technician: Technician, listing: Listing) -> None:
    gains = []
    for seed in (1, 2, 3):
        world, random = site(seed, other_links)
        log = confirmed_cases(world, 40, listing, technician, random)
        gains.append(gain(world, log, technician, random))
    # A single world can lose by chance: 120 cases tell some 0.1 nats.
    assert np.mean(gains) > 0.03
    assert max(gains) > 0.1


def test_three_cases_hardly_move_anything() -> None:
    for seed in range(3):
        world, random = site(seed, other_links=True)
        log = confirmed_cases(world, 3, all_found, FIELD, random)
        experience = learn(log, KNOWLEDGE)
        new = cases_of(world, 50, FIELD, random)
        moved = np.abs(beliefs(new, experienced(KNOWLEDGE, log)) - beliefs(new))
        assert experience.cases == 3
        assert all(1 / 1.5 < g.factor < 1.5 for g in experience.groups)
        assert moved.mean() < 0.01


def test_three_surprises_of_one_kind_leave_a_rare_cause_rare() -> None:
    log = [record(n, {"electrical_erosion": 0.02}, ["electrical_erosion"]) for n in range(3)]
    assert factor_of(learn(log, KNOWLEDGE), "electrical") < 1.35


def factor_of(experience: Experience, group: str) -> float:
    return next(g.factor for g in experience.groups if g.group == group)


def test_the_mode_is_that_of_the_formula() -> None:
    """The likelihood of the docstring, climbed by a general optimiser instead of EM."""
    random = np.random.default_rng(5)
    chances = random.uniform(0.02, 0.9, (12, 3))
    causes, groups = ("solid_contamination", "water_washout", "fatigue"), (0, 0, 1)
    listed = random.random((12, 3)) < 0.4
    listed[:, 2] |= ~listed.any(axis=1)

    def cost(x: NDArray[np.float64]) -> float:
        shift, share = x[:2], 1 / (1 + np.exp(-x[2]))
        odds = chances / (1 - chances) * np.exp(shift[list(groups)])
        q = odds / (1 + odds)
        cases = np.where(listed, np.log(q) + np.log(share), np.log(1 - share * q)).sum()
        beta = STRENGTH / 2 * (shift - 2 * np.log1p(np.exp(shift))).sum()
        return -float(cases + beta + LISTED_STRENGTH * (LISTED * np.log(share) + (1 - LISTED) * np.log(1 - share)))

    best = minimize(cost, [0.0, 0.0, 1.0], tol=1e-10).x
    log = [record(n, dict(zip(causes, row, strict=True)), [c for c, there in zip(causes, found, strict=True) if there])
           for n, (row, found) in enumerate(zip(chances.tolist(), listed, strict=True))]
    experience = learn(log, KNOWLEDGE)
    assert factor_of(experience, "contamination") == pytest.approx(np.exp(best[0]), rel=1e-3)
    assert factor_of(experience, "mechanical") == pytest.approx(np.exp(best[1]), rel=1e-3)
    assert experience.listed == pytest.approx(1 / (1 + np.exp(-best[2])), rel=1e-3)
    assert factor_of(experience, "electrical") == pytest.approx(1)


def test_cases_picked_by_their_looks_teach_nothing_new() -> None:
    """Confirmation chosen by the answers: only what looked like contamination was opened, and was what it looked."""
    world, random = as_known(KNOWLEDGE, KIND), np.random.default_rng(11)
    cases = cases_of(world, 400, HURRIED, random)
    rows = beliefs(cases)
    at = NAMES.index("solid_contamination")
    log = [record(n, dict(zip(NAMES, row.tolist(), strict=True)), sorted(case.present))
           for n, (row, case) in enumerate(zip(rows, cases, strict=True)) if row[at] > 0.5]
    experience = learn(log, KNOWLEDGE)
    share = sum("solid_contamination" in r.confirmation.causes for r in log if r.confirmation) / len(log)
    assert experience.cases > 20
    assert share > 5 * KNOWLEDGE.level("base_rate", KNOWLEDGE.causes["solid_contamination"].base_rate[KIND])
    assert factor_of(experience, "contamination") < 1.4


def test_what_is_unconfirmed_teaches_nothing() -> None:
    chances = {"fatigue": 0.4, "over_greasing": 0.6}
    guessed = [record(n, chances, ["fatigue"], "unconfirmed") for n in range(30)]
    never_closed = [record(n, chances) for n in range(30, 60)]
    assert experienced(KNOWLEDGE, [*guessed, *never_closed]) is KNOWLEDGE
    confirmed = [record(n, chances, ["fatigue"], "laboratory") for n in range(60, 70)]
    assert learn([*guessed, *never_closed, *confirmed], KNOWLEDGE) == learn(confirmed, KNOWLEDGE)


def test_the_fewer_causes_are_listed_the_less_an_unlisted_one_counts_as_absent() -> None:
    chances = {"fatigue": 0.5, "over_greasing": 0.5, "water_washout": 0.5, "seal_failure": 0.5}
    one = [record(n, chances, ["fatigue"]) for n in range(40)]
    most = [record(n, chances, ["fatigue", "water_washout", "seal_failure"]) for n in range(40)]
    assert learn(one, KNOWLEDGE).listed < learn(most, KNOWLEDGE).listed
    assert factor_of(learn(most, KNOWLEDGE), "quantity") < factor_of(learn(one, KNOWLEDGE), "quantity") < 1


def test_cases_of_another_site_are_left_out() -> None:
    here = [record(n, {"fatigue": 0.2}, ["fatigue"], site="Rotloh brickworks") for n in range(5)]
    there = [record(n, {"fatigue": 0.2}, ["fatigue"], site="Wash plant") for n in range(5, 15)]
    unnamed = [record(15, {"fatigue": 0.2}, ["fatigue"])]
    assert learn([*here, *there, *unnamed], KNOWLEDGE, "rotloh  Brickworks").cases == 6
    assert learn([*here, *there, *unnamed], KNOWLEDGE).cases == 16


def test_experience_of_that_day_is_not_counted_twice() -> None:
    plain = [record(n, {"fatigue": 0.2}, ["fatigue"]) for n in range(10)]
    taught = [record(n, {"fatigue": 1 / 3}, ["fatigue"], taught=2.0) for n in range(10)]  # odds 1/4 times 2
    assert factor_of(learn(taught, KNOWLEDGE), "mechanical") == pytest.approx(
        factor_of(learn(plain, KNOWLEDGE), "mechanical"))


def test_causes_that_the_knowledge_lost_or_ruled_out_teach_nothing() -> None:
    gone = [record(1, {"fatigue": 0.2}, ["gremlins"])]
    assert experienced(KNOWLEDGE, gone) is KNOWLEDGE
    barred = [record(n, {"fatigue": 0.0, "seal_failure": 0.0}, ["fatigue"]) for n in range(40)]
    assert factor_of(learn(barred, KNOWLEDGE), "mechanical") == pytest.approx(1)


@pytest.fixture
def taught_log(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A log with ten mix-ups confirmed, named by DIAG_LOG, in a folder with the case."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DIAG_LOG", str(tmp_path / "log.sqlite"))
    Path("fan.yaml").write_text(FAN, "utf-8")
    store = Store.open()
    for _ in range(10):
        store.confirm(add(store), ["incompatible_thickener_mix", "incompatible_oil_or_seal"], "laboratory")
    return tmp_path / "log.sqlite"


def reviewed(capsys: pytest.CaptureFixture[str], *more: str) -> dict[str, object]:
    assert main(["review", "fan.yaml", "--json", *more]) == 0
    found: dict[str, object] = json.loads(capsys.readouterr().out)
    return found


def notes(found: dict[str, object]) -> list[str]:
    return [words for words in found["assumed"] if "site experience" in words]  # type: ignore[attr-defined]


def test_a_review_says_that_the_log_was_counted(taught_log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = reviewed(capsys)
    (note,) = notes(found)
    assert "compatibility × " in note
    assert "--no-experience" in note
    case, _ = judged()
    same = review(case, experienced(KNOWLEDGE, Store.open().each(), case.case.site or ""))
    assert found["causes"] == json.loads(msgspec.json.encode(same.causes))


def test_no_experience_turns_it_off(taught_log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _, plain = judged()
    found = reviewed(capsys, "--no-experience")
    assert notes(found) == []
    assert found["causes"] == json.loads(msgspec.json.encode(plain.causes))
    assert found["causes"] != reviewed(capsys)["causes"]


def test_a_batch_counts_the_log_as_a_review_does_each_case_for_its_own_site(
        taught_log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    Path("cases").mkdir()
    texts = {"a": FAN, "b": FAN.replace("Rotloh brickworks (invented)", "Elsewhere (invented)"), "c": FAN}
    for name, text in texts.items():
        Path("cases", f"{name}.yaml").write_text(text, "utf-8")

    def lines(*more: str) -> list[dict[str, object]]:
        assert main(["batch", "cases", *more]) == 0
        return [json.loads(line) for line in capsys.readouterr().out.splitlines()]

    here, elsewhere, again = lines()
    assert notes(here) and not notes(elsewhere) and again == here
    chances = {c["id"]: c["probability"] for c in reviewed(capsys)["causes"]}  # type: ignore[attr-defined]
    assert {c["id"]: c["probability"] for c in here["causes"]} == pytest.approx(  # type: ignore[attr-defined]
        chances, abs=1e-9)
    assert not any(notes(found) for found in lines("--no-experience"))


def test_a_batch_tells_once_that_a_log_cannot_be_read(
        tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(tmp_path)
    Path("log.sqlite").write_text("this is no database" * 100, "utf-8")
    monkeypatch.setenv("DIAG_LOG", "log.sqlite")
    Path("cases.csv").write_text("case.site,point.kind\nA,slideway\nB,slideway\n", "utf-8")
    assert main(["batch", "cases.csv"]) == 0
    assert capsys.readouterr().err.count("without the experience of the log") == 1


@pytest.mark.parametrize("command", [["review", "fan.yaml", "--compare", "wrong_grease_applied",
                                      "incompatible_thickener_mix"], ["shelf", "fan.yaml", "sheet.yaml"]])
def test_comparison_and_shelf_rest_on_the_same_review(
        command: list[str], taught_log: Path, capsys: pytest.CaptureFixture[str],
        monkeypatch: pytest.MonkeyPatch) -> None:
    from diag.cli import shelf_commands, supposing
    from diag.inference.prior import experience_words

    Path("sheet.yaml").write_text("thickener: polyurea\n", "utf-8")
    taught: list[bool] = []

    def watched(case, knowledge, *more):  # type: ignore[no-untyped-def]
        taught.append(bool(experience_words(knowledge)))
        return review(case, knowledge, *more)

    monkeypatch.setattr(supposing, "review", watched)
    monkeypatch.setattr(shelf_commands, "review", watched)
    assert main(command) == 0
    assert main([*command, "--no-experience"]) == 0
    capsys.readouterr()
    assert taught == [True, False]


def test_a_review_never_makes_a_log(tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
                                    capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DIAG_LOG", str(tmp_path / "none.sqlite"))
    Path("fan.yaml").write_text(FAN, "utf-8")
    assert notes(reviewed(capsys)) == []
    assert [p.name for p in tmp_path.iterdir()] == ["fan.yaml"]


def test_a_log_that_cannot_be_read_is_told_and_stops_no_review(
        tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(tmp_path)
    Path("fan.yaml").write_text(FAN, "utf-8")
    Path("log.sqlite").write_text("this is no database" * 100, "utf-8")
    monkeypatch.setenv("DIAG_LOG", "log.sqlite")
    assert main(["review", "fan.yaml"]) == 0
    out, err = capsys.readouterr()
    assert "site experience" not in out
    assert err.count("\n") == 1
    assert "without the experience of the log" in err


def test_experience_is_shown_before_and_after(taught_log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["log", "experience", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    group = next(g for g in found["groups"] if g["group"] == "compatibility")
    assert (found["cases"], group["confirmed"], found["prior_strength"]) == (10, 20, STRENGTH)
    for row in group["rates"]:
        before, after = (p / (1 - p) for p in (row["before"], row["after"]))
        assert after / before == pytest.approx(group["factor"])
    assert main(["log", "experience"]) == 0
    out = capsys.readouterr().out
    assert "10 confirmed cases" in " ".join(out.split())
    assert all(len(line) <= 80 for line in out.splitlines())
