"""Rating life of a rolling bearing, and what film, dirt and load make of it (ISO 281)."""

from __future__ import annotations

from functools import lru_cache
from typing import Any, Literal, NamedTuple

import numpy as np

from diag.knowledgebase.loader import standard
from diag.tribology._ranges import Array, Range, Reals, Result, checked, inside, known, plain
from diag.tribology.contamination import contamination_factor
from diag.tribology.film import ep_rule, kappa_with_ep

__all__ = [
    "FAMILIES", "FAMILY_OF", "Limit", "a_iso", "a_iso_confidence", "basic_life", "basic_life_hours",
    "fatigue_limit_confidence", "fatigue_load_limit", "life_factor", "life_ratio", "limiting_factor",
    "load_in_range", "modified_life_hours", "reliability_factor",
]

FAMILIES = ("radial_ball", "radial_roller", "thrust_ball", "thrust_roller")
FAMILY_OF = {
    "deep_groove_ball": "radial_ball", "angular_contact_ball": "radial_ball",
    "self_aligning_ball": "radial_ball", "cylindrical_roller": "radial_roller",
    "spherical_roller": "radial_roller", "tapered_roller": "radial_roller", "needle_roller": "radial_roller",
    "thrust_ball": "thrust_ball", "thrust_roller": "thrust_roller",
}
RANGES = {
    "kappa": Range(0.1, np.inf, "-", source="ISO 281:2007: not applicable below 0.1; above 4 counts as 4"),
    "load ratio": Range(0, np.inf, "-", source="e_C·C_u/P; the charts end at 5"),
    "force": Range(0, np.inf, "N", over=True),
    "speed": Range(0, np.inf, "rpm", over=True),
    "mean diameter": Range(0, np.inf, "mm", over=True),
    "life factor": Range(0, 50, "-", over=True),
    "share of the dynamic rating": Range(0, 0.5, "-", over=True, outside="extrapolation",
                                         source="two bearing makers: not valid above C/2 or above C0"),
}
CONFIDENCE = {
    "a_iso": "cross-checked", "a_iso_confidence": "verified", "life_factor": "cross-checked",
    "life_ratio": "cross-checked", "limiting_factor": "judgement", "fatigue_load_limit": "cross-checked",
    "fatigue_limit_confidence": "verified", "basic_life": "cross-checked",
    "basic_life_hours": "cross-checked", "modified_life_hours": "cross-checked",
    "reliability_factor": "verified", "load_in_range": "cross-checked",
}  # by family: a_iso_confidence and fatigue_limit_confidence


class Limit(NamedTuple):
    """What holds the life down, and how many times longer it would be with each of the three put right."""

    by: Literal["film", "dirt", "load"]
    gains: dict[str, float]


def a_iso(family: str, kappa: Reals, load_ratio: Reals) -> Result:
    """Life modification factor for film, dirt and fatigue limit.

    a = 0.1·[1 − (k − c/κ^m)^i·(x/t)^j]^−p,  x = e_C·C_u/P; constants by family and band of κ in
    knowledge/standards/iso_281.yaml. κ above 4 counts as 4; at most 50, also where the bracket reaches 0.

    family: bearing family, one of FAMILIES [-]
    kappa: viscosity ratio [-]
    load_ratio: x, contamination factor × fatigue load limit ÷ equivalent load [-]
    returns: a_ISO, 0.1 to 50 [-]

    Range: kappa from 0.1 (mask arrays with `film.life_applies`), load_ratio from 0; else InputError.
    Source: ISO 281:2007, 9.3.3.3, equations 31-42, from open engineering sources; see `a_iso_confidence`.

    >>> round(a_iso("radial_ball", 1.0, 0.2), 2)
    6.92
    """
    law, row = _iso_281()["life_factor"], _family(family)
    shape, bands = law[row["element"]], law["bands"]
    ratio = np.minimum(checked("viscosity ratio", kappa, RANGES["kappa"]), law["kappa_most"])
    x = checked("load ratio", load_ratio, RANGES["load ratio"]) / row["divisor"]
    band = np.searchsorted([b["from"] for b in bands], ratio, side="right") - 1
    c = np.array([b[f"{row['element']}_c"] for b in bands])[band]
    m = np.array([b["m"] for b in bands])[band]
    film = np.maximum(shape["base"] - c / ratio**m, 0.0) ** shape["inner"]
    rest = np.maximum(1 - film * x ** shape["load_power"], 1e-9)
    return plain(np.minimum(0.1 * rest ** shape["power"], law["cap"]))


