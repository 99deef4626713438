"""Plain YAML as plain data, in half the time of PyYAML's own constructor and with fewer surprises.

libyaml parses; the few kinds of scalars that knowledge files need are told apart here: true, false, null and
decimal numbers. `yes`, `1:30`, `2024-05-01` and `007`, which YAML 1.1 would turn into something else, stay text.
"""

from __future__ import annotations

from typing import Any

import yaml
from yaml._yaml import CParser

__all__ = ["parse"]

WORDS = {"": None, "~": None, "null": None, "true": True, "false": False}
NUMBER_STARTS = frozenset("+-.0123456789")


class _Parser(CParser):
    """libyaml's composer without PyYAML's guessing of tags, which takes a third of the time."""

    def resolve(self, kind: Any, value: Any, implicit: Any) -> str:
        return ""

    def descend_resolver(self, parent: Any, index: Any) -> None:
        """Nothing to keep track of."""

    def ascend_resolver(self) -> None:
        """Nothing to keep track of."""


def parse(text: str) -> Any:
    """The data of one YAML document.

    Raises yaml.YAMLError, with the line, for what is no YAML, a key given twice, or a tag.
    """
    node = _Parser(text).get_single_node()
    return None if node is None else _value(node)


def _value(node: Any) -> Any:
    if node.tag:
        raise _fault(node, f"the tag {node.tag} has no place here")
    if isinstance(node, yaml.ScalarNode):
        return node.value if node.style else _plain(node.value)
    if isinstance(node, yaml.SequenceNode):
        return [_value(item) for item in node.value]
    return _mapping(node)


def _mapping(node: Any) -> dict[Any, Any]:
    found: dict[Any, Any] = {}
    for key, item in node.value:
        if not isinstance(key, yaml.ScalarNode):
            raise _fault(key, "a key must be a word")
        name = _value(key)
        if name in found:
            first = next(k for k, _ in node.value if _value(k) == name).start_mark.line + 1
            raise _fault(key, f"the key {name} stands twice, first in line {first}")
        found[name] = _value(item)
    return found


def _plain(text: str) -> Any:
    """A scalar without quotes: a word of WORDS, a number, else text."""
    if text in WORDS:
        return WORDS[text]
    if text[0] not in NUMBER_STARTS or (text[0] == "0" and text[1:].isdigit()):
        return text
    for number in (int, float):
        try:
            return number(text)
        except ValueError:
            continue
    return text


def _fault(node: Any, problem: str) -> yaml.MarkedYAMLError:
    return yaml.MarkedYAMLError(None, None, problem, node.start_mark)
