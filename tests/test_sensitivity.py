"""One knob at a time: a step is what it is called, the rest stays, and what changes is counted."""

from __future__ import annotations

import json

import pytest

from diag.case import from_data
from diag.case.model import Case
from diag.cli import main
from diag.knowledgebase import Knowledge
from diag.report import assessment
from diag.review import LEADS, review
from diag.simulation import sensitivity as module
from diag.simulation.sensitivity import drawn_cases, sensitivity, variants


@pytest.fixture(scope="module")
def knobs(knowledge: Knowledge) -> dict[str, tuple[bool, Knowledge]]:
    return {name: (single, variant) for name, single, variant in variants(knowledge)}


def test_every_word_is_a_knob(knowledge, knobs):
    single = " ".join(name for name, (alone, _) in knobs.items() if alone)
    for table in ("chance", "leak", "report", "false_report", "base_rate"):
        for word in getattr(knowledge.words, table):
            assert f"{table}: {word} one step" in single
    assert "soft_odds one step up" in single
    assert "trust one step down" in single


def test_a_step_goes_to_the_number_of_the_next_word(knowledge, knobs):
    up = knobs["chance: common one step up"][1].words
    assert up.chance == {**knowledge.words.chance, "common": knowledge.words.chance["usual"]}
    down = knobs["base_rate: regular one step down"][1].words
    assert down.base_rate["regular"] == knowledge.words.base_rate["uncommon"]


def test_the_last_word_goes_as_far_beyond_as_its_neighbour_is_away(knowledge, knobs):
    def odds(p: float) -> float:
        return p / (1 - p)

    chance = knowledge.words.chance
    beyond = knobs["chance: usual one step up"][1].words.chance["usual"]
    assert odds(beyond) / odds(chance["usual"]) == pytest.approx(odds(chance["usual"]) / odds(chance["common"]))


def test_slips_stay_in_every_word(knobs):
    for _, variant in knobs.values():
        assert max(variant.words.report.values()) <= 0.95
        assert min(variant.words.false_report.values()) >= 0.02


def test_a_strength_word_takes_its_contrary_along(knowledge, knobs):
    before = knowledge.words.strength
    moved = knobs["strength: for one step up"][1].words.strength
    assert moved["for"] == before["strongly_for"]
    for _, variant in knobs.values():
        for positive, contrary in module._FOR:
            after = variant.words.strength
            assert after[positive] * after[contrary] == pytest.approx(before[positive] * before[contrary])


def test_every_variant_differs_and_has_a_fingerprint_of_its_own(knowledge, knobs):
    assert all(variant.words != knowledge.words for _, variant in knobs.values())
    marks = [variant.fingerprint for _, variant in knobs.values()]
    assert len({*marks, knowledge.fingerprint}) == len(marks) + 1


def one_case(knowledge: Knowledge) -> dict[str, Case]:
    data = {"point": {"kind": "slideway"}, "complaint": "stiff", "seen": {"needs_more_force": "probably"}}
    return {"a way": from_data(data, "a way", knowledge)}


def test_the_decision_is_that_of_review(knowledge):
    for name, case in (one_case(knowledge) | drawn_cases(knowledge, 6, seed=5)).items():
        found = review(case, knowledge)
        lead = found.causes[0].id if found.causes[0].probability >= LEADS else None
        decided = module._decide(module._prepare(name, case, knowledge), knowledge)
        assert decided == (found.urgency.level, lead, found.changeover.action)


def test_shares_count_the_cases_that_change(knowledge, monkeypatch):
    """Two cases; every knob that moves a base rate changes the leading cause of the first and nothing else."""
    def decide(prepared, variant):
        moved = prepared.name == "first" and variant.words.base_rate != knowledge.words.base_rate
        return "run_on", "b" if moved else "a", "keep"

    monkeypatch.setattr(module, "_decide", decide)
    case = next(iter(one_case(knowledge).values()))
    found = sensitivity({"first": case, "second": case}, knowledge)
    words = len(knowledge.words.base_rate)
    assert [c.cause for c in found.single[:2 * words]] == [0.5] * (2 * words)
    assert all(c.any == 0 for c in found.single[2 * words:])
    assert [h.case for h in found.hanging] == ["first"]
    assert found.hanging[0].share == pytest.approx(2 * words / len(found.single))


def test_urgency_hangs_on_no_word(knowledge):
    stop = {"point": {"kind": "slideway"}, "seen": {"smoke_or_burnt_smell": "yes"}}
    cases = one_case(knowledge) | {"smoke": from_data(stop, "smoke", knowledge)}
    found = sensitivity(cases, knowledge)
    assert all(c.urgency == 0 for c in found.single if not c.knob.startswith("soft_odds"))


def test_drawn_cases_are_the_same_for_a_seed(knowledge):
    assert drawn_cases(knowledge, 3, seed=1) == drawn_cases(knowledge, 3, seed=1)
    assert drawn_cases(knowledge, 3, seed=1) != drawn_cases(knowledge, 3, seed=2)


def test_the_page_names_the_worst_single_knob(knowledge):
    found = sensitivity(one_case(knowledge), knowledge)
    assert f"Worst single knob: {found.single[0].knob}" in " ".join(
        assessment.sensitivity({"one": found}).split())


def test_a_folder_without_cases_is_one_line(tmp_path, capsys):
    (tmp_path / "notes.yaml").write_text("words: none\n")
    assert main(["knowledge", "sensitivity", "--cases", str(tmp_path)]) == 2
    assert "no case files in" in capsys.readouterr().err


def test_sensitivity_as_a_command(tmp_path, capsys, monkeypatch):
    from diag.cli import demo

    (tmp_path / "way.yaml").write_text("point:\n  kind: slideway\n")
    (tmp_path / "notes.yaml").write_text("words: none\n")
    monkeypatch.setattr(demo, "cases", lambda: {"one": tmp_path / "way.yaml"})
    assert main(["knowledge", "sensitivity", "--cases", str(tmp_path), "--drawn", "0", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert {name: one["cases"] for name, one in found.items()} == {"demo": 1, tmp_path.name: 1}
