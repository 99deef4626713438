"""`diag learn`: train or assess the optional second opinion."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path

from diag import knowledgebase
from diag.case import read_text
from diag.cli.output import put
from diag.cli.progress import bar
from diag.errors import Fault, InputError
from diag.extras import needs
from diag.knowledgebase import Knowledge
from diag.report import json
from diag.report.layout import paragraph
from diag.secondopinion.keep import Kept, save
from diag.secondopinion.worlds import Known, drawn, recipe

__all__ = ["confirmed", "learn"]

_FEWEST = 200  # cases, ten worlds


def learn(train: str, assess: bool, cases: int, seed: int, log: str, folder: str, as_json: bool) -> None:
    """Train into a file, assess, or both; `log`: add its confirmed cases, - is the usual log. Raises InputError."""
    if not (train or assess or folder):
        raise InputError("nothing to do; give --train FILE, --assess or --also FOLDER")
    if cases < _FEWEST:
        raise InputError(Fault(f"{cases} is too few; give at least {_FEWEST}", "--cases"))
    needs("the second opinion", "learn")
    knowledge = knowledgebase.load()
    invented = drawn(knowledge, recipe(knowledge), cases, seed)
    added = [] if not log else confirmed("" if log == "-" else log, knowledge, 1 + max(k.world for k in invented))
    told: dict[str, object] = {}
    pages: list[str] = []
    if assess:
        _assess(invented, added, knowledge, told, pages)
    if folder:
        _also(Path(folder), [*invented, *added], knowledge, told, pages)
    if train:
        trained_on = _train(Path(train), invented, added, knowledge)
        told["trained"] = {"file": train, "on": trained_on}
        pages.append("\n".join(paragraph(f"Trained on {trained_on}; kept in {train}. "
                                         f"diag review CASE --second-opinion {train} asks it.")))
    put(json.text(told) if as_json else "\n\n".join(pages))


def _assess(invented: list[Known], added: list[Known], knowledge: Knowledge, told: dict[str, object],
            pages: list[str]) -> None:
    from diag.report import learned
    from diag.secondopinion.assess import assess

    found = assess(invented, added, knowledge, bar("folds"))
    told["assessment"] = asdict(found)
    pages.append(learned.assessment(found))


def _also(folder: Path, trained: list[Known], knowledge: Knowledge, told: dict[str, object], pages: list[str]) -> None:
    from diag.report import learned
    from diag.secondopinion.assess import also, solved_cases

    found = also(solved_cases(folder, knowledge), trained, knowledge)
    told["also"] = {"folder": str(folder), **asdict(found)}
    pages.append(learned.also(folder.name, found).lstrip("\n"))


def _train(path: Path, invented: Sequence[Known], added: Sequence[Known], knowledge: Knowledge) -> str:
    """Fit on everything and keep it; gives what it was trained on, in words."""
    from diag.secondopinion.features import features, truth
    from diag.secondopinion.model import fit

    everything = [*invented, *added]
    model = fit(features(everything, knowledge)[0], truth(everything, knowledge), [k.world for k in everything],
                list(knowledge.causes))
    trained_on = "invented cases" + (f" and {len(added)} confirmed cases of a log" if added else "")
    save(path, Kept(model, trained_on), knowledge)
    return trained_on


def confirmed(log: str, knowledge: Knowledge, world: int) -> list[Known]:
    """Cases of the log whose causes were confirmed by inspection or laboratory, each a world of its own.

    Only the confirmed causes are told: of the others nobody knows whether they were at work.
    """
    from diag.cli.log_commands import opened

    found: list[Known] = []
    for record in opened(log).each():
        known = record.confirmation
        if known is None or known.how == "unconfirmed":
            continue
        causes = frozenset(known.causes) & set(knowledge.causes)
        try:
            case = read_text(record.case, f"case {record.id} of the log", knowledge)
        except InputError as fault:  # written for the knowledge of another day; the others still teach
            print(f"left out: {fault}", file=sys.stderr)
            continue
        if causes:
            found.append(Known(case, causes, world + len(found), told=causes))
    return found
