"""Strict YAML: a tree of text with source positions, one clear fault for anything out of the ordinary.

Scalars stay text, because YAML 1.1 turns `000` into 0, `yes` into a truth value and `1:30` into 90. The
events of PyYAML's C parser are read one by one, so that neither deep nesting nor aliases can cost memory.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from diag.errors import Fault, InputError

__all__ = ["DEEPEST", "LARGEST", "Node", "file_bytes", "from_data", "read", "read_file", "to_data"]

LARGEST = 1_048_576  # bytes in a document
DEEPEST = 20  # levels of nesting

_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff\ufffe\uffff]")
_NULLS = frozenset({"", "~", "null", "Null", "NULL"})
_TOO_DEEP = f"is nested deeper than {DEEPEST} levels"
_EMPTY = "the document is empty; give at least point: {kind: rolling_bearing}"
_TOP = "the document must be a mapping of keys such as point and grease"
# libyaml's words for a fault (left) say little to someone who has never read the YAML standard.
_PLAIN_WORDS = {
    "mapping values are not allowed in this context":
        "a colon stands where none can be; check the indentation, or put the text in quotes",
    "found character that cannot start any token":
        "a tab or special character begins a value; indent with spaces, or put the text in quotes",
    "found unexpected end of stream": "a quotation mark is never closed",
    "could not find expected ':'": "a colon is missing after a key",
    "did not find expected key": "a key is missing or the indentation doesn't match the lines above",
    "did not find expected ',' or ']'": "a list isn't closed; a comma or ] is missing",
    "did not find expected ',' or '}'": "a mapping isn't closed; a comma or } is missing",
    "did not find expected <document start>": "text follows after the end of the document",
    "found unknown escape character": "a backslash in double quotes is no known escape; use single quotes",
}


@dataclass(slots=True)
class Node:
    """A value and where it stands: 1-based line and column, 0 when it came from data.

    `value` is a dict of nodes, a list of nodes, text, a number (from data only) or None for null.
    `keys` gives the line of each key of a mapping.
    """

    value: Any
    line: int = 0
    column: int = 0
    quoted: bool = False
    keys: dict[str, int] = field(default_factory=dict)


def read_file(path: str | Path, name: str | None = None) -> Node:
    """The tree of a YAML file. Errors: InputError for a missing, unreadable, too large or malformed file."""
    shown = name or str(path)
    return read(file_bytes(path, shown), shown)


def file_bytes(path: str | Path, shown: str) -> bytes:
    """The content of a file, one byte over `LARGEST` at most. Errors: InputError when it can't be read."""
    try:
        with Path(path).open("rb") as stream:
            return stream.read(LARGEST + 1)
    except IsADirectoryError:
        raise InputError(Fault("is a folder; give a file", shown)) from None
    except FileNotFoundError:
        raise InputError(Fault("no such file", shown)) from None
    except (OSError, ValueError) as error:
        raise InputError(Fault(f"can't be read ({_reason(error)})", shown)) from None


def read(text: str | bytes, name: str) -> Node:
    """The tree of one YAML document whose top is a mapping.

    Errors: InputError with one Fault, placed `name:line`, for duplicate keys, anchors, aliases, tags, more
    than one document, nesting over 20 levels, over 1 MiB, non-UTF-8, control characters, a syntax error.
    """
    _check_size(text, name)
    clean = _decode(text, name) if isinstance(text, bytes) else text.removeprefix("\ufeff")
    _check_characters(clean, name)
    return _Builder(name).build(clean)


def from_data(data: object, name: str = "") -> Node:
    """The tree of a JSON object: truth values become yes and no, numbers stay numbers.

    Errors: InputError for another top than an object, keys that aren't text, nesting over 20 levels,
    numbers that aren't finite, control characters.
    """
    if not isinstance(data, Mapping):
        raise InputError(Fault("must be an object of keys such as point and grease", name))
    return _data_node(data, name, 0)


def to_data(node: Node) -> Any:
    """The plain mappings, lists and scalars of a tree, without their places."""
    if isinstance(node.value, dict):
        return {key: to_data(child) for key, child in node.value.items()}
    if isinstance(node.value, list):
        return [to_data(child) for child in node.value]
    return node.value


def _reason(error: Exception) -> str:
    return getattr(error, "strerror", None) or "not a file name"


def _check_size(text: str | bytes, name: str) -> None:
    size = len(text) if isinstance(text, bytes) else len(text.encode("utf-8", "replace"))
    if size > LARGEST:
        raise InputError(Fault("is over 1 MiB; a case is a page of text", name))


def _decode(data: bytes, name: str) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise InputError(Fault("is not UTF-8 text; save the file as UTF-8", f"{name}:{line}")) from None


def _check_characters(text: str, name: str) -> None:
    found = _CONTROL.search(text)
    if found:
        line = text.count("\n", 0, found.start()) + 1
        raise InputError(Fault(_control_words(found.group()), f"{name}:{line}"))


def _control_words(character: str) -> str:
    return f"holds the control character U+{ord(character):04X}; remove it"


