"""Where the machine's manual and the computing differ: both with numbers, the likely reason, and whom to ask."""

from __future__ import annotations

from collections.abc import Iterator

from diag.case.model import Case
from diag.findings import Regrease, Requirement
from diag.numbertext import shown
from diag.wordtext import label

__all__ = ["difference", "regreasing_differences"]

_UNITS = {"mm2/s": "mm²/s", "degC": "°C"}  # as people write the units of a requirement
_MUCH = 2.0  # the methods of intervals and amounts span such a factor among themselves (judgement)
_WRONG_PAGE = "a page for another size, speed or variant of the machine"
_SUPERSEDED = "a grade that was superseded since the manual was printed"
# Property → what most likely stands behind a difference.
_REASONS: dict[str, tuple[str, ...]] = {
    "nlgi": ("a feed changed since, hand gun to lines or back", _WRONG_PAGE),
    "thickener": (_SUPERSEDED, "water or heat that came later"),
    "lowest_temperature": ("the machine stands where it is colder than was planned",),
    "highest_temperature": ("it runs hotter than the manual reckons with: find out why first",),
    "solid_lubricant": (_WRONG_PAGE, "a manual written for slow, heavy duty"),
    "tack": (_WRONG_PAGE, "a manual written for open points"),
}
_MAKER = "the machine's maker, with serial number, speed, temperature and load at hand"
_SUPPLIER = "the grease supplier, for what replaces the old grade"


def difference(ours: Requirement, manual: Requirement, case: Case) -> str:
    """One sentence or two on a property that both name and no grease can meet both ways."""
    name = label(manual.property)
    reasons = " or ".join(_reasons(ours, manual, case))
    asked = _SUPPLIER if _SUPERSEDED in reasons and manual.property == "thickener" else _MAKER
    return (f"{name}: the manual asks for {_worded(manual)}, the computing for {_worded(ours)} ({ours.because[0]}). "
            f"Likely {reasons}. The manual comes first; before you depart from it ask {asked}.")


def regreasing_differences(case: Case, plan: Regrease) -> tuple[str, ...]:
    """Amount and interval of the manual where they lie further from the computed ones than methods differ."""
    return tuple(_regreasing(case, plan))


def _regreasing(case: Case, plan: Regrease) -> Iterator[str]:
    manual = case.point.manual.regreasing
    told = f"The manual comes first; before you depart from it ask {_MAKER}."
    if manual.every and plan.interval_low_h and plan.interval_high_h and not (
            plan.interval_low_h / _MUCH <= manual.every <= plan.interval_high_h * _MUCH):
        longer = manual.every > plan.interval_high_h
        reason = "water, dirt or heat that the manual did not reckon with, or a wrong page" if longer else \
            "a harder duty than the one stated here, or a manual on the safe side"
        yield (f"interval: the manual says every {manual.every:,.0f} h, the computing {plan.interval_low_h:,.0f} to "
               f"{plan.interval_high_h:,.0f} h. Likely {reason}. {told}")
    if manual.amount and plan.amount_g and not plan.amount_g / _MUCH <= manual.amount <= plan.amount_g * _MUCH:
        reason = "a dose for the housing and line as well, or another bearing size" if manual.amount > plan.amount_g \
            else "many small doses instead of one, or another bearing size"
        yield (f"amount: the manual says {manual.amount:g} g, the computing {plan.amount_g:g} g by size. "
               f"Likely {reason}. {told}")


def _reasons(ours: Requirement, manual: Requirement, case: Case) -> tuple[str, ...]:
    if manual.property != "viscosity_40":
        return _REASONS.get(manual.property, ("changed duty", _WRONG_PAGE))
    if max(_numbers(manual)) < min(_numbers(ours)):
        inverter = "an inverter that turns it slower now, " if case.point.drive == "inverter" else ""
        return (f"changed duty ({inverter}slower, hotter or heavier than it was built for)", _WRONG_PAGE)
    return ("changed duty (faster or cooler than it was built for)", "a manual that reckons with shock or the cold "
            "start of another place", _SUPERSEDED)


def _numbers(item: Requirement) -> tuple[float, ...]:
    values = item.value if isinstance(item.value, tuple) else (item.value,)
    return tuple(float(v) for v in values if isinstance(v, int | float)) or (0.0,)


def _worded(item: Requirement) -> str:
    values = item.value if isinstance(item.value, tuple) else (item.value,)
    joiner = " to " if item.relation == "range" else ", "
    words = joiner.join(shown(v) if isinstance(v, float) else label(str(v)) for v in values)
    if item.relation == "avoid" and words == "yes":
        return "none"
    lead = {"min": "at least ", "max": "at most ", "avoid": "none of "}.get(item.relation, "")
    return f"{lead}{words} {_UNITS.get(item.unit, item.unit)}".rstrip()
