"""A log file as people have it, as rows of cells: encoding, separator, lines before the header."""

from __future__ import annotations

import csv
import re
from collections import Counter
from dataclasses import dataclass

from diag.errors import Fault, InputError

__all__ = ["LARGEST", "Table", "decode", "split"]

LARGEST = 64 * 2**20  # bytes
_SEPARATORS = {";": "semicolon", "\t": "tab", "|": "bar", ",": "comma"}  # comma last: it may be a decimal comma
_MARKS = ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"), (b"\xef\xbb\xbf", "utf-8-sig"))
_DIGIT = re.compile(r"\d")
_MOST_RAGGED = 0.05  # share of rows with too many cells that is still taken for slips


@dataclass(frozen=True)
class Table:
    """Header (empty: none), rows of equal width with their line numbers, and how they were read."""

    name: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...]
    notes: tuple[str, ...]
    ragged: int

    def column(self, index: int) -> list[str]:
        return [row[index] for row in self.rows]


def decode(raw: bytes, name: str) -> tuple[str, str]:
    """The text of a file and the encoding when it isn't UTF-8. Errors: InputError for what is no text."""
    if not raw.strip():
        raise InputError(Fault("the file is empty; a header line and rows of time and temperature are wanted", name))
    if len(raw) > LARGEST:
        raise InputError(Fault(f"is over {LARGEST // 2**20} MiB; cut it to the weeks around the event", name))
    marked = next((encoding for mark, encoding in _MARKS if raw.startswith(mark)), "")
    try:
        text = raw.decode(marked or "utf-8")
        note = f"read as {marked.upper()}" if marked == "utf-16" else ""
    except UnicodeDecodeError:
        text, note = raw.decode("cp1252", "replace"), "not UTF-8: read as Windows text (code page 1252)"
    if "\0" in text:
        raise InputError(Fault("is no text table; save it as CSV from the logger or the spreadsheet", name))
    return text, note


def split(text: str, name: str) -> Table:
    """Rows and header of a table. Errors: InputError when there are no columns or too many ragged rows."""
    lines = text.splitlines()
    separator, width = _separator(lines, name)
    cells = [(n, _row(line, separator)) for n, line in enumerate(lines, 1) if line.strip()]
    first = next((k for k, (_, row) in enumerate(cells) if _is_data(row, width)), None)
    if first is None:
        raise InputError(Fault("no row holds a time and a number side by side", name))
    above = [row for _, row in cells[:first] if len(row) >= 2 and not _DIGIT.search(row[0])]
    header = _fitted(above[-1], width) if above else None
    kept = [(n, fitted) for n, row in cells[first:] if (fitted := _fitted(row, width)) is not None]
    ragged = len(cells) - first - len(kept)
    if ragged > _MOST_RAGGED * len(cells):
        bad = next(n for n, row in cells[first:] if _fitted(row, width) is None)
        raise InputError(Fault(f"has more cells than the {width} columns; is the separator also the decimal mark?",
                               f"{name}:{bad}"))
    note = f"columns separated by {_SEPARATORS[separator]}"
    return Table(name, tuple(header or ()), tuple(tuple(r) for _, r in kept), tuple(n for n, _ in kept), (note,),
                 ragged)


def _separator(lines: list[str], name: str) -> tuple[str, int]:
    """The separator that cuts most lines into one number of columns, and that number."""
    found = []
    for separator in _SEPARATORS:
        counts = Counter(len(_row(line, separator)) for line in lines[:2000] if separator in line)
        if counts:
            width, times = counts.most_common(1)[0]
            found.append((times, separator, width))
    if not found:
        raise InputError(Fault("has one column only; time and temperature in two columns are wanted, separated by "
                               "comma, semicolon or tab", name))
    # Of two that cut nearly as many lines the earlier counts: a comma in every row may be a decimal comma.
    best = max(times for times, _, _ in found)
    times, separator, width = next(f for f in found if f[0] >= 0.8 * best)
    return separator, width


def _row(line: str, separator: str) -> list[str]:
    return [cell.strip() for cell in next(csv.reader([line], delimiter=separator, skipinitialspace=True))]


def _is_data(row: list[str], width: int) -> bool:
    """A row of full width whose first cell holds a digit, and another cell is a number."""
    full = len(row) >= max(2, width - 1)
    return full and bool(_DIGIT.search(row[0])) and any(re.match(r"[-+−]?[\d.,]+\s*\D{0,4}$", c) for c in row[1:])


def _fitted(row: list[str], width: int) -> list[str] | None:
    """The row with `width` cells: short ones filled up, empty cells at the end cut off; None when it has more."""
    if any(row[width:]):
        return None
    return (row + [""] * width)[:width]