def a_iso_confidence(family: str) -> str:
    """How sure the constants of `a_iso` are for a family; from-memory ones are guidance only.

    family: bearing family, one of FAMILIES [-]
    returns: cross-checked, verified (one source) or from-memory [-]

    Source: knowledge/standards/iso_281.yaml.

    >>> a_iso_confidence("thrust_roller")
    'from-memory'
    """
    return str(_family(family)["confidence"])


def fatigue_load_limit(family: str, static_rating: Reals, mean_diameter: Reals) -> Result:
    """Fatigue load limit where the maker gives none.

    ball: C_u = C0/22;  roller: C_u = C0/8.2;  above 100 mm times (100/dm)^0.5 or ^0.3

    family: bearing family, one of FAMILIES [-]
    static_rating: static load rating C0 [N]
    mean_diameter: mean diameter dm [mm]
    returns: fatigue load limit C_u [N]

    Range: both above 0; else InputError. Against tabulated limits 7 % high for balls, −8 to +13 % for
    rollers; thrust bearings were not compared. A tabulated limit goes before it.
    Source: ISO 281:2007, annex B, simplified method (from memory, checked against tabulated limits).

    >>> round(fatigue_load_limit("radial_ball", 38000, 80))    # tabulated: 1600
    1727
    """
    law = _iso_281()["fatigue_load_limit"]
    row = law[_family(family)["element"]]
    c0 = checked("static rating", static_rating, RANGES["force"])
    dm = checked("mean diameter", mean_diameter, RANGES["mean diameter"])
    size = np.minimum(law["large_from"] / dm, 1.0) ** row["power"]
    return plain(c0 / row["divisor"] * size)


def fatigue_limit_confidence(family: str) -> str:
    """How sure `fatigue_load_limit` is for a family.

    family: bearing family, one of FAMILIES [-]
    returns: cross-checked, or from-memory for thrust bearings [-]

    Source: knowledge/standards/iso_281.yaml.

    >>> fatigue_limit_confidence("radial_roller")
    'cross-checked'
    """
    law = _iso_281()["fatigue_load_limit"]
    return str(law["thrust_confidence" if known("bearing family", family, FAMILIES).startswith("thrust")
                   else "confidence"])


def basic_life(family: str, dynamic_rating: Reals, load: Reals) -> Result:
    """Basic rating life L10, reached by 90 of 100 bearings.

    L10 = (C/P)^p,  p = 3 for balls, 10/3 for rollers

    family: bearing family, one of FAMILIES [-]
    dynamic_rating: dynamic load rating C [N]
    load: equivalent dynamic load P [N]
    returns: life [10⁶ revolutions]

    Range: both above 0; else InputError. Above C/2 or C0 an extrapolation: see `load_in_range`.
    Source: ISO 281:2007, 5.3 and 6.3.

    >>> basic_life("radial_ball", 14000, 1400)
    1000.0
    """
    c = checked("dynamic rating", dynamic_rating, RANGES["force"])
    p = checked("load", load, RANGES["force"])
    return plain((c / p) ** _iso_281()["basic_life"]["power"][_family(family)["element"]])


