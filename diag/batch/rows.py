"""What leaves a batch: findings as JSON lines or flat rows, and faults as rows."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

import msgspec

from diag.batch.sources import Item
from diag.case.model import Case
from diag.findings import Findings

if TYPE_CHECKING:
    from diag.knowledgebase import Knowledge

__all__ = ["BAD", "bad_rows", "flat", "head", "json_line", "line"]

_LIKELIEST = 3
BAD = ("file", "row", "column", "problem")
_ABOUT = ("file", "row", "id", "site", "machine", "point", "kind", "complaint", "title", "exposure", "grease",
          "urgency", "action", "not_the_grease")
_NUMBERS = ("healthy", "fit", "grams_per_1000_h", "amount_g", "interval_h")


def line(cells: Iterable[object]) -> str:
    """One line of CSV; None is an empty cell."""
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerow(["" if c is None else c for c in cells])
    return text.getvalue()


def json_line(found: Findings) -> str:
    """What `diag review --json` prints, on one line."""
    return msgspec.json.encode(found).decode() + "\n"


def head(knowledge: Knowledge) -> tuple[str, ...]:
    """Columns of the flat table: the case, the main findings, the likeliest causes, P(present) of every cause."""
    likeliest = (f"{what}_{n}" for n in range(1, _LIKELIEST + 1) for what in ("cause", "probability"))
    return (*_ABOUT, *_NUMBERS, *likeliest, "next_question", *(f"p.{c}" for c in knowledge.causes))


def flat(item: Item, case: Case, found: Findings, knowledge: Knowledge) -> list[object]:
    """One row under `head`; numbers in metric units and in full."""
    belief = {c.id: c.probability for c in found.causes}
    likeliest = [cell for c in found.causes[:_LIKELIEST] for cell in (c.id, c.probability)]
    question = found.next_questions[0].id if found.next_questions else None
    return [*_about(item, case, found), *_numbers(found), *likeliest, question, *(belief[c] for c in knowledge.causes)]


def _about(item: Item, case: Case, found: Findings) -> list[object]:
    who, grease = case.case, case.grease
    return [
        item.file, item.row or None, who.id, who.site, who.machine, who.point, case.point.kind, case.complaint,
        case.title, "; ".join(case.point.exposure), "/".join(w for w in (grease.thickener, grease.base_oil) if w),
        found.urgency.level, found.changeover.action, "yes" if found.not_the_grease else "no"]


def _numbers(found: Findings) -> list[object]:
    plan = found.regrease
    return [found.healthy, found.fit, plan.grams_per_1000_h, plan.amount_g, plan.interval_h]


def bad_rows(item: Item) -> list[Sequence[object]]:
    """One row under `BAD` for each fault."""
    return [(item.file, item.row or None, fault.key or None, fault.what) for fault in item.faults]
