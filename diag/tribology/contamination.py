"""How much dirt takes from the life of a greased bearing: the contamination factor e_C (ISO 281)."""

from __future__ import annotations

from typing import Any

import numpy as np

from diag.knowledgebase.loader import standard
from diag.tribology._ranges import Range, Reals, Result, checked, known, plain

__all__ = ["LEVELS", "RANGE_LEVELS", "contamination_factor", "guideline_range", "level_text"]

LEVELS = ("high", "normal", "slight_to_typical", "severe", "very_severe")  # cleanliness, cleanest first
RANGE_LEVELS = ("extreme", "high", "normal", "slight", "typical", "severe", "very_severe")
RANGES = {
    "kappa": Range(0, np.inf, "-", over=True),
    "mean diameter": Range(0, np.inf, "mm", over=True),
}
CONFIDENCE = {"contamination_factor": "verified", "guideline_range": "verified", "level_text": "verified"}


def contamination_factor(level: str, kappa: Reals, mean_diameter: Reals) -> Result:
    """Contamination factor of a grease-lubricated bearing from its class of cleanliness.

    e_C = min(c1·κ^0.68·dm^0.55, 1)·(1 − c2/dm^(1/3)), never below 0

    level: class of cleanliness, one of LEVELS [-]
    kappa: viscosity ratio [-]
    mean_diameter: mean diameter dm, for the pitch diameter [mm]
    returns: e_C, 0 to 1 [-]

    Range: kappa and diameter above 0; else InputError. The equation turns negative for very severe below
    67 mm and severe below 19 mm, which counts as 0. For small bearings it lies below `guideline_range`.
    Source: ISO 281:2007, annex A, as printed in a bearing maker's catalogue.

    >>> round(contamination_factor("normal", 1.0, 60), 3)
    0.291
    """
    row = _rows("contamination_grease")[known("cleanliness", level, LEVELS)]
    ratio = checked("viscosity ratio", kappa, RANGES["kappa"])
    dm = checked("mean diameter", mean_diameter, RANGES["mean diameter"])
    c2 = np.where(dm >= row.get("large_from", np.inf), row.get("large_c2", row["c2"]), row["c2"])
    film_share = np.minimum(row["c1"] * ratio**0.68 * dm**0.55, 1.0)
    return plain(np.maximum(film_share * (1 - c2 / np.cbrt(dm)), 0.0))


def guideline_range(level: str, mean_diameter: float) -> tuple[float, float]:
    """The range of e_C that the table gives for a class of cleanliness.

    level: class of cleanliness, one of RANGE_LEVELS [-]
    mean_diameter: mean diameter [mm]
    returns: least and greatest e_C [-]

    Range: diameter above 0; else InputError.
    Source: ISO 281:2007, table 13, as reprinted in a public bearing guide.

    >>> guideline_range("normal", 80)
    (0.5, 0.6)
    """
    checked("mean diameter", mean_diameter, RANGES["mean diameter"])
    known("cleanliness", level, RANGE_LEVELS)
    table = standard("iso_281")["contamination_ranges"]
    size = "large" if mean_diameter >= table["large_from"] else "small"
    least, most = table["rows"][level][size]
    return least, most


def level_text(level: str) -> str:
    """When a class of cleanliness applies to a greased bearing.

    level: class of cleanliness, one of LEVELS [-]
    returns: one phrase [-]

    Source: ISO 281:2007, annex A, as printed in a bearing maker's catalogue.

    >>> level_text("very_severe")
    'dirty surroundings, ineffective sealing, very long intervals'
    """
    return str(_rows("contamination_grease")[known("cleanliness", level, LEVELS)]["when"])


def _rows(table: str) -> dict[str, Any]:
    rows: dict[str, Any] = standard("iso_281")[table]["rows"]
    return rows
