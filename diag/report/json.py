"""Findings and their parts as JSON text: the field names of the contract, numbers in fixed metric units."""

from __future__ import annotations

from typing import Any

import msgspec

__all__ = ["text"]


def text(value: Any) -> str:
    """Indented JSON of any part of the findings, of a knowledge record, or of a list of them."""
    return msgspec.json.format(msgspec.json.encode(value), indent=2).decode()
