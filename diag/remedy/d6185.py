"""Verdict of a laboratory compatibility test by ASTM D6185."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from diag.errors import InputError
from diag.findings import Verdict
from diag.knowledgebase import standard

__all__ = ["MixTest", "d6185_verdict"]


@dataclass(frozen=True, slots=True)
class MixTest:
    """One primary test: both neat greases and the worst of their mixtures, in the test's unit.

    test: dropping_point [°C] | shear_stability [0.1 mm after 100 000 strokes] | storage_stability [change of
    60-stroke penetration, 0.1 mm].
    """

    test: str
    old: float
    new: float
    mixture: float


def d6185_verdict(tests: Sequence[MixTest]) -> tuple[Verdict, tuple[str, ...]]:
    """Compatible when all three primary tests pass; the first failure makes the pair incompatible.

    A mixture equal to the neat greases or between them passes; worse than the poorer by no more than the
    repeatability is borderline; beyond that it fails (band and repeatability from memory).
    Returns the verdict, `unknown` while a test lacks and none failed, and one line a test looked at.
    Raises InputError for an unknown or repeated test.
    Source: ASTM D6185, scope and significance.

    >>> d6185_verdict([MixTest("dropping_point", 185, 260, 150)])[0]
    'incompatible'
    """
    known: dict[str, Any] = standard("d6185")["tests"]
    _refuse_strangers([t.test for t in tests], known)
    given = {t.test: t for t in tests}
    lines: list[str] = []
    borderline = False
    for name, rule in known.items():
        if name not in given:
            lines.append(f"{rule['text']}: not tested yet")
            continue
        excess = _excess(given[name], rule["worse"])
        word = _word(excess, rule["repeatability"])
        lines.append(f"{rule['text']}: {word}" + (f", worse by {excess:g} {rule['unit']}" if excess else ""))
        if word == "fails":
            return "incompatible", tuple(lines)
        borderline = borderline or word == "borderline"
    if len(given) < len(known):
        return "unknown", tuple(lines)
    return ("borderline" if borderline else "compatible"), tuple(lines)


def _refuse_strangers(names: list[str], known: dict[str, Any]) -> None:
    for name in names:
        if name not in known:
            raise InputError(f"test {name!r} is none of ASTM D6185's primary tests: give {', '.join(known)}")
        if names.count(name) > 1:
            raise InputError(f"test {name!r} stands twice: give the worst mixture once")


def _excess(test: MixTest, worse: str) -> float:
    """How far the mixture lies beyond the poorer neat grease, 0 when it doesn't."""
    low, high = sorted((test.old, test.new))
    if worse == "lower":
        return max(0.0, low - test.mixture)
    if worse == "higher":
        return max(0.0, abs(test.mixture) - max(abs(low), abs(high)))
    return max(0.0, low - test.mixture, test.mixture - high)  # softer or stiffer than both


def _word(excess: float, repeatability: float) -> str:
    if excess == 0:
        return "passes"
    return "borderline" if excess <= repeatability else "fails"
