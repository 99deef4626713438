"""The terminal page says what the findings hold, in order, on 80 columns, and nothing else."""

from __future__ import annotations

import json
from types import SimpleNamespace
from typing import Any

import msgspec
import pytest

from diag.case.model import Case, Identity, Point
from diag.findings import (
    Because,
    CausePart,
    Caution,
    Changeover,
    CircumstanceFound,
    Compatibility,
    Computed,
    Findings,
    FromText,
    Leftover,
    NextOption,
    NextQuestion,
    Regrease,
    Requirement,
    Spec,
    StopIf,
    TableVerdict,
    Together,
    Urgency,
)
from diag.knowledgebase import Knowledge
from diag.report import json as report_json
from diag.report import terminal
from diag.report.layout import WIDTH, chance, numbered, paragraph, percent
from diag.report.parts import causes, grease, regreasing

PURGE = "Open the drain and pump the new grease in slowly while it turns."
KNOWLEDGE: Any = SimpleNamespace(
    causes={
        "over_greasing": SimpleNamespace(name="Over-greasing"),
        "seal_failure": SimpleNamespace(name="Seal failure"),
    },
    signs={"tar_in_grease": SimpleNamespace(text="grease looks like tar")},
)
CASE = Case(
    case=Identity(machine="dryer fan 3", point="drive end"),
    complaint="hot",
    point=Point(kind="rolling_bearing"),
)


def cause(name: str, probability: float) -> CausePart:
    return CausePart(
        id=name.lower().replace(" ", "_"),
        name=name,
        role="root",
        probability=probability,
        for_=(Because(id="hot_after", text="hot within an hour of greasing", factor=6.24),),
        against=(Because(id="dry", text="grease is dry at the lip", factor=0.25),),
        circumstances=(Because(id="drain_closed", text="the drain is closed", factor=2.0),),
        confirm=("Open the drain and let it run an hour: it cools when this is the cause.",),
    )


FOUND = Findings(
    schema=1,
    knowledge="abc123",
    urgency=Urgency(
        level="watch",
        why=("12 K over its own usual temperature",),
        look_again_h=8.0,
        stop_if=(StopIf(reading="housing temperature", limit=100.0, unit="°C", source="nitrile seal"),),
    ),
    causes=(cause("Over-greasing", 0.72), cause("Seal failure", 0.3), cause("Misalignment", 0.06)),
    together=(Together(causes=("over_greasing", "seal_failure"), probability=0.21),),
    neglected=1e-6,
    healthy=0.02,
    leftover=(Leftover(sign="tar_in_grease", probability=0.8),),
    fit=0.4,
    not_the_grease=False,
    circumstances=(CircumstanceFound(id="drain_closed", holds=True, value="closed", unit="", working="point.drain"),),
    computed=(
        Computed(
            id="speed_factor",
            value=123250.0,
            low=None,
            high=None,
            unit="mm/min",
            working="85 mm × 1450 rpm",
            source="ISO 281",
        ),
    ),
    assumed=("load taken as normal",),
    read_from_text=(FromText(sign="tar_in_grease", degree="probably", words="like tar"),),
    conflicts=("said dry, seen wet",),
    manual_differences=("viscosity: the manual says VG 100",),
    next_questions=(
        NextQuestion(
            id="drain_look",
            text="What comes out of the drain?",
            how="Wipe it, wait ten minutes.",
            why="Grease that can't leave heats up.",
            stage="running",
            minutes=10,
            worth=0.4,
            options=(NextOption(sign="nothing_out", text="nothing"),),
        ),
    ),
    spec=Spec(
        requirements=(
            Requirement(
                property="viscosity_40",
                relation="range",
                value=(100.0, 220.0),
                unit="mm²/s",
                strength="must",
                because=("film at the usual heat",),
                source="ISO 281",
            ),
            Requirement(
                property="thickener",
                relation="in",
                value=("lithium_complex", "polyurea"),
                unit="",
                strength="should",
                because=("heat",),
                source="practice",
            ),
            Requirement(
                property="tack",
                relation="avoid",
                value="tackifier",
                unit="",
                strength="must",
                because=("it drags at this speed",),
                source="practice",
            ),
            Requirement(
                property="colour",
                relation="ignore",
                value=None,
                unit="",
                strength="note",
                because=("the colour of new grease is dye",),
                source="practice",
            ),
        ),
        codes={"din51825": "KP2K-20", "iso6743_9": None},
    ),
    changeover=Changeover(
        repair_first=False,
        action="purge_same",
        why=("it is overfull",),
        steps=("Look at the drain.", PURGE),
        never=("Never pump against a closed drain.",),
        compatibility=Compatibility(
            verdict="same",
            tables=(
                TableVerdict(
                    table="chart", verdict="same", confidence="verified", words="An agency's chart: same kind"
                ),
            ),
        ),
        expected_costs=(),
    ),
    regrease=Regrease(
        grams_per_1000_h=20.0,
        amount_g=10.0,
        interval_h=500.0,
        interval_low_h=300.0,
        interval_high_h=900.0,
        first_fill_g=60.0,
        strokes=7.0,
        working=("G = 0.005 D B",),
    ),
    cautions=(
        Caution(id="hose", text="Keep hands off the turning shaft.", before=PURGE),
        Caution(id="gloves", text="Wear gloves.", before="any work"),
    ),
    second_opinion=None,
    sources=("An agency, Lubrication of power plant equipment, 1991",),
)


