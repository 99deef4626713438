"""The wheel carries its knowledge and demo, and works in a fresh environment from an empty folder."""

from __future__ import annotations

import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("wheel")
    subprocess.run([sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", out, ROOT],
                   check=True, capture_output=True)
    (built,) = out.glob("*.whl")
    return built


def _files(folder: str) -> set[str]:
    return {str(p.relative_to(ROOT)) for p in (ROOT / folder).rglob("*.yaml")}


def test_wheel_carries_every_knowledge_and_demo_file(wheel: Path) -> None:
    names = {n.removeprefix("diag/_data/") for n in zipfile.ZipFile(wheel).namelist()}
    wanted = _files("knowledge") | _files("demo_cases")
    assert wanted
    assert wanted - names == set()


def test_wheel_carries_every_migration_of_the_case_log(wheel: Path) -> None:
    wanted = {str(p.relative_to(ROOT)) for p in (ROOT / "diag/caselog/migrations").rglob("*.py")}
    assert len(wanted) > 2
    assert wanted - set(zipfile.ZipFile(wheel).namelist()) == set()


def test_wheel_carries_every_file_of_the_package_that_is_no_code(wheel: Path) -> None:
    """Templates, styles and scripts of the page, the report and the inquiry."""
    wanted = {str(p.relative_to(ROOT)) for p in (ROOT / "diag").rglob("*")
              if p.is_file() and p.suffix not in (".py", ".pyc")}
    assert {Path(name).parent.as_posix() for name in wanted} >= {
        "diag/caselog/templates", "diag/report/templates", "diag/web/templates", "diag/web/static"}
    assert wanted - set(zipfile.ZipFile(wheel).namelist()) == set()


def test_demo_runs_from_a_fresh_environment_in_an_empty_folder(wheel: Path, tmp_path: Path) -> None:
    environment, empty = tmp_path / "env", tmp_path / "empty"
    venv.create(environment, with_pip=True)
    empty.mkdir()
    subprocess.run([environment / "bin" / "python", "-m", "pip", "install", "-q", wheel], check=True)
    done = subprocess.run([environment / "bin" / "diag", "demo"], cwd=empty, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert "invented" in done.stdout.lower()
    assert list(empty.iterdir()) == []
