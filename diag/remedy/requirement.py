"""One kind of demand for manual, code, specification, data sheet and label, and one way to compare.

What a grease states is a plain mapping: property → number, (low, high), word, or words.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Literal

from diag.case.model import Grease, Manual
from diag.findings import Requirement
from diag.remedy.codes import read_code, states

__all__ = ["SOLIDS", "Stated", "StatedValue", "Verdict", "compare", "from_grease", "from_manual", "unmet"]

StatedValue = float | str | tuple[float | str, ...]
Stated = Mapping[str, StatedValue]
Verdict = Literal["meets", "falls_short", "not_stated"]

VISCOSITY_TOLERANCE = 0.10  # ISO 3448: a grade spans its mid-point ± 10 %
ONE_GRADE = 1.25  # highest : lowest of one grade, 1.1 : 0.9 and a little
SOLIDS = ("moly", "graphite", "ptfe", "zinc", "copper")
_DENIALS = ("no", "none")
_NLGI_NUMBER = {"000": -2.0, "00": -1.0}


def from_grease(grease: Grease) -> dict[str, StatedValue]:
    """What the grease's own data and its code state; where both give a range, the narrower counts."""
    fields: dict[str, StatedValue | None] = {
        "thickener": _said(grease.thickener), "base_oil_type": _said(grease.base_oil), "nlgi": grease.nlgi,
        "viscosity_40": grease.viscosity_40, "lowest_temperature": grease.lowest_temperature,
        "highest_temperature": grease.highest_temperature, "dropping_point": grease.dropping_point,
        "speed_factor": grease.speed_factor, "water_washout": grease.water_washout,
        "four_ball_weld": grease.four_ball_weld, "colour": grease.colour,
    }
    coded = states(grease.code) if grease.code else {}
    own = {name: value for name, value in fields.items() if value is not None}
    return {**coded, **own, **_from_additives(grease.additives), **_narrower(own, coded)}


def from_manual(manual: Manual) -> tuple[Requirement, ...]:
    """What the machine's manual asks for; its code's demands stand beside where they say something else."""
    asked = tuple(_manual_demands(manual))
    said = {(r.property, r.relation, r.value) for r in asked}
    coded = read_code(manual.code) if manual.code else ()
    return asked + tuple(r for r in coded if (r.property, r.relation, r.value) not in said)


def compare(requirement: Requirement, stated: Stated) -> Verdict:
    """Whether what is stated meets one demand; a silent sheet is `not_stated`, never a pass."""
    if requirement.relation == "ignore":
        return "meets"
    value = stated.get(requirement.property)
    if value is None:
        return "not_stated"
    if requirement.relation in ("in", "is", "avoid") and not isinstance(requirement.value, int | float):
        return _compare_words(requirement, value)
    span = _span(requirement.property, value)
    return "not_stated" if span is None else _compare_numbers(requirement, span)


def unmet(requirements: tuple[Requirement, ...], stated: Stated) -> tuple[tuple[Requirement, Verdict], ...]:
    """The musts that the grease does not meet, each with its verdict."""
    verdicts = ((r, compare(r, stated)) for r in requirements if r.strength == "must")
    return tuple((r, verdict) for r, verdict in verdicts if verdict != "meets")


def _said(word: str | None) -> str | None:
    """`other` is a word of the case file that states nothing to compare."""
    return None if word == "other" else word


def _from_additives(additives: tuple[str, ...]) -> dict[str, StatedValue]:
    """A list of additives also says what is not in; no list says nothing."""
    if not additives:
        return {}
    solids = tuple(a for a in additives if a in SOLIDS)
    found: dict[str, StatedValue] = {
        "ep": "yes" if "ep" in additives else "no",
        "tack": "yes" if "tackifier" in additives else "no",
        "solid_lubricant": solids or "none",
    }
    if "rust_inhibitor" in additives:
        found["rust_protection"] = "yes"
    return found


def _narrower(own: Stated, coded: Stated) -> dict[str, StatedValue]:
    """Printed ranges exceed the code by 10 to 20 K: the narrower of the two counts."""
    found: dict[str, StatedValue] = {}
    for name, pick in (("lowest_temperature", max), ("highest_temperature", min)):
        values = [v for v in (own.get(name), coded.get(name)) if isinstance(v, int | float)]
        if values:
            found[name] = float(pick(values))
    return found


def _manual_demands(manual: Manual) -> Iterator[Requirement]:
    if manual.thickener and manual.thickener != "other":
        yield _demand("thickener", "in", (manual.thickener,))
    if manual.nlgi:
        yield _demand("nlgi", "in", (manual.nlgi,))
    if manual.viscosity_40 is not None:
        low, high = _around(manual.viscosity_40)
        yield _demand("viscosity_40", "range", (low, high), "mm2/s", f"{manual.viscosity_40:g} mm²/s ± 10 %")
    if manual.lowest_temperature is not None:
        yield _demand("lowest_temperature", "max", manual.lowest_temperature, "degC")
    if manual.highest_temperature is not None:
        yield _demand("highest_temperature", "min", manual.highest_temperature, "degC")
    yield from _manual_additives(manual.additives)


