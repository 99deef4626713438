"""Walks over HTTP as a browser without scripts sees them: one question a screen, nothing typed is ever lost."""

from __future__ import annotations

import re
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from diag.case import read_case
from diag.errors import InputError
from diag.knowledgebase import Knowledge
from diag.walk import Walk, answer, next_step
from diag.web.store import Kept, NoSuchWalkError, Start, Store

KIND, HOT = "fact:point.kind", "fact:point.running_temperature"


@pytest.fixture
def hot(visitor: Any) -> str:
    """A walk at the question how hot it is."""
    code = visitor.begin(complaint="hot", title="Pan mill", said="hot since Monday")
    visitor.press(code, KIND, choice="rolling_bearing")
    return str(code)


def page(visitor: Any, code: str, what: str = "") -> str:
    answer = visitor.client.get(f"/walks/{code}{what}")
    assert answer.status_code == 200
    return str(answer.text)


def current(visitor: Any, code: str) -> str:
    """Id of the question that is open."""
    return page(visitor, code).split('name="step" value="')[1].split('"')[0]


def test_start_words_enter_the_case_once_its_kind_is_known(server: Any, hot: str, knowledge: Knowledge) -> None:
    case = read_case(server.folder / f"{hot}.yaml", knowledge)
    assert (case.complaint, case.title, case.said) == ("hot", "Pan mill", "hot since Monday")


def test_own_words_alone_are_enough_to_begin(visitor: Any) -> None:
    code = visitor.begin(said="hot since Monday")
    visitor.press(code, KIND, choice="rolling_bearing")
    assert "What brings you here?" in page(visitor, code)


@pytest.fixture
def telling(visitor: Any) -> str:
    """A walk at the page that shows what was read out of the own words."""
    code = visitor.begin(said="It got hot this morning, 95 degC at the housing. No smoke.")
    visitor.press(code, KIND, choice="rolling_bearing")
    return str(code)


def test_what_was_read_out_of_own_words_is_shown_to_be_confirmed(
    server: Any, visitor: Any, telling: str, knowledge: Knowledge
) -> None:
    shown = page(visitor, telling)
    assert "Is this what you meant?" in shown
    assert "not: smoke or a burnt smell" in shown
    assert "running temperature: 95 degC" in shown
    visitor.press(telling, "said", choice=["hotter_than_usual", "point.running_temperature"])
    case = read_case(server.folder / f"{telling}.yaml", knowledge)
    assert case.seen == {"hotter_than_usual": "yes", "smoke_or_burnt_smell": "unknown"}
    assert case.point.running_temperature == pytest.approx(95)
    assert "What brings you here?" in page(visitor, telling)


def test_what_is_struck_out_of_own_words_counts_for_nothing_and_back_puts_it_again(
    server: Any, visitor: Any, telling: str, knowledge: Knowledge
) -> None:
    visitor.press(telling, "said", do="none")
    case = read_case(server.folder / f"{telling}.yaml", knowledge)
    assert set(case.seen.values()) == {"unknown"}
    assert case.point.running_temperature is None
    result = page(visitor, telling, "/result")
    assert "Read out of your own words" not in result
    assert "from your words" not in result  # the temperature isn't read again by the back door
    visitor.press(telling, "", do="back")
    assert "running temperature: 95 degC" in page(visitor, telling)


def test_other_words_are_gone_through_anew(server: Any, visitor: Any, telling: str, knowledge: Knowledge) -> None:
    visitor.press(telling, "said", choice=["hotter_than_usual", "point.running_temperature"])
    told = {"proof": visitor.proof, "complaint": "noisy", "title": "", "said": "it howls", "units": "us"}
    visitor.client.post(f"/walks/{telling}/about", data=told)
    assert "louder or rougher than it was" in page(visitor, telling)
    assert read_case(server.folder / f"{telling}.yaml", knowledge).seen == {}


def test_what_was_answered_under_way_stands_in_the_form_of_own_words(visitor: Any) -> None:
    code = visitor.begin(said="hot since Monday")
    visitor.press(code, KIND, choice="rolling_bearing")
    visitor.press(code, "fact:complaint", choice="leaking")
    assert 'value="leaking" checked' in page(visitor, code, "/about")


def test_an_answer_that_cannot_be_read_says_what_would_be_right_and_stays_typed(visitor: Any, hot: str) -> None:
    answer = visitor.press(hot, HOT, value="quite hot")
    assert answer.status_code == 422
    for shown in (answer.text, page(visitor, hot)):  # also after a reload
        assert 'value="quite hot"' in shown
    assert 'role="alert"' in answer.text


def test_an_empty_form_asks_for_an_answer_and_moves_nowhere(visitor: Any, hot: str) -> None:
    answer = visitor.press(hot, HOT, value=" ")
    assert answer.status_code == 422
    assert "Nothing is typed yet" in answer.text


