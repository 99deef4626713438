"""A case as YAML for people, which reads back to an equal case, and how it gets onto the disk."""

from __future__ import annotations

import contextlib
import os
import secrets
import shutil
from dataclasses import MISSING, fields
from pathlib import Path
from typing import Any

import yaml

from diag import units
from diag.case.model import Case
from diag.errors import Fault, InputError

__all__ = ["replace_file", "save", "to_text"]

_WIDTH = 100


class _Plain(yaml.CSafeDumper):
    """Everything is text to us: yes, 000 and 1:30 stand without quotation marks, only null needs them."""

    yaml_implicit_resolvers = {  # noqa: RUF012  PyYAML declares it so
        first: [(tag, pattern) for tag, pattern in resolvers if tag.endswith((":null", ":merge"))]
        for first, resolvers in yaml.CSafeDumper.yaml_implicit_resolvers.items()
    }


def _text_node(dumper: Any, text: str) -> Any:
    """Several lines as a block, so that what a technician said stays readable."""
    return dumper.represent_scalar("tag:yaml.org,2002:str", text, style="|" if "\n" in text else None)


def _list_node(dumper: Any, items: list[str]) -> Any:
    return dumper.represent_sequence("tag:yaml.org,2002:seq", items, flow_style=True)


_Plain.add_representer(str, _text_node)
_Plain.add_representer(list, _list_node)


def to_text(case: Case) -> str:
    """YAML with the stated keys only, quantities in their canonical units; reads back to an equal case."""
    data = _section(case, case)
    return yaml.dump(data, Dumper=_Plain, allow_unicode=True, sort_keys=False, width=_WIDTH)


def save(path: str | Path, case: Case) -> None:
    """Write the case file whole or not at all. Errors: InputError when the place can't be written."""
    try:
        replace_file(Path(path), to_text(case).encode("utf-8"))
    except OSError as error:
        raise InputError(Fault(f"can't be written ({error.strerror})", str(path))) from None


def replace_file(path: Path, content: bytes) -> None:
    """Put `content` into the file: written beside it, forced to the disk, then renamed over it."""
    target = path.resolve()  # a link keeps pointing at the file that it names
    beside = target.with_name(f".{target.name}.{secrets.token_hex(4)}.part")
    try:
        with beside.open("xb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        if target.exists():
            shutil.copymode(target, beside)
        beside.replace(target)
    except BaseException:
        with contextlib.suppress(OSError):
            beside.unlink()
        raise


def _section(part: Any, case: Case) -> dict[str, Any]:
    """The stated keys of one section."""
    found = {}
    for f in fields(part):
        value = getattr(part, f.name)
        default = f.default if f.default_factory is MISSING else f.default_factory()
        if f.metadata["as"] != "aside" and value != default:
            found[f.name] = _plain(value, f.metadata, case)
    return found


def _plain(value: Any, known: Any, case: Case) -> Any:
    """A value as the text of the file."""
    kind = known["as"]
    if kind == "part":
        return _section(value, case)
    if kind == "quantity":
        return units.write(value, known["dimension"])
    if kind == "flag":
        return "yes" if value else "no"
    if kind == "words":
        return list(value)
    if kind == "readings":
        return {key: units.write(v, case.reading_dimensions.get(key, "number")) for key, v in value.items()}
    return dict(value) if kind == "degrees" else value