def _data_node(data: object, name: str, depth: int) -> Node:
    """One value of JSON data; recursion is bounded by DEEPEST."""
    if depth > DEEPEST:
        raise InputError(Fault(_TOO_DEEP, name))
    if isinstance(data, Mapping):
        for key in data:
            if not isinstance(key, str):
                raise InputError(Fault(f"the key {key!r} must be text", name))
        return Node({key: _data_node(data[key], name, depth + 1) for key in data})
    if isinstance(data, (list, tuple)):
        return Node([_data_node(item, name, depth + 1) for item in data])
    return Node(_data_scalar(data, name), quoted=isinstance(data, str))


def _data_scalar(data: object, name: str) -> str | float | None:
    if data is None:
        return None
    if isinstance(data, bool):
        return "yes" if data else "no"
    if isinstance(data, (int, float)):
        return _finite(data, name)
    if isinstance(data, str):
        found = _CONTROL.search(data.replace("\r\n", "\n"))
        if found:
            raise InputError(Fault(_control_words(found.group()), name))
        return data.replace("\r\n", "\n")
    raise InputError(Fault(f"{type(data).__name__} is no JSON value", name))


def _finite(number: float, name: str) -> float:
    try:
        finite = math.isfinite(number)
    except OverflowError:  # an integer beyond the range of a float
        finite = False
    if not finite:
        raise InputError(Fault("a number is too large or not a number", name))
    return number


class _Builder:
    """Builds the tree from parser events with a stack of open collections: no recursion."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.root: Node | None = None
        self.documents = 0
        self.stack: list[Node] = []
        self.pending: list[tuple[str, int] | None] = []  # key that waits for its value, per open collection

    def build(self, text: str) -> Node:
        try:
            for event in yaml.parse(text, Loader=yaml.CSafeLoader):
                self._take(event)
        except yaml.YAMLError as error:
            raise self._syntax(error) from None
        if self.root is None or self.root.value is None:
            raise InputError(Fault(_EMPTY, self.name))
        if not isinstance(self.root.value, dict):
            raise self._fault(_TOP, self.root.line)
        return self.root

    def _take(self, event: Any) -> None:
        line, column = event.start_mark.line + 1, event.start_mark.column + 1
        self._refuse_extras(event, line)
        if isinstance(event, yaml.ScalarEvent):
            self._scalar(event, line)
        elif isinstance(event, yaml.CollectionStartEvent):
            empty: dict[str, Node] | list[Node] = {} if isinstance(event, yaml.MappingStartEvent) else []
            self._open(Node(empty, line, column))
        elif isinstance(event, yaml.CollectionEndEvent):
            self.stack.pop()
            self.pending.pop()

    def _refuse_extras(self, event: Any, line: int) -> None:
        if isinstance(event, yaml.DocumentStartEvent):
            self.documents += 1
            if self.documents > 1:
                raise self._fault("a second document starts here; one file holds one case", line)
        if isinstance(event, yaml.AliasEvent):
            raise self._fault(f"the alias *{event.anchor} is not allowed; write the value out", line)
        if getattr(event, "anchor", None):
            raise self._fault(f"the anchor &{event.anchor} is not allowed; write the value out", line)
        if getattr(event, "tag", None):
            tag = event.tag.replace("tag:yaml.org,2002:", "!!")
            raise self._fault(f"the tag {tag} is not allowed; write plain values", line)

    def _scalar(self, event: Any, line: int) -> None:
        found = _CONTROL.search(event.value)
        if found:
            raise self._fault(_control_words(found.group()), line)
        quoted = not event.implicit[0]
        if self._wants_key():
            self._key(event.value, line)
        else:
            value = None if not quoted and event.value in _NULLS else event.value
            self._add(Node(value, line, event.start_mark.column + 1, quoted))

    def _wants_key(self) -> bool:
        return bool(self.stack) and isinstance(self.stack[-1].value, dict) and self.pending[-1] is None

    def _key(self, key: str, line: int) -> None:
        if not key:
            raise self._fault("a key is empty; give its name before the colon", line)
        keys = self.stack[-1].keys
        if key in keys:
            raise self._fault(f"the key {key} stands twice, first in line {keys[key]}; keep one", line)
        keys[key] = line
        self.pending[-1] = (key, line)

    def _open(self, node: Node) -> None:
        if self._wants_key():
            raise self._fault("a key must be plain text, not a list or mapping", node.line)
        if len(self.stack) >= DEEPEST:
            raise self._fault(_TOO_DEEP, node.line)
        self._add(node)
        self.stack.append(node)
        self.pending.append(None)

    def _add(self, node: Node) -> None:
        if not self.stack:
            self.root = node
            return
        parent, waiting = self.stack[-1].value, self.pending[-1]
        if waiting is not None:
            parent[waiting[0]] = node
            self.pending[-1] = None
        else:
            parent.append(node)

    def _fault(self, what: str, line: int) -> InputError:
        return InputError(Fault(what, f"{self.name}:{line}"))

    def _syntax(self, error: yaml.YAMLError) -> InputError:
        mark = getattr(error, "problem_mark", None)
        problem = getattr(error, "problem", None) or "it can't be read"
        if problem == "exceeded maximum nesting depth":  # libyaml looks ahead and has a limit of its own
            return self._fault(_TOO_DEEP, mark.line + 1 if mark else 1)
        words = _PLAIN_WORDS.get(problem, problem)
        return self._fault(f"is no valid YAML: {words}", mark.line + 1 if mark else 1)
