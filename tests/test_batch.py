"""Many cases at once: the same findings as one by one, bad rows aside with their place, counts that add up."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator
from pathlib import Path

import msgspec
import pytest

from diag import knowledgebase
from diag.batch.columns import columns, nested
from diag.batch.run import reviewed
from diag.batch.sources import Item, items
from diag.batch.tally import NONE_LEADS, Tally
from diag.case import from_data, read_case
from diag.cli import main
from diag.review import review

K = knowledgebase.load()
DEMO = Path(__file__).resolve().parent.parent / "demo_cases"
NAMES = ("dryer_fan_hot_after_greasing", "excavator_bucket_pin_dry", "cutter_slide_sticks", "pan_mill_grit")
HEADER = "case.id,case.machine,point.kind,point.speed,point.exposure,seen.smoke_or_burnt_smell\n"
TABLE = HEADER + (
    'a,dryer fan,rolling_bearing,1450 rpm,"dust; splash",no\n'
    "b,dryer fan,rolling_bearing,1450 rpmx,dust,no\n"
    "\n"
    "c,pan mill,rolling_bearing,30 rpm,dust,no\n"
    "d,pan mill,gearwheel,30 rpm,murky,often\n"
)


@pytest.fixture
def table(tmp_path: Path) -> Path:
    path = tmp_path / "cases.csv"
    path.write_text(TABLE, "utf-8")
    return path


def run(capsys: pytest.CaptureFixture[str], *words: object) -> tuple[int, str, str]:
    capsys.readouterr()
    status = main(["batch", *map(str, words)])
    out, err = capsys.readouterr()
    return status, out, err


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def demo_items() -> list[Item]:
    return [Item(name, 0, read_case(DEMO / f"{name}.yaml", K)) for name in NAMES]


def test_every_case_of_a_batch_gets_the_findings_of_its_own_review() -> None:
    found = list(reviewed(demo_items(), K, portion=3))  # two rolling bearings never share a portion alone
    assert [item.file for item, _ in found] == list(NAMES)
    for item, batch in found:
        assert item.case is not None and batch is not None
        alone = review(item.case, K)
        assert {c.id: c.probability for c in batch.causes} == pytest.approx(
            {c.id: c.probability for c in alone.causes}, abs=1e-9)
        assert [c.id for c in batch.causes] == [c.id for c in alone.causes]
        assert batch.changeover.action == alone.changeover.action
        assert batch.urgency == alone.urgency and batch.spec == alone.spec
        assert batch.healthy == pytest.approx(alone.healthy, abs=1e-9)


def test_a_line_of_the_batch_is_what_review_prints(capsys: pytest.CaptureFixture[str]) -> None:
    path = DEMO / f"{NAMES[0]}.yaml"
    _, out, _ = run(capsys, path)
    main(["review", str(path), "--json"])
    alone = json.loads(capsys.readouterr().out)
    (line,) = out.splitlines()
    assert set(json.loads(line)) == set(alone)
    assert [c["probability"] for c in json.loads(line)["causes"]] == pytest.approx(
        [c["probability"] for c in alone["causes"]], abs=1e-9)


def test_cases_are_taken_in_portions_not_all_at_once() -> None:
    taken = 0

    def endless() -> Iterator[Item]:
        nonlocal taken
        case = demo_items()[1].case
        while True:
            taken += 1
            yield Item("endless", taken, case)

    stream = reviewed(endless(), K, portion=2)
    assert [next(stream)[0].row for _ in range(3)] == [1, 2, 3]
    assert taken == 4


def test_bad_rows_go_aside_with_row_and_column_and_good_ones_through(
        table: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = run(capsys, table, "--format", "csv", "--bad", tmp_path / "bad.csv")
    assert status == 0
    assert [(r["id"], r["row"]) for r in rows(out)] == [("a", "2"), ("c", "5")]
    bad = rows((tmp_path / "bad.csv").read_text("utf-8"))
    assert {(r["row"], r["column"]) for r in bad} == {
        ("3", "point.speed"), ("6", "point.kind"), ("6", "point.exposure"), ("6", "seen.smoke_or_burnt_smell")}
    assert "rpmx" in bad[0]["problem"]
    assert "2 cases reviewed, 2 bad rows left out" in err


def test_without_a_file_for_them_faults_are_lines_on_standard_error(
        table: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _, out, err = run(capsys, table)
    assert len(out.splitlines()) == 2
    assert f"{table}:3: point.speed: " in err.splitlines()[0]


def test_flat_rows_carry_the_probability_of_every_cause_in_full(
        table: Path, capsys: pytest.CaptureFixture[str]) -> None:
    row = rows(run(capsys, table, "--format", "csv")[1])[0]
    point = {"kind": "rolling_bearing", "speed": "1450 rpm", "exposure": ["dust", "splash"]}
    cells = {"case": {"id": "a"}, "point": point, "seen": {"smoke_or_burnt_smell": "no"}}
    alone = review(from_data(cells, "row", K), K)
    assert {c: float(row[f"p.{c}"]) for c in K.causes} == pytest.approx(
        {c.id: c.probability for c in alone.causes}, abs=1e-9)
    assert row["cause_1"] == alone.causes[0].id and row["exposure"] == "dust; splash"


def test_template_has_every_key_once_and_a_row_under_it_is_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]
                                                               ) -> None:
    _, out, _ = run(capsys, "--template")
    header = out.strip().split(",")
    assert header == list(columns(K)) and len(set(header)) == len(header)
    assert {"point.bearing.bore", "history.since", "grease.nlgi", "measured.temperature_rise"} <= set(header)
    assert {f"seen.{s}" for s in K.signs} <= set(header)
    path = tmp_path / "filled.csv"
    path.write_text(out + ",".join("slideway" if c == "point.kind" else "" for c in header) + "\n", "utf-8")
    (item,) = items([str(path)], K)
    assert item.case is not None and item.case.point.kind == "slideway"


def test_cells_are_nested_by_their_path_and_lists_split() -> None:
    cells = {"point.kind": "rolling_bearing", "grease.nlgi": "00", "grease.additives": "ep | moly",
             "history.since": "regreasing;wash_down", "measured.temperature_rise": "20 K", "title": "a; b"}
    case = from_data(nested(cells), "row", K)
    assert case.grease.nlgi == "00" and case.grease.additives == ("ep", "moly")
    assert case.history.since == ("regreasing", "wash_down") and case.title == "a; b"
    assert case.measured == {"temperature_rise": pytest.approx(20.0)}


@pytest.mark.parametrize(("text", "told"), [
    ("point.kind,point.sped\n", "no column 'point.sped'; did you mean point.speed?"),
    ("point.kind,title,title\n", "column title is there twice"),
    ("title\n", "there is no column point.kind"),
    ("point.kind,,title\n", "column 2 has no name"),
    ("", "is empty"),
])
def test_a_wrong_header_is_one_line_before_any_case_is_read(
        text: str, told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "cases.csv"
    path.write_text(text, "utf-8")
    status, out, err = run(capsys, DEMO, path)
    assert (status, out) == (2, "") and told in err and len(err.splitlines()) == 1


@pytest.mark.parametrize(("row", "told"), [
    (b"slideway,a,b\n", "has 3 cells where the header has 2"),
    (b"slideway,caf\xe9\n", "is not UTF-8 text"),
    (b'slideway,"open\n', "unpaired quotation mark"),
    (b'slideway,"shut"ter\n', "unpaired quotation mark"),
    (b"slideway,bell\x07\n", "control"),
    (b"slideway," + b"x" * 200_000 + b"\n", "can't be read as CSV"),
])
def test_a_broken_row_is_named_and_the_rows_before_it_stay(row: bytes, told: str, tmp_path: Path) -> None:
    path = tmp_path / "cases.csv"
    path.write_bytes(b"point.kind,title\nslideway,fine\n" + row)
    good, bad = items([str(path)], K)
    assert good.case is not None
    assert bad.case is None and bad.row == 3 and told in bad.faults[0].what


@pytest.mark.parametrize("head", ["\ufeffpoint.kind;title", "point.kind\ttitle"])
def test_tables_of_spreadsheets_are_read_whatever_parts_their_cells(head: str, tmp_path: Path) -> None:
    path = tmp_path / "cases.csv"
    between = ";" if ";" in head else "\t"
    path.write_text(f"{head}\nslideway{between}saddle, upper\n", "utf-8")
    (item,) = items([str(path)], K)
    assert item.case is not None and item.case.title == "saddle, upper"


@pytest.mark.parametrize(("line", "told"), [
    ("{", "is no JSON"), ("[1]", "must be an object"), ('{"point": 1, "point": 2}', "is there twice"),
    ('{"point": {"kind": "slideway"}, "titel": "x"}', "did you mean title"), ("[" * 100_000, "is no JSON"),
])
def test_a_bad_line_is_named_and_the_next_one_read(line: str, told: str, tmp_path: Path) -> None:
    path = tmp_path / "cases.jsonl"
    path.write_text(f'{line}\n\n{{"point": {{"kind": "slideway", "speed": null}}}}\n', "utf-8")
    bad, good = items([str(path)], K)
    assert bad.row == 1 and told in bad.faults[0].what
    assert good.row == 3 and good.case is not None


def test_of_a_folder_the_yaml_files_with_a_point_are_cases(tmp_path: Path) -> None:
    (tmp_path / "below").mkdir()
    (tmp_path / "below" / "one.yaml").write_text("point: {kind: slideway}\n", "utf-8")
    (tmp_path / "bad.yml").write_text("point: {kind: sled}\n", "utf-8")
    (tmp_path / "expected.yaml").write_text("one: {leads: [x]}\n", "utf-8")
    found = {Path(i.file).name: i.case is not None for i in items([str(tmp_path)], K)}
    assert found == {"one.yaml": True, "bad.yml": False}


@pytest.mark.parametrize("words", [["nowhere.csv"], ["cases.txt"], ["empty"], []])
def test_names_without_cases_are_refused(
        words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "cases.txt").write_text("point: {kind: slideway}\n", "utf-8")
    (tmp_path / "empty").mkdir()
    status, out, err = run(capsys, *words)
    assert (status, out) == (2, "") and len(err.splitlines()) == 1


def test_contradicting_answers_are_a_bad_row(monkeypatch: pytest.MonkeyPatch) -> None:
    """A network that finds one case impossible: the others go through and its place is told."""
    from diag.errors import InputError
    from diag.inference.network import Network

    usual = Network.each_posterior

    def second_impossible(self, rates, pairs):  # type: ignore[no-untyped-def]
        return [InputError("contradict one another") if n == 1 else p for n, p in enumerate(usual(self, rates, pairs))]

    monkeypatch.setattr(Network, "each_posterior", second_impossible)
    case = demo_items()[0].case
    found = list(reviewed([Item("x.csv", n, case) for n in (2, 3, 4)], K))
    assert [f is not None for _, f in found] == [True, False, True]
    assert str(found[1][0].faults[0]) == "x.csv:3: contradict one another"


def test_an_output_never_replaces_an_input_and_stays_away_when_it_fails(
        table: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for option in ("--out", "--bad", "--summary", "--pareto"):
        assert run(capsys, table, option, table)[0] == 2
    assert table.read_text("utf-8") == TABLE
    assert run(capsys, table, "--out", tmp_path / "none" / "out.jsonl")[0] == 2
    (tmp_path / "broken.csv").write_text("point.kind,what\n", "utf-8")
    assert run(capsys, tmp_path / "broken.csv", "--out", tmp_path / "out.jsonl")[0] == 2
    assert {p.name for p in tmp_path.iterdir()} == {"cases.csv", "broken.csv"}


def test_the_summary_counts_every_case_once_a_group(tmp_path: Path, table: Path,
                                                    capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, table, "--out", tmp_path / "o.csv", "--summary", tmp_path / "s.csv")
    assert status == 0 and out.startswith("2 cases reviewed, 2 bad rows left out.")
    leads: dict[tuple[str, str], int] = {}
    for row in rows((tmp_path / "s.csv").read_text("utf-8")):
        key = row["by"], row["group"]
        leads[key] = leads.get(key, 0) + int(row["leads"])
        assert float(row["share"]) == pytest.approx(int(row["leads"]) / int(row["cases"]), abs=1e-4)
    assert leads == {("all", "all"): 2, ("machine", "dryer fan"): 1, ("machine", "pan mill"): 1,
                     ("exposure", "dust"): 2, ("exposure", "splash"): 1, ("grease", "not known"): 2}


def test_the_tally_orders_causes_and_puts_cases_without_a_leading_one_last() -> None:
    tally = Tally()
    (item, found), *_ = reviewed(demo_items()[:1], K)
    assert item.case is not None and found is not None
    first = found.causes[0]
    other = msgspec.structs.replace(found, causes=(msgspec.structs.replace(first, id="fatigue"),))
    none = msgspec.structs.replace(found, causes=(msgspec.structs.replace(first, probability=0.2),))
    for one in (none, none, none, found, other, other):
        tally.count(item.case, one)
    assert tally.causes() == [("fatigue", 2), (first.id, 1), (NONE_LEADS, 3)]


def test_the_pareto_plot_is_a_picture(table: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(capsys, table, "--pareto", tmp_path / "p.svg")[0] == 0
    drawn = (tmp_path / "p.svg").read_text("utf-8")
    assert "<svg" in drawn
    status, _, err = run(capsys, table, "--pareto", tmp_path / "p.what")
    assert status == 2 and "the plot can't be written" in err
