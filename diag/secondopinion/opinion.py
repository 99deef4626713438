"""The second opinion beside a review: a part of its own that changes nothing else."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import msgspec
import numpy as np

from diag.review import LEADS, gather
from diag.secondopinion.features import row
from diag.secondopinion.model import beliefs

if TYPE_CHECKING:
    from diag.case.model import Case
    from diag.findings import Findings
    from diag.knowledgebase import Knowledge
    from diag.secondopinion.keep import Kept

__all__ = ["beside"]

_NAMED = 3


def beside(found: Findings, case: Case, kept: Kept, knowledge: Knowledge, text: bool = True) -> Findings:
    """The same findings with `second_opinion` filled in; `text` as in the review."""
    rows = np.array([row(gather(case, knowledge, text), knowledge)])
    causes = [c for c, record in knowledge.causes.items() if case.point.kind in record.base_rate]
    belief = dict(zip(causes, beliefs(kept.model, rows, causes)[0].tolist(), strict=True))
    return msgspec.structs.replace(found, second_opinion=_opinion(belief, found, kept.trained_on))


def _opinion(belief: dict[str, float], found: Findings, trained_on: str) -> dict[str, Any]:
    order = sorted(belief, key=lambda c: -belief[c])
    first = order[0] if belief[order[0]] >= LEADS else None
    agrees = _agrees(first, found)
    return {
        "causes": [{"id": c, "probability": belief[c]} for c in order[:_NAMED]], "trained_on": trained_on,
        "agrees": agrees, "note": _note(first, agrees)}


def _agrees(first: str | None, found: Findings) -> bool:
    """Its likeliest cause leads in the review too, or nothing leads in either."""
    leading = {c.id for c in found.causes if c.probability >= LEADS}
    return first in leading if first else not leading


def _note(first: str | None, agrees: bool) -> str:
    basis = "It knows nothing that the review doesn't: it was trained on invented cases."
    if agrees:
        return f"No reason to look again. {basis}"
    what = "It holds another cause for the likeliest" if first else "It finds no cause likely"
    return f"{what}: a reason to look again at the answers, none to change the finding. {basis}"