def basic_life_hours(family: str, dynamic_rating: Reals, load: Reals, speed: Reals) -> Result:
    """Basic rating life in hours.

    L10h = 10⁶/(60·n)·(C/P)^p

    family: bearing family, one of FAMILIES [-]
    dynamic_rating: dynamic load rating C [N]
    load: equivalent dynamic load P [N]
    speed: rotational speed n [rpm]
    returns: life [h]

    Range: as `basic_life`, speed above 0; else InputError.
    Source: ISO 281:2007, 5.3; example: bearing maker, catalogue, 2018 (rope sheave: 804 800 h printed).

    >>> round(basic_life_hours("radial_ball", 27000, 550, 2450), -2)
    804800.0
    """
    n = checked("speed", speed, RANGES["speed"])
    return plain(basic_life(family, dynamic_rating, load) * 1e6 / (60 * n))


def modified_life_hours(basic_hours: Reals, life_factor: Reals, reliability: int = 90) -> Result:
    """Modified rating life in hours.

    Lnmh = a1·a_ISO·L10h

    basic_hours: basic rating life [h]
    life_factor: a_ISO [-]
    reliability: bearings that reach the life [%], one of 90, 95, 96, 97, 98, 99
    returns: life [h]

    Range: life above 0, factor above 0 to 50; else InputError.
    Source: ISO 281:2007, 9.2.

    >>> modified_life_hours(10000, 2.0)
    20000.0
    """
    hours = checked("basic life", basic_hours, Range(0, np.inf, "h", over=True))
    factor = checked("life factor", life_factor, RANGES["life factor"])
    return plain(reliability_factor(reliability) * factor * hours)


def reliability_factor(reliability: int) -> float:
    """Life factor a1 for another reliability than 90 %.

    reliability: bearings that reach the life [%], one of 90, 95, 96, 97, 98, 99
    returns: a1 [-]

    Errors: InputError for any other reliability; the table is not interpolated.
    Source: ISO 281:2007, table 12, as printed in a bearing maker's catalogue, 2018.

    >>> reliability_factor(99)
    0.25
    """
    rows: dict[int, float] = _iso_281()["reliability"]["rows"]
    known("reliability", str(reliability), map(str, rows))
    return float(rows[reliability])


def load_in_range(load: Reals, dynamic_rating: Reals, static_rating: Reals = np.inf) -> Result:
    """Whether the life equations hold for a load.

    load: equivalent dynamic load P [N]
    dynamic_rating: dynamic load rating C [N]
    static_rating: static load rating C0 [N], not asked when left out
    returns: True up to C/2 and C0 [-]

    Source: two bearing makers (life chapters).

    >>> load_in_range(30000, 50000)
    False
    """
    share = np.asarray(load, dtype=np.float64) / dynamic_rating
    light = np.asarray(inside(share, RANGES["share of the dynamic rating"]))
    found = light & (np.asarray(load) <= static_rating)
    return bool(found) if found.ndim == 0 else found


def life_factor(family: str, kappa: Reals, level: str, mean_diameter: Reals, fatigue_limit: Reals,
                load: Reals, ep: bool = False) -> Result:
    """a_ISO from the film, the cleanliness and the load, with the EP rule.

    e_C from cleanliness, true κ and dm; x = e_C·C_u/P. With proven EP, κ < 1 and e_C ≥ 0.2: a_ISO at κ = 1,
    at most 3, and never less than without EP.

    family: bearing family, one of FAMILIES [-]
    kappa: true viscosity ratio [-]
    level: class of cleanliness, one of contamination.LEVELS [-]
    mean_diameter: mean diameter [mm]
    fatigue_limit: fatigue load limit C_u [N]
    load: equivalent dynamic load P [N]
    ep: whether the grease has proven EP additives [-]
    returns: a_ISO [-]

    Range: as `a_iso`, the rest above 0; else InputError.
    Source: ISO 281:2007, 9.3.3 and annex A.

    >>> round(life_factor("radial_ball", 2.0883, "normal", 80, 1727.3, 5000), 1)
    16.2
    """
    e_c = contamination_factor(level, kappa, mean_diameter)
    c_u = checked("fatigue load limit", fatigue_limit, RANGES["force"])
    x = e_c * c_u / checked("load", load, RANGES["force"])
    bare = a_iso(family, kappa, x)
    if not ep:
        return bare
    used = kappa_with_ep(kappa, e_c)
    helped = np.minimum(a_iso(family, used, x), ep_rule().life_factor_cap)
    return plain(np.where(np.asarray(used) > kappa, np.maximum(bare, helped), bare))


