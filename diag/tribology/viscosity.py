"""How thick an oil is at a temperature (ASTM D341), and Saybolt seconds as mm²/s (ASTM D2161)."""

from __future__ import annotations

import numpy as np

from diag.tribology import _walther
from diag.tribology._ranges import (
    VISCOSITY,
    Array,
    Range,
    Reals,
    Result,
    checked,
    checked_pair,
    inside,
    plain,
    rising_root,
)

__all__ = ["cst_to_sus", "in_range", "slope", "sus_to_cst", "temperature_for", "viscosity_at"]

RANGES = {
    "viscosity": VISCOSITY,
    "temperature": Range(-70, 370, "°C", source="ASTM D341, from memory"),
    "trusted temperature": Range(0, 340, "°C", outside="extrapolation", source=(
        "ASTM D341: from the cloud point to the boiling point; the chart is straight up to about 340 °C. "
        "Below 0 °C wax and polymer make the oil thicker than computed")),
    "saybolt viscosity": Range(1.81, 1e7, "mm²/s", source="ASTM D2161"),
    "saybolt temperature": Range(0, 350, "°F", source="chosen here round the printed 100 and 210 °F"),
}
CONFIDENCE = {
    "viscosity_at": "cross-checked",
    "temperature_for": "cross-checked",
    "slope": "cross-checked",
    "in_range": "from-memory",
    "cst_to_sus": "cross-checked",
    "sus_to_cst": "cross-checked",
}


def viscosity_at(temperature_c: Reals, v40: Reals, v100: Reals) -> Result:
    """Kinematic viscosity of an oil at a temperature (Walther).

    lg lg Z = A − B·lg T,  Z = ν + 0.7 + exp(−1.47 − 1.84ν − 0.51ν²),  T in K

    temperature_c: temperature of the oil [°C]
    v40: viscosity at 40 °C [mm²/s]
    v100: viscosity at 100 °C [mm²/s]
    returns: viscosity at temperature_c [mm²/s]

    Range: −70 to 370 °C, v40 and v100 0.21 to 2·10⁷ mm²/s, v100 below v40; outside it InputError. Below 0 °C
    or above 340 °C the result is an extrapolation, however large: see `in_range`.
    Source: ASTM D341-09(2015), annex; the exponential terms matter below 2 mm²/s only.

    >>> round(viscosity_at(80, 32, 5.4), 4)    # tribology library: 8.5332
    8.5332
    """
    t = checked("temperature", temperature_c, RANGES["temperature"])
    return plain(_walther.viscosity(t, *checked_pair(v40, v100)))


def temperature_for(viscosity: Reals, v40: Reals, v100: Reals) -> Result:
    """Temperature at which an oil has a given viscosity: `viscosity_at` turned round.

    lg T = (A − lg lg Z)/B

    viscosity: wanted viscosity [mm²/s]
    v40: viscosity at 40 °C [mm²/s]
    v100: viscosity at 100 °C [mm²/s]
    returns: temperature [°C]

    Range and errors: as `viscosity_at`; the temperature found is not limited, ask `in_range` about it.
    Source: ASTM D341-09(2015), annex.

    >>> round(temperature_for(8.5332, 32, 5.4), 2)
    80.0
    """
    wanted = checked("viscosity", viscosity, RANGES["viscosity"])
    return plain(_walther.temperature(wanted, *checked_pair(v40, v100)))


def slope(v40: Reals, v100: Reals) -> Result:
    """How fast an oil thins with heat: B of the Walther line.

    B = (W₄₀ − W₁₀₀)/lg(T₁₀₀/T₄₀),  W = lg lg Z

    v40: viscosity at 40 °C [mm²/s]
    v100: viscosity at 100 °C [mm²/s]
    returns: slope B [-]; about 3.7 for a mineral oil, less for one with a high viscosity index

    Range and errors: as `viscosity_at`.
    Source: ASTM D341-09(2015), annex.

    >>> round(slope(32, 5.4), 4)
    3.7466
    """
    return plain(_walther.line(*checked_pair(v40, v100))[1])


def in_range(temperature_c: Reals) -> Result:
    """Whether a viscosity at this temperature is an interpolation that can be trusted.

    temperature_c: temperature of the oil [°C]
    returns: True from 0 to 340 °C [-]

    Source: ASTM D341, scope; see RANGES["trusted temperature"].

    >>> in_range(-20)
    False
    """
    return inside(temperature_c, RANGES["trusted temperature"])


def cst_to_sus(viscosity: Reals, temperature_f: Reals) -> Result:
    """Saybolt universal seconds of an oil.

    SUS = (1 + 0.000061(t − 100))·[4.6324ν + (1 + 0.03264ν)/((3930.2 + 262.7ν + 23.97ν² + 1.646ν³)·10⁻⁵)]

    viscosity: viscosity at temperature_f [mm²/s]
    temperature_f: temperature of the test [°F], 100 or 210 as a rule
    returns: efflux time [s]

    Range: 1.81 to 10⁷ mm²/s, 0 to 350 °F; outside it InputError.
    Source: ASTM D2161; example: its factor 4.632 at 100 °F (5.2), 4.664 at 210 °F (5.4), above 75 mm²/s.

    >>> round(cst_to_sus(1000, 100))
    4632
    """
    v = checked("viscosity", viscosity, RANGES["saybolt viscosity"])
    t = checked("temperature", temperature_f, RANGES["saybolt temperature"])
    return plain(_sus(v, t))


def sus_to_cst(sus: Reals, temperature_f: Reals) -> Result:
    """Viscosity of an oil from Saybolt universal seconds, at the temperature of the test.

    `cst_to_sus` turned round by halving. Take the result to 40 °C with `viscosity_index.v40_from_viscosity`:
    at 100 °F (37.8 °C) an oil is 9 to 14 % thicker than at 40 °C.

    sus: efflux time [s]
    temperature_f: temperature of the test [°F], 100 or 210 as a rule
    returns: viscosity at temperature_f [mm²/s]

    Range: times that belong to 1.81 to 10⁷ mm²/s (from about 32 s), 0 to 350 °F; outside it InputError.
    Source: ASTM D2161; the example is that of the chemicals library 1.5.2.

    >>> round(sus_to_cst(700, 100), 3)
    151.089
    """
    t = checked("temperature", temperature_f, RANGES["saybolt temperature"])
    limits = RANGES["saybolt viscosity"]
    least, most = (_sus(np.asarray(v), t) for v in (limits.least, limits.most))
    seconds = checked("Saybolt seconds", sus, Range(float(least.max()), float(most.min()), "s"))
    ends = np.broadcast_arrays(limits.least, limits.most, seconds * t)
    return plain(rising_root(lambda v: _sus(v, t) - seconds, ends[0], ends[1]))


def _sus(v: Array, t: Array) -> Array:
    thin = (1 + 0.03264 * v) / ((3930.2 + 262.7 * v + 23.97 * v**2 + 1.646 * v**3) * 1e-5)
    return np.asarray((1 + 0.000061 * (t - 100)) * (4.6324 * v + thin), dtype=np.float64)
