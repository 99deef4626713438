"""Calling the function a check names, with the tables of knowledge/standards filled in."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from tribology_checks import function

from diag.knowledgebase.loader import standard

__all__ = ["called"]


def called(check: dict[str, Any], local: dict[str, Callable[..., Any]]) -> Any:
    """What a check's function gives; an input named `table` is the standard of that name."""
    inputs = {key: standard(value) if key == "table" else value for key, value in check["inputs"].items()}
    return (local.get(check["fn"]) or function(check["fn"]))(**inputs)
