"""The command line: what each command prints, how it fails, and that it works as a process."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec
import pytest

from diag import __version__
from diag.cli import main
from diag.findings import Findings

DIAG = Path(sys.executable).parent / "diag"
CASE = """\
title: Dryer fan, drive end (invented)
complaint: hot
point:
  kind: rolling_bearing
  bearing: {type: deep_groove_ball, bore: 60 mm, outside: 110 mm, width: 22 mm, sealing: open}
  speed: 1450 rpm
  running_temperature: 84 degC
  usual_temperature: 62 degC
  drain: closed
  feed: hand_gun
grease: {thickener: lithium, base_oil: mineral, viscosity_40: 110 mm2/s, nlgi: "2"}
regreasing: {amount: 60 g, every: 500 h, since_last: 5 h}
history: {onset: hours, since: [regreasing]}
"""

# The fields of `diag review --json`, as other tools rely on them.
CONTRACT = {
    "schema", "knowledge", "urgency", "causes", "together", "neglected", "healthy", "leftover", "fit",
    "not_the_grease", "circumstances", "computed", "assumed", "read_from_text", "conflicts",
    "manual_differences", "next_questions", "spec", "changeover", "regrease", "cautions", "second_opinion",
    "sources",
}  # fmt: skip
PARTS = {
    "urgency": {"level", "why", "stop_if", "look_again_h"},
    "spec": {"requirements", "codes"},
    "changeover": {
        "repair_first", "action", "why", "steps", "never", "compatibility", "expected_costs",
        "cost_parts", "cost_basis", "flips", "one_more_check",  # beyond the contract
    },
    "regrease": {
        "grams_per_1000_h", "amount_g", "interval_h", "interval_low_h", "interval_high_h", "first_fill_g",
        "strokes", "working",
    },
}  # fmt: skip
ITEMS = {
    "causes": {"id", "name", "role", "probability", "for", "against", "circumstances", "confirm"},
    "circumstances": {"id", "holds", "value", "unit", "working"},
    "computed": {"id", "value", "low", "high", "unit", "working", "source"},
    "next_questions": {"id", "text", "how", "why", "stage", "minutes", "worth", "options"},
}

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Runs a command in an empty folder: exit status, output, errors."""
    monkeypatch.chdir(tmp_path)

    def go(*arguments: str) -> tuple[int, str, str]:
        status = main(arguments)
        out, err = capsys.readouterr()
        return status, out, err

    return go


@pytest.fixture
def case(tmp_path: Path) -> str:
    path = tmp_path / "fan.yaml"
    path.write_text(CASE, encoding="utf-8")
    return str(path)


def process(*arguments: str, cwd: Path, given: str | None = None) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [str(DIAG), *arguments], capture_output=True, text=True, check=False, cwd=cwd, input=given, timeout=60
    )


def one_line(err: str) -> str:
    assert err.startswith("diag: ")
    assert err.count("\n") == 1
    return err


def test_version_and_help(run: Run) -> None:
    assert run("--version") == (0, f"diag {__version__}\n", "")
    status, out, _ = run("--help")
    assert status == 0
    for command in ("ask", "review", "spec", "mix", "regrease", "knowledge", "demo"):
        assert f"  {command} " in out


def test_no_command_shows_the_help(run: Run) -> None:
    assert run()[:2] == run("--help")[:2]
    assert run("knowledge")[:2] == run("knowledge", "--help")[:2]


@pytest.mark.parametrize("command", ["ask", "review", "spec", "mix", "regrease", "demo", "knowledge"])
def test_every_command_explains_itself(run: Run, command: str) -> None:
    status, out, err = run(command, "--help")
    assert (status, err) == (0, "")
    assert "Usage: diag" in out


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("review",), "Missing argument 'CASE'"),
        (("review", "x.yaml", "--unit", "us"), "--units"),
        (("review", "x.yaml", "--units", "imperial"), "'imperial' is not one of"),
        (("reviev",), "'review'"),
        (("review", "missing.yaml"), "missing.yaml: no such file"),
        (("review", "."), "is a folder"),
        (("ask", "-"), "standard input"),
        (("mix", "lithum", "polyurea"), "lithium"),
        (("demo", "no_such_case"), "diag demo --list"),
        (("knowledge", "show", "over_greasin"), "over_greasing"),
    ],
)
def test_bad_input_is_one_line_and_exit_2(run: Run, arguments: tuple[str, ...], words: str) -> None:
    status, out, err = run(*arguments)
    assert (status, out) == (2, "")
    assert words in one_line(err)


