"""Which file a walk of `diag ask` is kept in."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from diag.errors import InputError
from diag.walkfile import load, save, sidecar

__all__ = ["begin", "load", "save", "sidecar"]


def begin(name: str | None) -> Path:
    """The file a walk is kept in: the one named, else a new one in this folder, by date and time."""
    if name == "-":
        raise InputError("ask needs standard input for the answers; name a case file, or none for a new one")
    if name is not None:
        return Path(name)
    stamp = f"case-{datetime.now():%Y%m%d-%H%M}"
    names = (Path(f"{stamp}{more}.yaml") for more in ("", *(f"-{n}" for n in range(2, 1000))))
    return next(path for path in names if not path.exists())
