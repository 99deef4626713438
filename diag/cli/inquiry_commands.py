"""What a log teaches: `diag log experience`, `similar` and `inquiry`."""

from __future__ import annotations

from pathlib import Path

from diag import knowledgebase
from diag.case import read_text
from diag.caselog import experience_page
from diag.caselog.experience import learn
from diag.caselog.similar import facts, lines, nearest
from diag.cli.log_commands import opened
from diag.cli.output import put
from diag.cli.reading import read
from diag.report import json

__all__ = ["experience", "similar"]


def experience(site: str, as_json: bool, log: str) -> None:
    """`diag log experience`"""
    knowledge = knowledgebase.load()
    learnt = learn(opened(log).each(), knowledge, site)
    if as_json:
        put(json.text(experience_page.facts(learnt, knowledge)))
    else:
        put("\n".join(experience_page.lines(learnt, knowledge)))


def similar(name: str, most: int, as_json: bool, log: str) -> None:
    """`diag log similar`: of a case file, or of a case in the log by its id."""
    knowledge, store = knowledgebase.load(), opened(log)
    if name == "-" or name.endswith((".yaml", ".yml")) or Path(name).is_file():
        case, own = read(name, knowledge), ""
    else:
        record = store.get(name)
        case, own = read_text(record.case, record.id, knowledge), record.id
    found = nearest(case, (r for r in store.each() if r.id != own), knowledge, most)
    put(json.text(facts(found)) if as_json else "\n".join(lines(found, knowledge)))
