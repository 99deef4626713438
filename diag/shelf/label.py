"""A tube, carton or leaflet read as its maker worded it: what it states, from which words, and what only sells."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from diag.case.model import Grease
from diag.knowledgebase import Knowledge
from diag.remedy.codes import designations
from diag.remedy.requirement import StatedValue, from_grease
from diag.shelf.believe import agree, believe_temperatures, one_thickener
from diag.shelf.claims import of_figures
from diag.shelf.lexicon import Lexicon, lexicon, pattern_of
from diag.shelf.measures import Carried, grades, measured
from diag.shelf.model import UNITS, Claim, Sheet, Understood
from diag.shelf.reading import Reading
from diag.shelf.statements import statements, without_methods
from diag.shelf.viscosity import viscosities
from diag.shelf.wording import colour, selling, water_class, worded

__all__ = ["read_label"]

_LIMITS = ("lowest_temperature", "highest_temperature")


@dataclass(slots=True)
class _Heard:
    """Everything the statements gave, before it is believed."""

    readings: list[Reading] = field(default_factory=list)
    claims: list[Claim] = field(default_factory=list)
    codes: list[str] = field(default_factory=list)
    questions: dict[str, str] = field(default_factory=dict)
    synthetic: str = ""
    viscosity_unit: str = ""  # of the statement before, for one that goes on with `100 °C: 19`


def read_label(text: str, name: str, knowledge: Knowledge) -> Sheet:
    """What the text of a label states; whatever it leaves in doubt becomes a question, never a value."""
    words = lexicon(knowledge)
    heard = _Heard()
    carried = Carried()
    for statement in statements(text, words):
        carried = _hear(heard, statement, carried, words, knowledge)
    return _sheet(heard, name, words, knowledge)


def _hear(heard: _Heard, statement: str, carried: Carried, words: Lexicon, knowledge: Knowledge) -> Carried:
    """Take one statement apart; each reader leaves the rest to the next."""
    labels = words.labels
    heard.claims += selling(statement, words)
    heard.readings += [*water_class(statement, labels), *colour(statement, labels)]
    rest = without_methods(statement)
    rest = _take_codes(heard, rest)
    rest, graded = grades(rest, words)
    found = viscosities(rest, labels.measures, heard.viscosity_unit)
    rest, said = worded(found.rest, words)
    heard.readings += [*graded, *found.readings, *said]
    heard.viscosity_unit = found.unit
    if found.without_temperature:
        heard.questions["viscosity_40"] = f"It says '{found.without_temperature}': is that at 40 °C?"
    if found.without_unit:
        heard.questions["viscosity_40"] = f"It says '{found.without_unit}': in which unit?"
    if (match := pattern_of(labels.synthetic).search(rest)) is not None:
        heard.synthetic = match.group()
    numbers = measured(rest, carried, words, knowledge)
    heard.readings += numbers.readings
    heard.claims += [Claim(words=peak, why=labels.reasons["peak"]) for peak in numbers.peaks]
    return numbers.carried


def _take_codes(heard: _Heard, statement: str) -> str:
    """Designations go to their own list; their letters must not be read as anything else."""
    capitals = statement.upper()
    for code in designations(statement):
        heard.codes.append(code)
        start = capitals.find(code)
        if start >= 0:
            statement = statement[:start] + " " * len(code) + statement[start + len(code):]
    return statement


def _sheet(heard: _Heard, name: str, words: Lexicon, knowledge: Knowledge) -> Sheet:
    thickener, mixed = one_thickener(heard.readings)
    family = str(thickener.value) if thickener else None
    others = [r for r in heard.readings if r.property != "thickener"]
    believed = believe_temperatures(others, family, words.labels, knowledge)
    settled = agree(([thickener] if thickener else []) + believed.readings)
    questions = heard.questions | ({"thickener": mixed} if mixed else {}) | believed.questions | settled.questions
    readings = {r.property: r for r in settled.readings}
    if heard.synthetic and "base_oil_type" not in readings:
        questions["base_oil_type"] = f"It says '{heard.synthetic}': of which kind (PAO, ester, other)?"
    stated, understood = _stated(readings, " ".join(heard.codes))
    claims = (*heard.claims, *believed.claims, *settled.claims, *of_figures(understood, words.labels, knowledge))
    return Sheet(name=name, grease=_grease(stated), stated=stated, understood=understood,
                 claims=tuple(dict.fromkeys(claims)),
                 questions={p: q for p, q in questions.items() if p not in stated})


def _stated(readings: Mapping[str, Reading], codes: str) -> tuple[dict[str, StatedValue], tuple[Understood, ...]]:
    """The label's own words go before its code, save that of two temperature limits the narrower counts."""
    own = {p: _rounded(r.value) for p, r in readings.items()}
    low, high = own.get("lowest_temperature"), own.get("highest_temperature")
    narrowed = from_grease(Grease(lowest_temperature=low if isinstance(low, float) else None,
                                  highest_temperature=high if isinstance(high, float) else None,
                                  code=codes or None))
    stated = {**narrowed, **{p: v for p, v in own.items() if p not in narrowed or p not in _LIMITS}}
    understood = [Understood(property=p, value=v, unit=UNITS.get(p, ""),
                             words=readings[p].words if own.get(p) == v else codes) for p, v in stated.items()]
    return stated, tuple(understood)


def _rounded(value: StatedValue) -> StatedValue:
    """To what a label can mean: six figures, without the dust of conversion."""
    if isinstance(value, tuple):
        return tuple(float(f"{v:.6g}") if isinstance(v, float) else v for v in value)
    return float(f"{value:.6g}") if isinstance(value, float) else value


def _grease(stated: Mapping[str, StatedValue]) -> Grease:
    """As much of it as decides whether it may meet another grease."""
    thickener, oil = stated.get("thickener"), stated.get("base_oil_type")
    return Grease(thickener=thickener if isinstance(thickener, str) else None,
                  base_oil=oil if isinstance(oil, str) else None)
