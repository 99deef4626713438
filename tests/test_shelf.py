"""`diag shelf`: labels read as meant and no further, demands compared, the shelf in order; and what collides."""

from __future__ import annotations

import json
import subprocess
import sys
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from diag.case import from_data, read_case
from diag.case.model import Case
from diag.errors import InputError
from diag.findings import Findings
from diag.knowledgebase import load
from diag.remedy.requirement import compare
from diag.review import review
from diag.shelf.judge import in_service_serves, judge_shelf
from diag.shelf.label import read_label
from diag.shelf.lexicon import lexicon
from diag.shelf.model import Sheet
from diag.shelf.page import page
from diag.shelf.sheets import read_sheets

ROOT = Path(__file__).resolve().parent.parent
LABELS = ROOT / "tests" / "labels"
SHELF = ROOT / "demo_cases" / "shelf"
FAN = ROOT / "demo_cases" / "dryer_fan_plan_a_change.yaml"
EXPECTED: dict[str, Any] = yaml.safe_load((LABELS / "expected.yaml").read_text("utf-8"))
KNOWLEDGE = load()


def read(text: str) -> Sheet:
    return read_label(text, "label", KNOWLEDGE)


def label(name: str) -> Sheet:
    return read((LABELS / f"{name}.txt").read_text("utf-8"))


def comparable(value: Any) -> Any:
    """Lists as tuples, numbers within half a percent of each other equal."""
    if isinstance(value, list | tuple):
        return tuple(comparable(v) for v in value)
    return pytest.approx(value, rel=5e-3) if isinstance(value, int | float) else value


@cache
def fan() -> tuple[Case, Findings]:
    case = read_case(FAN, KNOWLEDGE)
    return case, review(case, KNOWLEDGE)


def test_every_label_has_an_expected_reading() -> None:
    assert {p.stem for p in LABELS.glob("*.txt")} == set(EXPECTED)
    assert len(EXPECTED) >= 40


@pytest.mark.parametrize("name", EXPECTED)
def test_a_label_is_read_as_meant_and_no_further(name: str) -> None:
    wanted, sheet = EXPECTED[name], label(name)
    assert sheet.stated == {p: comparable(v) for p, v in wanted["readings"].items()}
    assert set(sheet.questions) == set(wanted.get("asks", ()))


@pytest.mark.parametrize("name", EXPECTED)
def test_claims_that_only_sell_are_named_and_no_others(name: str) -> None:
    wanted, found = EXPECTED[name].get("claims", ()), label(name).claims
    assert [c for c in found if not any(words in c.words for words in wanted)] == []
    assert [words for words in wanted if not any(words in c.words for c in found)] == []


@pytest.mark.parametrize("name", EXPECTED)
def test_words_behind_a_reading_stand_on_the_label(name: str) -> None:
    text = (LABELS / f"{name}.txt").read_text("utf-8").casefold()
    digits = "".join(c for c in text.translate(str.maketrans("−₂²", "-22")) if c.isalnum())
    for item in label(name).understood:
        parts = item.words.casefold().replace("(no unit: only °f fits)", "").split(",")
        assert all("".join(c for c in part if c.isalnum()) in digits for part in parts), item


@given(low=st.integers(-50, -5), high=st.integers(80, 130), fahrenheit=st.booleans(),
       joint=st.sampled_from([" to ", " bis ", "...", "/", " through "]), minus=st.sampled_from(["-", "−", "minus "]))
@settings(max_examples=60, deadline=None)
def test_a_range_reads_alike_in_every_spelling(low: int, high: int, fahrenheit: bool, joint: str, minus: str) -> None:
    scale = "F" if fahrenheit else "C"
    ends = [round(t * 1.8 + 32) if fahrenheit else t for t in (low, high)]
    first = f"{minus}{-ends[0]}" if ends[0] < 0 else str(ends[0])
    stated = read(f"Lithium grease\nTemperature range {first}{joint}{ends[1]} °{scale}").stated
    assert stated["lowest_temperature"] == pytest.approx(low, abs=0.5)
    assert stated["highest_temperature"] == pytest.approx(high, abs=0.5)


