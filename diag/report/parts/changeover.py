"""What to do with grease and part: action, reasons, steps with their cautions first, what never to do."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from diag.findings import Caution, Changeover, Compatibility, Findings
from diag.report.layout import bullets, heading, paragraph
from diag.wordtext import label

__all__ = ["action_words", "changeover", "tables", "verdict_words", "with_cautions"]

_ACTIONS = {
    "keep": "Keep the grease that is in there.",
    "adjust_regreasing": "Keep the grease; change how much and how often it is fed.",
    "wait_and_watch": "Wait and watch; change nothing yet.",
    "purge_same": "Push the old grease out with fresh grease of the same kind.",
    "strip_clean_same": "Open, clean to bare metal, and pack with the same kind of grease.",
    "purge_and_switch": "Push the old grease out with the new kind.",
    "strip_clean_and_switch": "Open, clean to bare metal, and pack with the new kind.",
    "replace_part": "Replace the part; it is past saving by grease.",
}
_VERDICTS = {
    "same": "The two are of the same kind.",
    "compatible": "By the published tables the two may meet.",
    "borderline": "Borderline: push two to three free volumes through over several visits and watch it, or "
    "have the pair tested first.",
    "incompatible": "The two must not meet: strip and clean before the new one goes in.",
    "unknown": "Nothing is known of the two together; that counts as incompatible.",
}
_LET_OUT = "Add nothing; open the outlet, let it settle and watch."
_AT_REST = "Leave it stopped until the cause is found; change nothing yet."
# What a list of don'ts opens with → the caution that says the same where it stands before its step.
_SAID_BY = {
    "hose or air-blast": "hot_surfaces",
    "feel near turning parts": "rotating_parts",
    "spin a bearing with compressed air": "no_air_spin",
    "clean with petrol": "solvents",
    "pump against a closed drain": "seal_pressure",
}


def action_words(change: Changeover) -> str:
    """The action in a sentence."""
    if change.action == "wait_and_watch" and any(step.startswith("Open the drain:") for step in change.steps):
        return _LET_OUT
    if change.action == "wait_and_watch" and any(step.startswith("Stop:") for step in change.steps):
        return _AT_REST
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
    told = {caution.id for caution in found.cautions if caution.before in change.steps}
    never = [text for text in change.never if not _said_before(text, told)]
    return lines + (["Never:", *bullets(never)] if never else [])


def _said_before(never: str, cautions: Collection[str]) -> bool:
    """A caution printed before its step has said it already."""
    return any(never.startswith(opening) and caution in cautions for opening, caution in _SAID_BY.items())


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
