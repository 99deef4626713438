"""The report for the file: whole, self-contained, inert, on four pages at most, written whole or not at all."""

from __future__ import annotations

import base64
import hashlib
import re
from dataclasses import replace
from datetime import date
from html.parser import HTMLParser
from pathlib import Path

import msgspec
import pytest

from diag.case import read_case, to_text
from diag.case.model import Case, Identity
from diag.cli import main
from diag.errors import InputError
from diag.findings import Findings
from diag.knowledgebase import Knowledge
from diag.report import filing, html, pdf, values
from diag.report.figures import System
from diag.review import review
from tests import report_gold

DEMO = Path(__file__).resolve().parent.parent / "demo_cases"
DAY = date(2026, 1, 2)
EVIL = "<script>alert(1)</script><img src=x onerror=alert(1)>\"'"
MM = 96 / 25.4  # CSS pixels


class Reader(HTMLParser):
    """Tags, attributes and running text of a page, as a browser would split them."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str]] = []
        self.pieces: list[str] = []
        self.feed(page)
        self.text = " ".join(" ".join(self.pieces).split())

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(name, value or "") for name, value in attrs]

    def handle_data(self, data: str) -> None:
        self.pieces.append(data)


@pytest.fixture(scope="module")
def kiln(knowledge: Knowledge) -> Case:
    """A switch with two greases that must not meet: every part of the report is there."""
    return read_case(DEMO / "kiln_fan_two_greases.yaml", knowledge)


@pytest.fixture(scope="module")
def found(kiln: Case, knowledge: Knowledge) -> Findings:
    return review(kiln, knowledge)


@pytest.fixture(scope="module")
def page(found: Findings, kiln: Case, knowledge: Knowledge) -> str:
    return html.text(found, kiln, knowledge, "metric", DAY)


@pytest.fixture(scope="module")
def read(page: str) -> Reader:
    return Reader(page)


def squeezed(text: str) -> str:
    return " ".join(text.split())


def test_report_of_frozen_findings_is_the_gold_one() -> None:
    assert report_gold.today() == report_gold.PAGE.read_text("utf-8")


def test_every_number_stands_there_with_its_working_and_source(found: Findings, read: Reader) -> None:
    assert found.computed
    for number in found.computed:
        assert squeezed(number.working) in read.text
        assert squeezed(number.source) in read.text
    for wanted in found.spec.requirements:
        assert all(squeezed(why) in read.text for why in wanted.because)
        assert f"[{squeezed(wanted.source)}]" in read.text or not wanted.source
    assert all(squeezed(line) in read.text for line in found.regrease.working)


def test_everything_a_decision_rests_on_stands_there(found: Findings, read: Reader) -> None:
    change = found.changeover
    assert change.expected_costs
    assert change.flips
    assert "Where the choice flips" in read.text
    for told in (*change.cost_basis, *change.never, *change.steps, *found.sources):
        assert squeezed(told) in read.text
    for part in change.cost_parts:
        assert f"{part.risk:,.0f}" in read.text


def test_case_and_knowledge_can_be_told_by_their_fingerprints(found: Findings, kiln: Case, read: Reader) -> None:
    case = hashlib.sha256(to_text(kiln).encode()).hexdigest()[:12]
    assert f"Case {case} , knowledge {found.knowledge} ." in read.text


def test_fingerprint_changes_with_an_answer(found: Findings, kiln: Case, knowledge: Knowledge) -> None:
    other = replace(kiln, title="another")
    marks = {values.page(found, case, knowledge).fingerprint for case in (kiln, other, replace(kiln))}
    assert len(marks) == 2


def test_what_was_told_reads_back_from_the_report(page: str, kiln: Case) -> None:
    import html as escaping

    shown = re.findall(r"<pre>(.*?)</pre>", page, re.DOTALL)
    assert [escaping.unescape(text) for text in shown] == [to_text(kiln).rstrip()]


def test_cautions_stand_before_their_steps(found: Findings, read: Reader) -> None:
    before = [(c.text, c.before) for c in found.cautions if c.before in found.changeover.steps]
    assert before
    for caution, step in before:
        assert 0 <= read.text.index(squeezed(caution)) < read.text.index(squeezed(step))


def test_urgency_comes_first(read: Reader) -> None:
    headings = ("Watch it", "What it likely is", "What to do", "Card for the counter", "Annex")
    assert [read.text.index(h) for h in headings] == sorted(read.text.index(h) for h in headings)


def test_compatibility_is_told_in_words_table_by_table(found: Findings, read: Reader) -> None:
    told = found.changeover.compatibility.tables
    assert len(told) > 2
    for table in told:
        assert f"{squeezed(table.words)} {table.verdict}" in read.text


def test_card_is_the_specification_without_reasons(found: Findings, kiln: Case) -> None:
    card = values.card(found, kiln)
    shown = [demand for _, demands in card.groups for demand in demands]
    wanted = [r for r in found.spec.requirements if r.relation != "ignore" and r.strength != "note"]
    assert len(shown) == len(wanted)
    assert not [why for r in wanted for why in r.because for demand in shown if why in demand]


def test_special_duty_gets_no_switch_and_no_interval(kiln: Case, knowledge: Knowledge) -> None:
    guarded = replace(kiln, point=replace(kiln.point, safety_critical=True))
    text = Reader(html.text(review(guarded, knowledge), guarded, knowledge, "metric", DAY)).text
    assert "Card for the gun" not in text
    assert "with the new kind" not in text


def test_usual_duty_gets_both(read: Reader) -> None:
    assert "Card for the gun" in read.text
    assert "with the new kind" in read.text


def test_how_to_grease_is_left_out_while_greasing_is_barred(found: Findings, kiln: Case, knowledge: Knowledge) -> None:
    barred = values.regrease_card(found, kiln, knowledge)
    assert barred.not_now
    assert barred.steps == ()


def test_how_to_grease_has_its_cautions_where_greasing_is_right(kiln: Case, knowledge: Knowledge) -> None:
    case = replace(kiln, seen={}, history=replace(kiln.history, since=()), complaint="planning",
                   grease=replace(kiln.grease, thickener="polyurea"), earlier_grease=type(kiln.grease)())
    card = values.regrease_card(review(case, knowledge), case, knowledge)
    assert card.not_now == ""
    assert card.steps
    assert any(step.careful for step in card.steps)


def test_us_units_reach_card_regreasing_and_chart(found: Findings, kiln: Case, knowledge: Knowledge) -> None:
    text = Reader(html.text(found, kiln, knowledge, "us", DAY)).text
    card = text[text.index("Card for the counter"):text.index("Annex")]
    assert "°F" in card
    assert "oz" in card
    assert "°C" not in card.replace("viscosity at 40 °C", "")
    assert "usual 158 °F" in text


def test_a_case_made_of_scripts_is_inert(kiln: Case, knowledge: Knowledge) -> None:
    case = replace(
        kiln, title=EVIL, said=EVIL, case=Identity(EVIL, EVIL, EVIL, EVIL, EVIL),
        grease=replace(kiln.grease, colour=EVIL, code=EVIL), costs=replace(kiln.costs, currency=EVIL),
        point=replace(kiln.point, bearing=replace(kiln.point.bearing, clearance=EVIL, fit=EVIL),
                      manual=replace(kiln.point.manual, code=EVIL)),
    )
    plain = Reader(html.text(review(kiln, knowledge), kiln, knowledge, "metric", DAY))
    hostile = Reader(html.text(review(case, knowledge), case, knowledge, "metric", DAY))
    assert "<script>alert(1)</script>" in hostile.text  # shown, as text
    assert {*hostile.tags} <= {*plain.tags}
    assert {name for name, _ in hostile.attributes} <= {name for name, _ in plain.attributes}


def test_findings_made_of_scripts_are_inert(found: Findings, kiln: Case, knowledge: Knowledge) -> None:
    """Whatever text the findings hold, the template can't be made to write markup."""
    def evil(part: object) -> object:
        if isinstance(part, dict):
            return {key: evil(value) for key, value in part.items()}
        if isinstance(part, list | tuple):
            return [evil(value) for value in part]
        return f"{part} {EVIL}" if isinstance(part, str) and " " in part else part

    hostile = msgspec.convert(evil(msgspec.to_builtins(found)), Findings)
    text = html.text(hostile, kiln, knowledge, "metric", DAY)
    assert text.count("&lt;script&gt;") > 50
    assert not {"script", "img"} & {*Reader(text).tags}