def life_ratio(family: str, kappa_in_service: Reals, kappa_specified: Reals, level: str,
               mean_diameter: Reals, fatigue_limit: Reals, load: Reals) -> Result:
    """What the oil in service leaves of the life that the specified oil would give.

    a_ISO(in service)/a_ISO(specified), all else equal. A viscosity ratio below 0.1 counts as 0.1, so that
    the true share is smaller still.

    family: bearing family, one of FAMILIES [-]
    kappa_in_service: viscosity ratio with the oil in service [-]
    kappa_specified: viscosity ratio with the oil specified [-]
    level: class of cleanliness, one of contamination.LEVELS [-]
    mean_diameter: mean diameter [mm]
    fatigue_limit: fatigue load limit C_u [N]
    load: equivalent dynamic load P [N]
    returns: life in service ÷ life with the oil specified [-]

    Range: viscosity ratios above 0; else InputError.
    Source: ISO 281:2007, 9.3.3 and annex A.

    >>> round(life_ratio("radial_ball", 0.5, 2.0, "normal", 80, 1727, 5000), 2)
    0.03
    """
    service, wanted = (_floored(k) for k in (kappa_in_service, kappa_specified))
    rest = (level, mean_diameter, fatigue_limit, load)
    return plain(life_factor(family, service, *rest) / life_factor(family, wanted, *rest))


def limiting_factor(family: str, kappa: float, level: str, mean_diameter: float, fatigue_limit: float,
                    load: float) -> Limit:
    """Whether film, dirt or load holds the life down: the one whose improvement gains most.

    film: κ raised to 4;  dirt: cleanliness high;  load: a quarter less. The gain is the modified life after
    ÷ before; a viscosity ratio below 0.1 counts as 0.1. EP is left out: it would hide a thin film.

    family: bearing family, one of FAMILIES [-]
    kappa: viscosity ratio [-]
    level: class of cleanliness, one of contamination.LEVELS [-]
    mean_diameter: mean diameter [mm]
    fatigue_limit: fatigue load limit C_u [N]
    load: equivalent dynamic load P [N]
    returns: the limit, and the gain in life of each improvement [-]

    Range: all above 0; else InputError.
    Source: ISO 281:2007, 9.3.3 and annex A; the three improvements are judgement (iso_281.yaml).

    >>> limiting_factor("radial_ball", 0.3, "normal", 80, 1727, 5000).by
    'film'
    """
    best = _iso_281()["limiting_factor"]
    now = float(_floored(kappa))
    lighter = best["load_share"] * load

    def factor(k: float, cleanliness: str, p: float) -> float:
        return float(life_factor(family, k, cleanliness, mean_diameter, fatigue_limit, p))

    before = factor(now, level, load)
    gains = {
        "film": factor(max(now, best["film_kappa"]), level, load) / before,
        "dirt": factor(now, best["clean_level"], load) / before,
        "load": factor(now, level, lighter) / before * float(basic_life(family, load, lighter)),
    }
    order: tuple[Literal["film", "dirt", "load"], ...] = ("film", "dirt", "load")
    return Limit(max(order, key=gains.__getitem__), gains)


def _floored(kappa: Reals) -> Array:
    """The viscosity ratio, not below the least one that has a life."""
    ratio = checked("viscosity ratio", kappa, Range(0, np.inf, "-", over=True))
    return np.maximum(ratio, RANGES["kappa"].least)


def _family(family: str) -> dict[str, Any]:
    row: dict[str, Any] = _iso_281()["life_factor"]["families"][known("bearing family", family, FAMILIES)]
    return row


@lru_cache(maxsize=1)
def _iso_281() -> dict[str, Any]:
    table: dict[str, Any] = standard("iso_281")
    return table
