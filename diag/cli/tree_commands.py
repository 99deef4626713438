"""`diag tree`: the policy of `diag ask` compiled for paper."""

from __future__ import annotations

from pathlib import Path
from typing import cast

from diag import knowledgebase
from diag.case import replace_file
from diag.case.model import KINDS, Kind
from diag.cli.output import put
from diag.errors import Fault, InputError
from diag.report import json
from diag.report.figures import System
from diag.tree import compile_tree, html, text
from diag.tree.compiling import COMPLAINTS

__all__ = ["DEEPEST", "tree"]

DEEPEST = 12  # looks: beyond it a tree is no longer compiled in a minute


def tree(kind: str, complaint: str, depth: int, out: str, as_json: bool, units: System) -> None:
    """Compile and print; with `out` the cards as a page of HTML beside it. Raises InputError."""
    _one_of(kind, KINDS, "--kind")
    _one_of(complaint, tuple(COMPLAINTS), "--for")
    if not 1 <= depth <= DEEPEST:
        raise InputError(Fault(f"{depth} is no depth; give 1 to {DEEPEST} questions", key="--depth"))
    compiled = compile_tree(knowledgebase.load(), cast(Kind, kind), complaint, depth)
    if out:
        replace_file(Path(out), html.page(compiled, units).encode())
    if as_json:
        put(json.text(compiled))
    elif out:
        put(f"The cards are in {out}; print it on A4 or Letter.")
    else:
        put(text.page(compiled, units))


def _one_of(word: str, legal: tuple[str, ...], option: str) -> None:
    if word not in legal:
        raise InputError(Fault(f"{word!r} is none of {', '.join(legal)}", key=option))


