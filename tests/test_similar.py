"""Similar cases: the distance by hand, its bounds, and what the command tells."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diag import knowledgebase
from diag.case import read_text
from diag.caselog.model import Record
from diag.caselog.similar import Similar, nearest
from diag.caselog.store import Store
from diag.cli import main
from tests.log_cases import FAN, add, fan

KNOWLEDGE = knowledgebase.load()
FOLDER = Path(__file__).parents[1] / "demo_cases"
DEMOS = {p.stem: text for p in sorted(FOLDER.glob("*.yaml")) if "\npoint:" in (text := p.read_text("utf-8"))}


def record(text: str, name: str = "abcd", added: str = "2026-03-01T08:00:00.000000Z") -> Record:
    return Record(id=name, added=added, site="", machine="", point="", kind="", complaint="", title="", case=text,
                  findings=msgspec.Raw(b'{"causes":[]}'), knowledge="", version="0")


def compared(one: str, other: str) -> Similar:
    (found,) = nearest(read_text(one, "one", KNOWLEDGE), [record(other)], KNOWLEDGE).similar
    return found


def bearing(rest: str, point: str = "") -> str:
    return f"point: {{kind: rolling_bearing{point}}}\n{rest}"


def test_the_distance_is_that_worked_by_hand() -> None:
    """Weights: kind 6, complaint 3, thickener 1.5, temperature 1.5 over 60 K, exposure 2, unknown 6."""
    grease = "grease: {thickener: clay}"
    one = bearing(f"complaint: hot\n{grease}", ", running_temperature: 80 degC, exposure: [dust, splash]")
    other = bearing(f"complaint: noisy\n{grease}", ", running_temperature: 95 degC, exposure: [dust]")
    found = compared(one, other)
    unlike = 6 * 0 + 3 * 1 + 1.5 * 0 + 1.5 * 15 / 60 + 2 * 0.5
    assert found.compared == 5
    assert found.distance == pytest.approx((unlike + 3) / (6 + 3 + 1.5 + 1.5 + 2 + 6))
    assert found.alike == ("kind: rolling bearing", "grease thickener: clay", "running temperature: 80 °C, there 95 °C")
    assert found.unlike == ("complaint: hot, there noisy", "exposure: dust")


def test_signs_count_where_one_of_the_two_is_there() -> None:
    seen = "seen: {soft_grease_creeps_out: 'yes', two_colours: '%s', label_differs: 'no'}"
    both = compared(bearing(seen % "yes"), bearing(seen % "yes"))
    one = compared(bearing(seen % "yes"), bearing(seen % "probably_not"))
    assert (both.compared, one.compared) == (3, 3)  # the kind and two signs; the label both deny
    assert both.distance == pytest.approx(3 / (8 + 6))
    assert one.distance == pytest.approx((0.8 + 3) / (8 + 6))


def test_ratios_are_compared_in_tenfolds() -> None:
    slow, fast, still = (bearing("", f", speed: {n} rpm") for n in (150, 1500, 0))
    assert compared(slow, fast).distance == pytest.approx((1 / 1.5 + 3) / (7 + 6))
    assert compared(slow, still).distance == pytest.approx((1 + 3) / (7 + 6))
    assert compared(still, still).distance == pytest.approx(3 / (7 + 6))


def test_what_is_not_told_is_neither_alike_nor_unlike() -> None:
    told = bearing("grease: {thickener: clay}\ncomplaint: hot")
    assert compared(told, bearing("")).compared == 1
    assert compared(told, bearing("")).distance > compared(told, told).distance


def test_own_words_are_compared_too() -> None:
    said = bearing("said: the grease is milky")
    ticked = bearing("seen: {milky: 'yes'}")
    assert compared(said, ticked).compared > compared(bearing(""), ticked).compared


@settings(max_examples=15, deadline=None)
@given(st.sampled_from(sorted(DEMOS)), st.sampled_from(sorted(DEMOS)))
def test_the_distance_is_symmetric_and_a_case_is_nearest_to_itself(one: str, other: str) -> None:
    there, back = compared(DEMOS[one], DEMOS[other]), compared(DEMOS[other], DEMOS[one])
    assert there.distance == pytest.approx(back.distance)
    assert 0 < compared(DEMOS[one], DEMOS[one]).distance <= there.distance + 1e-12 < 1


def test_the_nearest_come_first_and_no_more_than_wanted() -> None:
    case = read_text(DEMOS["pan_mill_grit"], "case", KNOWLEDGE)
    log = [record(text, f"r{n:03}") for n, text in enumerate(DEMOS.values())]
    found = nearest(case, log, KNOWLEDGE, most=3).similar
    assert len(found) == 3
    assert found[0].record.case == DEMOS["pan_mill_grit"]
    assert [s.distance for s in found] == sorted(s.distance for s in found)


def test_of_two_as_near_the_younger_comes_first() -> None:
    log = [record(FAN, name, f"{year}-03-01T08:00:00.000000Z") for name, year in (("aaaa", 2024), ("bbbb", 2026))]
    found = nearest(read_text(FAN, "case", KNOWLEDGE), log, KNOWLEDGE).similar
    assert [s.record.id for s in found] == ["bbbb", "aaaa"]


def test_a_case_that_cannot_be_read_any_more_is_named() -> None:
    log = [record("seen: {gone_sign: 'yes'}", "lost"), record(FAN)]
    found = nearest(read_text(FAN, "case", KNOWLEDGE), log, KNOWLEDGE)
    assert (found.unread, [s.record.id for s in found.similar]) == (("lost",), ["abcd"])


@pytest.fixture
def log(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> dict[str, str]:
    """Two cases of one kind, the first confirmed and cured, and one of another."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DIAG_LOG", str(tmp_path / "log.sqlite"))
    Path("fan.yaml").write_text(FAN, "utf-8")
    store = Store.open()
    ids = {"mill": add(store, fan("Pan mill")), "dryer": add(store, fan("Dryer fan"), work=("stripped and refilled",))}
    store.confirm(ids["dryer"], ["incompatible_thickener_mix"], "laboratory", held=True)
    store.confirm(ids["mill"], ["seal_failure"], "unconfirmed", held=False)
    return ids