def test_nothing_is_fetched_and_nothing_runs(page: str, read: Reader) -> None:
    assert not {"script", "link", "img", "iframe", "object", "form"} & {*read.tags}
    assert not [a for a in read.attributes if a[0] in ("src", "href", "style") or a[0].startswith("on")]
    (style,) = re.findall(r"<style>(.*?)</style>", page, re.DOTALL)
    assert not re.findall(r"url\(|@import|expression", style)
    (policy,) = (value for name, value in read.attributes if "default-src" in value)
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    assert policy.startswith(f"default-src 'none'; style-src 'sha256-{digest}';")


def test_no_colour_carries_meaning(page: str) -> None:
    inks = re.findall(r"#([0-9a-fA-F]{3,8})\b", page)
    assert {*inks} <= {"000", "fff", "555"}
    assert not re.findall(r"(?:fill|stroke)=\"(?!none|currentColor)", page)


@pytest.mark.parametrize(("name", "system", "paper"), [
    ("extruder_light_oil_grease", "us", (215.9, 279.4)),  # the longest of the brickworks
    ("press_line_soap_plug", "metric", (210, 297)),
])
def test_pdf_keeps_to_four_pages_of_the_paper_of_its_country(
    name: str, system: System, paper: tuple[float, float], knowledge: Knowledge
) -> None:
    case = read_case(DEMO / f"{name}.yaml", knowledge)
    document = pdf.laid_out(html.text(review(case, knowledge), case, knowledge, system, DAY), system)
    assert 1 <= len(document.pages) <= 4
    for sheet in document.pages:
        assert (sheet.width / MM, sheet.height / MM) == pytest.approx(paper, abs=0.5)


