"""Keeps a walk on disk: the case file, and beside it what was asked and passed over.

Both are written whole and then renamed: a kill at any moment leaves the last answer or the one before.
"""

from __future__ import annotations

import os
from pathlib import Path

import msgspec

from diag.case import read_case, replace_file, to_text
from diag.errors import Fault, InputError
from diag.knowledgebase import Knowledge
from diag.walk import Given, Walk

__all__ = ["load", "save", "sidecar"]


class _Trail(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The file beside the case: its schema and the trail of the walk."""

    schema: int
    trail: tuple[Given, ...]


def sidecar(path: Path) -> Path:
    """`pump.yaml` → `pump.ask.json`"""
    return path.with_suffix(".ask.json")


def load(path: Path, knowledge: Knowledge) -> Walk:
    """The walk kept at `path`; a new one where there is no file. Raises InputError."""
    if not path.exists():
        _probe(path)
        return Walk()
    case = read_case(path, knowledge)
    trail = sidecar(path)
    return Walk(case, _read_trail(trail)) if trail.exists() else Walk(case)


def _probe(path: Path) -> None:
    """Refuse now, not after the first answer, a place where nothing can be kept."""
    folder = path.absolute().parent
    if not folder.is_dir():
        raise InputError(Fault("there is no such folder; make it first", str(folder)))
    if not os.access(folder, os.W_OK):
        raise InputError(Fault("can't be written to; name a case file in another folder", str(folder)))


def _read_trail(path: Path) -> tuple[Given, ...]:
    try:
        found = msgspec.json.decode(path.read_bytes(), type=_Trail)
    except (OSError, msgspec.MsgspecError) as error:
        what = f"doesn't hold the trail of a walk ({error}); delete it to be asked from the start"
        raise InputError(Fault(what, str(path))) from None
    if found.schema != 1:
        raise InputError(Fault(f"schema {found.schema} is newer than this program", str(path)))
    return found.trail


def save(path: Path, walk: Walk) -> None:
    """Write case and trail. A file that no walk wrote is first copied to `<name>.before-ask.yaml`."""
    if not walk.case.point.kind:
        return
    try:
        if path.exists() and not sidecar(path).exists():
            replace_file(path.with_suffix(".before-ask.yaml"), path.read_bytes())
        replace_file(path, to_text(walk.case).encode())
        replace_file(sidecar(path), msgspec.json.encode(_Trail(1, walk.trail)))
    except OSError as error:
        raise InputError(Fault(f"can't be saved ({error.strerror})", str(path))) from None
