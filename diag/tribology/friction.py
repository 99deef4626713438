"""Friction of rolling bearings: the two moments, their factors by type and series, and the power lost.

Functions take floats or numpy arrays. The table is knowledge/standards/friction_factors.yaml, as plain data.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from diag.errors import InputError
from diag.tribology._ranges import Reals, Result, plain
from diag.tribology.common import Span, require_at_least, require_positive

__all__ = [
    "coefficient", "coefficient_moment", "drag_factor", "fresh_grease_factor", "friction_power",
    "load_factor", "load_factor_rows", "load_moment", "viscous_moment",
]  # fmt: skip

# Below this product of viscosity and speed the viscous moment no longer falls.
SLOW = 2000.0
# Designs meant only when their series is named: they drag up to four times as much as the usual one.
SPECIAL = ("full complement", "double row", "double direction", "four-point")


def viscous_moment(f0: Reals, viscosity: Reals, rpm: Reals, mean_diameter: Reals) -> Result:
    """Moment without load: M0 = f0·1e-7·(ν·n)^(2/3)·dm³, below ν·n = 2000: M0 = f0·160e-7·dm³.

    f0: factor of type and lubrication [-]; viscosity: ν of the base oil, running [mm²/s]; rpm: n [r/min];
    mean_diameter: dm [mm].
    Returns moment [N mm]; at ν·n = 2000 there is a step of 0.8 %. Range: run-in grease; fresh grease drags
    two to five times as much. Raises InputError for values not above 0.
    Source: bearing makers A and B (structure, split at 2000); the factor 1e-7 from memory (Palmgren).

    >>> round(float(viscous_moment(1.3, 27.13, 1500.0, 70.0)), 2)  # agreement with the recorded formula
    52.76
    """
    require_positive("", f0=f0)
    require_positive("mm²/s", viscosity=viscosity)
    require_positive("r/min", speed=rpm)
    require_positive("mm", mean_diameter=mean_diameter)
    product = np.asarray(viscosity) * rpm
    stirred = np.where(product < SLOW, 160.0, product ** (2 / 3))
    return plain(f0 * 1e-7 * stirred * np.power(mean_diameter, 3.0))


def load_moment(f1: Reals, load: Reals, mean_diameter: Reals) -> Result:
    """Moment from load: M1 = f1·P1·dm.

    f1: load factor [-]; load: P1 [N]; mean_diameter: dm [mm].
    Returns moment [N mm]. Raises InputError for a load below 0, a factor or diameter not above 0.
    Source: bearing maker A, 2006.

    >>> load_moment(0.0002, 1575.0, 72.5)
    22.8375
    """
    require_positive("", f1=f1)
    require_at_least(0, "N", load=load)
    require_positive("mm", mean_diameter=mean_diameter)
    return plain(np.asarray(f1) * load * mean_diameter)


def load_factor(
    factor: Reals, exponent: float, load: Reals = 0.0, static_rating: Reals | None = None
) -> Result:
    """Load factor f1 = factor·(P0/C0)^exponent; an exponent of 0 is a plain factor.

    factor: [-]; exponent: [-]; load: P0 [N]; static_rating: C0 [N], needed when the exponent isn't 0.
    Returns f1 [-]. Raises InputError without C0 where it is needed, for a load or rating not above 0.
    Source: bearing maker A, 2006.

    >>> round(float(load_factor(0.0009, 0.5, 5000.0, 23200.0)), 7)  # deep groove, series 62
    0.0004178
    """
    require_positive("", factor=factor)
    if exponent == 0:
        return factor
    if static_rating is None:
        raise InputError("load factor: give the static load rating C0 in N")
    require_positive("N", load=load, static_rating=static_rating)
    return plain(np.asarray(factor) * (np.asarray(load) / static_rating) ** exponent)


def friction_power(moment: Reals, rpm: Reals) -> Result:
    """Power turned into heat: N = π·n/30·M·1e-3 (bearing maker A rounds it to M·n/9550).

    moment: M [N mm]; rpm: n [r/min].
    Returns power [W]. Raises InputError for values below 0. Source: definition; bearing maker A.

    >>> round(float(friction_power(1000.0, 1500.0)))
    157
    """
    require_at_least(0, "N mm", moment=moment)
    require_at_least(0, "r/min", speed=rpm)
    return plain(np.pi / 30 * np.asarray(rpm) * moment * 1e-3)


def coefficient_moment(mu: Reals, load: Reals, bore: Reals) -> Result:
    """Moment from a plain coefficient: M = µ·P·d/2. A second, coarser way.

    mu: µ [-]; load: P [N]; bore: d [mm].
    Returns moment [N mm]. Range: normal load and speed.
    Raises InputError for a load below 0, others not above 0.
    Source: bearing maker catalogue, friction coefficients.

    >>> coefficient_moment(0.0015, 2000.0, 25.0)
    37.5
    """
    require_positive("", mu=mu)
    require_at_least(0, "N", load=load)
    require_positive("mm", bore=bore)
    return plain(np.asarray(mu) * load * bore / 2)


def drag_factor(
    table: Mapping[str, Any], bearing_type: str, series: str | None = None, lubrication: str = "grease",
    bore: float | None = None, width: float | None = None,
) -> Span:  # fmt: skip
    """f0 of a series, or over all series of the usual design of the type.

    table: friction_factors.yaml [-]; bearing_type: word of the case file [-]; series: as "62" [-];
    lubrication: grease | bath [-]; bore: d [mm]; width: B [mm], both for needle bearings.
    Returns f0 [-] low, geometric mean, high, settled grease. Raises InputError for a type, series or
    lubrication that isn't listed. Source: bearing maker A, 2006.
    """
    if lubrication not in ("grease", "bath"):
        raise InputError(f"lubrication {lubrication!r}: give grease or bath")
    values = [_f0(r, lubrication, bore, width) for r in _rows(table, bearing_type, series)]
    known = [v for v in values if v is not None]
    if not known:
        raise InputError(f"friction factor f0: none is published for this {bearing_type} in {lubrication}")
    return _span(known, table)


def load_factor_rows(
    table: Mapping[str, Any], bearing_type: str, series: str | None = None
) -> tuple[tuple[float, float], ...]:
    """The pairs (factor, exponent) of f1 for a type or series.

    table: friction_factors.yaml [-]; bearing_type: word of the case file [-]; series: as "62" [-].
    Returns pairs [-], for load_factor. Raises InputError for a type or series that isn't listed.
    Source: bearing maker A, 2006.
    """
    rows = _rows(table, bearing_type, series)
    return tuple(dict.fromkeys((float(r["f1"]), float(r["exponent"])) for r in rows))


def fresh_grease_factor(table: Mapping[str, Any]) -> Span:
    """How much more a freshly greased bearing drags: f0 times 2 to 5, until the grease has spread.

    table: friction_factors.yaml [-]. Returns factor [-]. Source: bearing maker A, 2006.
    """
    row = table["fresh"]
    low, high = float(row["low"]), float(row["high"])
    return Span(low, math.sqrt(low * high), high, tuple(row["source"]), row["confidence"])


def coefficient(table: Mapping[str, Any], bearing_type: str) -> Span:
    """Plain friction coefficient of a type.

    table: friction_factors.yaml [-]; bearing_type: word of the case file [-].
    Returns µ [-]. Raises InputError for a type that isn't listed. Source: bearing maker catalogue.
    """
    part = table["coefficients"]
    row = next((r for r in part["rows"] if r["type"] == bearing_type), None)
    if row is None:
        raise InputError(f"friction coefficient: none is published for {bearing_type}")
    mean = (row["low"] + row["high"]) / 2
    return Span(row["low"], mean, row["high"], tuple(part["source"]), part["confidence"])


def _rows(table: Mapping[str, Any], bearing_type: str, series: str | None) -> list[Mapping[str, Any]]:
    rows = [r for r in table["rows"] if r["type"] == bearing_type]
    usual = [r for r in rows if not any(words in r["design"] for words in SPECIAL)]
    if series is None:
        listed = usual
    else:
        listed = [r for r in usual if series in r["series"]] or [r for r in rows if series in r["series"]]
    if not listed:
        named = bearing_type if series is None else f"{bearing_type} of series {series}"
        raise InputError(f"friction factors: {named} is not in the table")
    return listed


def _f0(
    row: Mapping[str, Any], lubrication: str, bore: float | None, width: float | None
) -> float | None:
    """f0 of one row; None where the row has none, or needs sizes that aren't given."""
    value = row[f"f0_{lubrication}"]
    if value is None:
        return None
    if not row.get("per_width"):
        return float(value)
    if bore is None or width is None:
        return None
    require_positive("mm", bore=bore, width=width)
    return float(value) * width / (33 + bore)


def _span(values: list[float], table: Mapping[str, Any]) -> Span:
    mean = math.exp(sum(map(math.log, values)) / len(values))
    return Span(min(values), mean, max(values), tuple(table["source"]), table["confidence"])
