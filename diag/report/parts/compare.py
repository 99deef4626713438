"""Two causes side by side, for the terminal."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from diag.inference.compare import Between, Check, Comparison
from diag.report.figures import duration
from diag.report.layout import bullets, chance, heading, paragraph
from diag.wordtext import label

__all__ = ["compare"]

_MOST = 6  # findings told on each side, the most telling first


def compare(found: Comparison) -> list[str]:
    """What agrees, what speaks for which, and the check that settles it."""
    a, b = found.first, found.second
    lines = [
        *heading(f"{a.name}, or {b.name}?"),
        *paragraph(f"{a.name}: {chance(a.probability)}.", 2, "A. "),
        *paragraph(f"{b.name}: {chance(b.probability)}.", 2, "B. "),
        *_told("Speaks for A rather than B:", found.for_first, "A"),
        *_told("Speaks for B rather than A:", found.for_second, "B"),
        *_told("Says the same of both:", found.agree, ""),
    ]
    if not (found.for_first or found.for_second):
        lines += paragraph("Nothing that is known tells them apart.")
    if found.apart:
        lines += ["", *paragraph("What tells them apart, by their records:"), *bullets(found.apart)]
    lines += list(_settling(found))
    lines += ["", *paragraph(
        "×n after a finding: it alone multiplies the odds of one against the other by n, all else kept. Findings "
        "overlap, so the factors do not multiply up; both causes can hold at once.")]
    return lines


def _told(title: str, between: Sequence[Between], toward: str) -> list[str]:
    texts = [f"{b.text} ({_ratio(b, toward)})" if toward else b.text for b in between[:_MOST]]
    return ["", title, *bullets(texts)] if texts else []


def _ratio(between: Between, toward: str) -> str:
    """How far the finding moves the odds of one cause against the other; over a hundred it isn't counted."""
    less, more = sorted((max(between.first, 1e-6), max(between.second, 1e-6)))
    return f"×{more / less:.2g} for {toward}" if more / less < 100 else f"×100 or more for {toward}"


def _settling(found: Comparison) -> Iterator[str]:
    if found.same_work:
        yield from ("", *paragraph(f"They need no telling apart: both are cured by the same work ({found.same_work})."))
    if found.check is None:
        yield from ("", *paragraph("No look that is left tells enough to settle it."))
    else:
        yield from ("", *_check(found.check))


def _check(check: Check) -> list[str]:
    odds = math.exp(check.log_odds)
    return [
        *paragraph(f"The one check that settles most: {check.text} ({label(check.stage)}, "
                   f"{duration(check.minutes / 60)})"),
        *(paragraph(f"How: {check.how}", 2) if check.how else []),
        *paragraph(f"Expected: log-odds of {check.log_odds:.1f}, that is about {odds:.2g} to 1 between the two."),
    ]
