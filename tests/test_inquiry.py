"""The inquiry: what is asked, what is kept, and what the document says."""

from __future__ import annotations

import html.parser
import io
import json
import sys
from collections.abc import Callable
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any

import msgspec
import pytest
import yaml

from diag import knowledgebase
from diag.caselog import inquiry_page
from diag.caselog.chain import between, further, roots_of
from diag.caselog.inquiry import Inquiry, Step, Todo, guide_of, kept, new_actions, next_step, read, steps
from diag.caselog.inquiry_page import document, render
from diag.caselog.model import Event, Record
from diag.caselog.store import Store
from diag.cli import main
from diag.errors import InputError
from tests.log_cases import FAN, add, judged

KNOWLEDGE = knowledgebase.load()
GUIDE = guide_of(KNOWLEDGE)
TOLD: dict[str, Any] = {
    "timeline": ["2026-02-01 last fine", "2026-02-10 greased, yellow tube"],
    "first_symptom": "soft grease at the seal",
    "failed_first": "grease",
    "mechanism": "incompatible_thickener_mix",
    "mechanism_known": "laboratory",
    "root": "wrong_grease_applied",
    "root_known": "inference",
    "evidence": [{"how": "laboratory", "text": "infrared shows two thickeners"}],
    "reasons": {"wrong_tube_within_reach": "yes", "gun_not_marked": "no"},
    "corrective": [{"do": "strip and refill", "by": "2027-03-10"}],
    "preventive": [{"do": "mark the guns"}],
    "look_again": "2027-04-01",
    "tell": ["one gun for each grease"],
}


def record(*events: Event) -> Record:
    _, findings = judged()
    return Record(id="fans", added="2026-03-01T08:00:00.000000Z", site="Rotloh brickworks (invented)",
                  machine="Kiln fan", point="drive side", kind="rolling_bearing", complaint="leaking",
                  title="Soft grease creeps out", case=FAN, findings=msgspec.Raw(msgspec.json.encode(findings)),
                  knowledge=KNOWLEDGE.fingerprint, version="0.1.0", events=events)


def confirmed(*causes: str) -> Event:
    return Event(key="conf", at="2026-03-02T08:00:00.000000Z", what="confirmed", causes=causes, how="inspection")


def told(**changes: Any) -> Inquiry:
    return read(TOLD | changes, "answers", KNOWLEDGE)


def asked(answers: Inquiry, case: Record | None = None) -> list[str]:
    return [s.key for s in steps(answers, case or record(), KNOWLEDGE)]


def step(answers: Inquiry, key: str, case: Record | None = None) -> Step:
    return next(s for s in steps(answers, case or record(), KNOWLEDGE) if s.key == key)


# -- the guide -----------------------------------------------------------------------------------------------


def test_every_cause_has_reasons_and_every_reason_is_asked() -> None:
    assert set(GUIDE.by_cause) == set(KNOWLEDGE.causes)
    assert all(len(reasons) > 1 for reasons in GUIDE.by_cause.values())
    used = {r for reasons in (*GUIDE.by_cause.values(), GUIDE.always) for r in reasons}
    assert used == set(GUIDE.reasons)
    assert all(reason.ask.endswith("?") and reason.prevent.endswith(".") for reason in GUIDE.reasons.values())


# -- chains --------------------------------------------------------------------------------------------------


def test_the_chain_follows_the_links_of_the_kind() -> None:
    chain = between("overheating_external", "under_greasing", KNOWLEDGE, "rolling_bearing")
    assert (chain[0], chain[-1][0]) == (("overheating_external", ""), "under_greasing")
    for (one, _), (other, how) in pairwise(chain):
        link = next(link for link in KNOWLEDGE.causes[one].leads_to if link.cause == other)
        assert (how, "rolling_bearing" in link.kinds) == (link.how, True)


def test_no_chain_where_no_link_leads() -> None:
    assert between("fatigue", "wrong_grease_applied", KNOWLEDGE, "rolling_bearing") == []
    mix = KNOWLEDGE.causes["unsuitable_solids_or_tack_at_speed"]
    assert "pin_bushing" not in mix.base_rate
    assert between("wrong_grease_applied", mix.id, KNOWLEDGE, "pin_bushing") == []


def test_roots_are_all_causes_from_which_a_chain_leads() -> None:
    roots = roots_of("under_greasing", KNOWLEDGE, "rolling_bearing")
    leading = {c for c in KNOWLEDGE.causes if c != "under_greasing"
               and between(c, "under_greasing", KNOWLEDGE, "rolling_bearing")}
    assert set(roots) == leading
    lengths = [len(between(c, "under_greasing", KNOWLEDGE, "rolling_bearing")) for c in roots]
    assert lengths == sorted(lengths)


