"""May it keep turning, until when, and what to keep before anything is cleaned."""

from __future__ import annotations

from diag.case.model import Case
from diag.findings import StopIf, Urgency
from diag.report.figures import System, duration, figure
from diag.report.layout import bullets, heading, paragraph

__all__ = ["KEEP", "answer", "limit", "preserve", "reasons", "stands", "urgency"]

_LEVELS = {
    "stop_now": "No. Stop it now, and keep clear until it stands and has cooled.",
    "stop_soon": "Not for long. Stop it today at the next chance, in an orderly way; start no further run.",
    "watch": "Yes, under watch.",
    "run_on": "Yes.",
}
_REASONS = 5  # gravest first
_FAILED = "No. It has failed: it stays standing until the part is replaced and the cause is mended."

# Common practice of failure analysis; what is wiped off now cannot be asked later.
KEEP = (
    "Photograph everything as found: both sides, seals, cage, tracks, the housing and the shaft seat.",
    "Mark on the part, before it leaves its place: top, drive side, and where the load came from.",
    "Bag the grease by zone (supply side, between the rollers or along the pin, drain side), one clean bag "
    "each, labelled; a film box full is enough.",
    "Keep the other bearing or pin of the same shaft too, and both seals, however good they look.",
    "Keep the tube or drum and the gun that last fed this point, with what is still in them.",
    "Don't wash, wipe, turn or cut anything before that is done.",
)


def urgency(found: Urgency, case: Case, system: System) -> list[str]:
    """The answer to the first question, why, the limits that end it and when to look again."""
    standing = stands(found, case)
    lines = heading("May it keep turning?")
    lines += paragraph(answer(found, case))
    lines += bullets(reasons(found))
    if found.stop_if and not standing:
        lines += ["Stop it if:", *bullets(limit(s, system) for s in found.stop_if)]
    if found.look_again_h is not None and not standing:
        lines += paragraph(f"Look again in {duration(found.look_again_h)} at the latest.")
    return lines


def answer(found: Urgency, case: Case) -> str:
    """The answer in a sentence or two."""
    return _FAILED if case.complaint == "failed" else _LEVELS[found.level]


def reasons(found: Urgency) -> tuple[str, ...]:
    """The gravest reasons."""
    return found.why[:_REASONS]


def stands(found: Urgency, case: Case) -> bool:
    """It stands or must: limits and the time to look again are of no use then."""
    return found.level == "stop_now" or case.complaint == "failed"


def limit(stop: StopIf, system: System) -> str:
    """A limit in words, with its source."""
    source = f" ({stop.source})" if stop.source else ""
    return f"{stop.reading} goes over {figure(stop.limit, stop.unit, system)}{source}"


def preserve(case: Case) -> list[str]:
    """What a failed part can still tell, if it is kept as found; nothing for a point that has not failed."""
    if case.complaint != "failed":
        return []
    return [*heading("Before you clean anything"), *bullets(KEEP)]