def page(found: Findings = FOUND, case: Case = CASE, **options: Any) -> str:
    return terminal.page(found, case, KNOWLEDGE, **{"units": "metric", **options})


def changed(**parts: Any) -> Findings:
    return msgspec.structs.replace(FOUND, **parts)


def flat(text: str) -> str:
    return " ".join(text.split())


def test_the_page_is_plain_text_on_80_columns() -> None:
    text = page(working=True)
    assert max(len(line) for line in text.splitlines()) <= WIDTH
    assert not [c for c in text if ord(c) < 32 and c != "\n"]
    assert not set(text) & set("│─┌┐└┘═║*#")


def test_the_page_goes_from_the_most_pressing_to_the_annex() -> None:
    text = page(working=True)
    heads = [line for line in text.splitlines() if line.isupper() and not line.startswith(" ")]
    assert heads == [
        "MAY IT KEEP TURNING?",
        "WHAT IT LIKELY IS",
        "WHAT THIS DOES NOT EXPLAIN",
        "CLOSE CALLS AND CONTRADICTIONS",
        "WHAT TO LOOK AT NEXT",
        "THE GREASE THIS POINT NEEDS",
        "WHAT TO DO",
        "REGREASING",
        "READ OUT OF YOUR OWN WORDS",
        "ASSUMED, BECAUSE IT WASN'T TOLD",
        "WORKING",
        "SOURCES",
    ]


def test_working_is_shown_only_on_request() -> None:
    assert "85 mm × 1450 rpm" not in page()
    assert "85 mm × 1450 rpm" in page(working=True)
    assert "G = 0.005 D B" in page(working=True)


def test_a_cause_is_told_in_words_percent_and_factors() -> None:
    text = flat(page())
    assert "1. Over-greasing: most likely, about 72 %." in text
    assert "hot within an hour of greasing (raises it clearly, ×6.2)" in text
    assert "grease is dry at the lip (lowers it clearly, ÷4)" in text
    assert "factors do not multiply up" in text
    assert "The chances are judgement" in text
    assert "Less likely: misalignment about 6 %." in text
    assert "over-greasing and seal failure: about 21 %" in text


def test_an_unexplained_sign_and_a_poor_fit_send_for_help() -> None:
    assert "grease looks like tar: about 80 %" in flat(page())
    assert "get help" not in page()
    assert "get help" in flat(page(changed(fit=0.01, leftover=())))
    assert "DOES NOT EXPLAIN" not in page(changed(leftover=()))


def test_not_the_grease_is_said_before_the_causes() -> None:
    text = page(changed(not_the_grease=True))
    assert text.index("IT IS NOT THE GREASE") < text.index("WHAT IT LIKELY IS")
    assert "IT IS NOT THE GREASE" not in page()


def test_a_weak_lead_is_not_called_certain() -> None:
    weak = msgspec.structs.replace(FOUND.causes[0], probability=0.36)
    assert "36 % only: make sure of it first" in flat(page(changed(not_the_grease=True, causes=(weak,))))
    assert "make sure of it first" not in flat(page(changed(not_the_grease=True)))


def test_none_of_the_causes_is_not_called_sound_where_a_sign_is_left_over() -> None:
    assert "nothing is wrong with this point" in flat(page(changed(healthy=0.7, leftover=())))
    outside = flat(page(changed(healthy=0.7)))
    assert "nothing is wrong with this point" not in outside
    assert "may be outside this knowledge" in outside and "get help" in outside


def test_a_caution_stands_right_before_its_step() -> None:
    lines = [line.strip() for line in page().splitlines()]
    step = next(i for i, line in enumerate(lines) if line.startswith("2. Open the drain"))
    assert lines[step - 1] == "Careful: Keep hands off the turning shaft."
    assert lines.index("- Wear gloves.") < lines.index("1. Look at the drain.")