def test_one_link_further_only_to_what_is_there() -> None:
    ends = {link.cause for link in KNOWLEDGE.causes["incompatible_thickener_mix"].leads_to}
    assert further("incompatible_thickener_mix", (), KNOWLEDGE, "rolling_bearing") == []
    found = further("incompatible_thickener_mix", ends, KNOWLEDGE, "rolling_bearing")
    assert {c for c, _ in found} == ends


# -- what is asked -------------------------------------------------------------------------------------------


def test_the_order_goes_from_timeline_to_the_others() -> None:
    wanted = ["timeline", "first_symptom", "failed_first", "mechanism", "mechanism_known", "root", "root_known",
              "evidence", "reasons.wrong_tube_within_reach", "other_reasons", "corrective", "preventive", "look_again",
              "tell"]
    found = asked(told())
    assert [key for key in found if key in wanted] == wanted


def test_reasons_follow_from_root_mechanism_and_what_lies_between() -> None:
    found = [key.partition(".")[2] for key in asked(told()) if key.startswith("reasons.")]
    wanted = dict.fromkeys((*GUIDE.by_cause["wrong_grease_applied"], *GUIDE.by_cause["incompatible_thickener_mix"],
                            *GUIDE.always))
    assert found == list(wanted)
    chain = between("overheating_external", "under_greasing", KNOWLEDGE, "rolling_bearing")
    assert len(chain) > 2
    found = asked(told(root="overheating_external", mechanism="under_greasing"))
    assert {f"reasons.{r}" for r in GUIDE.by_cause[chain[1][0]]} <= set(found)


def test_what_the_log_holds_as_confirmed_is_not_asked_again() -> None:
    found = asked(told(), record(confirmed("incompatible_thickener_mix")))
    assert "mechanism_known" not in found
    assert "root_known" in found


def test_an_unknown_cause_is_followed_by_no_question_how_it_is_known() -> None:
    found = asked(Inquiry(mechanism="unknown", root="unknown"))
    assert not {"mechanism_known", "root_known"} & set(found)
    assert {f"reasons.{r}" for r in GUIDE.always} <= set(found)


def test_causes_that_lead_to_the_mechanism_come_first_as_roots() -> None:
    choices = [key for key, _ in step(told(root=None), "root").choices]
    roots = roots_of("incompatible_thickener_mix", KNOWLEDGE, "rolling_bearing")
    assert choices[0] == "wrong_grease_applied"
    assert set(roots) <= set(choices)
    assert choices[-1] == "unknown"


def test_reasons_that_held_suggest_what_prevents_them() -> None:
    texts = [text for _, text in step(told(), "preventive").choices]
    assert texts == [GUIDE.reasons["wrong_tube_within_reach"].prevent]


def test_a_day_is_asked_only_where_an_action_has_none() -> None:
    assert "look_again" not in asked(told(preventive=[]))
    assert "look_again" in asked(told(look_again=None))


def test_findings_of_another_schema_leave_the_inquiry_usable() -> None:
    old = msgspec.structs.replace(record(), findings=msgspec.Raw(b'{"causes": []}'))
    assert next_step(Inquiry(), old, KNOWLEDGE) is not None
    assert document(told(), old, KNOWLEDGE).chain[0].name == "Not the listed grease"


# -- what is answered ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("key", "typed", "value"), [
    ("timeline", ["2026-02-01 fine", " 2026-02-03   hot "], ("2026-02-01 fine", "2026-02-03 hot")),
    ("timeline", ["-"], ()),
    ("first_symptom", ["squeal  when cold"], "squeal when cold"),
    ("first_symptom", ["-"], "unknown"),
    ("failed_first", ["2"], "grease"),
    ("failed_first", ["the belt"], "the belt"),
    ("mechanism", ["Two greases that do not get on"], "incompatible_thickener_mix"),
    ("mechanism", ["incompatible thickener mix"], "incompatible_thickener_mix"),
    ("mechanism", ["-"], "unknown"),
    ("root_known", ["laboratory"], "laboratory"),
    ("corrective", ["strip by hand by 2027-03-31", "weigh"], (Todo("strip by hand", "2027-03-31"), Todo("weigh"))),
    ("look_again", ["2027-03-31"], "2027-03-31"),
])
def test_answers_by_number_or_words(key: str, typed: list[str], value: object) -> None:
    found = kept(told(), step(told(), key), typed, KNOWLEDGE)
    assert getattr(found, key) == value


def test_a_suggested_action_is_taken_by_its_number() -> None:
    asking = step(told(), "preventive")
    found = kept(told(), asking, ["1 by 2027-05-01", "1"], KNOWLEDGE)
    prevent = GUIDE.reasons["wrong_tube_within_reach"].prevent
    assert found.preventive == (Todo(prevent, "2027-05-01"), Todo(prevent))


