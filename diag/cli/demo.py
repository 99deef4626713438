"""The invented brickworks: its cases come with the program."""

from __future__ import annotations

from difflib import get_close_matches
from pathlib import Path

import diag
from diag import knowledgebase
from diag.case import read_case
from diag.cli.commands import show_review
from diag.cli.output import put, put_part
from diag.errors import InputError
from diag.report import json
from diag.report.figures import System
from diag.report.layout import paragraph

__all__ = ["cases", "show", "show_list"]

FIRST = "dryer_fan_hot_after_greasing"
_NO_CASES = ("expected", "generator")  # what else stands in the folder
_INVENTED = "Invented: a brickworks with a clay pit that doesn't exist, made up to show what the program does."


def cases() -> dict[str, Path]:
    """Name → file of every case, inside the installed package or beside it in the work tree."""
    package = Path(diag.__file__).parent
    carried = package / "_data" / "demo_cases"
    folder = carried if carried.is_dir() else package.parent / "demo_cases"
    return {path.stem: path for path in sorted(folder.glob("*.yaml")) if path.stem not in _NO_CASES}


def show(name: str | None, as_json: bool, units: System, working: bool) -> None:
    """Review one case. Raises InputError for a name that isn't there."""
    known = cases()
    wanted = name or (FIRST if FIRST in known else next(iter(known)))
    if wanted not in known:
        near = get_close_matches(wanted, known, 1)
        hint = f"did you mean {near[0]}?" if near else "diag demo --list shows them"
        raise InputError(f"no demo case {wanted}; {hint}")
    knowledge = knowledgebase.load()
    if not as_json:
        put_part("\n".join([*paragraph(_INVENTED), "", ""]))
    show_review(read_case(known[wanted], knowledge), knowledge, as_json, units, working)


def show_list(as_json: bool) -> None:
    """Names and titles."""
    knowledge = knowledgebase.load()
    titles = {name: read_case(path, knowledge).title or "" for name, path in cases().items()}
    if as_json:
        put(json.text([{"name": name, "title": title} for name, title in titles.items()]))
        return
    lines = [line for name, title in titles.items() for line in (name, *paragraph(title, 4))]
    put("\n".join([*paragraph(_INVENTED), "diag demo NAME reviews one.", "", *lines]))
    put(f"\nThe case files stand in {next(iter(cases().values())).parent}")
