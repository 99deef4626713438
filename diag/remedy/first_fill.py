"""How full a clean housing is filled: the same share for the amount and for the words of the steps."""

from __future__ import annotations

from collections.abc import Mapping

from diag.case.model import Case
from diag.findings import Computed
from diag.knowledgebase import Knowledge

__all__ = ["housing_share"]


def housing_share(case: Case, computed: Mapping[str, Computed], knowledge: Knowledge) -> float:
    """Share [-] of the space beside the bearing; slow in dirt is filled as a seal."""
    # numpy is loaded only when an amount is worked out.
    from diag.tribology import amount

    factor = computed.get("speed_factor")
    speed = float(factor.value) if factor is not None else 0.0
    dirty = "dust" in case.point.exposure
    # An unknown speed counts as slow for the bearing itself, but is no reason to fill the housing.
    known_slow = factor is not None and dirty
    return float(amount.housing_fill_share(knowledge.standard("replenishment"), speed, dirty=known_slow))
