"""The small knowledge of tests/broken_knowledge/base, and cases made for it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from diag.case.model import Bearing, Case, Grease, History, Load, Point, Regreasing, Seal
from diag.knowledgebase import Knowledge, load

BASE = Path(__file__).parent / "broken_knowledge" / "base"


def knowledge() -> Knowledge:
    return load(BASE)


def point(**fields: Any) -> Point:
    """A rolling bearing with what is given; bearing, seal and load as mappings."""
    parts = {"bearing": Bearing, "seal": Seal, "load": Load}
    built = {k: parts[k](**v) if k in parts else v for k, v in fields.items()}
    return Point(**{"kind": "rolling_bearing", **built})


def case(**fields: Any) -> Case:
    """A case; point, grease, regreasing and history as mappings."""
    parts = {"grease": Grease, "earlier_grease": Grease, "regreasing": Regreasing, "history": History}
    built = {k: parts[k](**v) if k in parts else v for k, v in fields.items() if k != "point"}
    return Case(point=point(**fields.get("point", {})), **built)