@given(tenths=st.integers(1, 999))
@settings(max_examples=40, deadline=None)
def test_a_decimal_comma_is_a_decimal_point(tenths: int) -> None:
    comma, point = (f"{tenths // 10}{mark}{tenths % 10}" for mark in ",.")
    assert read(f"Ölabscheidung {comma} %").stated == read(f"oil separation {point} %").stated == {
        "oil_separation": tenths / 10}


@given(st.text(alphabet=st.sampled_from("KP2-20 NLGIlithumcoex°CF/,.;:@%()0123456789\nstdropnä"), max_size=200))
@settings(max_examples=150, deadline=None)
def test_no_text_breaks_the_reader(text: str) -> None:
    sheet = read(text)
    assert {u.property for u in sheet.understood} == set(sheet.stated)


@pytest.mark.parametrize(("code", "spaced"), [
    ("KP2K-20", "K P 2 K -20"), ("KPF2K-30", "K P F 2 K -30"), ("ISO-L-X-CCEB2", "L X C C E B 2"),
    ("KPHC1-2N-40", "KP HC 1-2 N - 40")])
def test_a_code_reads_alike_joined_and_spaced(code: str, spaced: str) -> None:
    assert read(code).stated == read(spaced).stated != {}


@pytest.mark.parametrize(("text", "fits"), [
    ("Lithium. Dropping point 375 °C", "°F"),
    ("Lithium. Dropping point 190 °F", "°C"),
    ("Polyurea. Usable -20 to 350 °C", "°F")])
def test_a_number_on_the_wrong_scale_is_named_and_never_counted(text: str, fits: str) -> None:
    sheet = read(text)
    assert set(sheet.stated) == {"thickener"}
    assert any(f"read as {fits} it fits" in claim.why for claim in sheet.claims)


@pytest.mark.parametrize(("text", "stated"), [
    ("Dropping point up to 190 °C", {"dropping_point": 190.0}),
    ("water washout @79C maximum 4%", {"water_washout": 4.0}),
    ("Tropfpunkt bis 190 °C, bis 120 °C", {"dropping_point": 190.0, "highest_temperature": 120.0}),
    ("Max operating temp (continuous): 300 °F / 149 °C", {"highest_temperature": 149.0}),
    ("Kinematic viscosity 40 °C, mm2/s: 220; 100 °C: 19", {"viscosity_40": 220.0, "viscosity_100": 19.0}),
    ("temp range -20F-250F weld point 250kg",
     {"lowest_temperature": -28.8889, "highest_temperature": 121.111, "four_ball_weld": 2451.66}),
    ("Net 400 g. Flash point over 220 °C. Batch 2026-120", {}),
    ("drop pt. > 500 F, service minus 10 F thru 350 F",
     {"dropping_point": 260.0, "lowest_temperature": -23.3333, "highest_temperature": 176.667}),
    ("KV40: 220 mm2/s KV100: 18.5", {"viscosity_40": 220.0, "viscosity_100": 18.5}),
    ("KV40 220 KV100 18.5 mm²/s", {"viscosity_40": 220.0, "viscosity_100": 18.5}),
    ("@40C 220, @100C 18.5 cSt", {"viscosity_40": 220.0, "viscosity_100": 18.5}),
    ("visc. @ 40 °C, cSt: 460", {"viscosity_40": 460.0}),
    ("Base oil vis @ 40C cSt 150 / @ 100C cSt 14.8", {"viscosity_40": 150.0, "viscosity_100": 14.8}),
    ("Vis 40/100: 220/19", {"viscosity_40": 220.0, "viscosity_100": 19.0}),
    ("Viscosity at 40/100 °C, mm²/s: 220/19", {"viscosity_40": 220.0, "viscosity_100": 19.0}),
    ("Mixing ratio 40/100: 220/19", {}),
    ("copper strip 1b, OK load 60 lb, up to 500 hours", {})])
def test_a_number_belongs_to_the_words_it_stands_under(text: str, stated: dict[str, float]) -> None:
    assert read(text).stated == stated


@pytest.mark.parametrize("text", [
    "Vis 40/100: 1000/90",  # an oil in mm²/s and in Saybolt seconds
    "Vis 40/100: 19/220",  # an oil in no unit
    "kv40: 220",
    "@40 220 cSt"])
