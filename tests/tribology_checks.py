"""Check points of tests/data/checks_*.yaml: reading them, and comparing a result with one."""

from __future__ import annotations

import importlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml

DATA = Path(__file__).parent / "data"


def points(name: str, kind: str) -> list[Any]:
    """The checks of one kind as pytest parameters: published, computed or from-memory."""
    rows = yaml.safe_load((DATA / f"checks_{name}.yaml").read_text(encoding="utf-8"))
    return [pytest.param(row, id=row["id"]) for row in rows if _kind(row) == kind]


def _kind(row: dict[str, Any]) -> str:
    return "from-memory" if row["confidence"] == "from-memory" else str(row["kind"])


def function(name: str) -> Callable[..., Any]:
    """`film.kappa` → diag.tribology.film.kappa."""
    module, attribute = name.split(".")
    found: Callable[..., Any] = getattr(importlib.import_module(f"diag.tribology.{module}"), attribute)
    return found


def agree(result: Any, check: dict[str, Any]) -> None:
    """Fails, naming the source, when a result is further from the point than its tolerance."""
    expected, tol = check["expected"], check["tol"]
    if isinstance(expected, dict):
        for key, value in expected.items():
            agree(getattr(result, key), {**check, "expected": value})
    elif "exact" in tol:
        assert result == expected, check["source"]
    else:
        allowed = {"rel": tol.get("rel", 0), "abs": tol.get("abs", 0)}
        assert result == pytest.approx(expected, **allowed), check["source"]
