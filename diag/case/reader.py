"""A tree of text to a Case: walks the fields of the model, collects every fault, each with its place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import TYPE_CHECKING, Any

from diag import units
from diag.case import contradictions, legal
from diag.case.model import DEGREES, Case
from diag.case.words import find
from diag.errors import Fault, InputError
from diag.numbertext import quoted
from diag.wordtext import joined
from diag.yamltext import Node

if TYPE_CHECKING:
    from diag.knowledgebase import Knowledge

__all__ = ["read_tree"]

_UNKNOWN = frozenset({"", "unknown"})
_FLAGS = {"yes": True, "true": True, "no": False, "false": False}
_DEGREE_WORDS = {"true": "yes", "false": "no"}


def read_tree(node: Node, name: str, knowledge: Knowledge) -> Case:
    """The case of a tree. Errors: InputError with all faults, in the order of their lines."""
    return _Reader(name, knowledge).case(node)


@dataclass(slots=True)
class _Reader:
    """One reading: the faults found so far, the line of each key path, what was assumed."""

    name: str
    knowledge: Knowledge
    faults: list[tuple[int, Fault]] = field(default_factory=list)
    lines: dict[str, int] = field(default_factory=dict)
    assumed: list[str] = field(default_factory=list)
    dimensions: dict[str, str] = field(default_factory=dict)

    def case(self, node: Node) -> Case:
        self.lines[""] = node.line
        values = self._values(Case, node, "")
        case = Case(**values, assumed=tuple(self.assumed), reading_dimensions=self.dimensions)
        self._check_kind(case)
        for clash in contradictions.find(case):
            self._fault(clash.key, clash.what)
        if self.faults:
            raise InputError(*(fault for _, fault in sorted(self.faults, key=lambda f: f[0])))
        return case

    def _fault(self, path: str, what: str, line: int | None = None) -> None:
        at = self._line(path) if line is None else line
        self.faults.append((at, Fault(what, f"{self.name}:{at}" if at else self.name, path)))

    def _line(self, path: str) -> int:
        """Line of the key, or of the nearest section around it that stands in the file."""
        while path and path not in self.lines:
            path = path.rpartition(".")[0]
        return self.lines.get(path, 0)

    def _values(self, cls: Any, node: Node, path: str) -> dict[str, Any]:
        """Values of the known keys of a mapping; a fault for each unknown one."""
        known = {f.name: f.metadata for f in fields(cls) if f.metadata["as"] != "aside"}
        found: dict[str, Any] = {}
        for key, child in node.value.items():
            below = f"{path}.{key}" if path else key
            self.lines[below] = node.keys.get(key, 0)
            if key in known:
                found[key] = self._value(known[key], child, below)
            else:
                what = legal.unknown_key(key, _is_empty(child), tuple(known), self.knowledge)
                self._fault(path, what, self.lines[below])
        return {key: value for key, value in found.items() if value is not None}

    def _value(self, known: Mapping[str, Any], node: Node, path: str) -> Any:
        """A value by its kind; None where it is unknown or faulty."""
        if _is_unknown(node):
            return None
        try:
            return getattr(self, f"_{known['as']}")(known, node, path)
        except InputError as error:
            self._fault(path, error.faults[0].what)
            return None

    def _part(self, known: Mapping[str, Any], node: Node, path: str) -> Any:
        self._require_mapping(node, [f.name for f in fields(known["class"])])
        return known["class"](**self._values(known["class"], node, path))

    def _text(self, known: Mapping[str, Any], node: Node, path: str) -> str:
        return _scalar(node).strip()

    def _flag(self, known: Mapping[str, Any], node: Node, path: str) -> bool:
        typed = _scalar(node)
        if typed.strip().casefold() not in _FLAGS:
            raise InputError(f"{quoted(typed)} is neither yes nor no; give yes, no or unknown")
        return _FLAGS[typed.strip().casefold()]

    def _quantity(self, known: Mapping[str, Any], node: Node, path: str) -> float:
        return self._number(node, path, known)

    def _number(self, node: Node, path: str, known: Mapping[str, Any]) -> float:
        """A number in the canonical unit; numbers of JSON are in it already."""
        dimension = known["dimension"]
        if isinstance(node.value, (int, float)):
            value = units.check(float(node.value), dimension)
        else:
            value, note = units.parse_noting(_scalar(node), dimension, known.get("at", 40.0))
            self.assumed += [f"{path}: {note}"] if note else []
        legal.check_bounds(value, _scalar(node), known)
        return value

    def _word(self, known: Mapping[str, Any], node: Node, path: str) -> str:
        return self._one_word(_scalar(node), known)

    def _words(self, known: Mapping[str, Any], node: Node, path: str) -> tuple[str, ...]:
        """A list of words, or one word alone; unknown ones are left out, repeated ones count once."""
        items = node.value if isinstance(node.value, list) else [node]
        found: dict[str, None] = {}
        for item in items:
            if not _is_unknown(item):
                self._add_word(item, known, path, found)
        return tuple(found)

    def _add_word(self, item: Node, known: Mapping[str, Any], path: str, found: dict[str, None]) -> None:
        try:
            found[self._one_word(_scalar(item), known)] = None
        except InputError as error:
            self._fault(path, error.faults[0].what, item.line)

    def _one_word(self, typed: str, known: Mapping[str, Any]) -> str:
        synonyms = self.knowledge.synonyms.get(known.get("synonyms", ""), {})
        word = find(typed, known["legal"], synonyms)
        if word is None:
            raise InputError(legal.unknown_word(typed, known["legal"], synonyms))
        return word

    def _sign(self, known: Mapping[str, Any], node: Node, path: str) -> str:
        return self._sign_id(_scalar(node).strip())

    def _sign_id(self, typed: str) -> str:
        if typed not in self.knowledge.signs:
            raise InputError(legal.unknown_sign(typed, self.knowledge))
        return typed

    def _degrees(self, known: Mapping[str, Any], node: Node, path: str) -> dict[str, str]:
        """Sign id → degree. A sign without one was asked for and left open: unknown."""
        self._require_mapping(node, ["a sign and its degree (yes, probably, unknown, probably_not, no)"])
        found: dict[str, str] = {}
        for sign, child in node.value.items():
            self.lines[f"{path}.{sign}"] = node.keys.get(sign, 0)
            try:
                found[self._sign_id(sign)] = "unknown" if _is_unknown(child) else _degree(_scalar(child))
            except InputError as error:
                self._fault(f"{path}.{sign}", error.faults[0].what)
        return found

    def _readings(self, known: Mapping[str, Any], node: Node, path: str) -> dict[str, float]:
        self._require_mapping(node, ["a reading and its value"])
        found: dict[str, float] = {}
        for key, child in node.value.items():
            below = f"{path}.{key}"
            self.lines[below] = node.keys.get(key, 0)
            try:
                value = self._reading(key, child, path)
            except InputError as error:
                self._fault(below, error.faults[0].what)
            else:
                found |= {} if value is None else {key: value}
        return found

    def _reading(self, key: str, node: Node, where: str) -> float | None:
        """One entry of `measured` or `lab`, in the unit its record names."""
        record = self.knowledge.readings.get(key)
        if record is None or record.where != where:
            raise InputError(legal.unknown_reading(key, where, self.knowledge))
        if _is_unknown(node):
            return None
        self.dimensions[key] = record.dimension
        known = {"dimension": record.dimension, "least": record.least, "most": record.most}
        return self._number(node, f"{where}.{key}", known)

    def _require_mapping(self, node: Node, keys: list[str]) -> None:
        if not isinstance(node.value, dict):
            raise InputError(f"must be a mapping of {joined(keys, 'or')}")

    def _check_kind(self, case: Case) -> None:
        """The one required key, and that each sign is one of this kind of point."""
        kind = case.point.kind
        if not kind:
            if "point.kind" not in {fault.key for _, fault in self.faults}:
                self._fault("point.kind", legal.KIND_MISSING)
            return
        stated = {f"seen.{sign}": sign for sign in case.seen}
        if case.history.first_noticed:
            stated["history.first_noticed"] = case.history.first_noticed
        for path, sign in stated.items():
            kinds = legal.kinds_of_sign(sign, self.knowledge)
            if kind not in kinds:
                self._fault(path, f"no sign of a {kind}; it belongs to {joined(kinds, 'or')}")


def _is_empty(node: Node) -> bool:
    return node.value in (None, "")


def _is_unknown(node: Node) -> bool:
    value = node.value
    return value is None or (isinstance(value, str) and value.strip().casefold() in _UNKNOWN)


def _scalar(node: Node) -> str:
    """The value as text. Errors: InputError for a list or a mapping."""
    value = node.value
    if isinstance(value, (dict, list)):
        raise InputError(f"must be one value, not a {'mapping' if isinstance(value, dict) else 'list'}")
    if isinstance(value, float) and value.is_integer():
        return str(int(value))  # a JSON 2.0 means NLGI grade 2
    return str(value)


def _degree(typed: str) -> str:
    word = _DEGREE_WORDS.get(typed.strip().casefold()) or find(typed, DEGREES, {})
    if word is None:
        raise InputError(f"{quoted(typed)} is no degree; give {joined(DEGREES, 'or')}")
    return word
