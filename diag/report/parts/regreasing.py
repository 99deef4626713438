"""How much grease over a thousand hours, then how often, and how that was worked out."""

from __future__ import annotations

from diag.findings import Findings, Regrease
from diag.report.figures import System, figure
from diag.report.layout import bullets, heading, paragraph

__all__ = ["alone", "regreasing"]

_NOW_FIRST = {
    "stop_now": "Don't grease it now: it must be stopped first. See diag review.",
    "stop_soon": "It must be stopped soon for another reason; see diag review before you grease it.",
}


def regreasing(plan: Regrease, system: System, working: bool) -> list[str]:
    """The plan, amount over time first: it is what the point sees, whatever the interval."""
    lines = _plan(plan, system)
    if working or not lines:
        lines += ["How that was worked out:", *bullets(plan.working)] if plan.working else []
    return [*heading("Regreasing"), *lines] if lines else []


def alone(found: Findings, system: System, working: bool) -> list[str]:
    """The plan with what keeps it from being used now, and what to take care of while greasing."""
    lines = paragraph(_NOW_FIRST.get(found.urgency.level, ""))
    if found.not_the_grease:
        lines += paragraph("It is not the grease; the plan is for the point once it is mended.")
    lines += regreasing(found.regrease, system, working)
    if found.cautions:
        lines += ["Take care:", *bullets(c.text for c in found.cautions)]
    return lines + (["Never:", *bullets(found.changeover.never)] if found.changeover.never else [])


def _plan(plan: Regrease, system: System) -> list[str]:
    lines = []
    if plan.grams_per_1000_h is not None:
        lines += paragraph(f"{figure(plan.grams_per_1000_h, 'g', system)} for every 1,000 hours of running.")
    if plan.amount_g is not None and plan.interval_h is not None:
        lines += paragraph(
            f"That is {figure(plan.amount_g, 'g', system)}{_strokes(plan)} every {plan.interval_h:,.0f} h "
            f"of running{_band(plan)}."
        )
    elif plan.amount_g is not None:
        lines += paragraph(f"Each time: {figure(plan.amount_g, 'g', system)}{_strokes(plan)}.")
    elif plan.interval_h is not None:
        lines += paragraph(f"Every {plan.interval_h:,.0f} hours of running{_band(plan)}.")
    if plan.first_fill_g is not None:
        lines += paragraph(f"First fill of a clean, dry point: {figure(plan.first_fill_g, 'g', system)}.")
    return lines


def _strokes(plan: Regrease) -> str:
    return f" ({plan.strokes:.2g} strokes of this gun)" if plan.strokes is not None else ""


def _band(plan: Regrease) -> str:
    if plan.interval_low_h is None or plan.interval_high_h is None:
        return ""
    return f" (somewhere between {plan.interval_low_h:,.0f} and {plan.interval_high_h:,.0f})"
