"""Case files: read with every fault at its place, written so that they read back equal.

pint is loaded with the first quantity that needs it, not by importing this package.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from diag import yamltext
from diag.case.model import Case
from diag.case.reader import read_tree
from diag.case.writer import replace_file, save, to_text

if TYPE_CHECKING:
    from diag.knowledgebase import Knowledge

__all__ = ["from_data", "read_case", "read_text", "replace_file", "save", "to_text"]


def read_case(path: str | Path, knowledge: Knowledge) -> Case:
    """The case of a file. Errors: InputError with every fault, placed `file:line`."""
    return read_tree(yamltext.read_file(path), str(path), knowledge)


def read_text(text: str | bytes, name: str, knowledge: Knowledge) -> Case:
    """The case of a YAML text; `name` stands for the file in faults. Errors: as `read_case`."""
    return read_tree(yamltext.read(text, name), name, knowledge)


def from_data(data: Mapping[str, Any], name: str, knowledge: Knowledge) -> Case:
    """The case of a JSON object: numbers are in canonical units, truth values are yes and no.

    Errors: InputError with every fault, placed `name`.
    """
    return read_tree(yamltext.from_data(data, name), name, knowledge)
