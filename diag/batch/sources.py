"""Cases one after another out of CSV tables, JSON lines, YAML files and folders; faults beside the good ones."""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import IO, TYPE_CHECKING

from diag import standardinput, yamltext
from diag.batch.columns import check_header, nested
from diag.case import from_data, read_text
from diag.case.model import Case
from diag.errors import Fault, InputError
from diag.standardinput import STDIN

if TYPE_CHECKING:
    from diag.knowledgebase import Knowledge

__all__ = ["Item", "items"]

_YAML, _LINES, _TABLE = (".yaml", ".yml"), (".jsonl", ".ndjson"), (".csv", ".tsv")
_POINT = re.compile(rb"^point[ \t]*:", re.MULTILINE)  # what tells a case from other YAML in a folder
_SURROGATE = re.compile("[\udc80-\udcff]")  # what Python puts for bytes that are not UTF-8


@dataclass(frozen=True, slots=True)
class Item:
    """One case or the faults in its place. `row`: 1 is the header of a table or the first line; 0: the whole file."""

    file: str
    row: int
    case: Case | None
    faults: tuple[Fault, ...] = ()

    @property
    def place(self) -> str:
        return f"{self.file}:{self.row}" if self.row else self.file


def items(names: Sequence[str], knowledge: Knowledge) -> Iterator[Item]:
    """All cases of the files and folders named, in that order; `-` is JSON lines on standard input.

    What is wrong with a name or with the header of a table is found before the first case is read.
    Errors: InputError. Cost: one row or file in memory at a time.
    """
    sources = [(name, _files(name)) for name in names]
    for name, files in sources:
        for path in files:
            if path.suffix.casefold() in _TABLE:
                with _opened(path) as stream:
                    check_header(_header(csv.reader(stream, delimiter=_delimiter(stream)), path), str(path), knowledge)
        if not files and name != "-":
            raise InputError(Fault("no case files here; a YAML file with point: at its margin is one", name))
    return (item for name, files in sources for item in _of_source(name, files, knowledge))


def _files(name: str) -> list[Path]:
    path = Path(name)
    if name == "-":
        return []
    if path.is_dir():
        found = (p for p in sorted(path.rglob("*")) if p.suffix.casefold() in _YAML and not p.name.startswith("."))
        return [p for p in found if p.is_file() and _POINT.search(yamltext.file_bytes(p, str(p)))]
    if not path.exists():
        raise InputError(Fault("no such file or folder", name))
    if path.suffix.casefold() not in (*_YAML, *_LINES, *_TABLE):
        raise InputError(Fault("is no kind of file read here; give .csv, .tsv, .jsonl, .yaml or a folder", name))
    return [path]


def _of_source(name: str, files: Sequence[Path], knowledge: Knowledge) -> Iterator[Item]:
    if name == "-":
        yield from _lines(standardinput.stream(), STDIN, knowledge)
    for path in files:
        kind = path.suffix.casefold()
        if kind in _YAML:
            yield _yaml(path, knowledge)
        elif kind in _TABLE:
            yield from _rows(path, knowledge)
        else:
            with path.open("rb") as stream:
                yield from _lines(stream, str(path), knowledge)


# -- YAML


def _yaml(path: Path, knowledge: Knowledge) -> Item:
    try:
        return Item(str(path), 0, read_text(yamltext.file_bytes(path, str(path)), str(path), knowledge))
    except InputError as fault:
        return Item(str(path), 0, None, fault.faults)


# -- JSON lines


def _lines(stream: IO[bytes], name: str, knowledge: Knowledge) -> Iterator[Item]:
    for number, line in enumerate(_short(stream), 1):
        if line.strip():
            yield _line(line, name, number, knowledge)


def _short(stream: IO[bytes]) -> Iterator[bytes]:
    """Lines, each cut one byte over what a case may have, so that memory stays flat."""
    while line := stream.readline(yamltext.LARGEST + 1):
        rest = line
        while len(rest) > yamltext.LARGEST and not rest.endswith(b"\n"):
            rest = stream.readline(yamltext.LARGEST + 1)
        yield line


def _line(line: bytes, name: str, number: int, knowledge: Knowledge) -> Item:
    place = f"{name}:{number}"
    try:
        if len(line) > yamltext.LARGEST:
            raise InputError(Fault("is over 1 MiB; a case is a page of text", place))
        return Item(name, number, from_data(_object(line, place), place, knowledge))
    except InputError as fault:
        return Item(name, number, None, fault.faults)


def _object(line: bytes, place: str) -> dict[str, object]:
    try:
        found = json.loads(line, object_pairs_hook=_unique)
    except UnicodeDecodeError:
        raise InputError(Fault("is not UTF-8 text", place)) from None
    except (ValueError, RecursionError) as error:
        raise InputError(Fault(f"is no JSON ({error}); give one object on one line", place)) from None
    if not isinstance(found, dict):
        raise InputError(Fault("must be an object of keys such as point and grease", place))
    return found


def _unique(pairs: Iterable[tuple[str, object]]) -> dict[str, object]:
    found: dict[str, object] = {}
    for key, value in pairs:
        if key in found:
            raise ValueError(f"the key {key!r} is there twice")
        found[key] = value
    return found


# -- CSV


def _opened(path: Path) -> IO[str]:
    try:
        return path.open(encoding="utf-8-sig", errors="surrogateescape", newline="")
    except OSError as error:
        raise InputError(Fault(f"can't be read ({error.strerror})", str(path))) from None


def _delimiter(stream: IO[str]) -> str:
    """What separates the cells: the commonest of comma, semicolon and tab in the header."""
    head = stream.readline(yamltext.LARGEST)
    stream.seek(0)
    return max(",;\t", key=head.count)


def _header(rows: Iterator[list[str]], path: Path) -> list[str]:
    try:
        return [cell.strip() for cell in next(rows)]
    except StopIteration:
        raise InputError(Fault("is empty; `diag batch --template` prints a header", str(path))) from None
    except csv.Error as error:
        raise InputError(Fault(f"can't be read as CSV ({error})", f"{path}:1")) from None


def _rows(path: Path, knowledge: Knowledge) -> Iterator[Item]:
    """Rows are counted as a spreadsheet counts them: a cell of several lines is still one row."""
    with _opened(path) as stream:
        rows = csv.reader(stream, delimiter=_delimiter(stream), strict=True)
        header, number = _header(rows, path), 1
        while True:
            number += 1
            try:
                cells = next(rows)
            except StopIteration:
                return
            except csv.Error as error:
                broken = f"can't be read as CSV ({error}); an unpaired quotation mark may hide rows below"
                yield Item(str(path), number, None, (Fault(broken, f"{path}:{number}"),))
                continue
            if any(cell.strip() for cell in cells):
                yield _row(header, cells, str(path), number, knowledge)


def _row(header: Sequence[str], cells: Sequence[str], name: str, number: int, knowledge: Knowledge) -> Item:
    place = f"{name}:{number}"
    if len(cells) != len(header):
        counted = f"has {len(cells)} cells where the header has {len(header)}; put text that holds a comma in quotes"
        return Item(name, number, None, (Fault(counted, place),))
    row = dict(zip(header, cells, strict=True))
    odd = tuple(Fault("is not UTF-8 text; save the table as UTF-8", place, c)
                for c, cell in row.items() if _SURROGATE.search(cell))
    if odd:
        return Item(name, number, None, odd)
    try:
        return Item(name, number, from_data(nested(row), place, knowledge))
    except InputError as fault:
        return Item(name, number, None, fault.faults)
