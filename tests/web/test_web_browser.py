"""The page in a real browser: phone and desk, light and dark, without scripts, by keyboard, after a kill."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, fields, is_dataclass, replace
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import axe_playwright_python
import pytest
from playwright.sync_api import Browser, Page

from diag.case import read_case, save
from diag.case.model import Case, Pin
from diag.knowledgebase import Knowledge

AXE = (Path(axe_playwright_python.__file__).parent / "axe.min.js").read_text("utf-8")
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
PHONE = {"width": 390, "height": 844}
DESK = {"width": 1280, "height": 900}
LOOKS = [("phone", "light"), ("phone", "dark"), ("desk", "light"), ("desk", "dark")]
DEMO = Path(__file__).resolve().parents[2] / "demo_cases"
HOSTILE = "<script>window.hit=1</script><img src=x onerror=window.hit=1>\"'&{{7*7}}"


@dataclass
class Watched:
    """A page, and everything that went wrong on it."""

    page: Page
    address: str
    wrong: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.page.on("console", lambda m: self.wrong.append(m.text) if m.type in ("error", "warning") else None)
        self.page.on("pageerror", lambda error: self.wrong.append(str(error)))
        self.page.on("request", self._check)

    def _check(self, request: Any) -> None:
        if urlsplit(request.url).hostname != "127.0.0.1":
            self.wrong.append(f"left the machine: {request.url}")

    def go(self, path: str) -> Page:
        self.page.goto(self.address + path)
        return self.page

    def press(self, name: str) -> None:
        with self.page.expect_navigation():
            self.page.get_by_role("button", name=name, exact=True).click()

    def begin(self, title: str = "Dryer fan 2") -> None:
        self.go("/").get_by_label("it runs hot").check()
        self.page.get_by_label("Which machine").fill(title)
        self.press("Begin")

    def first_answers(self) -> str:
        """Up to the question after the temperature; the address of the walk."""
        self.page.get_by_label("a rolling bearing").check()
        self.press("Next")
        self.page.get_by_role("textbox").fill("92 degC")
        self.press("Next")
        return urlsplit(self.page.url).path

    def faults(self) -> list[str]:
        """What axe finds, and what is too small for a glove."""
        self.page.evaluate(AXE)
        found = self.page.evaluate(
            "rules => axe.run(document, {runOnly: {type: 'tag', values: rules}}).then(r => r.violations.map("
            "v => v.id + ': ' + v.nodes.map(n => n.target.join(' ')).join(', ')))", RULES)
        return [*found, *self.page.evaluate(SMALL)]


# Rows, buttons, fields and links that stand alone; a link inside a sentence is exempt (WCAG 2.5.8).
SMALL = """() => [...document.querySelectorAll(
  'button, .button, .row, select, textarea, input[type=text], summary, header a, .links a, .units a')]
  .filter(e => { const b = e.getBoundingClientRect(); return b.height && (b.height < 48 || b.width < 44); })
  .map(e => 'too small: ' + e.outerHTML.slice(0, 80))"""


@pytest.fixture
def watch(browser: Browser, server: Any) -> Iterator[Callable[..., Watched]]:
    """Opens a page of a kind of device; at the end nothing may have gone wrong on any."""
    opened: list[Watched] = []

    def start(device: str = "phone", theme: str = "light", address: str = server.address, **more: Any) -> Watched:
        size = PHONE if device == "phone" else DESK
        context = browser.new_context(viewport=size, color_scheme=theme, **more)
        context.set_default_timeout(20_000)
        opened.append(Watched(context.new_page(), address))
        return opened[-1]

    yield start
    for watched in opened:
        watched.page.context.close()
    assert [wrong for watched in opened for wrong in watched.wrong] == []


def answer(watched: Watched, number: int) -> None:
    """Something plausible for whatever is asked."""
    page = watched.page
    if page.get_by_role("textbox").count():
        hint = page.locator("#how").inner_text() if page.locator("#how").count() else ""
        value = re.search(r"such as (.+?)(?: or |,|$)", hint)
        page.get_by_role("textbox").fill("92 degC" if "hot is it now" in page.title() else value[1] if value else "7")
        watched.press("Next")
    elif "Shall I ask for size" in page.title():
        page.get_by_label("no, show the page").check()
        watched.press("Next")
    elif page.get_by_role("radio").count():
        page.get_by_role("radio").last.check()
        watched.press("Next")
    elif number % 3:
        watched.press("None of these")
    else:
        page.get_by_role("checkbox").first.check()
        watched.press("Next")
    if page.get_by_role("alert").count():
        watched.press("Skip")


def walk_through(watched: Watched) -> int:
    """From start to result; the number of questions."""
    watched.begin()
    watched.page.get_by_label("a rolling bearing").check()
    watched.press("Next")
    for number in range(1, 60):
        if "/result" in watched.page.url:
            return number
        answer(watched, number)
    raise AssertionError("the walk doesn't end")


@pytest.mark.parametrize(("device", "theme"), LOOKS)
def test_a_whole_walk_leads_to_the_report(watch: Callable[..., Watched], device: str, theme: str) -> None:
    watched = watch(device, theme)
    assert walk_through(watched) > 4
    page = watched.page
    assert page.get_by_role("heading", name="What it likely is").is_visible()
    page.get_by_role("link", name="Report for the file").click()
    assert page.get_by_role("heading", name="Annex: working and sources").is_visible()
    assert page.get_by_text("Made 20").is_visible()
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


@pytest.mark.parametrize(("device", "theme"), [LOOKS[0], LOOKS[3]])
def test_no_page_has_a_fault_of_access(
    watch: Callable[..., Watched], server: Any, knowledge: Knowledge, device: str, theme: str
) -> None:
    watched = watch(device, theme)
    faults = {"/": watched.go("/") and watched.faults()}
    watched.begin()
    faults["kind"] = watched.faults()
    place = watched.first_answers()
    for number in range(3):
        faults[watched.page.title()] = watched.faults()
        answer(watched, number)
    watched.page.goto(server.address + place)
    case = read_case(DEMO / "kiln_fan_two_greases.yaml", knowledge)
    save(server.folder / f"{place.removeprefix('/walks/')}.yaml", case)
    for path in (place, f"{place}/so-far", f"{place}/result", f"{place}/card", f"{place}/report", f"{place}/about",
                 "/pictures", "/walks/aaaaaa"):
        watched.go(path)
        watched.page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true; })")
        faults[path] = watched.faults()
    watched.wrong = [w for w in watched.wrong if "404" not in w]  # the last page is meant not to be there
    assert {path: found for path, found in faults.items() if found} == {}


def test_the_check_of_access_sees_faults(watch: Callable[..., Watched]) -> None:
    watched = watch()
    watched.go("/").evaluate(
        "document.querySelector('main').innerHTML += '<img src=/static/icon.svg><button>x</button>'")
    watched.page.evaluate("document.querySelector('button').style.minHeight = '20px'")
    watched.page.evaluate("document.querySelector('button').style.padding = '0'")
    found = watched.faults()
    assert any(fault.startswith("image-alt") for fault in found)
    assert any(fault.startswith("too small") for fault in found)


def test_a_fault_in_an_answer_is_announced_and_tied_to_the_field(watch: Callable[..., Watched]) -> None:
    watched = watch()
    watched.begin()
    watched.page.get_by_label("a rolling bearing").check()
    watched.press("Next")
    watched.page.get_by_role("textbox").fill("hot")
    watched.press("Next")
    page = watched.page
    assert page.title().startswith("Error: ")
    assert page.get_by_role("alert").is_visible()
    assert "fault" in (page.get_by_role("textbox").get_attribute("aria-describedby") or "")
    assert watched.faults() == []
    watched.wrong = [w for w in watched.wrong if "422" not in w]  # the browser's own note of the refusal


def test_kill_the_server_and_go_on(
    watch: Callable[..., Watched], start_server: Callable[..., Any], tmp_path: Path
) -> None:
    server = start_server(tmp_path)
    watched = watch(address=server.address)
    watched.begin()
    watched.page.get_by_label("a rolling bearing").check()
    watched.press("Next")
    server.kill()
    watched.page.get_by_role("textbox").fill("93 degC")
    watched.page.get_by_role("button", name="Next").click()
    watched.page.get_by_text("No connection to the server").wait_for()
    start_server(tmp_path, server.port)
    with watched.page.expect_navigation(timeout=15_000):
        pass  # what was typed is sent as soon as the server is back
    assert "hot is it now" not in watched.page.title()
    watched.press("Back")
    assert watched.page.get_by_role("textbox").input_value() == "93 degC"
    # How a killed server looks depends on when it died: refused, reset, or closed without an answer.
    watched.wrong = [w for w in watched.wrong if not re.search(r"net::ERR_(CONNECTION_\w+|EMPTY_RESPONSE)", w)]


def test_what_is_typed_but_not_sent_survives_a_reload(watch: Callable[..., Watched]) -> None:
    watched = watch()
    watched.go("/").get_by_label("Or in your own words").fill("howls since the wash-down")
    watched.page.reload()
    assert watched.page.get_by_label("Or in your own words").input_value() == "howls since the wash-down"
    watched.press("Begin")
    assert watched.go("/").get_by_label("Or in your own words").input_value() == ""


def test_another_device_goes_on_where_the_first_stopped(watch: Callable[..., Watched]) -> None:
    phone, desk = watch("phone"), watch("desk")
    phone.begin()
    place = phone.first_answers()
    desk.go("/").get_by_label("Its code").fill(place.removeprefix("/walks/").upper())
    desk.press("Open it")
    assert desk.page.title() == phone.page.title()


def test_a_whole_walk_without_scripts(watch: Callable[..., Watched]) -> None:
    watched = watch(java_script_enabled=False)
    assert walk_through(watched) > 4
    assert watched.page.get_by_role("heading", name="The grease this point needs").is_visible()
    watched.press("Back to the last question")
    assert watched.page.get_by_role("button", name="Next").is_visible()


def test_by_keyboard_alone(watch: Callable[..., Watched]) -> None:
    watched = watch("desk")
    keys, page = watched.page.keyboard, watched.go("/")

    def reach(wanted: str) -> None:
        """Tab until the wanted thing has the focus, which must be visible."""
        for _ in range(30):
            keys.press("Tab")
            if page.evaluate("w => document.activeElement.matches(w)", wanted):
                style = "e => getComputedStyle(e.closest('.row') || e).outlineStyle"
                assert page.evaluate(f"({style})(document.activeElement)") == "solid"
                return
        raise AssertionError(f"{wanted} can't be reached")

    keys.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "To the content"
    keys.press("Enter")
    reach("[name=complaint]")
    keys.press("Space")
    reach("button.main")
    with page.expect_navigation():
        keys.press("Enter")
    reach("[name=choice]")
    keys.press("ArrowDown")
    keys.press("ArrowUp")
    reach("button.main")
    with page.expect_navigation():
        keys.press("Enter")
    reach("#value")
    keys.type("92 degC")
    with page.expect_navigation():
        keys.press("Enter")  # in the field: the first button is Next
    assert "hot is it now" not in page.title()
    reach("summary")
    keys.press("Enter")
    assert page.locator("details[open]").count() == 1


def test_every_picture_renders(watch: Callable[..., Watched], knowledge: Knowledge) -> None:
    page = watch("desk").go("/pictures")
    drawings = page.locator(".gallery svg")
    assert drawings.count() == len(knowledge.pictures)
    for number in range(drawings.count()):
        size = drawings.nth(number).bounding_box()
        assert size is not None
        assert size["width"] > 150 and size["height"] > 110
    painted = page.evaluate(
        "() => [...document.querySelectorAll('.gallery svg')].map(s => [...s.querySelectorAll('*')].filter("
        "e => e.getBBox && e.getBBox().width + e.getBBox().height > 0).length)")
    assert min(painted) > 2


def test_pictures_stand_beside_the_signs_they_show(watch: Callable[..., Watched]) -> None:
    watched = watch()
    watched.begin()
    watched.first_answers()
    for number in range(40):
        if watched.page.locator(".thumb svg").count():
            size = watched.page.locator(".thumb svg").first.bounding_box()
            assert size is not None and size["width"] >= 100
            return
        answer(watched, number)
    raise AssertionError("no question shows a picture")


def hostile(part: Any) -> Any:
    """Every text of the case is a script."""
    changed = {}
    for f in fields(part):
        value = getattr(part, f.name)
        if is_dataclass(value):
            changed[f.name] = hostile(value)
        elif f.metadata["as"] == "text":
            changed[f.name] = HOSTILE
    return replace(part, **changed)


def test_a_case_whose_every_text_is_a_script_is_inert(
    watch: Callable[..., Watched], server: Any, knowledge: Knowledge
) -> None:
    watched = watch("desk")
    watched.begin(HOSTILE)
    place = watched.first_answers()
    case: Case = hostile(read_case(DEMO / "dryer_fan_hot_after_greasing.yaml", knowledge))
    case = replace(case, point=replace(case.point, pin=Pin()))  # a rolling bearing has none
    assert case.title == case.costs.currency == case.grease.colour == HOSTILE
    save(server.folder / f"{place.removeprefix('/walks/')}.yaml", case)
    for path in ("/", place, *(f"{place}/{what}" for what in ("so-far", "result", "card", "report", "about"))):
        page = watched.go(path)
        assert page.evaluate("window.hit") is None
        assert page.locator("script").count() == (0 if path.endswith("report") else 1)
        assert page.locator("img").count() == 0
        assert "49" not in page.title()
    assert HOSTILE in watched.go(f"{place}/result").get_by_role("heading", level=1).inner_text()


def test_card_prints_on_one_side(
    watch: Callable[..., Watched], server: Any, knowledge: Knowledge, tmp_path: Path
) -> None:
    watched = watch("desk")
    watched.begin()
    place = watched.first_answers()
    case = read_case(DEMO / "dryer_fan_hot_after_greasing.yaml", knowledge)
    save(server.folder / f"{place.removeprefix('/walks/')}.yaml", case)
    for paper in ("A4", "Letter", "A5"):
        printed = watched.go(f"{place}/card").pdf(format=paper)
        assert len(re.findall(rb"/Type\s*/Page\b", printed)) == 1
