"""What the command line names: case files, grease files, grease words."""

from __future__ import annotations

from pathlib import Path

from diag import standardinput, yamltext
from diag.case import from_data, read_case, read_text
from diag.case.model import BASE_OILS, THICKENERS, Case, Grease
from diag.case.words import find
from diag.errors import Fault, InputError
from diag.knowledgebase import Knowledge
from diag.standardinput import STDIN

__all__ = ["read", "read_grease"]


def read(name: str, knowledge: Knowledge) -> Case:
    """The case of a file, or of standard input for `-`. Raises InputError."""
    if name == "-":
        return read_text(_stdin(), STDIN, knowledge)
    return read_case(Path(name), knowledge)


def _stdin() -> bytes:
    """Standard input as it is, one byte over the largest document at most: its encoding is judged as a file's is."""
    return standardinput.stream().read(yamltext.LARGEST + 1)


def read_grease(name: str, knowledge: Knowledge) -> Grease:
    """A grease: `THICKENER[/BASE_OIL]`, a base oil alone, a file of grease keys, or the grease of a case file.

    Raises InputError. A name that ends in .yaml or .yml, or that exists, is a file.
    """
    if name == "-" or name.endswith((".yaml", ".yml")) or Path(name).is_file():
        return _grease_of_file(name, knowledge)
    thickener, slash, oil = name.partition("/")
    keys = {"thickener": thickener} | ({"base_oil": oil} if slash else {})
    if not slash and _is_oil(name, knowledge):
        keys = {"base_oil": name}
    return from_data(_with_grease(keys), name, knowledge).grease


def _is_oil(name: str, knowledge: Knowledge) -> bool:
    """The word is a base oil and no thickener: people say "pfpe" of such a grease."""
    return (find(name, THICKENERS, knowledge.synonyms["thickener"]) is None
            and find(name, BASE_OILS, knowledge.synonyms["base_oil"]) is not None)


def _grease_of_file(name: str, knowledge: Knowledge) -> Grease:
    shown = STDIN if name == "-" else name
    node = yamltext.read(_stdin(), shown) if name == "-" else yamltext.read_file(name)
    data = yamltext.to_data(node)
    if "point" not in data:
        return from_data(_with_grease(data), shown, knowledge).grease
    case = from_data(data, shown, knowledge)
    if case.grease == Grease():
        raise InputError(Fault("names no grease in service; give at least its thickener", shown, "grease"))
    return case.grease


def _with_grease(keys: object) -> dict[str, object]:
    """The least case that can hold a grease."""
    return {"point": {"kind": "rolling_bearing"}, "grease": keys}