def shown(capsys: pytest.CaptureFixture[str], *words: str) -> Any:
    assert main(["log", "similar", *words, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def test_what_was_done_and_whether_it_held_is_told(log: dict[str, str], capsys: pytest.CaptureFixture[str]) -> None:
    by_id = {s["id"]: s for s in shown(capsys, "fan.yaml")["similar"]}
    dryer = by_id[log["dryer"]]
    assert (dryer["work"], dryer["held"]) == (["stripped and refilled"], True)
    assert dryer["confirmation"]["causes"] == ["incompatible_thickener_mix"]
    assert by_id[log["mill"]]["held"] is False
    assert main(["log", "similar", "fan.yaml"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "Two greases that do not get on (confirmed by laboratory) - done: stripped and refilled - held: yes" in out
    assert "Worn or blown seal (suspected, never confirmed) - done: not told - held: no, it came back" in out


def test_numbers_are_told_with_their_units() -> None:
    one = ("point: {kind: rolling_bearing, running_temperature: 70 degC, bearing: {bore: 60 mm}}\n"
           "history: {earlier_failures: 2}\n")
    other = one.replace("70", "80")
    (found,) = nearest(read_text(one, "case", KNOWLEDGE), [record(other)], KNOWLEDGE).similar
    assert {"running temperature: 70 °C, there 80 °C", "bearing bore: 60 mm", "history earlier failures: 2"} <= set(
        found.alike)


def test_a_case_of_the_log_is_not_like_itself(log: dict[str, str], capsys: pytest.CaptureFixture[str]) -> None:
    assert [s["id"] for s in shown(capsys, log["mill"])["similar"]] == [log["dryer"]]
    assert len(shown(capsys, "fan.yaml", "--most", "1")["similar"]) == 1


def test_an_unknown_id_is_refused_in_one_line(log: dict[str, str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["log", "similar", log["mill"][:-1] + "9x"]) == 2
    err = capsys.readouterr().err
    assert err.count("\n") == 1
    assert "there is no case" in err
