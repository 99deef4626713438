"""The grease that the point needs: each demand with its strength, reasons and source."""

from __future__ import annotations

from diag.findings import Findings, Requirement, Spec
from diag.report.figures import System, value_words
from diag.report.layout import bullets, heading, paragraph
from diag.units_text import in_text
from diag.wordtext import joined, label

__all__ = ["STRENGTHS", "card", "code_words", "demand", "grease", "property_name"]

_NAMES = {
    "thickener": "thickener",
    "nlgi": "stiffness (NLGI grade)",
    "base_oil_type": "base oil",
    "viscosity_40": "base oil viscosity at 40 °C",
    "viscosity_at_running": "base oil viscosity at running heat",
    "lowest_temperature": "temperature it must still work at",
    "highest_temperature": "lasting temperature limit",
    "dropping_point": "dropping point",
    "speed_factor": "speed factor (n·dm)",
    "ep": "EP additive",
    "solid_lubricant": "solid lubricant",
    "water_washout": "water washout",
    "four_ball_weld": "four-ball weld load",
    "low_temperature_torque": "torque in the cold",
    "food_registration": "food-contact registration",
}
STRENGTHS = (("must", "Must:"), ("should", "Should:"), ("note", "Worth knowing:"))
_LEADS = {"min": "at least ", "max": "at most ", "avoid": "no "}
_CODES = {"din51825": "DIN 51825", "iso6743_9": "ISO 6743-9"}


def property_name(word: str, system: System = "metric") -> str:
    """A requirement property as one says it at the counter."""
    return in_text(_NAMES.get(word, label(word)), system)


def demand(requirement: Requirement, system: System) -> str:
    """One requirement in words, without reasons: `oil viscosity at 40 °C: at least 150 mm²/s`."""
    words = value_words(requirement.value, requirement.unit, system)
    name = property_name(requirement.property, system)
    if requirement.relation == "range" and isinstance(requirement.value, tuple | list):
        low, high = (value_words(v, requirement.unit, system) for v in requirement.value)
        return f"{name}: {low} to {high}"
    if requirement.relation == "ignore":
        return f"{name}: of no account"
    if requirement.property == "lowest_temperature":
        return f"{name}: {words} or colder"
    if requirement.relation == "avoid" and words in ("", "yes"):
        return f"{name}: none"
    return f"{name}: {_LEADS.get(requirement.relation, '')}{words}"


def grease(found: Findings, system: System) -> list[str]:
    """The whole specification, the manual's differing demands beside it."""
    if not found.spec.requirements and not found.manual_differences:
        return []
    lines = heading("The grease this point needs")
    for strength, title in STRENGTHS:
        wanted = [r for r in found.spec.requirements if r.strength == strength]
        lines += [title] if wanted else []
        for requirement in wanted:
            lines += _demand_with_reasons(requirement, system)
    if found.manual_differences:
        lines += ["Where the machine's manual, which comes first, says otherwise:"]
        lines += bullets(found.manual_differences)
    return lines + paragraph(code_words(found.spec))


def _demand_with_reasons(requirement: Requirement, system: System) -> list[str]:
    lines = paragraph(demand(requirement, system), 2, "- ")
    reasons = "; ".join(requirement.because)
    source = f"[{requirement.source}]" if requirement.source else ""
    return lines + paragraph(f"{reasons} {source}", 6) if reasons or source else lines


def code_words(spec: Spec) -> str:
    """The spec in designation codes; empty when none fits."""
    named = [f"{_CODES.get(key, label(key))}: {code}" for key, code in spec.codes.items() if code]
    return f"In codes: {joined(named)}" if named else ""


def card(spec: Spec, title: str, system: System) -> str:
    """The demands alone, for the counter or a pocket: no reasons, musts first."""
    lines = paragraph(f"Grease for: {title}")
    for strength, name in STRENGTHS[:2]:
        wanted = [demand(r, system) for r in spec.requirements if r.strength == strength and r.relation != "ignore"]
        lines += [name, *bullets(wanted)] if wanted else []
    ignored = [property_name(r.property, system) for r in spec.requirements if r.relation == "ignore"]
    lines += paragraph(f"Of no account: {joined(ignored)}.") if ignored else []
    lines += paragraph(code_words(spec))
    return "\n".join(lines)