def test_the_first_of_several_faults_is_shown_with_the_count(run: Run, tmp_path: Path) -> None:
    (tmp_path / "bad.yaml").write_text("point: {kind: rolling_bearing, sped: 3 rpm, drain: opne}\n")
    status, _, err = run("review", "bad.yaml")
    assert status == 2
    assert "bad.yaml:1" in one_line(err)
    assert err.endswith("(+1 more)\n")


def test_a_fault_of_the_program_is_one_line_and_exit_1(run: Run, case: str, monkeypatch: pytest.MonkeyPatch) -> None:
    import diag.cli.commands as commands

    def broken(*_: Any) -> Findings:
        raise KeyError("no such\nthing")

    monkeypatch.setattr(commands, "review_case", broken)
    status, out, err = run("review", case)
    assert (status, out) == (1, "")
    assert "internal fault, KeyError" in one_line(err)
    monkeypatch.setenv("DIAG_TRACEBACK", "1")
    with pytest.raises(KeyError):
        main(["review", case])


def test_review_prints_the_page(run: Run, case: str) -> None:
    status, out, err = run("review", case)
    assert (status, err) == (0, "")
    assert out.startswith("Dryer fan, drive end (invented)\n\nMAY IT KEEP TURNING?")
    assert max(map(len, out.splitlines())) <= 80
    assert "84 °C" in out or "62 °C" in out


def test_review_json_is_the_contract(run: Run, case: str) -> None:
    status, out, _ = run("review", case, "--json")
    data = json.loads(out)
    assert status == 0
    assert set(data) == CONTRACT
    assert data["schema"] == 1
    for part, fields in PARTS.items():
        assert set(data[part]) == fields
    for part, fields in ITEMS.items():
        assert data[part], part
        assert all(set(item) == fields for item in data[part]), part
    msgspec.json.decode(out, type=Findings)
    chances = [c["probability"] for c in data["causes"]]
    assert chances == sorted(chances, reverse=True)


def test_units_change_the_page_and_never_the_json(run: Run, case: str) -> None:
    assert "°F" in run("review", case, "--units", "us")[1]
    assert "°F" not in run("review", case)[1].replace("160 °F", "").replace("50 °F", "")
    assert run("review", case, "--json", "--units", "us")[1] == run("review", case, "--json")[1]


def test_working_shows_more(run: Run, case: str) -> None:
    status, out, _ = run("review", case, "--working")
    assert status == 0
    assert "\nWORKING\n" in out
    assert "\nWORKING\n" not in run("review", case)[1]


@pytest.mark.parametrize("part", ["spec", "regrease"])
def test_a_part_alone_is_the_same_part_of_the_review(run: Run, case: str, part: str) -> None:
    whole = json.loads(run("review", case, "--json")[1])
    assert json.loads(run(part, case, "--json")[1]) == whole[part]


def test_spec_as_page_and_as_card(run: Run, case: str) -> None:
    page, card = run("spec", case)[1], run("spec", case, "--card")[1]
    assert "THE GREASE THIS POINT NEEDS" in page
    assert card.startswith("Grease for: Dryer fan")
    assert len(card) < len(page)


def test_regrease_says_grams_over_time(run: Run, case: str) -> None:
    status, out, _ = run("regrease", case)
    assert status == 0
    assert out.index("for every 1,000 hours of running") < out.index("HOW TO")
    assert "0.005 ×" not in out
    assert "0.005 ×" in run("regrease", case, "--working")[1]


