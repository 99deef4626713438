"""All faults of one document against its structure, each with its path; taken only after a failure."""

from __future__ import annotations

import types
from collections.abc import Iterator
from typing import Any, Literal, Union, get_args, get_origin

import msgspec
from rapidfuzz import process

__all__ = ["Path", "faults_of", "show_path"]

Path = tuple[str | int, ...]


def faults_of(value: Any, wanted: Any, path: Path = ()) -> Iterator[tuple[Path, str]]:
    """Path and words of each place where `value` doesn't fit the type `wanted`; nothing when it fits."""
    if isinstance(wanted, type) and issubclass(wanted, msgspec.Struct):
        yield from _record_faults(value, wanted, path)
    elif get_origin(wanted) is tuple and get_args(wanted)[-1] is Ellipsis and isinstance(value, list):
        for at, item in enumerate(value):
            yield from faults_of(item, get_args(wanted)[0], (*path, at))
    elif get_origin(wanted) is dict and isinstance(value, dict):
        yield from _table_faults(value, wanted, path)
    else:
        yield from _leaf_faults(value, wanted, path)


def show_path(path: Path) -> str:
    """`produces[2].chance`"""
    return "".join(f"[{p}]" if isinstance(p, int) else f".{p}" for p in path).lstrip(".")


def _record_faults(value: Any, wanted: type[msgspec.Struct], path: Path) -> Iterator[tuple[Path, str]]:
    if not isinstance(value, dict):
        yield path, f"found {_shown(value)}; expected the keys of {wanted.__name__}"
        return
    fields = {f.encode_name: f for f in msgspec.structs.fields(wanted)}
    for key in value.keys() - fields.keys():
        near = process.extractOne(str(key), list(fields), score_cutoff=60)
        meant = f"did you mean {near[0]}?" if near else f"legal: {', '.join(fields)}"
        yield (*path, str(key)), f"unknown key {key}; {meant}"
    for name, field in fields.items():
        if name in value:
            yield from faults_of(value[name], field.type, (*path, name))
        elif field.required:
            yield path, f"the key {name} is missing; expected {_type_words(field.type)}"


def _table_faults(value: dict[Any, Any], wanted: Any, path: Path) -> Iterator[tuple[Path, str]]:
    key_type, item_type = get_args(wanted)
    for key, item in value.items():
        yield from _leaf_faults(key, key_type, (*path, str(key)))
        yield from faults_of(item, item_type, (*path, str(key)))


def _leaf_faults(value: Any, wanted: Any, path: Path) -> Iterator[tuple[Path, str]]:
    try:
        msgspec.convert(value, wanted)
    except msgspec.ValidationError:
        yield path, f"found {_shown(value)}; expected {_type_words(wanted)}"


def _shown(value: Any) -> str:
    text = "nothing" if value is None else repr(value)
    return text if len(text) <= 60 else f"{text[:57]}..."


def _type_words(wanted: Any) -> str:
    """A type in a reader's words: `text`, `a number`, `one of running, stopped`."""
    plain = {str: "text", float: "a number", int: "a whole number", bool: "true or false",
             type(None): "nothing"}
    origin, args = get_origin(wanted), get_args(wanted)
    if wanted in plain:
        return plain[wanted]
    if origin is Literal:
        return f"one of {', '.join(map(str, args))}"
    if origin in (Union, types.UnionType):
        return " or ".join(_type_words(a) for a in args)
    if origin is tuple:
        return f"a list of {_type_words(args[0])}"
    return f"a table of {_type_words(args[1])}" if origin is dict else f"a {wanted.__name__}"
