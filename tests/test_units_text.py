"""US display reaches every sentence of ours: how a sentence is converted, and that no face lets one through."""

from __future__ import annotations

import ast
import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import msgspec
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from diag.case import read_case
from diag.findings import Findings
from diag.knowledgebase.checks.writing import misnamed
from diag.report import html, terminal, values
from diag.report.worded import worded, worded_knowledge
from diag.review import review
from diag.tree import compile_tree
from diag.tree import html as tree_html
from diag.tree import text as tree_text
from diag.units_text import in_text
from diag.walk import Walk, answer, next_step, pass_over
from tests.strategies import cases

ROOT = Path(__file__).resolve().parent.parent
DEMO = sorted(p for p in (ROOT / "demo_cases").glob("*.yaml") if p.stem not in ("expected", "generator"))
# 40 and 100 °C stay as the test temperatures of a viscosity.
METRIC = re.compile(r"(?<!× 0\.)(?!(?<=at 4)0 °C|(?<=at 10)0 °C)\d ?"
                    r"(?:°C|degC|K|MPa|bar|kPa|mm/s|m/s|cm³|mm|cm|m|kN|N|kg|g)(?![\w²³·/-])")
FORMULA = re.compile("[=×÷]| / ")


@pytest.mark.parametrize(("metric", "us"), [
    ("over 110 °C at the housing", "over 230 °F at the housing"),
    ("about 28 K over its usual temperature", "about 50 °F over its usual temperature"),
    ("a flat over 0.1 mm", "a flat over 0.004 in"),
    ("10 to 15 K, then 60–70 °C", "18 to 27 °F, then 140–158 °F"),
    ("viscosities at 40 and 100 °C", "viscosities at 40 and 100 °C"),
    ("What are the viscosities at 40 °C and at 100 °C?", "What are the viscosities at 40 °C and at 100 °C?"),
    ("base oil viscosity at 40 °C: 90 mm²/s at 70 °C", "base oil viscosity at 40 °C: 90 mm²/s at 158 °F"),
    ("runs at 100 °C, at 40 °C outside", "runs at 212 °F, at 104 °F outside"),
    ("20, 30 or 40 °C", "68, 86 or 104 °F"),
    ("it starts at -40 °C, or −18 °C", "it starts at -40 °F, or 0 °F"),
    ("it stands at 71.3 °C and climbs 3.0 K/h", "it stands at 160.3 °F and climbs 5.4 °F/h"),
    ("0.05 mm per 100 mm", "0.002 in per 3.9 in"),
    ("longer than 10 m with a bore under 6 mm", "longer than 33 ft with a bore under 0.24 in"),
    ("2 to 3 g, or 600 to 900 g", "0.07 to 0.11 oz, or 1.32 to 1.98 lb"),
    ("2450 N (250 kgf), 4.2 kN", "551 lbf (250 kgf), 940 lbf"),
    ("5.0 MPa, 700 bar, 2 MPa m/s", "730 psi, 10,200 psi, 60,000 psi ft/min"),
    ("over 4.5 mm/s; creeps at 0.005 m/s", "over 0.177 in/s; creeps at 1 ft/min"),
    ("80 °C (176 °F) and 10 000 psi (700 bar)", "176 °F and 10 000 psi"),
    ("such as 85 degC or 185 F", "such as 185 F"),
    ("(taken as 85 °C)", "(taken as 185 °F)"),
    ("amount 20 g, from your words “20 g at 5 °C”", "amount 0.71 oz, from your words “20 g at 5 °C”"),
    ("0.005 × 130 mm", "0.005 × 130 mm"),
    ("softer by 30 × 0.1 mm", "softer by 30 × 0.1 mm"),
    ("KP2K-20, 220 mm²/s, 0.9 g/cm³, 1450 rpm, 8 h, NLGI 2 or 3", "KP2K-20, 220 mm²/s, 0.9 g/cm³, 1450 rpm, 8 h, "
     "NLGI 2 or 3"),
    ("DIN 51825 and 120 °C", "DIN 51825 and 248 °F"),
])
def test_a_sentence_in_us_units(metric, us):
    assert in_text(metric, "us") == us
    assert in_text(metric, "metric") == metric


PIECES = ["5", "0.1", "1,500", "10 000", "-40", " ", " to ", " or ", " (", ")", "–", "-", ", ", "×", "× ", "“", "”",
          "°C", "K", "mm", "m", "g", "kg", "bar", "MPa m/s", "°F", "in", "oz", "psi", "/h", "/", "grade ", "DIN ", "a"]


@settings(max_examples=400, deadline=None)
@given(st.one_of(st.lists(st.sampled_from(PIECES), max_size=14).map("".join), st.text(max_size=40)))
@example("5 mm (0.2 in) (5 mm)")
@example("5 mm or 0.2 in (5 mm)")
def test_converting_twice_changes_nothing_more(text):
    once = in_text(text, "us")
    assert in_text(once, "us") == once


@given(st.text(st.characters(exclude_categories=["Nd", "No"])))
def test_a_text_without_numbers_is_left_alone(text):
    assert in_text(text, "us") == text


@given(st.integers(-50, 400))
def test_a_temperature_and_a_difference_part_by_32_degrees(celsius):
    level, change = in_text(f"at {celsius} °C", "us"), in_text(f"by {celsius} K", "us")
    degrees = [int(re.findall(r"-?\d+", words)[0]) for words in (level, change)]
    assert degrees[0] - degrees[1] == 32


# -- the gate ------------------------------------------------------------------------------------------------


