"""What a log teaches: `diag log experience`, `similar` and `inquiry`."""

from __future__ import annotations

from diag import knowledgebase
from diag.caselog import experience_page
from diag.caselog.experience import learn
from diag.cli.log_commands import opened
from diag.cli.output import put
from diag.report import json

__all__ = ["experience"]


def experience(site: str, as_json: bool, log: str) -> None:
    """`diag log experience`"""
    knowledge = knowledgebase.load()
    learnt = learn(opened(log).each(), knowledge, site)
    if as_json:
        put(json.text(experience_page.facts(learnt, knowledge)))
    else:
        put("\n".join(experience_page.lines(learnt, knowledge)))
