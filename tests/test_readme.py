"""The README can't drift: its shown output is real output, its score is today's, its commands exist."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

from diag.knowledgebase import load
from tests.published_score import table

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text("utf-8")


def run(*words: str) -> str:
    return subprocess.run([sys.executable, "-c", "from diag.cli import main; main()", *words],
                          capture_output=True, text=True, check=True).stdout


def between(start: str, end: str) -> str:
    return README.split(f"<!-- {start} -->")[1].split(f"<!-- {end} -->")[0]


def test_shown_output_is_what_the_demo_prints() -> None:
    shown = between("shown output", "end of shown output").strip().removeprefix("```text").removesuffix("```")
    passages = [p.strip("\n") for p in shown.split("[...]")]
    printed, at = run("demo"), 0
    assert all(passages)
    for passage in passages:
        found = printed.find(passage, at)
        assert found >= 0, passage
        at = found + len(passage)


def test_published_score_is_todays() -> None:
    assert between("published score", "end of published score").strip() == table(load())


def test_every_command_of_the_tour_exists_and_every_command_is_in_the_tour() -> None:
    listed = set(re.findall(r"^\| `diag (\w+)", README, re.MULTILINE))
    commands = run("--help").split("Commands:")[1]
    assert listed == set(re.findall(r"^  (\w+)  ", commands, re.MULTILINE))
