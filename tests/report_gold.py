"""The gold report: frozen findings and the page they give. `python -m tests.report_gold` writes the page anew."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import msgspec

from diag import knowledgebase
from diag.case import read_case
from diag.findings import Findings
from diag.report import html

GOLD = Path(__file__).parent / "gold"
PAGE = GOLD / "report.html"


def today() -> str:
    """The report of the frozen findings as the code makes it now, without what changes by itself."""
    knowledge = knowledgebase.load()
    case = read_case(GOLD / "report_case.yaml", knowledge)
    found = msgspec.json.decode((GOLD / "report_findings.json").read_bytes(), type=Findings)
    return scrubbed(html.text(found, case, knowledge, "metric", date(2026, 1, 2)))


def scrubbed(text: str) -> str:
    """Without date, version, style (with its hash) and drawings, which have tests of their own."""
    text = re.sub(r"Made .*? with diag [^ ]+\.", "Made DATE with diag VERSION.", text)
    text = re.sub(r"sha256-[^'&]*(?=['&])", "sha256-HASH", text)
    text = re.sub(r"<style>.*?</style>", "<style></style>", text, flags=re.DOTALL)
    return re.sub(r"<svg.*?</svg>", "<svg></svg>", text, flags=re.DOTALL)


if __name__ == "__main__":
    PAGE.write_text(today(), "utf-8")