def test_a_viscosity_that_could_be_two_things_is_asked_about(text: str) -> None:
    sheet = read(text)
    assert sheet.stated == {}
    assert "viscosity_40" in sheet.questions


def test_an_index_that_is_not_that_of_the_viscosities_is_named(tmp_path: Path) -> None:
    figures = "viscosity_40: 220 cSt\nviscosity_100: 19 cSt\nviscosity_index: {}\n"
    (tmp_path / "odd.yaml").write_text(figures.format(160), "utf-8")
    (tmp_path / "even.yaml").write_text(figures.format(95), "utf-8")
    odd, even = read_sheets([str(tmp_path / "odd.yaml"), str(tmp_path / "even.yaml")], KNOWLEDGE)
    printed = read("Viscosity 40/100 °C: 220/19 mm²/s. VI 160")
    for sheet in (odd, printed):
        (claim,) = sheet.claims
        assert "160" in claim.words
        assert "index of 97 by ASTM D2270, not 160" in claim.why
    assert even.claims == ()


def test_of_a_range_and_its_code_the_narrower_counts() -> None:
    stated = read("KP2K-20\nOperating temperature -30 °C to 140 °C").stated
    assert (stated["lowest_temperature"], stated["highest_temperature"]) == (-20.0, 120.0)


def test_a_list_on_a_tube_is_not_complete_so_silence_denies_nothing() -> None:
    assert "solid_lubricant" not in read("Lithium EP grease").stated


def test_every_property_of_a_specification_has_its_question() -> None:
    _, found = fan()
    asks = lexicon(KNOWLEDGE).labels.asks
    assert {r.property for r in found.spec.requirements} <= set(asks)
    assert all(question.endswith("?") for question in asks.values())


def test_verdicts_are_those_of_compare_and_a_silent_sheet_never_passes() -> None:
    case, found = fan()
    (judged,) = judge_shelf([read("Nothing to read here")], case, found, KNOWLEDGE)
    asked = [r for r in found.spec.requirements if r.relation != "ignore"]
    assert [r.verdict for r in judged.results] == [compare(r, {}) for r in asked]
    assert all(r.verdict == "not_stated" and r.ask and r.stated is None for r in judged.results)
    assert not judged.meets


def test_the_shelf_is_ranked_by_what_fits_and_then_by_the_cost_of_changing() -> None:
    case, found = fan()
    shelf = judge_shelf(read_sheets(map(str, sorted(SHELF.iterdir())), KNOWLEDGE), case, found, KNOWLEDGE)
    short = [sum(r.verdict == "falls_short" and r.strength == "must" for r in s.results) for s in shelf]
    assert short == sorted(short)
    for (one, fails), (other, others_fails) in pairwise(zip(shelf, short, strict=True)):
        assert fails < others_fails or one.fit - one.changing.cost >= other.fit - other.changing.cost
    assert shelf[0].meets and not shelf[-1].meets


def test_the_same_grease_costs_nothing_to_change_to_and_ranks_before_its_equal() -> None:
    case = from_data({"point": {"kind": "rolling_bearing"},
                      "grease": {"thickener": "lithium", "base_oil": "mineral"}}, "case", KNOWLEDGE)
    sheets = [read("polyurea, mineral oil, NLGI 2"), read("lithium, mineral oil, NLGI 2")]
    shelf = judge_shelf(sheets, case, review(case, KNOWLEDGE), KNOWLEDGE)
    assert shelf[0].changing.cost == 0.0 < shelf[1].changing.cost
    assert shelf[0].changing.compatibility == "same"


def test_a_grease_in_service_that_serves_stays() -> None:
    case, found = fan()
    assert not in_service_serves(case, found, KNOWLEDGE)  # sodium soap in splash water
    good = from_data({"point": {"kind": "pin_bushing"}, "grease": {
        "thickener": "lithium", "viscosity_40": 220.0, "nlgi": "2"}}, "case", KNOWLEDGE)
    assert in_service_serves(good, review(good, KNOWLEDGE), KNOWLEDGE)