def test_back_shows_what_was_answered_and_takes_it_out_of_the_case(
    server: Any, visitor: Any, hot: str, knowledge: Knowledge
) -> None:
    visitor.press(hot, HOT, value="84 degC")
    assert read_case(server.folder / f"{hot}.yaml", knowledge).point.running_temperature == pytest.approx(84)
    visitor.press(hot, "", do="back")
    assert 'value="84 degC"' in page(visitor, hot)
    assert read_case(server.folder / f"{hot}.yaml", knowledge).point.running_temperature is None


def test_back_behind_the_first_question_leaves_no_case_behind(server: Any, visitor: Any, hot: str) -> None:
    visitor.press(hot, "", do="back")
    assert "What is it that the grease is in?" in page(visitor, hot)
    assert not (server.folder / f"{hot}.yaml").exists()
    visitor.press(hot, KIND, choice="slideway")
    assert "Pan mill" in page(visitor, hot, "/result")


def test_skip_and_not_sure_leave_the_question_without_an_answer(visitor: Any, hot: str) -> None:
    visitor.press(hot, HOT, do="skip")
    visitor.press(hot, current(visitor, hot), do="unsure")
    assert "1 question was skipped" in page(visitor, hot, "/result")


def test_stop_is_said_at_once_with_its_gravest_reason(visitor: Any, hot: str) -> None:
    assert "Stop it now" not in page(visitor, hot)
    visitor.press(hot, HOT, value="150 degC")
    assert "Stop it now" in page(visitor, hot)


def test_a_look_takes_ticks_degrees_and_none_of_these(
    server: Any, visitor: Any, hot: str, knowledge: Knowledge
) -> None:
    visitor.press(hot, HOT, value="70 degC")
    seen: dict[str, str] = {}
    looks = 0
    for _ in range(12):
        shown = page(visitor, hot)
        step = current(visitor, hot)
        if not step.startswith("look:"):
            visitor.press(hot, step, do="unsure")
            continue
        signs = [o.sign for o in knowledge.questions[step.removeprefix("look:")].options if f'"{o.sign}"' in shown]
        if looks == 0:
            visitor.press(hot, step, do="none")
            seen |= dict.fromkeys(signs, "no")
        else:
            visitor.press(hot, step, choice=signs[:1], **{f"finer.{signs[0]}": "probably"})
            seen[signs[0]] = "probably"
            break
        looks += 1
    assert {"no", "probably"} <= set(seen.values())
    assert read_case(server.folder / f"{hot}.yaml", knowledge).seen == seen


def test_an_answer_to_a_question_that_has_passed_is_refused_and_changes_nothing(
    server: Any, visitor: Any, hot: str, knowledge: Knowledge
) -> None:
    visitor.press(hot, HOT, value="84 degC")
    answer = visitor.press(hot, HOT, value="20 degC")
    assert answer.status_code == 409
    assert "answered before" in answer.text
    assert read_case(server.folder / f"{hot}.yaml", knowledge).point.running_temperature == pytest.approx(84)


def test_another_device_goes_on_with_the_code(new_visitor: Callable[[], Any], hot: str) -> None:
    other = new_visitor()
    answer = other.client.get("/resume", params={"code": f" {hot[:3].upper()}-{hot[3:]} "})
    assert answer.headers["location"] == f"/walks/{hot}"
    assert current(other, hot) == HOT
    other.press(hot, HOT, value="84 degC")
    assert current(other, hot) != HOT


def test_start_lists_the_walks_kept_here(visitor: Any, hot: str) -> None:
    assert f'href="/walks/{hot}"' in visitor.client.get("/").text


def test_own_words_can_be_changed_under_way(server: Any, visitor: Any, hot: str, knowledge: Knowledge) -> None:
    told = {"proof": visitor.proof, "complaint": "noisy", "title": "", "said": "it howls", "units": "us"}
    visitor.client.post(f"/walks/{hot}/about", data=told)
    case = read_case(server.folder / f"{hot}.yaml", knowledge)
    assert (case.complaint, case.title, case.said) == ("noisy", None, "it howls")


def test_result_in_us_units(visitor: Any, hot: str) -> None:
    visitor.press(hot, HOT, value="60 degC")
    assert re.search(r"\d °F", page(visitor, hot, "/result?units=us"))
    assert not re.search(r"\d °F,", page(visitor, hot, "/result"))


def test_case_file_is_the_one_that_review_reads(tmp_path: Path, visitor: Any, hot: str, knowledge: Knowledge) -> None:
    (tmp_path / "case.yaml").write_text(visitor.client.get(f"/walks/{hot}/case.yaml").text, "utf-8")
    assert read_case(tmp_path / "case.yaml", knowledge).title == "Pan mill"


