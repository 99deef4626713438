"""How much new grease pushes the old one out."""

from __future__ import annotations

from diag.errors import InputError
from diag.remedy.situation import Situation

__all__ = ["passes", "purge_amount", "purge_grams"]


def passes(s: Situation) -> tuple[int, int]:
    """Free volumes to push through: 1 to 2 for a compatible pair, 2 to 3 for an untested or borderline one.

    Source: common practice.
    """
    return (2, 3) if s.compatibility.verdict == "borderline" else (1, 2)


def purge_amount(s: Situation) -> str:
    """(free volume + feed line) × passes: grams where the size is known, else by what comes out."""
    low, high = passes(s)
    grams, free = purge_grams(s), _free_cm3(s)
    if grams is None or free is None:
        place = "the outlet" if s.kind == "rolling_bearing" else "the ends"
        return f"{low} to {high} times the free space, until only fresh grease shows at {place}"
    line = f" and feed line {_line_cm3(s):.0f} cm³" if _line_cm3(s) else ""
    return (f"{grams[0]:.0f} to {grams[1]:.0f} g ({low} to {high} times free space {free:.0f} cm³{line}, "
            f"relative density {_density(s):.2g})")


def purge_grams(s: Situation) -> tuple[float, float] | None:
    """Least and most grams of a purge; None where the sizes don't give them."""
    from diag.tribology import amount

    free = _free_cm3(s)
    if free is None:
        return None
    low, high = (float(amount.purge_grams(free, n, _line_cm3(s), _density(s))) for n in passes(s))
    return low, high


def _free_cm3(s: Situation) -> float | None:
    # numpy is loaded only when an amount is worked out.
    from diag.tribology import amount

    bearing = s.case.point.bearing
    if s.kind != "rolling_bearing" or not (bearing.bore and bearing.outside and bearing.width):
        return None
    k = amount.free_volume_factor(s.knowledge.standard("free_volume"), bearing.type, bearing.cage)
    try:
        return float(amount.free_volume_cm3(bearing.bore, bearing.outside, bearing.width, k=k.typical))
    except InputError:  # sizes that make no bearing: the amount is left to the eye
        return None


def _density(s: Situation) -> float:
    from diag.tribology import amount

    return float(amount.density_of(s.knowledge.standard("replenishment"), s.case.grease.base_oil).typical)


def _line_cm3(s: Situation) -> float:
    from diag.tribology import amount

    line = s.case.point.feed_line
    return float(amount.line_volume_cm3(line.length, line.bore)) if line.length and line.bore else 0.0
