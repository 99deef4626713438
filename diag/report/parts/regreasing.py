"""How much grease over a thousand hours, then how often, and how that was worked out."""

from __future__ import annotations

from collections.abc import Sequence

from diag.findings import Caution, Regrease
from diag.report.figures import System, figure
from diag.report.layout import bullets, heading, paragraph
from diag.report.parts.changeover import with_cautions

__all__ = ["how_to", "now", "plan_sentences", "regreasing"]

_YEAR = 8760  # h


def regreasing(plan: Regrease, system: System, working: bool) -> list[str]:
    """The plan, amount over time first: it is what the point sees, whatever the interval."""
    lines = [line for sentence in plan_sentences(plan, system) for line in paragraph(sentence)]
    if working or not lines:
        lines += ["How that was worked out:", *bullets(plan.working)] if plan.working else []
    return [*heading("Regreasing"), *lines] if lines else []


def now(not_now: str) -> list[str]:
    """What forbids greasing at this moment, if anything."""
    return paragraph(f"Not now: {not_now}. See diag review.") if not_now else []


def how_to(steps: Sequence[str], cautions: Sequence[Caution]) -> list[str]:
    """The next greasing step by step."""
    return [*heading("How to"), *with_cautions(steps, cautions)] if steps else []


def plan_sentences(plan: Regrease, system: System) -> list[str]:
    """Amount over time, then amount and interval, then the first fill; nothing where nothing is known."""
    lines = []
    if plan.grams_per_1000_h is not None:
        lines.append(f"{figure(plan.grams_per_1000_h, 'g', system)} for every 1,000 hours of running.")
    if plan.amount_g is not None and plan.interval_h is not None:
        lines.append(
            f"That is {figure(plan.amount_g, 'g', system)}{_strokes(plan)} every {plan.interval_h:,.0f} h "
            f"of running{_band(plan)}."
        )
    elif plan.amount_g is not None:
        lines.append(f"Each time: {figure(plan.amount_g, 'g', system)}{_strokes(plan)}.")
    elif plan.interval_h is not None:
        lines.append(f"Every {plan.interval_h:,.0f} hours of running{_band(plan)}.")
    if plan.interval_h is not None and plan.interval_h > _YEAR:
        lines.append("Look at it once a year all the same: grease ages by the calendar, too.")
    if plan.first_fill_g is not None:
        lines.append(f"First fill of a clean, dry point: {figure(plan.first_fill_g, 'g', system)}.")
    return lines


def _strokes(plan: Regrease) -> str:
    if plan.strokes is None:
        return ""
    return f" ({plan.strokes:.0f} stroke{'' if plan.strokes == 1 else 's'} of this gun)"


def _band(plan: Regrease) -> str:
    if plan.interval_low_h is None or plan.interval_high_h is None or plan.interval_low_h == plan.interval_high_h:
        return ""
    return f" (somewhere between {plan.interval_low_h:,.0f} and {plan.interval_high_h:,.0f})"
