"""`diag log` as a command: what it prints, what it refuses in one line."""

from __future__ import annotations

import io
import json
import sys
from collections.abc import Callable
from datetime import date, timedelta
from importlib.machinery import ModuleSpec
from pathlib import Path
from typing import Any

import pytest

from diag import __version__, extras, knowledgebase
from diag.caselog.store import Store
from diag.cli import main
from tests.log_cases import FAN, fan

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, log_place: str) -> Run:
    """Runs `diag log ...` with the log named by DIAG_LOG, in a folder with two cases."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DIAG_LOG", log_place)
    Path("fan.yaml").write_text(FAN, "utf-8")
    Path("dryer.yaml").write_text(fan("Dryer fan"), "utf-8")

    def go(*arguments: str) -> tuple[int, str, str]:
        status = main(["log", *arguments])
        out, err = capsys.readouterr()
        return status, out, err

    return go


def shown(run: Run, *arguments: str) -> Any:
    status, out, err = run(*arguments, "--json")
    assert (status, err) == (0, "")
    return json.loads(out)


def added(run: Run, case: str = "fan.yaml", *more: str) -> str:
    status, out, err = run("add", case, *more)
    assert (status, err) == (0, "")
    return out.split()[2]


def refused(run: Run, *arguments: str) -> str:
    """The one line of a refusal."""
    status, out, err = run(*arguments)
    assert (status, out) == (2, "")
    assert err.count("\n") == 1
    return err


def test_a_case_is_kept_with_what_came_after(run: Run) -> None:
    record = added(run, "fan.yaml", "--note", "gun had no label", "--work", "stripped", "--work", "refilled")
    found = shown(run, "show", record)
    assert (found["case"], found["notes"], found["work"]) == (FAN, ["gun had no label"], ["stripped", "refilled"])
    assert (found["version"], found["knowledge"]) == (__version__, knowledgebase.load().fingerprint)
    assert found["findings"]["schema"] == 1
    assert found["suspected"] == [c["id"] for c in found["findings"]["causes"] if c["probability"] >= 0.3]


def test_a_case_from_standard_input_is_kept_as_written(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    written = FAN.replace("\n", "\r\n")
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(written.encode()), "utf-8"))
    assert shown(run, "show", added(run, "-"))["case"] == written


def test_the_page_of_a_case_tells_its_story(run: Run) -> None:
    record = added(run, "fan.yaml", "--work", "stripped")
    assert run("confirm", record, "--cause", "wrong_grease_applied", "--by", "laboratory", "--held", "no")[0] == 0
    assert run("reopen", record, "--note", "leaks again")[0] == 0
    _, out, _ = run("show", record)
    story = ["Soft grease creeps out", "Kiln fan, drive side", "work done: stripped", "confirmed by laboratory",
             "what was done did not hold", "reopened: leaks again", "# as the technician wrote it"]
    places = [out.index(words) for words in story]
    assert places == sorted(places)
    assert all(len(line) <= 80 for line in out.split("THE CASE AS WRITTEN")[0].splitlines())


def test_the_list_is_narrowed(run: Run) -> None:
    kiln, dryer = added(run), added(run, "dryer.yaml")
    assert [r["id"] for r in shown(run, "list")] == [kiln, dryer]
    assert [r["id"] for r in shown(run, "list", "--machine", "dryer")] == [dryer]
    run("confirm", dryer, "--by", "unconfirmed")
    assert [r["id"] for r in shown(run, "list", "--open", "--point", "drive")] == [kiln]
    _, out, _ = run("list")
    assert [line.split()[0] for line in out.splitlines() if not line.startswith(" ")] == [kiln, dryer]
    assert run("list", "--machine", "excavator")[1] == "No such cases.\n"


def test_search_finds_what_was_noted_later(run: Run) -> None:
    kiln, _ = added(run), added(run, "dryer.yaml")
    run("note", kiln, "--note", "Abstreifer fehlt")
    assert [r["id"] for r in shown(run, "search", "abstreifer KILN")] == [kiln]
    assert run("search", "no such words")[1] == "Nothing in the log holds these words.\n"


def test_repeats_are_raised_when_adding_and_showing(run: Run) -> None:
    first = added(run)
    _, out, _ = run("add", "fan.yaml")
    again = out.split()[2]
    flat = " ".join(out.split())
    assert f"Not the first time at Kiln fan, drive side: 2 cases in the log. The others: {first}" in flat
    _, out, _ = run("add", "dryer.yaml")
    assert "The same mix-up at several points comes from what is handed out" in " ".join(out.split())
    assert any("Not the first time" in words for words in shown(run, "show", again)["warnings"])


def test_actions_show_when_they_are_overdue(run: Run) -> None:
    record, today = added(run), date.today()
    for words, days in (("label the gun", -1), ("look at the seal", 30)):
        run("note", record, "--action", words, "--due", (today + timedelta(days=days)).isoformat())
    found = shown(run, "due")
    assert [(a["text"], a["overdue"]) for a in found] == [("label the gun", True), ("look at the seal", False)]
    assert run("due")[1].count("OVERDUE") == 1
    assert run("done", found[0]["key"])[0] == 0
    assert [a["text"] for a in shown(run, "due")] == ["look at the seal"]
    run("done", found[1]["key"])
    assert run("due")[1] == "No open actions.\n"


def test_the_outcome_alone_leaves_the_cause(run: Run) -> None:
    record = added(run)
    run("confirm", record, "--cause", "seal_failure", "--cause", "seal_failure", "--by", "inspection")
    run("confirm", record, "--held", "yes")
    found = shown(run, "show", record)
    assert (found["confirmation"]["causes"], found["confirmation"]["how"]) == (["seal_failure"], "inspection")
    assert (found["held"], found["open"]) == (True, False)


def test_export_and_import_carry_a_log_over(run: Run, tmp_path: Path) -> None:
    record = added(run, "fan.yaml", "--note", "ä")
    run("confirm", record, "--cause", "seal_failure", "--by", "inspection")
    assert run("export", "one.jsonl")[1] == "Exported 1 cases to one.jsonl.\n"
    other = ["--log", str(tmp_path / "other.sqlite")]
    assert run("import", "one.jsonl", *other)[1].startswith("Imported 1 new cases; 0 were here already")
    assert run("import", "one.jsonl", *other)[1] == (
        "Imported 0 new cases; 1 were here already and got 0 new entries.\n")
    run("export", "two.jsonl", *other)
    assert Path("one.jsonl").read_bytes() == Path("two.jsonl").read_bytes()
    assert shown(run, "show", record, *other) == shown(run, "show", record)


def test_an_import_with_a_broken_line_brings_in_nothing(run: Run) -> None:
    added(run)
    run("export", "out.jsonl")
    with Path("out.jsonl").open("a") as stream:
        stream.write("{}\n")
    error = refused(run, "import", "out.jsonl", "--log", "other.sqlite")
    assert error.startswith("diag: out.jsonl:2: is no record of a case log")
    assert Store.open("other.sqlite").all() == []


@pytest.mark.parametrize(("arguments", "words"), [
    (["note", "ID"], "nothing to note; give --note, --work or --action"),
    (["note", "ID", "--note", " "], "--note: is empty"),
    (["note", "ID", "--work", "a\x07b"], "--work: holds control characters"),
    (["note", "ID", "--note", "a\udce4b"], "--note: holds control characters or is not UTF-8 text"),
    (["note", "ID", "--note", "x", "--due", "2026-12-01"], "--due: belongs to an action"),
    (["note", "ID", "--action", "x", "--due", "tomorrow"], "--due: 'tomorrow' is no day; give it like 2026-03-31"),
    (["confirm", "ID"], "nothing to confirm"),
    (["confirm", "ID", "--cause", "seal_failure"], "--by: is missing; say how the cause is known"),
    (["confirm", "ID", "--by", "laboratory"], "--cause: is missing; what did the laboratory find?"),
    (["confirm", "ID", "--cause", "seal_fail", "--by", "inspection"], "did you mean seal_failure?"),
    (["confirm", "ID", "--by", "hearsay"], "'hearsay' is not one of"),
    (["confirm", "nobody", "--held", "yes"], "there is no case 'nobody'"),
    (["show", "nobody"], "there is no case 'nobody'"),
    (["done", "nothing"], "there is no action 'nothing'"),
    (["add", "nowhere.yaml"], "nowhere.yaml: no such file"),
    (["import", "nowhere.jsonl"], "nowhere.jsonl: can't be read (No such file or directory)"),
    (["export", "no/such/folder"], "no/such/folder: can't be written"),
    (["list", "--log", "mysql://host/log"], "mysql://: is no place for a log"),
    (["list", "--log", "other.sqlite"], "other.sqlite: there is no case log yet; `diag log add CASE` begins one"),
    (["add", "fan.yaml", "--log", "no/such/log"], "there is no such folder; make it first"),
])  # fmt: skip
def test_a_bad_input_is_one_line(run: Run, arguments: list[str], words: str) -> None:
    record = added(run)
    before = shown(run, "show", record)
    assert words in refused(run, *(record if a == "ID" else a for a in arguments))
    assert shown(run, "show", record) == before


def test_nothing_is_kept_of_a_faulty_case(run: Run) -> None:
    Path("fan.yaml").write_text(FAN.replace("rolling_bearing", "wheel"), "utf-8")
    assert "fan.yaml:5: point.kind" in refused(run, "add", "fan.yaml")
    assert "there is no case log yet" in refused(run, "list")


def test_a_missing_extra_is_named(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    def found(name: str) -> ModuleSpec | None:
        return None if name == "alembic" else ModuleSpec(name, None)

    monkeypatch.setattr(extras, "find_spec", found)
    for command in (["list"], ["add", "fan.yaml"], ["import", "out.jsonl"]):
        assert refused(run, *command) == "diag: the case log needs alembic: pip install 'diag[log]'\n"
