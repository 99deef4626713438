"""Nothing that was reported as saved is lost, whatever happens; and what is there is whole."""

from __future__ import annotations

import os
import random
import resource
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from diag.caselog import engine, locations
from diag.caselog.store import Store
from diag.cli import main
from diag.errors import InputError
from tests.log_cases import FAN, add
from tests.postgres import Server

ROOT = Path(__file__).resolve().parent.parent
ENDLESS = 100_000


def writer(place: str, count: int, largest_file: int | None = None) -> subprocess.Popen[str]:
    """A writer in another process; `largest_file` [bytes] is the room that its disk has for a file."""
    def shrink() -> None:
        if largest_file is not None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (largest_file, largest_file))

    return subprocess.Popen([sys.executable, "-m", "tests.log_writer", place, str(count)], cwd=ROOT, text=True,
                            stdout=subprocess.PIPE, stderr=subprocess.PIPE, preexec_fn=shrink)


def check_whole(place: str, reported: list[str]) -> None:
    """Every id reported is there, and no record is there by half."""
    store = Store.existing(place)
    assert store is not None
    found = {r.id: r for r in store.each()}
    assert set(reported) <= set(found)
    assert {(r.case, r.notes, r.work) for r in found.values()} == {(FAN, ("one", "two"), ("three",))}
    path = locations.file_of(place)
    if path is not None:
        with closing(sqlite3.connect(path)) as connection:
            assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)


def test_a_killed_process_loses_nothing_it_reported(log_place: str) -> None:
    chance, reported = random.Random(7), []
    for _ in range(3):
        process = writer(log_place, ENDLESS)
        assert process.stdout is not None
        reported += [process.stdout.readline().strip() for _ in range(chance.randint(1, 12))]
        time.sleep(chance.uniform(0, 0.02))  # so that the kill falls into any moment of a write
        process.kill()
        rest, _ = process.communicate()
        reported += [line for line in rest.split("\n")[:-1] if line]
        check_whole(log_place, reported)
    assert all(reported)


def test_a_server_that_crashes_loses_nothing_reported(postgres: Server) -> None:
    with postgres.database() as place:
        store = Store.open(place)
        reported = [add(store, notes=("one", "two"), work=("three",)) for _ in range(5)]
        postgres.crash()
        try:
            with pytest.raises(InputError, match="nothing was saved"):
                add(store)
        finally:
            postgres.start()
        check_whole(place, reported)


def test_a_full_disk_is_one_line_and_loses_nothing_reported(tmp_path: Path) -> None:
    place = str(tmp_path / "log.sqlite")
    process = writer(place, ENDLESS, largest_file=600_000)
    out, err = process.communicate(timeout=60)
    reported = out.split()
    assert process.returncode == 2
    assert err == f"case log {place}: nothing was saved: the disk is full or failing\n"
    assert len(reported) > 3
    check_whole(place, reported)
    add(Store.open(place), notes=("one", "two"), work=("three",))  # with room again it goes on
    check_whole(place, reported)


def test_a_full_disk_leaves_the_old_export(tmp_path: Path) -> None:
    place, out = str(tmp_path / "log.sqlite"), tmp_path / "out.jsonl"
    add(Store.open(place))
    out.write_text("the export of last week")
    words = [sys.executable, "-c", "from diag.cli import main; raise SystemExit(main())"]
    done = subprocess.run([*words, "log", "export", str(out), "--log", place], capture_output=True, text=True,
                          cwd=tmp_path, preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (9_000, 9_000)))
    assert done.returncode == 2
    assert done.stderr == f"diag: {out}: can't be written (File too large)\n"
    assert out.read_text() == "the export of last week"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["log.sqlite", "out.jsonl"]


def test_two_writers_both_get_through_also_when_both_begin_the_log(log_place: str) -> None:
    writers = [writer(log_place, 15) for _ in range(2)]
    reported = []
    for process in writers:
        out, err = process.communicate(timeout=60)
        assert (process.returncode, err) == (0, "")
        reported += out.split()
    assert len(set(reported)) == 30
    check_whole(log_place, reported)


@contextmanager
def locked(place: str) -> Iterator[None]:
    """Another program holds the log for writing."""
    with engine.connect(locations.place(place)).connect() as connection:
        connection = connection.execution_options(diag_saves=True)
        with connection.begin():
            if connection.dialect.name == "postgresql":
                connection.exec_driver_sql("LOCK TABLE diag_event")
            yield


def test_a_locked_log_is_one_line_and_then_goes_on(
    log_place: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(engine, "_PATIENCE", 1)
    record = add(Store.open(log_place))
    command = ["log", "note", record, "--note", "after the lock", "--log", log_place]
    with locked(log_place):
        assert main(command) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    assert "nothing was saved: another program is writing to it and keeps it locked" in err
    assert main(command) == 0
    assert Store.open(log_place).get(record).notes == ("after the lock",)


def test_events_of_two_writers_keep_the_order_in_which_they_were_saved(log_place: str) -> None:
    one, other = Store.open(log_place), Store.open(log_place)
    record = add(one)
    for number in range(6):
        (one, other)[number % 2].note(record, [str(number)])
    found = one.get(record)
    assert found.notes == ("0", "1", "2", "3", "4", "5")
    assert len({e.at for e in found.events}) == 6


@pytest.mark.parametrize(("content", "words"), [
    (b"this is a shopping list, and no database at all\n" * 40, "it is no case log"),
    (None, "is a folder; name the file of the log"),
])
def test_what_is_no_log_is_one_line(tmp_path: Path, content: bytes | None, words: str) -> None:
    path = tmp_path / "thing"
    path.write_bytes(content) if content is not None else path.mkdir()
    with pytest.raises(InputError, match=words) as fault:
        Store.open(path)
    assert "\n" not in str(fault.value)
    assert path.is_dir() or path.read_bytes() == content


def test_a_damaged_log_is_one_line(tmp_path: Path) -> None:
    path = tmp_path / "log.sqlite"
    add(Store.open(path))
    with path.open("r+b") as stream:
        stream.seek(4096)
        stream.write(os.urandom(path.stat().st_size - 4096))
    with pytest.raises(InputError, match="it is damaged"):
        Store.open(path).all()
