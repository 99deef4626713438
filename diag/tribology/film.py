"""Is the oil thick enough to part the surfaces? Reference viscosity, viscosity ratio, EP rule (ISO 281)."""

from __future__ import annotations

from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from diag.knowledgebase.loader import standard
from diag.tribology._ranges import Range, Reals, Result, checked, inside, plain
from diag.tribology.viscosity import viscosity_at
from diag.tribology.viscosity_index import USUAL_INDEX, v40_from_index, v40_from_viscosity

__all__ = [
    "EpRule", "ep_rule", "kappa", "kappa_band", "kappa_text", "kappa_with_ep", "life_applies",
    "reference_viscosity", "required_v40_for_kappa",
]

RANGES = {
    "speed": Range(0, np.inf, "rpm", over=True),
    "mean diameter": Range(0, np.inf, "mm", over=True),
    "viscosity": Range(0, np.inf, "mm²/s", over=True),
    "kappa": Range(0, np.inf, "-", over=True),
    "kappa for life": Range(0.1, np.inf, "-", source="ISO 281:2007: below 0.1 the equations do not apply"),
    "contamination factor": Range(0, 1, "-"),
}
CONFIDENCE = {
    "reference_viscosity": "verified", "kappa": "verified", "kappa_band": "verified",
    "kappa_text": "verified", "life_applies": "cross-checked", "required_v40_for_kappa": "cross-checked",
    "ep_rule": "cross-checked", "kappa_with_ep": "cross-checked",
}
THINNEST_V100 = 2.0  # mm²/s; the viscosity index is not defined below


class EpRule(NamedTuple):
    """ISO 281's rule for proven EP additives, as numbers."""

    least_contamination_factor: float
    kappa_used: float
    life_factor_cap: float
    yellow_metal_above_c: float


def reference_viscosity(speed: Reals, mean_diameter: Reals) -> Result:
    """Viscosity that just parts the surfaces, nu1.

    below 1000 rpm: ν₁ = 45000·n^−0.83·dm^−0.5;  from 1000 rpm: ν₁ = 4500·n^−0.5·dm^−0.5

    speed: rotational speed n [rpm]
    mean_diameter: mean diameter dm [mm]
    returns: reference viscosity at running temperature [mm²/s]

    Range: speed and diameter above 0; else InputError. For mineral oil of about 0.89 g/cm³. The step of
    2.3 % at 1000 rpm is in the standard. Makers' charts read up to 20 % lower.
    Source: ISO 281:2007, 9.3.3.2, as printed in a bearing maker's catalogue; example: The Tribology Handbook,
    A20.6 (500 rpm, 340 × 420 mm: 13.2 from the chart).

    >>> round(reference_viscosity(500, 380), 1)
    13.3
    """
    n = checked("speed", speed, RANGES["speed"])
    dm = checked("mean diameter", mean_diameter, RANGES["mean diameter"])
    law = _iso_281()["reference_viscosity"]
    slow, fast = (law[b]["factor"] * n ** law[b]["speed_power"] for b in ("slow", "fast"))
    return plain(np.where(n < law["split_speed"], slow, fast) / np.sqrt(dm))


def kappa(viscosity: Reals, speed: Reals, mean_diameter: Reals) -> Result:
    """Viscosity ratio of base oil to reference viscosity.

    κ = ν/ν₁

    viscosity: base oil viscosity at running temperature [mm²/s]
    speed: rotational speed [rpm]
    mean_diameter: mean diameter [mm]
    returns: viscosity ratio [-]

    Range: all above 0; else InputError.
    Source: ISO 281:2007, 9.3.3, as printed by a bearing maker (viscosity ratio).

    >>> round(kappa(27.1275, 1500, 80), 2)
    2.09
    """
    nu = checked("viscosity", viscosity, RANGES["viscosity"])
    return plain(nu / reference_viscosity(speed, mean_diameter))


def kappa_band(kappa: Reals) -> Result:
    """The band a viscosity ratio falls into; an edge belongs to the band above it, 4 to the one below.

    kappa: viscosity ratio [-]
    returns: below_0.1, 0.1_to_0.4, 0.4_to_1, 1_to_4 or above_4 [-]; an array of words for an array

    Range: above 0; else InputError.
    Source: ISO 281:2007, 9.3.3, as explained by a bearing maker (viscosity ratio).

    >>> kappa_band(0.7)
    '0.4_to_1'
    """
    ratio = checked("viscosity ratio", kappa, RANGES["kappa"])
    rows = _iso_281()["kappa_bands"]["rows"]
    edges = [row["below"] for row in rows[:-1]]
    edges[-1] = np.nextafter(edges[-1], np.inf)  # 4 itself is still the normal range
    words = np.array([row["key"] for row in rows])[np.searchsorted(edges, ratio, side="right")]
    return str(words) if words.ndim == 0 else words