def test_report_is_the_one_that_is_filed_and_also_a_pdf(visitor: Any, hot: str) -> None:
    answer = visitor.client.get(f"/walks/{hot}/report")
    assert "Annex" in answer.text
    assert "style-src 'sha256-" in answer.headers["content-security-policy"]
    assert "frame-ancestors 'none'" in answer.headers["content-security-policy"]
    assert visitor.client.get(f"/walks/{hot}/report.pdf").content.startswith(b"%PDF-")


def test_nothing_can_be_reported_before_the_first_answer(visitor: Any) -> None:
    code = visitor.begin(said="hot")
    assert visitor.client.get(f"/walks/{code}/report").status_code == 422
    assert visitor.client.get(f"/walks/{code}/result").headers["location"] == f"/walks/{code}"


def test_twenty_walkers_at_once_lose_nothing(
    server: Any, new_visitor: Callable[[], Any], knowledge: Knowledge
) -> None:
    def walk(number: int) -> str:
        visitor = new_visitor()
        code = visitor.begin(complaint="hot", title=f"point {number}")
        for step, given in ((KIND, {"choice": "rolling_bearing"}), (HOT, {"value": f"{40 + number} degC"})):
            assert visitor.press(code, step, **given).status_code == 303
        assert visitor.press(code, current(visitor, code), do="skip").status_code == 303
        return str(code)

    with ThreadPoolExecutor(20) as pool:
        codes = list(pool.map(walk, range(20)))
    assert len(set(codes)) == 20
    for number, code in enumerate(codes):
        case = read_case(server.folder / f"{code}.yaml", knowledge)
        assert case.title == f"point {number}"
        assert case.point.running_temperature == pytest.approx(40 + number)
        assert [given.how for given in Store(server.folder, knowledge).load(code).walk.trail][2:] == ["skipped"]


def test_of_many_answers_to_one_question_at_once_exactly_one_is_taken(
    server: Any, new_visitor: Callable[[], Any], hot: str, knowledge: Knowledge
) -> None:
    visitors = [new_visitor() for _ in range(6)]
    with ThreadPoolExecutor(6) as pool:
        answers = list(pool.map(lambda n: visitors[n].press(hot, HOT, value=f"{50 + n} degC").status_code, range(6)))
    assert sorted(answers) == [303] + [409] * 5
    kept = read_case(server.folder / f"{hot}.yaml", knowledge).point.running_temperature
    assert kept == pytest.approx(50 + answers.index(303))


def test_a_kill_between_two_files_leaves_a_walk_that_goes_on(
    tmp_path: Path, knowledge: Knowledge, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = Store(tmp_path, knowledge)
    code = store.new(Start(title="kept"))

    def die(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("diag.walkfile.save", die)
    walk = Walk()
    walk = answer(walk, next_step(walk, knowledge), "1", knowledge)
    with pytest.raises(KeyboardInterrupt):
        store.save(code, Kept(walk, Start(title="kept")))
    assert store.load(code) == Kept(start=Start(title="kept"))


@pytest.mark.parametrize("code", ["../etc", "abc", "abcdeff", "ABCDEF", "abcde\n", "a/b/cd", "......", "aaaaa1"])
def test_a_code_of_another_shape_never_becomes_a_path(tmp_path: Path, knowledge: Knowledge, code: str) -> None:
    before = list(tmp_path.iterdir())
    with pytest.raises(NoSuchWalkError), Store(tmp_path, knowledge).locked(code):
        raise AssertionError("entered")
    assert list(tmp_path.iterdir()) == before


def test_a_sidecar_that_was_tampered_with_is_named(tmp_path: Path, knowledge: Knowledge) -> None:
    store = Store(tmp_path, knowledge)
    code = store.new(Start())
    (tmp_path / f"{code}.web.json").write_text('{"schema": 1}')
    with pytest.raises(InputError, match="can't be read"):
        store.load(code)


def test_a_walk_in_us_units_asks_in_them(visitor: Any) -> None:
    told = {"proof": visitor.proof, "complaint": "hot", "title": "", "said": "", "units": "us"}
    code = visitor.client.post("/walks", data=told, follow_redirects=False).headers["location"].split("/")[2]
    visitor.press(code, KIND, choice="rolling_bearing")
    assert "185 F" in page(visitor, code) and "85 degC" not in page(visitor, code)
    visitor.press(code, HOT, value="260 F")
    for what in ("", "/so-far", "/result", "/card"):
        text = re.sub("<[^>]*>", " ", page(visitor, code, what)).replace("viscosity at 40 °C", "")
        assert not re.search(r"\d ?(?:°C|degC|K|mm|g)(?![\w²³/])", text)
    assert re.search(r"over 248 °F", page(visitor, code, "/result"))