@pytest.mark.parametrize(("key", "typed", "words"), [
    ("mechanism", "gremlins", "none of the answers"),
    ("evidence", "2 % water", "begin with inspection:, laboratory: or inference:"),
    ("evidence", "hearsay: 2 % water", "begin with inspection:"),
    ("corrective", "strip by 2027-02-30", "is no day"),
    ("look_again", "soon", "is no day"),
])
def test_what_is_no_answer_is_told(key: str, typed: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        kept(told(), step(told(), key), [typed], KNOWLEDGE)


@pytest.mark.parametrize(("data", "words"), [
    ({"time_line": []}, "time_line: unknown key; did you mean timeline"),
    ({"root": "seal_failur"}, "root: there is no 'seal_failur'; did you mean seal_failure"),
    ({"reasons": {"gun_not_markd": "yes"}}, "did you mean gun_not_marked"),
    ({"reasons": {"gun_not_marked": "perhaps"}}, r"\$\.reasons"),
    ({"look_again": "2027-02-30"}, "is no day"),
    ({"corrective": [{"by": "2027-02-03"}]}, "missing required field `do`"),
])
def test_a_faulty_file_of_answers_is_refused(data: Any, words: str) -> None:
    with pytest.raises(InputError, match=words):
        read(data, "answers.yaml", KNOWLEDGE)


def test_actions_take_their_day_and_are_agreed_once() -> None:
    assert new_actions(told(), record()) == (("strip and refill", "2027-03-10"), ("mark the guns", "2027-04-01"))
    held = Event(key="acti", at="2026-03-02T08:00:00.000000Z", what="action", text="mark the guns", due="2027-04-01")
    assert new_actions(told(), record(held)) == (("strip and refill", "2027-03-10"),)
    assert new_actions(told(look_again=None), record()) == (("strip and refill", "2027-03-10"),)


# -- the document --------------------------------------------------------------------------------------------


def test_the_document_keeps_proof_and_inference_apart() -> None:
    found = document(told(), record(confirmed("incompatible_oil_or_seal")), KNOWLEDGE)
    assert found.proven == ("Two greases that do not get on (confirmed by laboratory)",)
    assert found.inferred[0].startswith("Not the listed grease (inference; at the review")
    assert found.chain[1].how == "the other soap meets the old one"
    assert found.evidence[0] == ("infrared shows two thickeners", "found in this inquiry", "laboratory")
    assert ("confirmed in the log on 2026-03-02", "inspection") in [(r.speaks, r.known) for r in found.evidence]
    assert found.to_confirm == ("diag log confirm fans --cause incompatible_oil_or_seal "
                                "--cause incompatible_thickener_mix --by laboratory")


def test_signs_are_told_by_where_they_were_seen() -> None:
    rows = {r.what: r.known for r in document(told(), record(), KNOWLEDGE).evidence}
    assert rows[KNOWLEDGE.signs["two_colours"].text] == "inspection"  # a look at the opened point
    assert rows[KNOWLEDGE.signs["label_differs"].text] == "seen or measured from outside"


def test_a_first_symptom_named_by_its_sign_is_told_in_words() -> None:
    assert document(told(first_symptom="two_colours"), record(), KNOWLEDGE).first_symptom == (
        KNOWLEDGE.signs["two_colours"].text)


def test_a_step_that_no_link_explains_is_named() -> None:
    assert document(told(), record(), KNOWLEDGE).gap == ""
    gap = document(told(root="fatigue"), record(), KNOWLEDGE).gap
    assert "No link of the knowledge leads from “Raceway flaking (fatigue)” to “Two greases" in gap


def test_nothing_confirmed_is_said_plainly() -> None:
    found = document(told(mechanism_known="inference"), record(), KNOWLEDGE)
    assert (found.proven, found.to_confirm) == ((), "")
    assert "Confirmed: nothing." in render(found, "md")


class Tags(html.parser.HTMLParser):
    """Tags in order, and whether each is closed."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self.tags.append(tag)
        if tag not in ("meta", "br"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def test_the_page_stands_alone_and_escapes_what_was_typed() -> None:
    nasty = told(timeline=["<script>alert(1)</script> | *x*"], other_reasons="a & b", tell=["# no heading"])
    text = render(document(nasty, record(), KNOWLEDGE), "html")
    tags = Tags()
    tags.feed(text)
    assert tags.open == []
    assert not {"script", "link", "img", "iframe"} & set(tags.tags)
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in text
    assert "http" not in text.replace("http-equiv", "")
    plain = render(document(nasty, record(), KNOWLEDGE), "md")
    assert r"\<script\>alert(1)\</script\> \| \*x\*" in plain
    assert r"- \# no heading" in plain


def test_each_row_of_the_markdown_table_has_three_cells() -> None:
    lines = render(document(told(), record(), KNOWLEDGE), "md").splitlines()
    rows = [line for line in lines if line.startswith("|")]
    assert len(rows) > 4
    assert {row.replace(r"\|", "").count("|") for row in rows} == {4}


def test_without_the_template_library_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(inquiry_page, "find_spec", lambda name: None)
    with pytest.raises(InputError, match="pip install"):
        render(document(told(), record(), KNOWLEDGE), "md")


# -- the command ---------------------------------------------------------------------------------------------

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs `diag log inquiry` on the one case of a log, with lines typed."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DIAG_LOG", str(tmp_path / "log.sqlite"))
    name = add(Store.open())

    def go(*arguments: str, typed: str = "") -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "stdin", io.StringIO(typed))
        status = main(["log", "inquiry", name, *arguments])
        out, err = capsys.readouterr()
        return status, out, err

    return go


def the_record() -> Record:
    (found,) = Store.open().each()
    return found


def test_answers_of_a_file_give_document_and_due_actions(run: Run, capsys: pytest.CaptureFixture[str]) -> None:
    day = (date.today() + timedelta(days=30)).isoformat()
    Path("answers.yaml").write_text(yaml.safe_dump(TOLD | {"look_again": day}), "utf-8")
    status, out, _ = run("--answers", "answers.yaml")
    assert (status, out.splitlines()[0]) == (0, "# Inquiry: Soft grease creeps out since the yellow tube")
    assert run("--answers", "answers.yaml", "--out", "page.html")[1] == "Written to page.html.\n"
    assert Path("page.html").read_text("utf-8").startswith("<!DOCTYPE html>")
    assert main(["log", "due", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert sorted((a["text"], a["due"]) for a in found) == [("mark the guns", day), ("strip and refill", "2027-03-10")]


def test_it_goes_on_where_it_was_left(run: Run) -> None:
    status, out, _ = run(typed="2026-02-01 fine\n2026-02-03 hot\n\n1\nquit\n")
    assert status == 0
    assert "What happened when?" in out
    assert the_record().inquiry == {
        "timeline": ["2026-02-01 fine", "2026-02-03 hot"],
        "first_symptom": step(Inquiry(), "first_symptom", the_record()).choices[0][0]}
    _, out, _ = run()
    assert "What failed first" in out.splitlines()[1]
    assert "All is saved. Go on: diag log inquiry" in out


def test_a_whole_sitting_ends_in_the_document(run: Run) -> None:
    answers, typed = Inquiry(), ""
    lines = {"timeline": "2026-02-01 fine\n", "first_symptom": "-", "failed_first": "2", "mechanism": "1", "root": "1",
             "mechanism_known": "1", "root_known": "3", "evidence": "laboratory: two soaps\n", "other_reasons": "-",
             "corrective": "1\n", "preventive": "-", "look_again": "2027-03-31", "tell": "1\n"}
    while (asking := next_step(answers, the_record(), KNOWLEDGE)) is not None:
        line = lines.get(asking.key, "yes")
        answers = kept(answers, asking, line.splitlines(), KNOWLEDGE)
        typed += line + "\n"
    status, out, _ = run("--out", "inquiry.md", typed=typed)
    assert (status, out.endswith("Written to inquiry.md.\n")) == (0, True)
    assert "Not finished" not in Path("inquiry.md").read_text("utf-8")
    assert [a.due for a in the_record().actions] == ["2027-03-31"]
    assert read(the_record().inquiry, "", KNOWLEDGE) == answers


def test_a_wrong_answer_is_asked_again_and_back_undoes_the_last(run: Run) -> None:
    _, out, _ = run(typed="-\n-\nback\nsqueal\nhelp\nquit\n")
    assert the_record().inquiry == {"timeline": [], "first_symptom": "squeal"}
    assert "undo the last answer" in out
    _, out, _ = run(typed="1\ngremlins\n1\n")
    assert "'gremlins' is none of the answers" in " ".join(out.split())
    assert the_record().inquiry is not None
    assert "mechanism" in (the_record().inquiry or {})


@pytest.mark.parametrize(("arguments", "words"), [
    (["--out", "page.docx"], "page.docx: name a file that ends in .md or .html"),
    (["--answers", "none.yaml"], "none.yaml: no such file"),
])
def test_what_cannot_be_done_is_one_line(run: Run, arguments: list[str], words: str) -> None:
    status, out, err = run(*arguments)
    assert (status, out, err.count("\n")) == (2, "", 1)
    assert words in err
    assert the_record().inquiry is None
