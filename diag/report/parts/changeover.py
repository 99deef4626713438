"""What to do with grease and part: action, reasons, steps with their cautions first, what never to do."""

from __future__ import annotations

from collections.abc import Sequence

from diag.findings import Caution, Changeover, Compatibility, Findings
from diag.report.layout import bullets, heading, label, paragraph

__all__ = ["action_words", "changeover", "tables", "verdict_words", "with_cautions"]

_ACTIONS = {
    "keep": "Keep the grease that is in there.",
    "adjust_regreasing": "Keep the grease; change how much and how often it is fed.",
    "wait_and_watch": "Wait and watch; touch nothing yet.",
    "purge_same": "Push the old grease out with fresh grease of the same kind.",
    "strip_clean_same": "Open, clean to bare metal, and pack with the same kind of grease.",
    "purge_and_switch": "Push the old grease out with the new kind.",
    "strip_clean_and_switch": "Open, clean to bare metal, and pack with the new kind.",
    "replace_part": "Replace the part; it is past saving by grease.",
}
_VERDICTS = {
    "same": "The two are of the same kind.",
    "compatible": "By the published tables the two may meet.",
    "borderline": "The two may meet only after a test; without one, treat them as incompatible.",
    "incompatible": "The two must not meet: strip and clean before the new one goes in.",
    "unknown": "Nothing is known of the two together; that counts as incompatible.",
}


def action_words(change: Changeover) -> str:
    """The action in a sentence."""
    return _ACTIONS[change.action]


def verdict_words(found: Compatibility) -> str:
    """The verdict in a sentence."""
    return _VERDICTS[found.verdict]


def changeover(found: Findings) -> list[str]:
    """The action with its reasons and steps; repair first where the grease is not at fault."""
    change = found.changeover
    lines = heading("What to do")
    if change.repair_first:
        lines += paragraph("First mend what is wrong with the machine; the grease comes after that.")
    lines += paragraph(action_words(change))
    lines += bullets(change.why)
    if change.compatibility.verdict != "same" and change.compatibility.tables:
        lines += paragraph(f"Old grease and new: {verdict_words(change.compatibility)}")
        lines += tables(change.compatibility)
    lines += ["Steps:"] if change.steps else []
    lines += with_cautions(change.steps, found.cautions)
    if change.never:
        lines += ["Never:", *bullets(change.never)]
    return lines + _costs(change)


def tables(found: Compatibility) -> list[str]:
    """What each published table says of the two greases, in its own words."""
    told = bullets(t.words or f"{label(t.table)}: {t.verdict}" for t in found.tables)
    return [*told, *paragraph("Where tables disagree the strictest counts.")] if len(found.tables) > 1 else told


def with_cautions(steps: Sequence[str], cautions: Sequence[Caution]) -> list[str]:
    """Numbered steps; a caution that names a step stands right before it, the others before the first one."""
    general = [c.text for c in cautions if c.before not in steps]
    lines = ["Take care:", *bullets(general)] if general else []
    for number, step in enumerate(steps, 1):
        for caution in cautions:
            lines += paragraph(caution.text, 4, "Careful: ") if caution.before == step else []
        lines += paragraph(step, 2, f"{number}. ")
    return lines


def _costs(change: Changeover) -> list[str]:
    if not change.expected_costs:
        return []
    texts = (
        f"{label(c.action)}: {c.cost:,.0f} (between {c.low:,.0f} and {c.high:,.0f})" for c in change.expected_costs
    )
    return ["What each way is expected to cost:", *bullets(texts)]