def test_regrease_forbids_a_dose_while_it_is_hot_from_the_last_one(run: Run, case: str) -> None:
    assert "\nNot now: " in run("regrease", case)[1]
    calm = CASE.replace("84 degC", "62 degC").replace("complaint: hot", "complaint: planning")
    Path(case).write_text(calm.replace("closed", "open").replace("history: {onset: hours, since: [regreasing]}", ""))
    assert "Not now: " not in run("regrease", case)[1]


def test_regrease_of_a_duty_under_a_programme_gives_no_dose(run: Run, case: str) -> None:
    Path(case).write_text(CASE.replace("  drain: closed", "  drain: closed\n  safety_critical: yes"))
    out = " ".join(run("regrease", case)[1].split())
    assert "HOW TO" not in out
    assert "the approved programme decides" in out


def test_a_caution_stands_before_the_step_of_the_plan(run: Run, case: str) -> None:
    out = " ".join(run("regrease", case)[1].split())
    assert out.index("inject through skin") < out.index("2. Open the drain") < out.index("Dose: ")


def test_mix_takes_words_grease_files_and_cases(run: Run, case: str, tmp_path: Path) -> None:
    (tmp_path / "new.yaml").write_text("thickener: polyurea\nbase_oil: mineral\n")
    by_words = json.loads(run("mix", "lithium/mineral", "polyurea/mineral", "--json")[1])
    assert set(by_words) == {"verdict", "tables"}
    assert by_words["tables"]
    assert json.loads(run("mix", case, "new.yaml", "--json")[1]) == by_words
    status, out, _ = run("mix", "lithium", "polyurea")
    assert status == 0
    assert out.startswith("lithium and polyurea\n\nThe two must not meet")


@pytest.mark.parametrize(("old", "new"), [("lithium", "pfpe"), ("silicone", "lithium/mineral"), ("clay", "polyurea")])
def test_mix_knows_an_oil_by_its_name_alone_and_what_must_never_meet(run: Run, old: str, new: str) -> None:
    status, out, _ = run("mix", old, new)
    assert (status, json.loads(run("mix", old, new, "--json")[1])["verdict"]) == (0, "incompatible")
    assert "strip and clean" in out


def test_mix_refuses_a_case_without_a_grease(run: Run, tmp_path: Path) -> None:
    (tmp_path / "bare.yaml").write_text("point: {kind: rolling_bearing}\n")
    status, _, err = run("mix", "bare.yaml", "lithium")
    assert status == 2
    assert "names no grease in service" in one_line(err)


def test_demo_works_from_an_empty_folder(run: Run, tmp_path: Path) -> None:
    status, out, err = run("demo")
    assert (status, err) == (0, "")
    assert out.startswith("Invented: a brickworks")
    assert "MAY IT KEEP TURNING?" in out
    assert list(tmp_path.iterdir()) == []


def test_demo_lists_its_cases_and_reviews_each_by_name(run: Run) -> None:
    names = [entry["name"] for entry in json.loads(run("demo", "--list", "--json")[1])]
    assert len(names) >= 14
    listed = run("demo", "--list")[1]
    assert all(name in listed for name in names)
    assert set(json.loads(run("demo", names[-1], "--json")[1])) == CONTRACT


def test_knowledge_check_finds_no_error(run: Run) -> None:
    status, out, _ = run("knowledge", "check")
    assert status == 0, out
    assert out.splitlines()[-1].startswith("0 errors")
    issues = json.loads(run("knowledge", "check", "--json")[1])
    assert all(issue["severity"] == "warning" for issue in issues)


def test_knowledge_lists_signs_and_causes(run: Run) -> None:
    signs = json.loads(run("knowledge", "signs", "--json")[1])
    causes = json.loads(run("knowledge", "causes", "--json")[1])
    assert {"id", "text", "condition", "question", "stage"} == set(signs[0])
    assert "over_greasing" in [c["id"] for c in causes]
    assert all(sign["id"] in run("knowledge", "signs")[1] for sign in signs[:3])
    assert "over_greasing: " in run("knowledge", "causes")[1]