def test_a_rating_far_beyond_need_is_named() -> None:
    case, found = fan()
    for highest, named in ((180, True), (120, False)):  # what any all-round grease has is no claim
        (judged,) = judge_shelf([read(f"Lithium complex\n-20 °C to {highest} °C")], case, found, KNOWLEDGE)
        assert any("buys nothing" in claim.why for claim in judged.claims) is named


def test_thicker_oil_at_the_usual_temperature_is_worked_out_from_the_sheet() -> None:
    case, found = fan()
    verdicts = {}
    for viscosity in (10, 150):
        (judged,) = judge_shelf([read(f"{viscosity} cSt at 40 °C")], case, found, KNOWLEDGE)
        verdicts[viscosity] = {r.property: r.verdict for r in judged.results}["viscosity_at_running"]
    assert verdicts == {10: "falls_short", 150: "meets"}


def test_page_says_what_fails_when_nothing_fits_and_stays_on_80_columns() -> None:
    case, found = fan()
    shelf = judge_shelf([read("Lithium, 150 cSt at 40 °C"), label("05_sulphonate_gb")], case, found, KNOWLEDGE)
    shown = page(shelf, case, found, KNOWLEDGE, "metric")
    assert "No grease here fits" in shown
    assert "short on label" in shown
    assert max(map(len, shown.splitlines())) <= 80


def test_page_shows_us_units() -> None:
    case, found = fan()
    shelf = judge_shelf([label("01_plain_lithium")], case, found, KNOWLEDGE, "us")
    shown = page(shelf, case, found, KNOWLEDGE, "us")
    assert "374 °F, from 'Drop pt. 190 °C'" in " ".join(shown.split())


def test_approved_programme_duty_gets_no_changeover() -> None:
    case = from_data({"point": {"kind": "rolling_bearing", "safety_critical": True},
                      "grease": {"thickener": "lithium"}}, "case", KNOWLEDGE)
    found = review(case, KNOWLEDGE)
    shown = page(judge_shelf([label("01_plain_lithium")], case, found, KNOWLEDGE), case, found, KNOWLEDGE, "metric")
    assert "approved programme" in shown and "Changing to it" not in shown


# Command line.

def run(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-c", "import sys; from diag.cli import main; sys.exit(main())", *words],
                          capture_output=True, text=True, check=False)


def test_command_prints_the_contract_as_json() -> None:
    done = run("shelf", str(FAN), str(SHELF / "red_multi_purpose.txt"), str(SHELF / "store_list.csv"), "--json")
    assert done.returncode == 0, done.stderr
    shelf = json.loads(done.stdout)
    assert len(shelf) == 4
    for sheet in shelf:
        assert {"sheet", "meets", "results", "understood", "claims"} <= set(sheet)
        assert all({"property", "verdict", "stated", "wanted", "ask"} <= set(r) for r in sheet["results"])
        assert all({"property", "value", "unit", "words"} == set(u) for u in sheet["understood"])
        assert all({"words", "why"} == set(c) for c in sheet["claims"])


def test_no_fitting_grease_is_no_fault() -> None:
    done = run("shelf", str(FAN), str(SHELF / "red_multi_purpose.txt"))
    assert (done.returncode, done.stderr) == (0, "")
    assert "What they fail on:" in done.stdout


# Faulty sheets.

@pytest.mark.parametrize(("name", "content", "fault"), [
    ("a.yaml", "thickner: lithium\n", "a.yaml:1: unknown key 'thickner'; did you mean thickener?"),
    ("a.yaml", "name: X\nnlgi: '7'\n", "a.yaml:2: nlgi: '7'"),
    ("a.csv", "name,nlgi\nX,2\nY,9\n", "a.csv: row 3: nlgi: '9'"),
    ("a.csv", "name,nlgi\nX,2,3\n", "a.csv: row 2: has 3 cells under 2 headers"),
    ("a.csv", "name,nlgi\n", "a.csv: holds no grease"),
    ("a.csv", "name,name\nX,Y\n", "a.csv: row 1: the header name stands twice"),
    ("a.txt", " \n", "a.txt: holds no text"),
    ("a.txt", b"\xff\xfe\x00l", "a.txt: is not UTF-8 text"),
    ("a.txt", "x" * 1_048_577, "a.txt: is larger than 1 MiB"),
])
def test_a_faulty_sheet_is_one_line_with_its_place(tmp_path: Path, name: str, content: str | bytes, fault: str) -> None:
    path = tmp_path / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    with pytest.raises(InputError) as caught:
        read_sheets([str(path)], KNOWLEDGE)
    assert fault in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_missing_file_and_a_folder_are_named(tmp_path: Path) -> None:
    for path, fault in ((tmp_path / "none.txt", "there is no such file"), (tmp_path, "is a folder")):
        with pytest.raises(InputError, match=fault):
            read_sheets([str(path)], KNOWLEDGE)


