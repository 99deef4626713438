"""Which readings are believed: a Fahrenheit number under °C betrays itself, and a label may contradict itself."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from diag.knowledgebase import Knowledge
from diag.remedy.requirement import StatedValue
from diag.shelf.lexicon import Labels
from diag.shelf.model import UNITS, Claim
from diag.shelf.reading import Reading

__all__ = ["Believed", "agree", "believe_temperatures", "one_thickener"]

_ANY_DROPPING_POINT = 80.0, 350.0  # °C; from hydrated calcium to what tests can reach, for an unknown thickener
_COLDEST_LIMIT = 40.0  # °C; an upper limit under this is no limit of a grease
_SAME_K, _SAME_SHARE = 3.0, 0.06  # within these two printed values are one, rounded


@dataclass(slots=True)
class Believed:
    """Readings that stand, claims against those that don't, questions they leave open."""

    readings: list[Reading] = field(default_factory=list)
    claims: list[Claim] = field(default_factory=list)
    questions: dict[str, str] = field(default_factory=dict)


def believe_temperatures(readings: Sequence[Reading], thickener: str | None, labels: Labels, knowledge: Knowledge
                         ) -> Believed:
    """Drop or convert temperatures that can't be on the scale they are printed with.

    An upper limit or dropping point is judged against its thickener family; the lower end of the same range
    shares its fate. Nothing is taken that could only be guessed.
    """
    found, fate = Believed(), {}
    for reading in readings:
        if reading.property in ("dropping_point", "highest_temperature"):
            fate[reading.words] = _scale_of(reading, _span(reading.property, thickener, labels, knowledge))
    for reading in readings:
        _settle(found, reading, fate.get(reading.words, "as printed"), thickener)
    return found


def _span(property: str, thickener: str | None, labels: Labels, knowledge: Knowledge) -> tuple[float, float]:
    """What can be believed of the property [°C]."""
    family = knowledge.thickeners.get(thickener or "")
    if property == "dropping_point":
        figure, reach = family.dropping_point if family else None, labels.drop_reach.value
        return (figure.low - reach, figure.high + reach) if figure else _ANY_DROPPING_POINT
    if family is None:
        return _COLDEST_LIMIT, labels.highest_most.value
    limit = family.table_maximum or family.practical_maximum
    return _COLDEST_LIMIT, limit.high + labels.highest_reach.value


def _scale_of(reading: Reading, span: tuple[float, float]) -> str:
    """`as printed`, `fahrenheit` for a bare number that only so can be, `open` when another scale fits better."""
    assert isinstance(reading.value, float)
    low, high = span
    if low <= reading.value <= high:
        return "as printed"
    other = _to_celsius(reading.value) if reading.scale != "F" else reading.value * 1.8 + 32
    if not low <= other <= high:
        return "beyond" if reading.scale else "open"
    return "open" if reading.scale else "fahrenheit"


def _to_celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8


def _settle(found: Believed, reading: Reading, fate: str, thickener: str | None) -> None:
    if fate == "as printed" or (fate == "beyond" and reading.property == "lowest_temperature"):
        found.readings.append(reading)
    elif fate == "fahrenheit":
        assert isinstance(reading.value, float)
        words = f"{reading.words} (no unit: only °F fits)"
        found.readings.append(replace(reading, value=_to_celsius(reading.value), words=words, scale="F"))
    else:
        _doubt(found, reading, fate, thickener)


def _doubt(found: Believed, reading: Reading, fate: str, thickener: str | None) -> None:
    printed, other = ("°F", "°C") if reading.scale == "F" else ("°C", "°F")
    family = f" for {thickener.replace('_', ' ')} grease" if thickener else ""
    fits = f"; read as {other} it fits" if fate == "open" and reading.scale else ""
    claim = Claim(words=reading.words, why=f"can't be in {printed}{family}{fits}: not counted until the supplier says")
    if claim not in found.claims:
        found.claims.append(claim)
    found.questions[reading.property] = f"It says '{reading.words}': is that in °C or in °F?"


def one_thickener(readings: Sequence[Reading]) -> tuple[Reading | None, str]:
    """The thickener, the more exact word going before its family; else why none is taken."""
    named = {str(r.value): r for r in readings if r.property == "thickener"}
    exact = [word for word in named if not any(other.startswith(f"{word}_") for other in named)]
    if len(exact) == 1:
        return named[exact[0]], ""
    words = " and ".join(named[word].words for word in exact)
    return None, f"It names {words}: is it a mixed soap, and which one leads?" if exact else ""


def agree(readings: Iterable[Reading]) -> Believed:
    """One reading a property: lists joined, equal ones once, contradictions left out and named."""
    groups: dict[str, list[Reading]] = {}
    for reading in readings:
        groups.setdefault(reading.property, []).append(reading)
    found = Believed()
    for property, group in groups.items():
        if property == "solid_lubricant":
            found.readings.append(_solids(group))
        elif all(_same(property, group[0].value, other.value) for other in group[1:]):
            found.readings.append(min(group, key=lambda r: r.scale != "C"))
        else:
            words = " against ".join(dict.fromkeys(r.words for r in group))
            found.claims.append(Claim(words=words, why="contradicts itself: neither is counted"))
            found.questions[property] = f"It says {words}: which one is right?"
    _thinner_when_hot(found)
    return found


def _thinner_when_hot(found: Believed) -> None:
    """An oil that is thicker at 100 °C than at 40 °C is a misprint or misread: neither figure is taken."""
    pair = [r for p in ("viscosity_40", "viscosity_100") for r in found.readings if r.property == p]
    if len(pair) == 2 and _least(pair[1].value) >= _least(pair[0].value):
        words = " against ".join(dict.fromkeys(r.words for r in pair))
        found.readings = [r for r in found.readings if r not in pair]
        found.claims.append(Claim(words=words, why="an oil is thinner at 100 °C than at 40 °C: neither is counted"))
        found.questions["viscosity_40"] = f"It says {words}: which figure belongs to which temperature?"


def _least(value: StatedValue) -> float:
    return min(float(v) for v in (value if isinstance(value, tuple) else (value,)))


def _solids(group: Sequence[Reading]) -> Reading:
    """All solids named; a denial stands only where none is named."""
    named = [r for r in group if r.value != "none"]
    if not named:
        return group[0]
    solids = tuple(dict.fromkeys(str(r.value) for r in named))
    return Reading("solid_lubricant", solids, ", ".join(dict.fromkeys(r.words for r in named)))


def _same(property: str, one: StatedValue, other: StatedValue) -> bool:
    if isinstance(one, float) and isinstance(other, float):
        reach = _SAME_K if UNITS.get(property) == "degC" else _SAME_SHARE * abs(one)
        return abs(one - other) <= reach
    return one == other or (property == "nlgi" and set(_words(one)) >= set(_words(other)))


def _words(value: StatedValue) -> tuple[StatedValue, ...]:
    return value if isinstance(value, tuple) else (value,)