def test_knowledge_shows_a_record_with_its_sources(run: Run) -> None:
    status, out, _ = run("knowledge", "show", "over_greasing")
    assert status == 0
    assert "source:" in out
    assert json.loads(run("knowledge", "show", "over_greasing", "--json")[1])["causes"]["id"] == "over_greasing"


def test_knowledge_shows_a_sign_with_the_ways_people_name_it(run: Run) -> None:
    shown = json.loads(run("knowledge", "show", "milky", "--json")[1])
    assert any("milk" in phrase for phrase in shown["sayings"]["say"])


def test_a_case_on_standard_input_as_a_process(tmp_path: Path) -> None:
    done = process("review", "-", "--json", cwd=tmp_path, given=CASE)
    assert (done.returncode, done.stderr) == (0, "")
    assert set(json.loads(done.stdout)) == CONTRACT
    bad = process("review", "-", cwd=tmp_path, given="point: {kind: wheel}\n")
    assert (bad.returncode, bad.stdout) == (2, "")
    assert "standard input:1" in one_line(bad.stderr)


def test_a_reader_that_goes_away_is_no_fault(tmp_path: Path) -> None:
    read, write = os.pipe()
    os.close(read)
    done = subprocess.run(
        [str(DIAG), "knowledge", "signs"],
        stdout=write,
        stderr=subprocess.PIPE,
        text=True,
        check=False,
        timeout=60,
    )
    os.close(write)
    assert (done.returncode, done.stderr) == (0, "")


def test_help_loads_nothing_heavy(tmp_path: Path) -> None:
    code = "import sys; from diag.cli import main; main(['--help']); print(*sys.modules, file=sys.stderr)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    loaded = set(done.stderr.split())
    assert not loaded & {"msgspec", "yaml", "numpy", "pint", "rapidfuzz", "rich", "opt_einsum", "diag.review"}


def test_review_is_pure_and_says_the_same_twice(run: Run, case: str) -> None:
    assert run("review", case)[1] == run("review", case)[1]


@pytest.mark.parametrize("locale", ["C", "C.UTF-8"])
def test_standard_input_is_utf8_in_every_locale_and_other_bytes_are_named(locale: str) -> None:
    env = {**os.environ, "LC_ALL": locale, "PYTHONUTF8": "0"}
    case = "point: {kind: pin_bushing}\ntitle: Läuft heiß\n"
    given, fault = (
        subprocess.run([DIAG, "review", "-"], input=case.encode(code), capture_output=True, env=env)
        for code in ("utf-8", "latin-1")
    )
    assert given.returncode == 0
    assert fault.returncode == 2
    assert fault.stderr.decode() == "diag: standard input:2: is not UTF-8 text; save the file as UTF-8\n"


def test_a_full_disk_is_named_and_is_no_internal_fault() -> None:
    with Path("/dev/full").open("w") as full:
        done = subprocess.run([DIAG, "demo"], stdout=full, stderr=subprocess.PIPE, text=True)
    assert done.returncode == 2
    assert done.stderr.splitlines()[0].startswith("diag: standard output can't be written (No space left on device)")
    assert len(done.stderr.splitlines()) == 1


def test_closed_descriptors_are_named() -> None:
    closed_in = subprocess.run(f"{DIAG} review - <&-", shell=True, capture_output=True, text=True)
    for command in ("log add -", "log import -", "trend -", "batch -"):
        closed = subprocess.run(f"{DIAG} {command} <&-", shell=True, capture_output=True, text=True)
        assert (closed.returncode, "standard input: is closed" in closed.stderr) == (2, True), (command, closed.stderr)
    closed_out = subprocess.run(f"{DIAG} demo >&-", shell=True, capture_output=True, text=True)
    assert (closed_in.returncode, closed_out.returncode) == (2, 2)
    assert "standard input: is closed" in closed_in.stderr
    assert "standard output is closed" in closed_out.stderr
