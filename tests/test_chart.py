"""The drawings of report and page: oils straight on their axes, the needed point where it belongs, safe text."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest

from diag.case import read_case, read_text
from diag.case.model import Case, Grease
from diag.knowledgebase import Knowledge
from diag.report import chart
from diag.review import review

DEMO = Path(__file__).resolve().parent.parent / "demo_cases"
SVG = "{http://www.w3.org/2000/svg}"
OIL = chart.Curve("oil", 110, 95, 95, 95)


@pytest.fixture(scope="module")
def fan(knowledge: Knowledge) -> Case:
    return read_case(DEMO / "dryer_fan_hot_after_greasing.yaml", knowledge)


def drawn(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)


def texts(svg: str) -> list[str]:
    return [t.text or "" for t in drawn(svg).iter(f"{SVG}text")]


def thick_lines(svg: str) -> list[ElementTree.Element]:
    """Curves and their samples in the key, without axes and marks."""
    return [e for e in drawn(svg).iter(f"{SVG}line") if e.get("stroke-width") == "2.5"]


def test_needed_point_lies_under_an_oil_that_is_thick_enough_and_over_one_that_is_not() -> None:
    # 110 mm²/s at 40 °C with index 95 is 34 mm²/s at 66 °C (ASTM D341, worked in the tests of viscosity).
    def height_over_needed(wanted: float) -> float:
        svg = chart.viscosity_chart([OIL], chart.Needed(wanted, 66), [])
        curve, circle = thick_lines(svg)[0], next(drawn(svg).iter(f"{SVG}circle"))
        x1, y1, x2, y2 = (float(curve.get(k, "")) for k in ("x1", "y1", "x2", "y2"))
        cx, cy = float(circle.get("cx", "")), float(circle.get("cy", ""))
        return cy - (y1 + (cx - x1) / (x2 - x1) * (y2 - y1))  # positive: the oil lies above the needed point

    assert height_over_needed(12) > 10
    assert height_over_needed(90) < -10
    assert height_over_needed(34) == pytest.approx(0, abs=1.0)


def test_chart_of_a_case_draws_service_needed_and_both_temperatures(fan: Case, knowledge: Knowledge) -> None:
    svg = chart.viscosity_chart_of(review(fan, knowledge), fan, knowledge)
    assert svg is not None
    assert {"grease in service", "needed: 12 mm²/s", "usual 66 °C", "now 88 °C"} <= set(texts(svg))
    (description,) = drawn(svg).iter(f"{SVG}desc")
    assert "Needed: at least 12 mm²/s at 66 °C." in (description.text or "")


def test_us_units_show_degrees_fahrenheit(fan: Case, knowledge: Knowledge) -> None:
    svg = chart.viscosity_chart_of(review(fan, knowledge), fan, knowledge, "us")
    assert svg is not None
    assert any("151 °F" in t for t in texts(svg))
    assert not any("°C" in t for t in texts(svg))


def test_shelf_candidates_get_dashes_of_their_own() -> None:
    svg = chart.viscosity_chart([OIL, chart.Curve("other", 68, 150, 150, 150)], None, [])
    dashes = [line.get("stroke-dasharray") for line in thick_lines(svg)]
    assert len(dashes) == 4  # each curve and its sample in the key
    assert len(set(dashes)) == 2


def test_an_assumed_index_is_drawn_as_a_band_and_a_stated_one_is_not() -> None:
    spanned = chart.viscosity_chart([chart.Curve("oil", 110, 140, 120, 160)], None, [])
    assert len(list(drawn(spanned).iter(f"{SVG}polyline"))) == 2
    assert not list(drawn(chart.viscosity_chart([OIL], None, [])).iter(f"{SVG}polyline"))


def test_nothing_to_draw_gives_no_chart(knowledge: Knowledge) -> None:
    bare = read_text("point: {kind: rolling_bearing}", "bare", knowledge)
    assert chart.viscosity_chart_of(review(bare, knowledge), bare, knowledge) is None


def test_everything_lies_inside_the_frame_however_cold_or_thick(fan: Case, knowledge: Knowledge) -> None:
    for v40, heat in ((8.0, -40.0), (5000.0, 240.0)):
        case = replace(fan, grease=Grease(viscosity_40=v40), point=replace(fan.point, usual_temperature=heat))
        svg = chart.viscosity_chart_of(review(case, knowledge), case, knowledge)
        assert svg is not None
        height = chart.HEIGHT + 16  # with one row for the names
        assert drawn(svg).get("viewBox") == f"0 0 {chart.WIDTH} {height}"
        for line in drawn(svg).iter(f"{SVG}line"):
            assert all(0 <= float(line.get(k, "")) <= chart.WIDTH for k in ("x1", "x2"))
            assert all(0 <= float(line.get(k, "")) <= height for k in ("y1", "y2"))


def test_names_are_text_and_never_markup() -> None:
    svg = chart.viscosity_chart([chart.Curve("<script>alert(1)</script>", 110, 95, 95, 95)], None, [])
    assert "<script" not in svg
    assert "<script>alert(1)</script>" in texts(svg)


def test_no_style_and_no_reference_so_that_a_strict_policy_shows_it() -> None:
    for svg in (chart.viscosity_chart([OIL], chart.Needed(12, 66), []), chart.evidence_bar(3), chart.chance_bar(0.4)):
        for element in drawn(svg).iter():
            assert not {"style", "class", "id", "href"} & set(element.keys())


@pytest.mark.parametrize(("factor", "start", "length"), [(1.0, 50, 0), (10.0, 50, 25), (0.1, 25, 25), (1e9, 50, 50),
                                                         (0.0, 0, 50)])
def test_evidence_bar_grows_with_the_logarithm_of_the_factor(factor: float, start: float, length: float) -> None:
    (bar,) = drawn(chart.evidence_bar(factor)).iter(f"{SVG}rect")
    assert float(bar.get("x", "")) == pytest.approx(start)
    assert float(bar.get("width", "")) == pytest.approx(length)


def test_chance_bar_is_filled_as_far_as_the_chance() -> None:
    frame, filled = drawn(chart.chance_bar(0.25)).iter(f"{SVG}rect")
    assert float(filled.get("width", "")) == pytest.approx(0.25 * float(frame.get("width", "")), rel=0.01)
