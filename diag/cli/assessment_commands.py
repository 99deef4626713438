"""`diag knowledge simulate|sensitivity|separability|rates`: how good the knowledge is."""

from __future__ import annotations

import os
from dataclasses import asdict
from pathlib import Path

from diag import knowledgebase
from diag.case import read_case
from diag.case.model import Case
from diag.cli import demo
from diag.cli.output import put
from diag.cli.progress import bar
from diag.errors import InputError
from diag.inference.network import compiled
from diag.inference.separation import SETTLES, separations
from diag.knowledgebase import Knowledge
from diag.knowledgebase.model import ALL_KINDS, Kind
from diag.report import assessment, json
from diag.simulation.base_rates import base_rates
from diag.simulation.sensitivity import drawn_cases, sensitivity
from diag.simulation.trial import simulate

__all__ = ["rates", "sense", "separability", "trial"]


def trial(cases: int, seed: int, kind: Kind | None, own: bool, as_json: bool) -> None:
    """Draw and score. The same seed gives the same numbers on any number of processors."""
    kinds = ALL_KINDS if kind is None else (kind,)
    found = simulate(knowledgebase.load(), cases, seed, kinds, own=own, progress=bar("points"),
                     workers=os.cpu_count() or 1)
    put(json.text(asdict(found)) if as_json else assessment.trial(found))


def sense(folders: list[str], drawn: int, seed: int, as_json: bool) -> None:
    """Demo cases, those of each folder, and drawn ones. Raises InputError for a folder without cases."""
    knowledge = knowledgebase.load()
    sets = {"demo": {name: read_case(path, knowledge) for name, path in demo.cases().items()}}
    sets |= {Path(folder).name: _cases_in(folder, knowledge) for folder in folders}
    if drawn:
        sets["drawn"] = drawn_cases(knowledge, drawn, seed)
    found = {name: sensitivity(cases, knowledge, bar(f"{name} cases")) for name, cases in sets.items()}
    put(json.text({n: asdict(f) for n, f in found.items()}) if as_json else assessment.sensitivity(found))


def _cases_in(folder: str, knowledge: Knowledge) -> dict[str, Case]:
    """Every case file of a folder. A YAML file without `point:` at its margin is none and is passed over."""
    paths = [p for p in sorted(Path(folder).glob("*.yaml")) if "\npoint:" in "\n" + p.read_text("utf-8")]
    if not paths:
        raise InputError(f"no case files in {folder}; give a folder with YAML files that have a point")
    return {p.stem: read_case(p, knowledge) for p in paths}


def separability(as_json: bool) -> None:
    """Every pair of causes with different remedies, by kind of point."""
    knowledge = knowledgebase.load()
    found = {kind: separations(compiled(knowledge, kind), knowledge) for kind in ALL_KINDS}
    if as_json:
        put(json.text({kind: [asdict(pair) for pair in pairs] for kind, pairs in found.items()}))
    else:
        put(assessment.separability(found, knowledge, SETTLES))


def rates(as_json: bool) -> None:
    """Base rates beside what is published."""
    found = base_rates(knowledgebase.load())
    put(json.text(asdict(found)) if as_json else assessment.rates(found))
