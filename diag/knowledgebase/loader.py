"""Reads the knowledge folder: fast when all is well, and on a fault slowly and with every place named.

libyaml and msgspec take about half a millisecond a file. Only when a file doesn't fit is it read again by the
strict reader, which knows lines.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import msgspec
import yaml

from diag.errors import Fault, InputError, KnowledgeError
from diag.knowledgebase import decision, greases, model, phrases, rules
from diag.knowledgebase.knowledge import Knowledge
from diag.knowledgebase.yamlfast import parse

if TYPE_CHECKING:
    from diag.knowledgebase.faults import Path as KeyPath
    from diag.yamltext import Node

__all__ = ["data_folder", "load", "sayings", "standard"]

T = TypeVar("T")
_LATER = ("standards/", "sayings/")  # read on first use


class _Looks(model.Record, frozen=True):
    """One file of questions."""

    topic: str
    questions: tuple[model.Question, ...]


def data_folder() -> Path:
    """The knowledge that came with the program: inside the package, else beside it in the work tree."""
    carried = Path(__file__).parents[1] / "_data" / "knowledge"
    return carried if carried.is_dir() else Path(__file__).parents[2] / "knowledge"


@dataclass
class _Reading:
    """The files of one folder, and the faults met so far."""

    folder: Path
    texts: dict[str, str]
    faults: list[Fault] = field(default_factory=list)
    used: set[str] = field(default_factory=set)

    def under(self, prefix: str) -> list[str]:
        return [name for name in self.texts if name.startswith(prefix)]

    def read(self, name: str, wanted: type[T]) -> T | None:
        """One file as `wanted`; None, with the faults noted, when it doesn't fit."""
        self.used.add(name)
        if name not in self.texts:
            self.faults.append(Fault("the file is missing", place=name))
            return None
        data: Any = None
        try:
            data = parse(self.texts[name])
            return msgspec.convert(data, wanted)
        except yaml.YAMLError as error:
            self.faults.append(_syntax_fault(name, error))
        except msgspec.ValidationError as error:
            self.faults.extend(_placed(name, self.texts[name], data, wanted, str(error)))
        return None

    def listed(self, name: str, item: type[T]) -> dict[str, T]:
        """A file that holds one list under its own name, by id; an id given twice is a fault."""
        key = Path(name).stem
        table = self.read(name, dict[str, tuple[item, ...]])  # type: ignore[valid-type]
        if table is None:
            return {}
        if set(table) != {key}:
            self.faults.append(Fault(f"expected the one key {key}, found {', '.join(table)}", place=name))
            return {}
        return self.by_id(name, table[key])

    def by_id(self, name: str, records: tuple[T, ...]) -> dict[str, T]:
        found: dict[str, T] = {}
        for record in records:
            self.add(found, record, name)
        return found

    def add(self, found: dict[str, T], record: T, name: str) -> None:
        record_id: str = record.id  # type: ignore[attr-defined]
        if record_id in found:
            self.faults.append(Fault(f"the id {record_id} is taken already", place=name, key=record_id))
        found[record_id] = record

    def folder_of(self, prefix: str, wanted: type[T]) -> dict[str, T]:
        """Each file under `prefix` one record, named after its id."""
        found: dict[str, T] = {}
        for name in self.under(prefix):
            record = self.read(name, wanted)
            if record is None:
                continue
            record_id: str = record.id  # type: ignore[attr-defined]
            if record_id != Path(name).stem:
                self.faults.append(
                    Fault(f"found {record_id}; expected {Path(name).stem}, the name of the file", name, "id")
                )
            self.add(found, record, name)
        return found


@lru_cache(maxsize=4)
def load(folder: Path | None = None) -> Knowledge:
    """The knowledge of a folder, or the carried one; read once a process.

    Raises KnowledgeError with the faults of all files together.
    """
    root = data_folder() if folder is None else folder
    contents = _contents(root)
    reading = _Reading(root, {n: raw.decode("utf-8", "replace") for n, raw in contents.items()})
    parts = _parts(reading)
    unused = [n for n in reading.texts if n not in reading.used and not n.startswith(_LATER)]
    reading.faults.extend(Fault("no part of the knowledge has this file name", place=n) for n in unused)
    if reading.faults:
        raise KnowledgeError(*reading.faults)
    return Knowledge(**parts, fingerprint=_fingerprint(contents), standard=partial(standard, folder=root),
                     sayings=partial(sayings, root))


@lru_cache(maxsize=64)
def standard(name: str, folder: Path | None = None) -> Any:
    """The data of knowledge/standards/<name>.yaml, read on first use. Treat it as read-only.

    Raises KnowledgeError when there is no such file or it is no YAML.
    """
    path = (data_folder() if folder is None else folder) / "standards" / f"{name}.yaml"
    if not path.is_file():
        known = ", ".join(sorted(p.stem for p in path.parent.glob("*.yaml"))) or "none"
        raise KnowledgeError(Fault(f"no such table; there are: {known}", place=f"standards/{name}.yaml"))
    try:
        return parse(path.read_text(encoding="utf-8"))
    except yaml.YAMLError as error:
        raise KnowledgeError(_syntax_fault(f"standards/{name}.yaml", error)) from error


