"""How much grease: top-up, free volume, first fill, line, strokes, purge.

Functions take floats or numpy arrays. The tables are those of knowledge/standards/replenishment.yaml and
free_volume.yaml, handed in as plain data.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np

from diag.errors import InputError
from diag.tribology._ranges import Reals, Result, plain
from diag.tribology.common import Span, require_at_least, require_positive

__all__ = [
    "FirstFill", "bearing_fill_share", "density_of", "first_fill_grams",
    "free_volume_cm3", "free_volume_factor", "housing_fill_share", "line_volume_cm3", "mass_estimate_kg",
    "purge_grams", "replenishment_grams", "ring_volume_cm3", "strokes",
]  # fmt: skip

# g/mm²: The Tribology Handbook A20 and bearing makers; through a ring: bearing maker B.
TOP_UP = {"side": 0.005, "ring": 0.002}
DENSITY = 0.9  # g/cm³, ordinary grease, bearing maker B (printed with the free-volume formula)
STEEL_KG_PER_CM3 = 7.8e-3


class FirstFill(NamedTuple):
    """First fill [g] of bearing and housing, and the shares [-] of their free space."""

    bearing_g: Reals
    housing_g: Reals
    bearing_share: float
    housing_share: float

    @property
    def grams(self) -> Result:
        return self.bearing_g + self.housing_g


def replenishment_grams(outside: Reals, width: Reals, through: str = "side") -> Result:
    """Grease for one regreasing: G = 0.005·D·B from the side, 0.002·D·B through a ring.

    outside: outside diameter D [mm]; width: width B [mm], of a thrust bearing the height, of a tapered one
    the total width; through: side | ring [-].
    Returns grams [g]. Range: any rolling bearing; some makers mean cm³, 10 % less in grams.
    Raises InputError for a size not above 0 or another way of feeding.
    Source: The Tribology Handbook, A20.5; bearing maker B, replenishment (side 0.005, ring 0.002).

    >>> round(replenishment_grams(300.0, 102.0, through="ring"), 1)  # bearing maker B prints 61 g
    61.2
    """
    require_positive("mm", outside_diameter=outside, width=width)
    if through not in TOP_UP:
        raise InputError(f"grease fed through {through!r}: give one of {', '.join(TOP_UP)}")
    return plain(TOP_UP[through] * np.asarray(outside) * width)


def ring_volume_cm3(bore: Reals, outside: Reals, width: Reals) -> Result:
    """Space between shaft and housing over the width: V = π/4·B·(D² − d²)·1e-3.

    bore: d [mm]; outside: D [mm], above d; width: B [mm].
    Returns volume [cm³]. Raises InputError for sizes not above 0 or D ≤ d. Source: geometry.
    """
    require_positive("mm", bore=bore, outside_diameter=outside, width=width)
    if not np.all(np.asarray(outside) > bore):
        raise InputError("the outside diameter must be above the bore, both in mm")
    return plain(np.pi / 4 * width * (np.square(outside) - np.square(bore)) * 1e-3)


def free_volume_cm3(
    bore: Reals, outside: Reals, width: Reals, mass: Reals | None = None, k: Reals | None = None
) -> Result:
    """Free space of a bearing: V = π/4·B·(D² − d²)·1e-3 − M/7.8e-3, or V = K·M with M estimated.

    bore: d [mm]; outside: D [mm]; width: B [mm]; mass: M [kg], None = estimated from `k`;
    k: free volume per mass K [cm³/kg] of the type, needed when the mass is not known.
    Returns volume [cm³]. Range: metal cages; a polymer cage makes it a little high.
    Raises InputError for sizes not above 0, neither mass nor k, or a mass above the space between the rings.
    Source: bearing maker B (formula, worked number 957 cm³ with π = 3.14); K: bearing maker C.

    >>> round(free_volume_cm3(140.0, 300.0, 102.0, mass=36.5))
    960
    """
    space = ring_volume_cm3(bore, outside, width)
    if mass is None:
        if k is None:
            raise InputError("free volume: give the mass of the bearing in kg, or K of its type in cm³/kg")
        return k * mass_estimate_kg(bore, outside, width, k)
    require_positive("kg", mass=mass)
    volume = space - np.asarray(mass) / STEEL_KG_PER_CM3
    if not np.all(volume > 0):
        raise InputError(f"mass {float(np.max(mass)):g} kg: more than solid steel of this size")
    return plain(volume)


def mass_estimate_kg(bore: Reals, outside: Reals, width: Reals, k: Reals) -> Result:
    """Mass of a bearing from its size: the two published free-volume formulas solved for M, A/(K + 1/7.8e-3).

    bore: d [mm]; outside: D [mm]; width: B [mm]; k: free volume per mass K [cm³/kg].
    Returns mass [kg], within about 3 % on the two bearings checked. Raises InputError for values not above 0.
    Source: V = K·M (bearing maker C) set equal to V = A − M/7.8e-3 (bearing maker B).

    >>> round(mass_estimate_kg(45.0, 100.0, 25.0, 61.0), 2)  # a deep groove bearing of 0.83 kg
    0.83
    """
    require_positive("cm³/kg", k=k)
    return plain(ring_volume_cm3(bore, outside, width) / (np.asarray(k) + 1 / STEEL_KG_PER_CM3))


def free_volume_factor(table: Mapping[str, Any], bearing_type: str | None, cage: str | None = None) -> Span:
    """K of a bearing type as a range over its published designs.

    table: free_volume.yaml [-]; bearing_type: word of the case file [-]; cage: steel | brass | polymer [-].
    Returns K [cm³/kg] low, mean, high. A cage, then a type, that is not in the table widens to all rows that
    are left, with confidence `judgement`. Source: bearing maker C, free volume factors by series.
    """
    rows: list[Mapping[str, Any]] = table["rows"]
    of_type = [r for r in rows if r["type"] == bearing_type]
    of_cage = [r for r in of_type if cage in r["cage"]]
    chosen = of_cage or of_type or rows
    known = bool(of_cage) or (bool(of_type) and cage is None)
    values = [float(r["k"]) for r in chosen]
    return Span(min(values), sum(values) / len(values), max(values), tuple(table["source"]),
                table["confidence"] if known else "judgement")  # fmt: skip


def density_of(table: Mapping[str, Any], base_oil: str | None = None) -> Span:
    """Density of a grease: ordinary 0.9, fluorinated about 2.

    table: replenishment.yaml [-]; base_oil: word of the case file [-].
    Returns density [g/cm³] low, typical, high. Source: bearing maker B; the spread from memory.
    """
    row = table["density"]["fluorinated" if base_oil == "pfpe" else "ordinary"]
    return Span(row["low"], row["value"], row["high"], tuple(row["source"]), row["confidence"])


def bearing_fill_share(table: Mapping[str, Any], speed_factor: float, oscillating: bool = False) -> float:
    """Share of the bearing's free space to fill at first: the faster, the less.

    table: replenishment.yaml [-]; speed_factor: n·dm, times the bearing factor where known [mm r/min];
    oscillating: the bearing only swings [-].
    Returns a share [-] of 0.33 to 1. Raises InputError below 0.
    Source: fill sheet of a lubricant maker (90, 67 %; above 500 000: 33 % from memory); oscillating: full.
    """
    require_at_least(0, "mm r/min", speed_factor=speed_factor)
    if oscillating:
        return float(table["oscillating_fill"]["share"])
    row = next(r for r in table["bearing_fill"] if r["below"] is None or speed_factor < r["below"])
    return float(row["share"])


def housing_fill_share(
    table: Mapping[str, Any], speed_factor: float, through: str = "side", dirty: bool = False
) -> float:
    """Share of the housing space to fill at first; very slow and dirty fills it as a seal.

    table: replenishment.yaml [-]; speed_factor: n·dm [mm r/min]; through: side | ring [-]; dirty: [-].
    Returns a share [-] of 0.2 to 0.85. Raises InputError for another way of feeding or a speed below 0.
    Source: bearing maker B (40 and 20 %; 70 to 100 % slow in dirt), maker C (30 % at high speed).
    """
    require_at_least(0, "mm r/min", speed_factor=speed_factor)
    rows = table["housing_fill"]
    if through not in TOP_UP:
        raise InputError(f"grease fed through {through!r}: give one of {', '.join(TOP_UP)}")
    slow, medium = (row["below"] for row in table["bearing_fill"][:2])
    if dirty and speed_factor < slow:
        return float(rows["slow_and_dirty"]["share"])
    share = float(rows[through]["share"])
    return share if speed_factor < medium else min(share, rows["fast"]["share"])


def first_fill_grams(
    free_volume: Reals, bearing_share: float, housing_share: float, density: float = DENSITY,
    housing_volume: Reals | None = None,
) -> FirstFill:  # fmt: skip
    """First fill of bearing and housing, each with its own share: G = share·V·ρ.

    free_volume: free space of the bearing [cm³]; bearing_share, housing_share: [-], 0 to 1;
    density: ρ [g/cm³]; housing_volume: space beside the bearing, both sides together [cm³], None = twice the
    free volume of the bearing.
    Returns FirstFill [g]. Raises InputError for volumes or density not above 0, shares outside 0 to 1.
    Source: bearing maker B (grams = 0.9·V; the space on each side about equals the free volume).

    >>> round(first_fill_grams(957.0, 0.5, 0.4).bearing_g)  # bearing maker B prints 430 g
    431
    """
    require_positive("cm³", free_volume=free_volume, housing_volume=housing_volume)
    require_positive("g/cm³", density=density)
    for name, share in (("bearing share", bearing_share), ("housing share", housing_share)):
        if not 0 <= share <= 1:
            raise InputError(f"{name} {share:g}: give 0 to 1")
    beside = 2 * free_volume if housing_volume is None else housing_volume
    return FirstFill(bearing_share * free_volume * density, housing_share * beside * density,
                     bearing_share, housing_share)  # fmt: skip


def line_volume_cm3(length: Reals, bore: Reals) -> Result:
    """Content of a feed line: V = π/4·d²·L·1e-3.

    length: L [mm]; bore: inner diameter d [mm].
    Returns volume [cm³]. Raises InputError for values not above 0. Source: geometry.

    >>> round(line_volume_cm3(2000.0, 4.0), 1)
    25.1
    """
    require_positive("mm", line_length=length, line_bore=bore)
    return plain(np.pi / 4 * np.square(bore) * length * 1e-3)


def strokes(amount: Reals, grams_per_stroke: Reals) -> Result:
    """Strokes of a calibrated gun: amount ÷ output.

    amount: grease wanted [g]; grams_per_stroke: output weighed with this gun and grease [g].
    Returns strokes [-], not rounded. Raises InputError for values not above 0. Source: definition.

    >>> strokes(12.5, 1.25)
    10.0
    """
    require_positive("g", amount=amount, grams_per_stroke=grams_per_stroke)
    return plain(np.asarray(amount) / grams_per_stroke)


def purge_grams(
    free_volume: Reals, passes: Reals, line_volume: Reals = 0.0, density: float = DENSITY
) -> Result:
    """New grease to push the old one out of an open drain: G = (free volume + line)·passes·ρ.

    free_volume: free space of the bearing [cm³]; passes: how often it is filled anew [-];
    line_volume: content of the feed line [cm³]; density: ρ [g/cm³].
    Returns grams [g]. Raises InputError for values not above 0 (line: below 0).
    Source: common practice, 1 to 2 free volumes for a compatible pair, 2 to 3 for a borderline one.
    """
    require_positive("cm³", free_volume=free_volume)
    require_positive("passes", passes=passes)
    require_positive("g/cm³", density=density)
    require_at_least(0, "cm³", line_volume=line_volume)
    return plain((np.asarray(free_volume) + line_volume) * passes * density)