@pytest.mark.parametrize("mark", [",", ";", "\t"])
def test_csv_reads_alike_with_every_separator(tmp_path: Path, mark: str) -> None:
    path = tmp_path / "list.csv"
    path.write_text(mark.join(("name", "nlgi", "additives")) + "\n" + mark.join(("Claypit", "2", "ep + moly")) + "\n")
    (sheet,) = read_sheets([str(path)], KNOWLEDGE)
    assert sheet.name == "Claypit"
    assert sheet.stated == {"nlgi": "2", "ep": "yes", "tack": "no", "solid_lubricant": ("moly",)}


# What no one grease can do.

def conflicts(point: dict[str, Any]) -> tuple[str, ...]:
    case = from_data({"point": point}, "case", KNOWLEDGE)
    return review(case, KNOWLEDGE).conflicts


ROLLER = {"type": "spherical_roller", "bore": 100.0, "outside": 180.0, "width": 46.0}
BALL = {"type": "deep_groove_ball", "bore": 60.0, "outside": 130.0, "width": 31.0}


@pytest.mark.parametrize(("point", "words", "resolved"), [
    ({"kind": "rolling_bearing", "bearing": ROLLER, "speed": 30.0, "usual_temperature": 80.0,
      "surroundings": {"coldest": -35.0}}, ("Film and cold start collide", "80 °C", "-35 °C"), "each season"),
    ({"kind": "rolling_bearing", "bearing": ROLLER, "speed": 2.0, "usual_temperature": 110.0},
     ("No workable grease", "1000"), "cooling"),
    ({"kind": "pin_bushing", "load": {"level": "heavy"}, "surroundings": {"coldest": -40.0}},
     ("Thin for cold and thick for hot collide", "320 mm²/s", "-40 °C"), "each season"),
    ({"kind": "rolling_bearing", "usual_temperature": 180.0, "exposure": ["steam"]},
     ("Water and heat collide", "calcium sulfonate", "180 °C"), "lubricator"),
    ({"kind": "rolling_bearing", "bearing": BALL, "speed": 2900.0, "manual": {"additives": ["tackifier"]}},
     ("Tack is both asked for", "fast bearing"), "feed of its own"),
    ({"kind": "rolling_bearing", "shaft": "vertical", "feed": "central_system", "surroundings": {"coldest": -20.0}},
     ("Soft for the line and stiff for the shaft collide", "-20 °C"), "at the point"),
])
def test_a_collision_is_said_with_numbers_and_a_way_out(point: dict[str, Any], words: tuple[str, ...], resolved: str
                                                        ) -> None:
    (said,) = [c for c in conflicts(point) if words[0] in c]
    assert all(word in said for word in words)
    assert resolved in said


@pytest.mark.parametrize("point", [
    {"kind": "rolling_bearing", "bearing": BALL, "speed": 1450.0, "usual_temperature": 60.0},
    {"kind": "pin_bushing", "load": {"level": "heavy"}, "surroundings": {"coldest": 5.0}},
    {"kind": "rolling_bearing", "usual_temperature": 60.0, "exposure": ["wash_down"]},
    {"kind": "pin_bushing", "manual": {"additives": ["tackifier"]}},
    {"kind": "rolling_bearing", "shaft": "vertical", "feed": "hand_gun", "surroundings": {"coldest": -20.0}},
])
def test_demands_that_one_grease_can_meet_do_not_collide(point: dict[str, Any]) -> None:
    assert not [c for c in conflicts(point) if "collide" in c or "both asked for" in c or "No workable" in c]