def kappa_text(band: str) -> str:
    """What a band of viscosity ratios means.

    band: word given by kappa_band [-]
    returns: one phrase [-]

    Source: ISO 281:2007, 9.3.3, as explained by a bearing maker (viscosity ratio).

    >>> kappa_text("1_to_4")
    'the film parts the surfaces; normal range'
    """
    return next(str(row["text"]) for row in _iso_281()["kappa_bands"]["rows"] if row["key"] == band)


def life_applies(kappa: Reals) -> Result:
    """Whether ISO 281 gives a life at this viscosity ratio.

    kappa: viscosity ratio [-]
    returns: True from 0.1 up [-]

    Source: ISO 281:2007, 9.3.3, from two bearing makers.

    >>> life_applies(0.05)
    False
    """
    return inside(kappa, RANGES["kappa for life"])


def required_v40_for_kappa(kappa: Reals, temperature_c: Reals, speed: Reals, mean_diameter: Reals,
                           vi: Reals = USUAL_INDEX) -> Result:
    """Viscosity at 40 °C that gives a viscosity ratio at running temperature.

    ν(T) = κ·ν₁; the oil of this index with that viscosity at T, taken to 40 °C

    kappa: wanted viscosity ratio [-]
    temperature_c: running temperature [°C]
    speed: rotational speed [rpm]
    mean_diameter: mean diameter [mm]
    vi: viscosity index [-]
    returns: viscosity at 40 °C [mm²/s]

    Range: as `reference_viscosity` and `v40_from_viscosity`; InputError where no oil is thick enough (very
    slow turning). Never below the oil with 2 mm²/s at 100 °C: the index is not defined for thinner ones.
    Source: ISO 281:2007, 9.3.3 with ASTM D341 and D2270; example: 50 mm bore, 2000 rpm, 70 °C, n·dm 140 000.

    >>> [round(required_v40_for_kappa(k, 70, 2000, 70)) for k in (1.0, 2.0, 3.0)]
    [36, 86, 142]
    """
    ratio = checked("viscosity ratio", kappa, RANGES["kappa"])
    wanted = ratio * reference_viscosity(speed, mean_diameter)
    thinnest = viscosity_at(temperature_c, v40_from_index(THINNEST_V100, vi), THINNEST_V100)
    return v40_from_viscosity(plain(np.maximum(wanted, thinnest)), temperature_c, vi)


def ep_rule() -> EpRule:
    """The numbers of the EP rule.

    returns: least contamination factor [-], viscosity ratio used [-], cap of the life factor [-], and the
        temperature above which sulphur and phosphorus additives go on yellow metal only after a test [°C]

    Source: ISO 281:2007, 9.3.3.4, as restated by two bearing makers; yellow metal: bearing maker, on
    selecting a grease.

    >>> ep_rule().life_factor_cap
    3.0
    """
    rule = _iso_281()["ep_rule"]
    return EpRule(**{name: float(rule[name]) for name in EpRule._fields})


def kappa_with_ep(kappa: Reals, contamination_factor: Reals) -> Result:
    """Viscosity ratio for the life of a grease with proven EP additives. It lowers no viscosity requirement.

    κ < 1 and e_C ≥ 0.2: κ = 1, and the life factor is capped at 3 (see `life.life_factor`); else κ as it is

    kappa: true viscosity ratio [-]
    contamination_factor: e_C [-]
    returns: viscosity ratio for the life factor [-]

    Range: kappa above 0, contamination_factor 0 to 1; else InputError.
    Source: ISO 281:2007, 9.3.3.4, as restated by two bearing makers.

    >>> kappa_with_ep(0.5, 0.3), kappa_with_ep(0.5, 0.1)
    (1.0, 0.5)
    """
    ratio = checked("viscosity ratio", kappa, RANGES["kappa"])
    e_c = checked("contamination factor", contamination_factor, RANGES["contamination factor"])
    rule = ep_rule()
    helps = (ratio < rule.kappa_used) & (e_c >= rule.least_contamination_factor)
    return plain(np.where(helps, rule.kappa_used, ratio))


@lru_cache(maxsize=1)
def _iso_281() -> dict[str, Any]:
    table: dict[str, Any] = standard("iso_281")
    return table