@pytest.mark.parametrize(
    ("level", "words"),
    [
        ("stop_now", "Stop it now"),
        ("stop_soon", "Stop it today"),
        ("watch", "under watch"),
        ("run_on", "Yes."),
    ],
)
def test_every_urgency_level_has_its_words(level: Any, words: str) -> None:
    urgency = msgspec.structs.replace(FOUND.urgency, level=level)
    text = page(changed(urgency=urgency))
    assert words in text.split("WHAT IT LIKELY IS")[0]
    assert ("Stop it if:" in text) is (level != "stop_now")


def test_a_failed_part_is_kept_as_found_before_anything_is_cleaned() -> None:
    text = page(case=Case(complaint="failed", point=Point(kind="rolling_bearing")))
    assert "No. It has failed" in text
    assert "Stop it if:" not in text
    kept = text[text.index("BEFORE YOU CLEAN ANYTHING") : text.index("WHAT IT LIKELY IS")]
    for word in ("Photograph", "drive side", "Bag the grease by zone", "other bearing", "gun"):
        assert word in kept
    assert "BEFORE YOU CLEAN" not in page()


def test_units_of_the_page_follow_the_wish(knowledge: Knowledge) -> None:
    assert "100 °C" in page()
    us = terminal.page(FOUND, CASE, knowledge, "us")
    assert "212 °F" in us
    assert "0.71 oz" in flat(us) or "0.705 oz" in flat(us)


def test_grams_over_time_come_before_the_interval() -> None:
    text = page()
    assert text.index("20 g for every 1,000 hours") < text.index("every 500 h")
    assert "(7 strokes of this gun)" in text
    assert "somewhere between 300 and 900" in flat(text)


def test_an_empty_plan_gives_no_heading() -> None:
    empty = Regrease(
        grams_per_1000_h=None,
        amount_g=None,
        interval_h=None,
        interval_low_h=None,
        interval_high_h=None,
        first_fill_g=None,
        strokes=None,
        working=(),
    )
    assert regreasing.regreasing(empty, "metric", True) == []


def test_each_demand_says_how_strong_and_why_and_by_whom() -> None:
    text = flat(page())
    assert "Must: - base oil viscosity at 40 °C: 100 mm²/s to 220 mm²/s film at the usual heat [ISO 281]" in text
    assert "- tack: no tackifier" in text
    assert "Should: - thickener: lithium complex or polyurea" in text
    assert "- colour: of no account" in text
    assert "the manual says VG 100" in text
    assert "DIN 51825: KP2K-20" in text


def test_the_card_holds_demands_without_reasons() -> None:
    card = grease.card(FOUND.spec, "dryer fan 3", "metric")
    assert "100 mm²/s to 220 mm²/s" in card
    assert "film at the usual heat" not in card
    assert "Of no account: colour." in card


def test_json_carries_the_field_names_of_the_contract() -> None:
    data = json.loads(report_json.text(FOUND))
    assert data["causes"][0]["for"][0] == {
        "id": "hot_after",
        "text": "hot within an hour of greasing",
        "factor": 6.24,
    }
    assert data["second_opinion"] is None
    assert list(data)[:5] == ["schema", "knowledge", "urgency", "causes", "together"]


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (0.0, "very unlikely, under 1 %"),
        (0.03, "unlikely, about 3 %"),
        (0.25, "quite possible, about 25 %"),
        (0.5, "as likely as not, about 50 %"),
        (0.999, "almost certain, over 99 %"),
    ],
)
def test_words_of_chance(value: float, words: str) -> None:
    assert chance(value) == words


def test_percent_is_never_a_false_certainty() -> None:
    assert percent(0.9999) == "over 99 %"
    assert percent(1e-9) == "under 1 %"


def test_a_long_text_hangs_under_its_lead() -> None:
    lines = paragraph("word " * 40, 2, "- ")
    assert lines[0].startswith("  - word")
    assert all(line.startswith("    word") for line in lines[1:])
    assert numbered(["a", "b"]) == ["  1. a", "  2. b"]


@pytest.mark.parametrize(("factor", "marks"), [
    (1.1, "+"), (2, "++"), (4, "++++"), (16, "++++++++"), (1e9, "++++++++"), (0.5, "--"), (0.0, "--------"),
])
def test_a_bar_grows_with_the_factor_and_never_over_its_width(factor: float, marks: str) -> None:
    assert causes.bar(factor) == marks.ljust(8)


def test_the_chance_is_drawn_in_twentieths() -> None:
    assert [causes.chance_bar(p).count("=") for p in (0.0, 0.5, 1.0)] == [0, 10, 20]
    assert {len(causes.chance_bar(p / 100)) for p in range(101)} == {20}