@lru_cache(maxsize=4)
def sayings(folder: Path | None = None) -> dict[str, phrases.Sayings]:
    """The ways people name the signs, by sign, of all files of knowledge/sayings, read on first use.

    Raises KnowledgeError with the faults of all files together.
    """
    root = data_folder() if folder is None else folder
    reading = _Reading(root, {n: raw.decode("utf-8", "replace") for n, raw in _contents(root, "sayings").items()})
    found: dict[str, phrases.Sayings] = {}
    for name in reading.texts:
        for sign, ways in (reading.read(name, dict[str, phrases.Sayings]) or {}).items():
            if sign in found:
                reading.faults.append(Fault(f"the id {sign} is taken already", place=name, key=sign))
            found[sign] = ways
    if reading.faults:
        raise KnowledgeError(*reading.faults)
    return found


def _contents(root: Path, part: str = "") -> dict[str, bytes]:
    """File name → bytes, sorted by name; `part`: of that folder of it only, which may be missing."""
    paths = sorted((root / part).rglob("*.yaml"), key=lambda p: p.relative_to(root).as_posix())
    if not paths and not part:
        raise KnowledgeError(Fault("no knowledge files in this folder", place=str(root)))
    return {p.relative_to(root).as_posix(): p.read_bytes() for p in paths}


def _fingerprint(contents: dict[str, bytes]) -> str:
    """First 16 hex digits of SHA-256 over names and contents."""
    digest = hashlib.sha256()
    for name, raw in contents.items():
        digest.update(name.encode() + b"\0" + raw + b"\0")
    return digest.hexdigest()[:16]


def _parts(reading: _Reading) -> dict[str, Any]:
    """Every attribute of Knowledge that stands in a file."""
    causes = reading.folder_of("causes/", model.Cause)
    return {
        "words": reading.read("words.yaml", model.Words),
        "sources": reading.read("sources.yaml", dict[str, model.Source]),
        "causes": {c: r for c, r in causes.items() if r.status == "active"},
        "retired": {c: r for c, r in causes.items() if r.status == "retired"},
        "conditions": reading.listed("conditions.yaml", model.Condition),
        "circumstances": reading.listed("circumstances.yaml", model.Circumstance),
        "readings": reading.listed("readings.yaml", model.Reading),
        "remedies": reading.listed("remedies.yaml", model.RemedyClass),
        "cautions": reading.listed("cautions.yaml", model.Caution),
        "questions": _questions(reading),
        "pictures": reading.listed("pictures.yaml", model.Picture),
        "separability": reading.listed("separability.yaml", model.Inseparable),
        "complaints": (reading.read("complaints.yaml", dict[str, tuple[rules.ComplaintSign, ...]]) or {}).get(
            "complaints", ()
        ),
        "limits": reading.read("limits.yaml", rules.Limits),
        "costs": reading.read("costs.yaml", decision.CostTable),
        "field_checks": reading.listed("field_checks.yaml", decision.FieldCheck),
        "phrases": reading.read("phrases.yaml", phrases.Phrases),
        "synonyms": reading.read("synonyms.yaml", dict[str, Any]),
        "standards": tuple(Path(n).stem for n in reading.under("standards/")),
        **_grease_parts(reading),
    }


def _questions(reading: _Reading) -> dict[str, model.Question]:
    """All questions of looks/*.yaml; a question or sign given twice is a fault that names both files."""
    questions: dict[str, model.Question] = {}
    where: dict[str, str] = {}
    for name in reading.under("looks/"):
        looks = reading.read(name, _Looks)
        for question in looks.questions if looks else ():
            questions[question.id] = question
            for record_id in (question.id, *(option.sign for option in question.options)):
                if record_id in where:
                    text = f"the id {record_id} is taken already, in {where[record_id]}"
                    reading.faults.append(Fault(text, place=name, key=question.id))
                where[record_id] = name
    return questions


def _grease_parts(reading: _Reading) -> dict[str, Any]:
    """Thickeners, oils, additives and the mixing charts."""
    return {
        "thickeners": reading.listed("greases/thickeners.yaml", greases.Thickener),
        "base_oils": reading.listed("greases/base_oils.yaml", greases.BaseOil),
        "additives": reading.listed("greases/additives.yaml", greases.Additive),
        "applications": reading.listed("greases/applications.yaml", greases.Application),
        "trade_facts": reading.listed("greases/trade_facts.yaml", greases.TradeFact),
        "compatibility": reading.folder_of("compatibility/", greases.CompatibilityTable),
    }


def _syntax_fault(name: str, error: yaml.YAMLError) -> Fault:
    mark = getattr(error, "problem_mark", None)
    place = f"{name}:{mark.line + 1}" if mark else name
    return Fault(str(getattr(error, "problem", None) or error), place=place)


def _placed(name: str, text: str, data: Any, wanted: Any, error: str) -> Iterator[Fault]:
    """The faults of one document with line numbers; `error` when the finer look finds nothing."""
    # Only a faulty file needs these: they would cost every good start some milliseconds.
    from diag import yamltext
    from diag.knowledgebase.faults import faults_of, show_path

    try:
        root = yamltext.read(text, name)
    except InputError as stricter:
        yield from stricter.faults
        return
    found = list(faults_of(data, wanted))
    for path, words in found:
        yield Fault(words, place=f"{name}:{_line(root, path)}", key=show_path(path))
    if not found:
        yield Fault(error, place=name)


def _line(node: Node, path: KeyPath) -> int:
    """Line of the innermost part of `path` that stands in the file, from 1."""
    line: int = node.line
    for step in path:
        value = node.value
        if isinstance(value, dict) and step in value:
            node = value[str(step)]
        elif isinstance(value, list) and isinstance(step, int):
            node = value[step]
        else:
            break
        line = node.line
    return line

