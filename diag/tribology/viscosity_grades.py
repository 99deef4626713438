"""ISO VG: the twenty viscosity classes of industrial oils (ISO 3448)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from diag.errors import Fault, InputError
from diag.knowledgebase.loader import standard
from diag.tribology._ranges import Range, checked

__all__ = ["Grade", "grade_of", "grades", "limits", "nearest", "within"]

RANGES = {"viscosity": Range(0, np.inf, "mm²/s", over=True)}
CONFIDENCE = {
    "grades": "cross-checked", "limits": "cross-checked", "grade_of": "cross-checked",
    "nearest": "cross-checked", "within": "cross-checked",
}


@dataclass(frozen=True, slots=True)
class Grade:
    """A class: its number, mid-point and limits at 40 °C, mm²/s, and how sure the row is."""

    vg: int
    mid: float
    least: float
    most: float
    confidence: str


@lru_cache(maxsize=1)
def grades() -> tuple[Grade, ...]:
    """All classes, thinnest first.

    returns: the twenty classes, limits mid-point ±10 % [mm²/s at 40 °C]

    Source: ISO 3448:1992, table 1; rows 2200 and 3200 from memory.

    >>> len(grades())
    20
    """
    table = standard("iso_3448")
    share = table["tolerance"]
    return tuple(Grade(r["vg"], r["mid"], round(r["mid"] * (1 - share), 4), round(r["mid"] * (1 + share), 4),
                       r["confidence"]) for r in table["grades"])


def limits(vg: int) -> Grade:
    """The class with this number.

    vg: number of the class [-]
    returns: the class with its limits [mm²/s at 40 °C]

    Errors: InputError when there is no such class.
    Source: ISO 3448:1992, table 1.

    >>> limits(46).least, limits(46).most
    (41.4, 50.6)
    """
    for grade in grades():
        if grade.vg == vg:
            return grade
    raise InputError(Fault(f"ISO VG {vg}: give one of {', '.join(str(g.vg) for g in grades())}"))


def grade_of(v40: float) -> Grade | None:
    """The class an oil belongs to, None in a gap between classes.

    v40: viscosity at 40 °C [mm²/s]
    returns: the class whose limits hold v40 [mm²/s at 40 °C]

    Range: above 0; else InputError. Source: ISO 3448:1992, table 1.

    >>> grade_of(38.0) is None    # between VG 32, up to 35.2, and VG 46, from 41.4
    True
    """
    checked("viscosity at 40 °C", v40, RANGES["viscosity"])
    return next((g for g in grades() if g.least <= v40 <= g.most), None)


def nearest(v40: float) -> Grade:
    """The class nearest by ratio, since each mid-point is about 1.5 times the one before.

    v40: viscosity at 40 °C [mm²/s]
    returns: the class [mm²/s at 40 °C]

    Range: above 0; else InputError. Beyond 1.98 to 3520 mm²/s it is the thinnest or the thickest class.
    Source: ISO 3448:1992, table 1.

    >>> nearest(120).vg
    100
    """
    checked("viscosity at 40 °C", v40, RANGES["viscosity"])
    return min(grades(), key=lambda g: abs(np.log(g.mid / v40)))


def within(least: float, most: float) -> tuple[Grade, ...]:
    """The classes whose mid-point lies in a window.

    least: lower end of the window at 40 °C [mm²/s]
    most: upper end of the window at 40 °C [mm²/s]
    returns: the classes, thinnest first; none for an empty window [mm²/s at 40 °C]

    Range: above 0; else InputError. Source: ISO 3448:1992, table 1.

    >>> [g.vg for g in within(90, 250)]
    [100, 150, 220]
    """
    checked("viscosity at 40 °C", least, RANGES["viscosity"])
    checked("viscosity at 40 °C", most, RANGES["viscosity"])
    return tuple(g for g in grades() if least <= g.mid <= most)
