"""Grease designations as requirement sets: DIN 51502/51825, ISO 6743-9, and marks that stand for limits.

A code is a claim of the maker, and its upper letter a 100 h rig result, not a working limit. Steps that rest
on memory become notes, never a must. The tables stand in knowledge/standards.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from diag.findings import Requirement
from diag.knowledgebase import standard

__all__ = [
    "DinCode", "IsoCode", "designations", "din_code", "find_din", "find_iso", "iso_code", "read_code", "states",
]

Stated = float | str | tuple[float | str, ...]

_GRADE = r"000|00|[0-6]"
_DIN = re.compile(
    r"(?<![A-Z0-9])(?P<type>OG|K|G|M)\s*(?P<additives>P?\s*F?)\s*(?P<oil>E|FK|HC|PG|PH|SI|X)?\s*"
    rf"(?P<nlgi>(?:{_GRADE})(?:\s*[/-]\s*[0-6])?)\s*(?P<upper>[CDEFGHKMNPRSTU])"
    r"(?:\s*-\s*(?P<lower>\d{2}))?(?![A-Z0-9])")
_ISO = re.compile(
    r"(?<![A-Z0-9])L\s*-?\s*X\s*-?\s*(?P<lower>[A-E])\s*(?P<upper>[A-G])\s*(?P<water>[A-I])\s*(?P<load>[AB])"
    rf"(?:\s*-?\s*(?P<nlgi>{_GRADE}))?(?![A-Z0-9])")


@dataclass(frozen=True, slots=True)
class DinCode:
    """A DIN 51502 designation taken apart; temperatures in °C."""

    type: str
    ep: bool
    solid: bool
    oil: str  # letters, "" when none stand there
    nlgi: tuple[str, ...]  # two for a split grade
    upper: str  # letter
    lower: int | None

    def __str__(self) -> str:
        lower = "" if self.lower is None else f"{self.lower:d}"
        additives = ("P" if self.ep else "") + ("F" if self.solid else "")
        return f"{self.type}{additives}{self.oil}{'/'.join(self.nlgi)}{self.upper}{lower}"


@dataclass(frozen=True, slots=True)
class IsoCode:
    """An ISO 6743-9 designation taken apart, each symbol as its letter."""

    lower: str
    upper: str
    water_and_rust: str
    load: str
    nlgi: str | None

    def __str__(self) -> str:
        return f"ISO-L-X-{self.lower}{self.upper}{self.water_and_rust}{self.load}{self.nlgi or ''}"


def read_code(text: str) -> tuple[Requirement, ...]:
    """What every designation found in a text asks of a grease; () when there is none."""
    plain = _plain(text)
    found: list[Requirement] = []
    din, iso = find_din(text), find_iso(text)
    if din is not None:
        found.extend(_from_din(din))
    if iso is not None:
        found.extend(_from_iso(iso))
    for record in standard("grease_specifications")["specifications"]:
        if any(re.search(rf"(?<![A-Z0-9]){name}(?![A-Z0-9])", plain) for name in record["names"]):
            found.extend(_from_record(record))
    return tuple(found)


def designations(text: str) -> tuple[str, ...]:
    """Every designation as it stands in a text, in capitals with single blanks."""
    plain = _plain(text)
    names = [name for record in standard("grease_specifications")["specifications"] for name in record["names"]]
    longest_first = "|".join(sorted(names, key=len, reverse=True))
    marks = re.compile(rf"(?<![A-Z0-9])(?:{longest_first})(?![A-Z0-9])")
    return tuple(dict.fromkeys(m.group() for pattern in (_DIN, _ISO, marks) for m in pattern.finditer(plain)))


def states(text: str) -> dict[str, Stated]:
    """What a grease with this designation states of itself; of two codes the narrower range counts."""
    found: dict[str, Stated] = {}
    asked = read_code(text)
    for property, relation in (("lowest_temperature", "max"), ("highest_temperature", "min")):
        values = [float(r.value) for r in asked if (r.property, r.relation) == (property, relation)
                  and isinstance(r.value, int | float)]
        if values:
            found[property] = max(values) if relation == "max" else min(values)
    for item in asked:
        if item.relation in ("is", "in") and item.strength != "note" and item.value is not None:
            found.setdefault(item.property, _claimed(item))
    found.update(_denied(text))
    return found


def _claimed(item: Requirement) -> Stated:
    """A split grade stays two; of the words that would serve, a code claims only the least."""
    assert item.value is not None
    if item.property == "nlgi" or not isinstance(item.value, tuple):
        return item.value[0] if isinstance(item.value, tuple) and len(item.value) == 1 else item.value
    return item.value[-1] if str(item.value[0]).startswith("stage") else item.value[0]


def din_code(requirements: Sequence[Requirement]) -> str | None:
    """The DIN 51825 code of a set of requirements, on the safe side; None when grade or upper limit lacks.

    The lower number is left out when no lowest temperature is asked for.
    """
    table = standard("din51502")
    upper, nlgi = _bound(requirements, "highest_temperature", "min"), _grade(requirements)
    if upper is None or nlgi is None:
        return None
    letter = _din_upper(table, upper, _stages(requirements))
    lowest = _bound(requirements, "lowest_temperature", "max")
    lower = None if lowest is None else next((s for s in table["lower_steps"] if s <= lowest), None)
    if letter is None or (lowest is not None and lower is None):
        return None
    return str(DinCode("K", _asks(requirements, "ep"), _asks(requirements, "solid_lubricant"),
                       _din_oil(table, requirements), (nlgi,), letter, lower))


def iso_code(requirements: Sequence[Requirement]) -> str | None:
    """The ISO 6743-9 code of a set of requirements; None when grade, lower or upper limit lacks."""
    table = standard("iso6743_9")
    lowest = _bound(requirements, "lowest_temperature", "max")
    highest = _bound(requirements, "highest_temperature", "min")
    nlgi = _grade(requirements)
    if lowest is None or highest is None or nlgi is None:
        return None
    lower = next((k for k, row in table["lower"].items() if row["at_most"] <= lowest), "E")
    upper = next((k for k, row in table["upper"].items() if row["at_least"] >= highest), "G")
    return str(IsoCode(lower, upper, _iso_water(table, requirements),
                       "B" if _asks(requirements, "ep") else "A", nlgi))


def _plain(text: str) -> str:
    """Capitals, one kind of minus, single spaces."""
    text = re.sub(r"[‐‑‒–—−]", "-", text.upper())
    return re.sub(r"\s+", " ", re.sub(r"\bMINUS\s*", "-", text))


def find_din(text: str) -> DinCode | None:
    """The first DIN 51502 designation in a text, joined or spaced (`KP2K-20`, `KPHC 1-2N-40`)."""
    match = _DIN.search(_plain(text))
    if match is None:
        return None
    lower = match["lower"]
    grades = tuple(re.split(r"\s*[/-]\s*", match["nlgi"]))
    return DinCode(match["type"], "P" in match["additives"], "F" in match["additives"], match["oil"] or "",
                   grades, match["upper"], -int(lower) if lower else None)


def find_iso(text: str) -> IsoCode | None:
    """The first ISO 6743-9 designation in a text, joined or spaced (`ISO-L-X-CCEB2`, `L-XCDEB 3`)."""
    match = _ISO.search(_plain(text))
    if match is None:
        return None
    return IsoCode(match["lower"], match["upper"], match["water"], match["load"], match["nlgi"])


def _from_din(code: DinCode) -> Iterator[Requirement]:
    table = standard("din51502")
    name, sources = str(code), table["source"]
    row = table["upper"][code.upper]
    yield _require("nlgi", "in", code.nlgi, "must", name, f"grade {'/'.join(code.nlgi)}", sources,
                   "cross-checked")
    limit = f"above {row['above']} °C" if "above" in row else f"{row['at_least']} °C"
    yield _require("highest_temperature", "min", float(row["at_least"]), _strength(row["confidence"]), name,
                   f"letter {code.upper}: {limit}", sources, row["confidence"], "degC")
    if code.lower is not None:
        step = "" if code.lower in table["lower_steps"] else ", which is no step of the standard"
        yield _require("lowest_temperature", "max", float(code.lower), "must", name,
                       f"lower temperature {code.lower} °C{step}", sources, "cross-checked", "degC")
    if "stages" in row:
        yield _require("water_washout", "in", tuple(f"stage {s}" for s in row["stages"]),
                       "should" if row["water_confidence"] != "from-memory" else "note", name,
                       f"letter {code.upper}: DIN 51807-1 at {row['test']} °C", sources,
                       row["water_confidence"])
    yield from _din_extras(code, table)


def _din_extras(code: DinCode, table: Mapping[str, Any]) -> Iterator[Requirement]:
    name, sources = str(code), table["source"]
    if code.ep:
        yield _require("ep", "is", "yes", "must", name, f"P: {table['additives']['P']['text']}", sources,
                       "cross-checked")
    if code.solid:
        yield _require("solid_lubricant", "is", "yes", "must", name, f"F: {table['additives']['F']['text']}",
                       sources, "cross-checked")
    if code.oil:
        oil = table["oils"][code.oil]
        yield _require("base_oil_type", "in", (oil["word"],), "must", name, f"{code.oil}: {oil['text']}",
                       sources, oil["confidence"])


def _from_iso(code: IsoCode) -> Iterator[Requirement]:
    table = standard("iso6743_9")
    name, sources, sure = str(code), table["source"], table["confidence"]
    lower, upper = table["lower"][code.lower], table["upper"][code.upper]
    yield _require("lowest_temperature", "max", float(lower["at_most"]), "must", name,
                   f"symbol {code.lower}: " + (f"below {lower['below']}" if "below" in lower
                                               else f"{lower['at_most']}") + " °C", sources, sure, "degC")
    yield _require("highest_temperature", "min", float(upper["at_least"]), "must", name,
                   f"symbol {code.upper}: " + (f"above {upper['above']}" if "above" in upper
                                               else f"{upper['at_least']}") + " °C", sources, sure, "degC")
    row = table["water_and_rust"][code.water_and_rust]
    water, rust = table["water"][row["water"]], table["rust"][row["rust"]]
    if row["water"] != "L":
        stands = tuple(table["water"][k]["word"] for k in "MH"[0 if row["water"] == "M" else 1:])
        yield _require("water_washout", "in", stands, "must", name,
                       f"symbol {code.water_and_rust}: {water['text']}", sources, sure)
    if row["rust"] != "L":
        holds = tuple(table["rust"][k]["word"] for k in "MH"[0 if row["rust"] == "M" else 1:])
        yield _require("rust_protection", "in", holds, "must", name,
                       f"symbol {code.water_and_rust}: {rust['text']}", sources, sure)
    if table["load"][code.load]["ep"] == "yes":
        yield _require("ep", "is", "yes", "must", name, f"symbol {code.load}: EP additive", sources, sure)
    if code.nlgi is not None:
        yield _require("nlgi", "in", (code.nlgi,), "must", name, f"grade {code.nlgi}", sources, sure)


def _from_record(record: Mapping[str, Any]) -> Iterator[Requirement]:
    for item in record["requirements"]:
        value = item["value"]
        if isinstance(value, list):
            value = tuple(value)
        elif isinstance(value, int):
            value = float(value)
        yield _require(item["property"], item["relation"], value, item["strength"], record["title"],
                       item["because"], item["source"], item["confidence"], item.get("unit", ""))


def _require(property: str, relation: Literal["in", "min", "max", "is"], value: Stated,
             strength: Literal["must", "should", "note"], name: str, because: str, sources: Sequence[str],
             confidence: str, unit: str = "") -> Requirement:
    guidance = "; from memory, guidance only" if confidence == "from-memory" else ""
    return Requirement(property=property, relation=relation, value=value, unit=unit, strength=strength,
                       because=(f"{name}: {because}{guidance}",),
                       source=f"{', '.join(sources)} ({confidence})")


def _strength(confidence: str) -> Literal["must", "note"]:
    return "note" if confidence == "from-memory" else "must"


def _denied(text: str) -> dict[str, Stated]:
    """What a code says by leaving a letter out: no EP, no solids. A missing oil letter says nothing."""
    din, iso = find_din(text), find_iso(text)
    found: dict[str, Stated] = {}
    if din is not None and not din.solid:
        found["solid_lubricant"] = "none"
    if (din is not None or iso is not None) and not (din is not None and din.ep) \
            and not (iso is not None and iso.load == "B"):
        found["ep"] = "no"
    return found


def _bound(requirements: Sequence[Requirement], property: str,
           relation: Literal["min", "max"]) -> float | None:
    """The strictest of the bounds asked for."""
    values = [float(r.value) for r in requirements if (r.property, r.relation) == (property, relation)
              and isinstance(r.value, int | float)]
    if not values:
        return None
    return max(values) if relation == "min" else min(values)


def _words(requirements: Sequence[Requirement], property: str) -> tuple[str, ...]:
    for item in requirements:
        if item.property == property and item.relation in ("is", "in") and item.value is not None:
            values = item.value if isinstance(item.value, tuple) else (item.value,)
            return tuple(str(v) for v in values)
    return ()


def _asks(requirements: Sequence[Requirement], property: str) -> bool:
    return any(word not in ("no", "none") for word in _words(requirements, property))


def _grade(requirements: Sequence[Requirement]) -> str | None:
    """Of several grades the usual one, else the first named."""
    grades = _words(requirements, "nlgi")
    return "2" if "2" in grades else (grades[0] if grades else None)


def _stages(requirements: Sequence[Requirement]) -> list[int]:
    """Water stages asked for; without any the better class, which serves either way."""
    words = _words(requirements, "water_washout")
    return [int(w.removeprefix("stage ")) for w in words if w.startswith("stage ")] or [0, 1]


def _din_upper(table: Mapping[str, Any], upper: float, stages: list[int]) -> str | None:
    reached = [(k, row) for k, row in table["upper"].items() if row["at_least"] >= upper]
    if not reached:
        return None
    step = reached[0][1]["at_least"]
    return next((k for k, row in reached
                 if row["at_least"] == step and row.get("stages", stages) == stages), None)


def _din_oil(table: Mapping[str, Any], requirements: Sequence[Requirement]) -> str:
    """Letters only where one oil is asked for: of several the code can't tell."""
    words = _words(requirements, "base_oil_type")
    if len(words) != 1:
        return ""
    letters = [k for k, row in table["oils"].items() if row["word"] == words[0]]
    return letters[-1] if letters else ""


def _iso_water(table: Mapping[str, Any], requirements: Sequence[Requirement]) -> str:
    tests = ("water_washout", "water_spray_off")
    asked = any(r.property in tests and r.relation == "max" for r in requirements)
    water = "H" if asked else _level(table["water"], _words(requirements, "water_washout"))
    rust = _level(table["rust"], _words(requirements, "rust_protection"))
    if rust == "L" and _asks(requirements, "rust_protection"):
        rust = "M"
    rows: dict[str, Any] = table["water_and_rust"]
    return next(k for k, row in rows.items() if (row["water"], row["rust"]) == (water, rust))


def _level(table: Mapping[str, Any], words: tuple[str, ...]) -> str:
    """The least level that serves among the words asked for."""
    return next((k for k, row in table.items() if k != "L" and row["word"] in words), "L")