def _manual_additives(additives: tuple[str, ...]) -> Iterator[Requirement]:
    if "ep" in additives or "anti_wear" in additives:  # DIN 51502 P stands for either
        yield _demand("ep", "is", "yes")
    solids = tuple(a for a in additives if a in SOLIDS)
    if solids:
        yield _demand("solid_lubricant", "in", solids)
    for additive, property in (("tackifier", "tack"), ("rust_inhibitor", "rust_protection"),
                               ("antioxidant", "oxidation_stability")):
        if additive in additives:
            yield _demand(property, "is", "yes")


def _demand(property: str, relation: Literal["in", "is", "min", "max", "range"], value: StatedValue,
            unit: str = "", words: str = "") -> Requirement:
    because = f"the machine's manual asks for it{': ' + words if words else ''}"
    return Requirement(property=property, relation=relation, value=value, unit=unit, strength="must",
                       because=(because,), source="the machine's manual")


def _around(viscosity: float) -> tuple[float, float]:
    low, high = viscosity * (1 - VISCOSITY_TOLERANCE), viscosity * (1 + VISCOSITY_TOLERANCE)
    return float(f"{low:.6g}"), float(f"{high:.6g}")  # 110, not 110.00000000000001


def _compare_words(requirement: Requirement, value: StatedValue) -> Verdict:
    values = value if isinstance(value, tuple) else (value,)
    if any(isinstance(v, int | float) for v in values):
        return "not_stated"  # a test figure where a class is wanted: the supplier has to say the class
    stated = [str(v).casefold() for v in values]
    wanted = _wanted(requirement)
    hits = [word for word in stated if _serves(word, wanted)]
    if requirement.relation == "avoid":
        return "falls_short" if hits else "meets"
    if hits and (requirement.property != "nlgi" or _adjacent(stated)):
        return "meets"
    # "yes" tells that there is some, not which: the supplier has to say.
    return "not_stated" if stated == ["yes"] and "yes" not in wanted else "falls_short"


def _wanted(requirement: Requirement) -> tuple[str, ...]:
    """Words of the demand; to avoid a thing without naming which means any of it."""
    value = requirement.value
    if value is None:
        return ("yes",)
    return tuple(str(v).casefold() for v in (value if isinstance(value, tuple) else (value,)))


def _serves(stated: str, wanted: tuple[str, ...]) -> bool:
    return stated in wanted or ("yes" in wanted and stated not in _DENIALS)


def _adjacent(grades: list[str]) -> bool:
    """A split grade such as 1/2 lies between its neighbours; 0 to 2 is no one grade."""
    numbers = sorted(_NLGI_NUMBER.get(g, 0.0) or float(g) for g in grades)
    return numbers[-1] - numbers[0] <= 1


def _span(property: str, value: StatedValue) -> tuple[float, float] | None:
    """What is stated as a span; None for words where a number is wanted. A viscosity is a grade ± 10 %."""
    values = value if isinstance(value, tuple) else (value,)
    numbers = [float(v) for v in values if isinstance(v, int | float)]
    if property == "nlgi":
        numbers = [_NLGI_NUMBER.get(str(v), 0.0) or float(v) for v in values]
    return (min(numbers), max(numbers)) if len(numbers) == len(values) else None


def _compare_numbers(requirement: Requirement, span: tuple[float, float]) -> Verdict:
    """Wholly inside meets, wholly outside falls short; partly inside the supplier has to say where."""
    low, high = _limits(requirement)
    slack = _slack(requirement.property, low, high)
    low, high = low * (1 - slack) - 1e-9, high * (1 + slack) + 1e-9
    if low <= span[0] and span[1] <= high:
        return "meets"
    return "falls_short" if span[1] < low or span[0] > high else "not_stated"


def _slack(property: str, low: float, high: float) -> float:
    """A window no wider than one grade carries the grade's tolerance already."""
    if property != "viscosity_40" or low < high <= low * ONE_GRADE:
        return 0.0
    return VISCOSITY_TOLERANCE


def _limits(requirement: Requirement) -> tuple[float, float]:
    value = requirement.value
    values = value if isinstance(value, tuple) else (value,)
    numbers = [float(v) for v in values if isinstance(v, int | float)]
    if requirement.relation == "min":
        return numbers[0], float("inf")
    if requirement.relation == "max":
        return float("-inf"), numbers[0]
    return min(numbers), max(numbers)