def sentences(value: object, name: str = "") -> list[str]:
    """Every text of the findings that is shown, but ids, sources, units, own words and formulas."""
    if isinstance(value, str):
        return [] if name == "working" and FORMULA.search(value) else [value]
    if isinstance(value, tuple | list):
        return [text for item in value for text in sentences(item, name)]
    if isinstance(value, dict):
        left = ("id", "sign", "unit", "source", "sources", "codes", "read_from_text", "knowledge", "second_opinion")
        return [text for key, item in value.items() if key not in left for text in sentences(item, key)]
    return []


def metric_left(found: Findings) -> list[str]:
    return [text for text in sentences(msgspec.to_builtins(worded(found, "us"))) if METRIC.search(text)]


def flat(page: str) -> str:
    """A page on one line, without drawings' code, style, formulas and the case file, which keep their units."""
    page = re.sub(r"<style>.*?</style>|<pre.*?</pre>", " ", page, flags=re.DOTALL)
    page = re.sub(r"<[^>]*>", "\n", page)
    return "\n".join(line for line in page.splitlines() if not FORMULA.search(line))


@pytest.mark.parametrize("path", DEMO, ids=lambda p: p.stem)
def test_no_page_of_the_brickworks_holds_a_metric_sentence_in_us_display(path, knowledge):
    case = replace(read_case(path, knowledge), title=None, said=None)
    found = review(case, knowledge)
    assert metric_left(found) == []
    assert not METRIC.findall(" ".join(terminal.page(found, case, knowledge, "us").split()))
    report = html.text(found, case, knowledge, "us", date(2026, 1, 2))
    assert [line for line in flat(report).splitlines() if METRIC.search(line)] == []


@settings(max_examples=12, deadline=None)
@given(case=cases)
def test_no_findings_of_any_case_hold_one(case, knowledge):
    assert metric_left(review(case, knowledge, text=False)) == []


def test_metric_display_is_left_as_it_is(knowledge):
    case = read_case(DEMO[0], knowledge)
    found = review(case, knowledge)
    assert worded(found, "metric") is found
    assert worded_knowledge(knowledge, "metric") is knowledge


def test_cautions_still_stand_before_the_step_they_name(knowledge):
    for path in DEMO:
        found = review(read_case(path, knowledge), knowledge)
        before = [[c.id for c in page.cautions if c.before == step] for page in (found, worded(found, "us"))
                  for step in page.changeover.steps]
        assert before[: len(before) // 2] == before[len(before) // 2 :]


def test_a_person_s_own_words_and_the_case_file_stay(knowledge):
    case = replace(read_case(DEMO[0], knowledge), title="pin of 50 mm", said="it ran at 85 degC after 20 g of grease")
    found = review(case, knowledge)
    page = terminal.page(found, case, knowledge, "us")
    assert page.startswith("pin of 50 mm\n")
    told = values.told(case, knowledge, "us")
    assert told.said == case.said and told.case_file == values.told(case, knowledge).case_file
    assert [r.words for r in worded(found, "us").read_from_text] == [r.words for r in found.read_from_text]


def test_the_walk_is_put_in_us_units(knowledge):
    walk = Walk()
    seen = 0
    for typed in ("rolling_bearing", "hot", "190 F", *[""] * 45):
        step = next_step(walk, knowledge)
        if step.kind == "done":
            break
        assert not [t for t in sentences(msgspec.to_builtins(worded(step, "us"))) if METRIC.search(t)]
        seen += worded(step, "us") != step
        yes = step.kind == "gate"
        walk = answer(walk, step, typed or "yes", knowledge) if typed or yes else pass_over(walk, step)
    assert seen > 3
    assert worded(next_step(Walk(), knowledge), "us").choices == next_step(Walk(), knowledge).choices


@pytest.mark.parametrize(("kind", "complaint"), [("rolling_bearing", "hot"), ("pin_bushing", "stiff")])
def test_field_cards_are_printed_in_us_units(kind, complaint, knowledge):
    tree = compile_tree(knowledge, kind, complaint, 3, 0.15)
    for page in (tree_text.page(tree, "us"), flat(tree_html.page(tree, "us"))):
        assert "°F" in page
        assert not METRIC.findall(" ".join(page.split()))
    assert "°C" in tree_text.page(tree)


# -- the rule of writing -------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", [
    "a rise of 15 °C", "28 °C over its usual temperature", "within 5 °C of it", "it climbs by about 10 °C",
    "halves for each 15 °C above 70 °C", "at least 50 °C below the dropping point", "at 350 K"])
def test_a_difference_in_celsius_is_seen(text):
    assert misnamed(text)


@pytest.mark.parametrize("text", [
    "over 110 °C", "28 K over its usual 60 °C", "usually 90 to 100 °C at the housing", "above about 60 °C skin burns",
    "at 50 to 60 °C for 24 h", "150 mm²/s at 40 °C"])
def test_a_temperature_in_celsius_is_no_difference(text):
    assert not misnamed(text)


def test_no_text_in_the_code_calls_a_difference_celsius():
    wrong = [f"{path.name}:{line}: {misnamed(text)}" for path in (ROOT / "diag").rglob("*.py")
             for line, text in texts(ast.parse(path.read_text("utf-8"))) if misnamed(text)]
    assert wrong == []


def texts(tree: ast.AST) -> list[tuple[int, str]]:
    """Every text in the code with its line, numbers in place of what is filled in; no docstrings."""
    notes = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            parts = ("1" if isinstance(v, ast.FormattedValue) else str(getattr(v, "value", "")) for v in node.values)
            found.append((node.lineno, "".join(parts)))
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in notes:
            found.append((node.lineno, node.value))
    return found
