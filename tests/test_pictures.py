"""Pictures to answer by: safe to put into a page under a strict content policy, and tied to the knowledge."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from diag.errors import InputError
from diag.knowledgebase import load
from diag.pictures import DRAWINGS, for_sign, svg

NS = "{http://www.w3.org/2000/svg}"
KNOWLEDGE = load()
DRAWN = {"rect", "circle", "ellipse", "line", "path", "polygon", "g", "text"}


def root(picture: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg(picture))


def test_there_are_at_least_28_drawings_and_each_has_its_record() -> None:
    assert len(DRAWINGS) >= 28
    assert list(DRAWINGS) == list(KNOWLEDGE.pictures)


@pytest.mark.parametrize("picture", DRAWINGS)
def test_name_and_text_come_first_and_are_those_of_the_record(picture: str) -> None:
    element, record = root(picture), KNOWLEDGE.pictures[picture]
    title, description = element[0], element[1]
    assert (title.tag, title.text) == (NS + "title", record.title)
    assert (description.tag, description.text) == (NS + "desc", record.text)
    assert record.title and len(record.text) > 30
    assert element.get("role") == "img"


@pytest.mark.parametrize("picture", DRAWINGS)
def test_only_plain_shapes_with_presentation_attributes(picture: str) -> None:
    """A strict content policy refuses script, style and handlers; an id would stand twice on a page."""
    for element in root(picture).iter():
        assert element.tag.removeprefix(NS) in DRAWN | {"svg", "title", "desc"}
        for name, value in element.attrib.items():
            assert name not in {"style", "class", "id", "href"} and not name.startswith(("on", "{")), name
            assert "url(" not in value and "://" not in value


@pytest.mark.parametrize("picture", DRAWINGS)
def test_it_scales_and_stands_on_a_light_panel_in_both_themes(picture: str) -> None:
    element = root(picture)
    assert element.get("viewBox") == "0 0 160 120"
    assert element.get("width") is None and element.get("height") is None
    panel = element[2]
    assert panel.get("fill") == "#fdfcf8" and panel.get("stroke") == "currentColor"
    assert (panel.get("width"), panel.get("height")) == ("159", "119")


@pytest.mark.parametrize("picture", DRAWINGS)
def test_every_number_in_a_drawing_is_finite_and_near_the_panel(picture: str) -> None:
    for element in root(picture).iter():
        for name in ("x", "y", "cx", "cy", "x1", "y1", "x2", "y2"):
            assert -40 <= float(element.get(name, 0)) <= 180
        for words in (element.get("d", ""), element.get("points", "")):
            assert not re.search("nan|inf", words)
            assert all(-40 <= float(n) <= 200 for n in re.findall(r"-?\d+\.?\d*", words))


def test_words_in_a_drawing_can_be_read_at_160_pixels() -> None:
    sizes = [float(e.attrib["font-size"]) for p in DRAWINGS for e in root(p).iter(NS + "text")]
    assert sizes and min(sizes) >= 9


def test_no_two_drawings_and_no_two_names_are_the_same() -> None:
    shapes = {ElementTree.tostring(e) for p in DRAWINGS for e in [group_of(root(p))]}
    titles = {record.title for record in KNOWLEDGE.pictures.values()}
    assert len(shapes) == len(titles) == len(DRAWINGS)


def group_of(element: ElementTree.Element) -> ElementTree.Element:
    """The drawing without its name and text."""
    alone = ElementTree.Element("g")
    alone.extend(element[2:])
    return alone


def test_every_mapped_sign_exists_and_has_one_picture_only() -> None:
    mapped = [sign for record in KNOWLEDGE.pictures.values() for sign in record.signs]
    assert len(mapped) >= 28
    assert set(mapped) <= set(KNOWLEDGE.signs)
    assert len(mapped) == len(set(mapped))


def test_every_picture_is_reached_by_a_sign_or_stands_for_comparison() -> None:
    """Those without a sign are how a thing should look, a grade, or a neighbour to compare with."""
    alone = {record.id for record in KNOWLEDGE.pictures.values() if not record.signs}
    assert alone == {
        "track_normal",
        "track_out_of_round",
        "track_thrust",
        "grease_buttery",
        "grade_000",
        "grade_0",
        "grade_2",
        "grade_6",
        "pin_galled",
        "seal_good",
        "seal_turned",
    }


def test_a_sign_gives_its_picture() -> None:
    assert for_sign(KNOWLEDGE, "flutes_seen") == "raceway_flutes"
    assert for_sign(KNOWLEDGE, "milky") == "grease_milky"
    assert for_sign(KNOWLEDGE, "louder_than_usual") is None


def test_the_picture_of_a_question_exists() -> None:
    named = {q.id: q.picture for q in KNOWLEDGE.questions.values() if q.picture}
    assert named["seal_look"] == "seal_good"
    assert set(named.values()) <= set(DRAWINGS)


def test_drawing_again_gives_the_same_picture() -> None:
    first = {p: svg(p) for p in DRAWINGS}
    svg.cache_clear()
    assert first == {p: svg(p) for p in DRAWINGS}


def test_an_unknown_picture_is_one_clear_line() -> None:
    with pytest.raises(InputError, match=r"^../secret: no such picture; there are: track_normal, "):
        svg("../secret")