def test_layout_fetches_nothing(tmp_path: Path) -> None:
    style = tmp_path / "tiny.css"
    style.write_text("@page { size: 50mm 50mm !important }")
    text = f'<link rel="stylesheet" href="{style.as_uri()}"><p>x</p>'
    (sheet,) = pdf.laid_out(text, "metric").pages
    assert sheet.width / MM == pytest.approx(210, abs=0.5)


def test_review_writes_a_pdf_beside_the_page(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "Report.PDF"
    assert main(["review", str(DEMO / "press_line_soap_plug.yaml"), "--report", str(out)]) == 0
    assert out.read_bytes().startswith(b"%PDF-")
    assert "MAY IT KEEP TURNING?" in capsys.readouterr().out
    assert [p.name for p in tmp_path.iterdir()] == ["Report.PDF"]


def test_shelf_draws_its_greases_into_the_report(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "report.html"
    sheets = []
    for name, v40 in (("store drum", 220), ("red tube", 460)):
        sheet = tmp_path / f"{name}.yaml"
        sheet.write_text(f"{{thickener: lithium, viscosity_40: {v40} mm2/s}}", "utf-8")
        sheets.append(str(sheet))
    case = str(DEMO / "extruder_light_oil_grease.yaml")
    assert main(["shelf", case, *sheets, "--report", str(out)]) == 0
    assert "red tube" in capsys.readouterr().out
    (chart,) = re.findall(r"<svg[^>]*role=\"img\".*?</svg>", out.read_text("utf-8"), re.DOTALL)
    for name in ("grease in service", "store drum", "red tube"):
        assert f">{name}</text>" in chart


@pytest.mark.parametrize(("name", "words"), [
    ("report.doc", "a report ends in .html or .pdf"), ("none/report.html", "the folder doesn't exist"),
])
def test_a_place_that_cannot_be_is_one_line(
    name: str, words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["review", str(DEMO / "press_line_soap_plug.yaml"), "--report", str(tmp_path / name)]) == 2
    printed = capsys.readouterr()
    assert printed.err.strip() == f"diag: {tmp_path / name}: {words}"
    assert printed.out == ""


def test_a_report_that_fails_leaves_the_old_one(
    tmp_path: Path, found: Findings, kiln: Case, knowledge: Knowledge, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "report.html"
    out.write_text("old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(InputError, match=r"report\.html: can't be written \(No space left on device\)"):
        filing.save(str(out), found, kiln, knowledge, "metric", DAY)
    assert [p.name for p in tmp_path.iterdir()] == ["report.html"]
    assert out.read_text() == "old"


def test_missing_libraries_are_one_clear_line(page: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pdf, "find_spec", lambda name: None)
    with pytest.raises(InputError, match=r"the PDF needs weasyprint: pip install 'diag\[web\]'"):
        pdf.content(page, "metric")


def test_what_report_and_pages_show_alike_is_written_once() -> None:
    root = Path(html.__file__).parents[1]
    written = {path: re.findall(r"{% macro (\w+)", path.read_text("utf-8"))
               for folder in ("report", "web") for path in (root / folder / "templates").glob("*.html")}
    names = [name for found in written.values() for name in found]
    assert {"causes", "checks", "procedure", "steps"} <= set(names)
    assert len(names) == len(set(names))
