"""Sheets from files: YAML data sheets, CSV with a grease a row, and the text of a label.

YAML and CSV hold the keys of a case file's `grease:` and `name`; they are read as strictly as a case file.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from pathlib import Path

from diag import yamltext
from diag.case.model import Grease
from diag.case.reader import read_tree
from diag.errors import Fault, InputError
from diag.knowledgebase import Knowledge
from diag.remedy.requirement import from_grease
from diag.shelf.claims import of_figures
from diag.shelf.label import read_label
from diag.shelf.lexicon import lexicon
from diag.shelf.model import UNITS, Sheet, Understood
from diag.yamltext import LARGEST, Node

__all__ = ["read_sheets"]

_KEY_OF = {"base_oil_type": "base_oil", "ep": "additives", "tack": "additives", "solid_lubricant": "additives",
           "rust_protection": "additives"}
_DELIMITERS = ",;\t"


def read_sheets(paths: Iterable[str], knowledge: Knowledge) -> tuple[Sheet, ...]:
    """The sheets of all files, in order. Raises InputError with every fault of the first faulty file."""
    return tuple(sheet for path in paths for sheet in _of_file(Path(path), knowledge))


def _of_file(path: Path, knowledge: Knowledge) -> tuple[Sheet, ...]:
    kind = path.suffix.casefold()
    if kind in (".yaml", ".yml"):
        return (_of_node(yamltext.read_file(path), str(path), path.stem, knowledge),)
    text = _text(path)
    if kind == ".csv":
        return _of_csv(text, str(path), knowledge)
    return (read_label(text, path.stem, knowledge),)


def _text(path: Path) -> str:
    """The text of a label or table. Raises InputError: one line says what is wrong with the file."""
    if path.is_dir():
        raise InputError(Fault("is a folder; name the sheet file", str(path)))
    try:
        with path.open("rb") as stream:
            raw = stream.read(LARGEST + 1)
    except FileNotFoundError:
        raise InputError(Fault("there is no such file", str(path))) from None
    except OSError as error:
        raise InputError(Fault(f"can't be read ({error.strerror})", str(path))) from None
    if len(raw) > LARGEST:
        raise InputError(Fault("is larger than 1 MiB; give the text of one label or table", str(path)))
    return _decoded(raw, path)


def _decoded(raw: bytes, path: Path) -> str:
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(Fault("is not UTF-8 text; save it as UTF-8", str(path))) from None
    if not text.strip() or "\0" in text:
        raise InputError(Fault("holds no text; type what the label says", str(path)))
    return text


def _of_node(node: Node, place: str, name: str, knowledge: Knowledge) -> Sheet:
    """A sheet of grease keys. Faults keep their line and lose the part of the key nobody typed."""
    keys = dict(node.value)
    named = keys.pop("name", None)
    typed = {key: _typed(child) for key, child in keys.items()}
    tree = Node({"point": Node({"kind": Node("rolling_bearing")}),
                 "grease": Node(keys, node.line, keys=node.keys)}, node.line)
    try:
        case = read_tree(tree, place, knowledge)
    except InputError as error:
        raise InputError(*(Fault(f.what, f.place, _own_key(f.key)) for f in error.faults)) from None
    return _sheet(case.grease, _typed(named) if named and named.value else name, typed, knowledge)


def _own_key(key: str) -> str:
    return "" if key == "grease" else key.removeprefix("grease.")


def _typed(node: Node) -> str:
    if isinstance(node.value, list):
        return ", ".join(_typed(item) for item in node.value)
    return str(node.value)


def _sheet(grease: Grease, name: str, typed: dict[str, str], knowledge: Knowledge) -> Sheet:
    stated = from_grease(grease)
    for property in ("viscosity_100", "viscosity_index"):
        if (value := getattr(grease, property)) is not None:
            stated[property] = value
    understood = tuple(Understood(property=p, value=v, unit=UNITS.get(p, ""), words=_words_of(p, typed))
                       for p, v in stated.items())
    claims = tuple(of_figures(understood, lexicon(knowledge).labels, knowledge))
    return Sheet(name=name, grease=grease, stated=stated, understood=understood, claims=claims, questions={})


def _words_of(property: str, typed: dict[str, str]) -> str:
    """What was typed under the key, or under the code where the code alone says it."""
    key = _KEY_OF.get(property, property)
    key = key if key in typed else "code"
    return f"{key}: {typed[key]}"


def _of_csv(text: str, place: str, knowledge: Knowledge) -> tuple[Sheet, ...]:
    """A grease a row under the header's keys; an empty cell is not stated, additives are parted by + , or ;"""
    header = text.lstrip().splitlines()[0]
    delimiter = max(_DELIMITERS, key=header.count)
    try:
        rows = list(csv.reader(io.StringIO(text.lstrip(), newline=""), delimiter=delimiter, strict=True))
    except csv.Error as error:
        raise InputError(Fault(f"is no table with a header row ({error})", place)) from None
    keys = [key.strip() for key in rows[0]]
    if twice := next((key for key in keys if keys.count(key) > 1), None):
        raise InputError(Fault(f"the header {twice} stands twice", f"{place}: row 1"))
    faults: list[Fault] = []
    sheets = []
    for number, row in enumerate(rows[1:], 2):
        try:
            if any(cell.strip() for cell in row):
                sheets.append(_of_row(keys, row, f"{place}: row {number}", f"row {number}", knowledge))
        except InputError as error:
            faults += error.faults
    if faults or not sheets:
        raise InputError(*(faults or [Fault("holds no grease under its header row", place)]))
    return tuple(sheets)


def _of_row(keys: list[str], row: list[str], place: str, name: str, knowledge: Knowledge) -> Sheet:
    if len(row) != len(keys):
        what = f"has {len(row)} cells under {len(keys)} headers; quote a cell that holds the separator"
        raise InputError(Fault(what, place))
    cells = {key: _cell(key, cell.strip()) for key, cell in zip(keys, row, strict=True) if cell.strip()}
    return _of_node(Node(cells), place, name, knowledge)


def _cell(key: str, cell: str) -> Node:
    if key != "additives":
        return Node(cell)
    return Node([Node(word.strip()) for word in cell.replace("+", ";").replace(",", ";").split(";") if word.strip()])
