"""How warm a bearing should run: friction against the heat it gives off, with the oil thinning as it warms.

Functions take floats or numpy arrays. Such models are good to about ±50 % of the temperature rise, and the
rise is over the parts and air that take the heat, not over a cool room next door; seal drag and heat from
outside are not in it unless given. Hence `temperatures` draws over all that is not known, model error too.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from diag.errors import InputError
from diag.tribology import friction
from diag.tribology._ranges import Array, Reals, Result, plain
from diag.tribology.common import Span, require_at_least, require_positive
from diag.tribology.viscosity import viscosity_at

__all__ = [
    "Unknowns", "expected_temperature", "flow_density", "load_ends", "quantile_span",
    "reference_area", "share_below", "temperature_rise", "temperatures", "transfer_coefficient", "unknowns_for",
]  # fmt: skip

REFERENCE_RISE = 50.0  # ISO 15312: from 20 °C surroundings to a bearing of 70 °C
LARGE_AREA = 50_000.0
FLOW = {"radial": (0.016, -0.34), "thrust": (0.020, -0.16)}
# The oil's viscosity is followed between these temperatures and held at their values outside.
COLDEST, HOTTEST = -20.0, 200.0
STEPS = 32  # halvings of the bracket: 200 K to below 1e-6 K


@dataclass(frozen=True, slots=True)
class Unknowns:
    """Ranges to draw from, each (low, high); equal ends mean known.

    f0 [-] settled grease, log-uniform; fill: f0 multiplier [-], 1 settled, 2 to 5 fresh or overfull,
    log-uniform; f1 [-] uniform; load: P1 [N] uniform; transfer: coefficient [W/(mm² K)] log-uniform;
    surroundings [°C] uniform; model_error: share of the rise [-], the balance itself.
    """

    f0: tuple[float, float]
    f1: tuple[float, float]
    load: tuple[float, float]
    transfer: tuple[float, float]
    surroundings: tuple[float, float]
    fill: tuple[float, float] = (1.0, 1.0)
    model_error: float = 0.5


def reference_area(bore: Reals, outside: Reals, width: Reals, thrust: bool = False) -> Result:
    """Surface that gives off heat: radial π·B·(D + d), thrust π/2·(D² − d²); tapered: the total width for B.

    bore: d [mm]; outside: D [mm], above d; width: B [mm]; thrust: [-].
    Returns area [mm²]; a spherical roller thrust bearing needs more sizes, this overstates its area.
    Raises InputError for sizes not above 0 or D ≤ d. Source: ISO 15312 as printed by bearing maker A.

    >>> round(float(reference_area(50.0, 110.0, 27.0)))
    13572
    """
    require_positive("mm", bore=bore, outside_diameter=outside, width=width)
    if not np.all(np.asarray(outside) > bore):
        raise InputError("the outside diameter must be above the bore, both in mm")
    if thrust:
        return plain(np.pi / 2 * (np.square(outside) - np.square(bore)))
    return plain(np.pi * np.asarray(width) * (np.asarray(outside) + bore))


def flow_density(area: Reals, thrust: bool = False) -> Result:
    """Heat given off per area at 50 K: q_r = 0.016 radial, 0.020 thrust; large areas less.

    area: Ar [mm²]; thrust: [-].
    Returns q_r [W/mm²]; above 50 000 mm² times (Ar/50000)^−0.34 radial, ^−0.16 thrust.
    Raises InputError for an area not above 0.
    Source: ISO 15312 as printed by bearing maker A.

    >>> flow_density(50_000.0), flow_density(50_000.0, thrust=True)
    (0.016, 0.02)
    """
    require_positive("mm²", area=area)
    value, exponent = FLOW["thrust" if thrust else "radial"]
    return plain(value * np.maximum(1.0, np.asarray(area) / LARGE_AREA) ** exponent)


def transfer_coefficient(area: Reals, thrust: bool = False) -> Result:
    """Heat given off per area and kelvin in the reference case: q_r/50.

    area: Ar [mm²]; thrust: [-].
    Returns coefficient [W/(mm² K)], 0.00032 for small radial bearings; housings give 0.0002 to 0.001 up to
    25 000 mm². Raises InputError for an area not above 0. Source: ISO 15312; bearing maker A.

    >>> round(float(transfer_coefficient(11388.3)), 5)
    0.00032
    """
    return plain(np.asarray(flow_density(area, thrust)) / REFERENCE_RISE)


def temperature_rise(power: Reals, area: Reals, transfer: Reals) -> Result:
    """Rise over the surroundings: ΔT = N/(k·Ar).

    power: N [W]; area: Ar [mm²]; transfer: k [W/(mm² K)].
    Returns rise [K], good to about ±50 %. Raises InputError for a power below 0, others not above 0.
    Source: heat sink idea of ISO 15312.

    >>> round(float(temperature_rise(18.734, 11388.3, 0.00032)), 2)
    5.14
    """
    require_at_least(0, "W", power=power)
    require_positive("mm²", area=area)
    require_positive("W/(mm² K)", heat_transfer=transfer)
    return plain(np.asarray(power) / (np.asarray(transfer) * area))


def expected_temperature(
    rpm: Reals, mean_diameter: Reals, area: Reals, viscosity_40: Reals, viscosity_100: Reals, f0: Reals,
    f1: Reals, load: Reals, surroundings: Reals, transfer: Reals | None = None, outside_heat: Reals = 0.0,
) -> Result:  # fmt: skip
    """Temperature at which friction equals the heat given off: N(ν(T)) + N_outside = k·Ar·(T − T0).

    rpm: n [r/min]; mean_diameter: dm [mm]; area: Ar [mm²]; viscosity_40, viscosity_100: of the base oil
    [mm²/s]; f0, f1: friction factors [-]; load: P1 [N]; surroundings: T0 [°C]; transfer: k [W/(mm² K)],
    None = the radial reference case; outside_heat: heat from shaft or process [W].
    Returns temperature [°C]; the one root, since the left side falls as the oil warms. Viscosity is held
    outside −20 to 200 °C. Good to ±50 % of the rise. Raises InputError as the parts do.
    Source: ISO 15312 balance; moments: see friction.
    """
    require_at_least(0, "W", outside_heat=outside_heat)
    k = transfer_coefficient(area) if transfer is None else transfer
    moment_1 = friction.load_moment(f1, load, mean_diameter)
    oil = _Oil(viscosity_40, viscosity_100)

    def settled(temperature: Array) -> Array:
        moment_0 = friction.viscous_moment(f0, oil.at(temperature), rpm, mean_diameter)
        power = friction.friction_power(moment_0 + moment_1, rpm) + outside_heat
        return np.asarray(surroundings + temperature_rise(power, area, k))

    low = np.asarray(surroundings, dtype=float)
    return plain(_fixed_point(settled, low, settled(low)))


def load_ends(
    table: Mapping[str, Any], level: str | None, dynamic_rating: float | None, force: float | None = None
) -> tuple[float, float]:
    """Load to draw from: the stated force, else a share of the dynamic rating by the word for the load.

    table: heat_balance.yaml [-]; level: light | normal | heavy | shock or None [-]; dynamic_rating: C [N]
    or None where the force is stated; force: stated load [N] or None.
    Returns low and high [N], equal when stated.
    Raises InputError for a rating not above 0 or a force below 0. Source: judgement.
    """
    if force is not None:
        require_at_least(0, "N", force=force)
        return force, force
    if dynamic_rating is None:
        raise InputError("load: give the force, or the dynamic load rating C, in N")
    require_positive("N", dynamic_rating=dynamic_rating)
    share = table["load_share"].get(level or "any", table["load_share"]["any"])
    return share["low"] * dynamic_rating, share["high"] * dynamic_rating


def unknowns_for(
    table: Mapping[str, Any], factors: Mapping[str, Any], bearing_type: str, area: float,
    load: tuple[float, float], surroundings: tuple[float, float], static_rating: float | None = None,
    fresh: bool = False, bore: float | None = None, width: float | None = None,
) -> Unknowns:  # fmt: skip
    """Ranges for a bearing of which type, size and load are known, but not series, housing or fill.

    table: heat_balance.yaml [-]; factors: friction_factors.yaml [-]; bearing_type: word of the case file [-];
    area: Ar [mm²]; load: low and high P1 [N]; surroundings: low and high T0 [°C]; static_rating: C0 [N] or
    None; fresh: greased or repacked so lately that the grease hasn't spread [-]; bore: d [mm]; width: B [mm],
    both for needle bearings.
    Returns Unknowns. Raises InputError for a type that isn't listed.
    Source: bearing maker A, 2006; the spreads judgement.
    """
    f0 = friction.drag_factor(factors, bearing_type, bore=bore, width=width)
    fill = friction.fresh_grease_factor(factors)[:3:2] if fresh else _ends(table["settled_spread"])
    f1 = _load_factor_ends(table, factors, bearing_type, load, static_rating)
    return Unknowns((f0.low, f0.high), f1, load, _transfer_ends(table, area), surroundings, fill,
                    float(table["model_error"]["share"]))  # fmt: skip


def temperatures(
    rpm: float, mean_diameter: float, area: float, viscosity_40: Reals, viscosity_100: Reals,
    unknowns: Unknowns, draws: int = 2000, seed: int = 0,
) -> Array:  # fmt: skip
    """Drawn running temperatures over what isn't known; the same seed gives the same numbers.

    rpm: n [r/min]; mean_diameter: dm [mm]; area: Ar [mm²]; viscosity_40, viscosity_100: of the base oil, one
    number or one per draw [mm²/s]; unknowns: ranges, see Unknowns [-]; draws: how many [-]; seed: [-].
    Returns temperatures [°C], unsorted, so that they can go on into the viscosity ratio.
    Raises InputError for fewer than 2 draws, a range with its ends exchanged, or as expected_temperature.
    Source: ISO 15312 balance; ranges from the caller.
    """
    if draws < 2:
        raise InputError(f"{draws} draws: give 2 or more")
    rng = np.random.default_rng(seed)
    f0, fill, transfer = (
        _drawn(rng, what, getattr(unknowns, what), draws, log=True) for what in ("f0", "fill", "transfer")
    )
    f1, load, surroundings = (
        _drawn(rng, what, getattr(unknowns, what), draws) for what in ("f1", "load", "surroundings")
    )
    error = rng.uniform(1 - unknowns.model_error, 1 + unknowns.model_error, draws)
    settled = expected_temperature(rpm, mean_diameter, area, viscosity_40, viscosity_100, f0 * fill, f1, load,
                                   surroundings, transfer)  # fmt: skip
    return np.asarray(surroundings + error * (settled - surroundings), dtype=np.float64)


def quantile_span(drawn: Array, source: tuple[str, ...] = (), confidence: str = "") -> Span:
    """Drawn values as a band: 5 %, 50 %, 95 %.

    drawn: values [any]; source, confidence: carried on [-].
    Returns Span [any]. Raises InputError for no values. Source: definition.
    """
    if not drawn.size:
        raise InputError("a band needs drawn values: there are none")
    low, middle, high = (float(x) for x in np.quantile(drawn, (0.05, 0.5, 0.95)))
    return Span(low, middle, high, source, confidence)


def share_below(drawn: Array, measured: float) -> float:
    """Share of the drawn temperatures below the measured one.

    drawn: temperatures [°C]; measured: [°C].
    Returns share [-], 0 to 1: near 1, it is hotter than speed, load and oil explain.
    Raises InputError for no values. Source: definition.
    """
    if not drawn.size:
        raise InputError("a share needs drawn temperatures: there are none")
    return float(np.mean(drawn < measured))


def _ends(row: Mapping[str, Any]) -> tuple[float, float]:
    return float(row["low"]), float(row["high"])


def _transfer_ends(table: Mapping[str, Any], area: float) -> tuple[float, float]:
    """The published range by housing; for larger areas half to twice the reference case."""
    row = table["transfer"]
    if area <= row["to_area"]:
        return _ends(row)
    reference = float(transfer_coefficient(area))
    return reference / 2, reference * 2


def _load_factor_ends(
    table: Mapping[str, Any], factors: Mapping[str, Any], bearing_type: str, load: tuple[float, float],
    static_rating: float | None,
) -> tuple[float, float]:  # fmt: skip
    """Lowest and highest f1 over the rows of the type and the ends of P0/C0."""
    shares = _ends(table["static_load_share"])
    if static_rating is not None:
        shares = (load[0] / static_rating, load[1] / static_rating)
    rows = friction.load_factor_rows(factors, bearing_type)
    # A load of 0 has no moment whatever f1 is; it only must not make f1 itself 0.
    found = [friction.load_factor(c, e, max(share, 1e-6), 1.0) for c, e in rows for share in shares]
    return float(min(found)), float(max(found))


class _Oil:
    """Viscosity of one oil, held outside the temperatures followed."""

    def __init__(self, viscosity_40: Reals, viscosity_100: Reals) -> None:
        self.viscosity_40, self.viscosity_100 = viscosity_40, viscosity_100

    def at(self, temperature: Array) -> Array:
        held = np.clip(temperature, COLDEST, HOTTEST)
        return np.asarray(viscosity_at(held, self.viscosity_40, self.viscosity_100), dtype=np.float64)


def _fixed_point(function: Callable[[Array], Array], low: Array, high: Array) -> Array:
    """Where a falling function meets its argument, by halving between two ends, all elements at once."""
    low, high = (np.array(end) for end in np.broadcast_arrays(low, high))
    for _ in range(STEPS):
        middle = (low + high) / 2
        under = function(middle) > middle
        low, high = np.where(under, middle, low), np.where(under, high, middle)
    return np.asarray((low + high) / 2, dtype=np.float64)


def _drawn(
    rng: np.random.Generator, what: str, ends: tuple[float, float], draws: int, log: bool = False
) -> Array:
    low, high = ends
    if low > high:
        raise InputError(f"{what.replace('_', ' ')} from {low:g} to {high:g}: give the smaller end first")
    if not log:
        return rng.uniform(low, high, draws)
    require_positive("", **{what: low})
    return np.asarray(np.exp(rng.uniform(np.log(low), np.log(high), draws)), dtype=np.float64)
