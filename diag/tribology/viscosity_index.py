"""The viscosity index (ASTM D2270) and what follows from it: the second viscosity when one is known."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from diag.errors import Fault, InputError
from diag.knowledgebase.loader import standard
from diag.tribology import _walther
from diag.tribology import viscosity as d341
from diag.tribology._ranges import Array, Range, Reals, Result, checked, checked_pair, plain, rising_root

__all__ = ["index_from", "v40_from_index", "v40_from_viscosity", "v100_from_index"]

RANGES = {
    "viscosity": Range(2.0, 2e7, "mm²/s", source="ASTM D2270: not defined below 2 mm²/s at 100 °C"),
    "viscosity index": Range(-100, 500, "-", source="chosen here; oils in use lie between 0 and 400"),
}
CONFIDENCE = {
    "index_from": "cross-checked",
    "v100_from_index": "cross-checked",
    "v40_from_index": "cross-checked",
    "v40_from_viscosity": "cross-checked",
}
USUAL_INDEX = 95.0  # mineral oil of unstated index; bearing maker, viscosity chart of the life chapter
FACTOR_B = 0.00715  # ASTM D2270, procedure B
THICKEST_V100 = 5000.0  # mm²/s; upper end of the search, beyond any oil


def index_from(v40: Reals, v100: Reals) -> Result:
    """Viscosity index, not rounded (the standard reports a whole number, halves to even).

    A, up to 100: VI = 100(L − U)/(L − H).  B, above: VI = (10^N − 1)/0.00715 + 100,  N = lg(H/U)/lg Y
    U = v40, Y = v100; L and H of Y from knowledge/standards/astm_d2270.yaml

    v40: viscosity at 40 °C [mm²/s]
    v100: viscosity at 100 °C [mm²/s]
    returns: viscosity index [-]

    Range: v100 from 2 mm²/s up and below v40; outside it InputError.
    Source: ASTM D2270, 5.1 and 6.1. L and H by polynomials, within 0.12 % of the table.

    >>> round(index_from(73.3, 8.86))    # D2270, 5.1.4: 92
    92
    >>> round(index_from(22.83, 5.05))    # D2270, 6.1.4, first example: 156
    156
    """
    return plain(_index(*checked_pair(v40, v100, RANGES["viscosity"])))


def v100_from_index(v40: Reals, vi: Reals) -> Result:
    """Viscosity at 100 °C from that at 40 °C and the index, by halving: the index rises with v100.

    v40: viscosity at 40 °C [mm²/s]
    vi: viscosity index [-]
    returns: viscosity at 100 °C [mm²/s]

    Range: index −100 to 500, and a result between 2 mm²/s and nine tenths of v40; outside it InputError.
    Source: follows from ASTM D2270.

    >>> round(v100_from_index(100, 95), 2)    # the D2270 table inverted: 11.066
    11.07
    """
    u = checked("viscosity at 40 °C", v40, Range(2.3, 2e7, "mm²/s"))
    wanted = checked("viscosity index", vi, RANGES["viscosity index"])
    least, most, _ = np.broadcast_arrays(RANGES["viscosity"].least, 0.9 * u, wanted)
    if np.any((_index(u, least) > wanted) | (_index(u, most) < wanted)):
        raise InputError(Fault(
            f"viscosity index {np.min(wanted):g}: no oil has it with {np.min(u):g} mm²/s at 40 °C and at "
            "least 2 mm²/s at 100 °C, below which the index is not defined"))
    return plain(rising_root(lambda y: _index(u, y) - wanted, least, most))


def v40_from_index(v100: Reals, vi: Reals) -> Result:
    """Viscosity at 40 °C from that at 100 °C and the index.

    up to 100: U = L − VI(L − H)/100;  above: U = H/Y^N,  N = lg(1 + 0.00715(VI − 100))

    v100: viscosity at 100 °C [mm²/s]
    vi: viscosity index [-]
    returns: viscosity at 40 °C [mm²/s]

    Range: v100 from 2 mm²/s, index −100 to 500; outside it InputError.
    Source: ASTM D2270, 5.1 and 6.1 turned round.

    >>> round(v40_from_index(11.066, 95), 1)
    100.0
    """
    y = checked("viscosity at 100 °C", v100, RANGES["viscosity"])
    return plain(_v40(y, checked("viscosity index", vi, RANGES["viscosity index"])))


def v40_from_viscosity(viscosity: Reals, temperature_c: Reals, vi: Reals = USUAL_INDEX) -> Result:
    """Viscosity at 40 °C of the oil that has a given viscosity at another temperature, by halving over v100.

    viscosity: viscosity at temperature_c [mm²/s]
    temperature_c: temperature of that viscosity [°C]
    vi: viscosity index [-]
    returns: viscosity at 40 °C [mm²/s]

    Range: as `viscosity_at` and `v40_from_index`; oils of 2 to 5000 mm²/s at 100 °C; outside it InputError.
    Source: ASTM D341 with ASTM D2270.

    >>> round(v40_from_viscosity(27.1275, 70, 95), 1)
    100.0
    """
    wanted = checked("viscosity", viscosity, d341.RANGES["viscosity"])
    index = checked("viscosity index", vi, RANGES["viscosity index"])
    t = checked("temperature", temperature_c, d341.RANGES["temperature"])

    def excess(y: Array) -> Array:
        return _walther.viscosity(t, _v40(y, index), y) - wanted

    least, most, *_ = np.broadcast_arrays(RANGES["viscosity"].least, THICKEST_V100, index, wanted, t)
    if np.any((excess(least) > 0) | (excess(most) < 0)):
        raise InputError(Fault(f"viscosity {np.min(wanted):g} mm²/s: at {np.min(t):g} °C no oil for which a "
                               "viscosity index is defined has it"))
    return plain(_v40(rising_root(excess, least, most), index))


@lru_cache(maxsize=1)
def _coefficients() -> Array:
    """Rows of y_from, l2, l1, l0, h2, h1, h0."""
    return np.array(standard("astm_d2270")["rows"], dtype=np.float64)


def _l_and_h(y: Array) -> tuple[Array, Array]:
    table = _coefficients()
    row = table[np.searchsorted(table[:, 0], y, side="right") - 1]
    _, l2, l1, l0, h2, h1, h0 = np.moveaxis(row, -1, 0)
    return (l2 * y + l1) * y + l0, (h2 * y + h1) * y + h0


def _index(u: Array, y: Array) -> Array:
    l_, h = _l_and_h(y)
    straight = 100 * (l_ - u) / (l_ - h)
    curved = (10 ** (np.log10(h / u) / np.log10(y)) - 1) / FACTOR_B + 100
    return np.where(u >= h, straight, curved)


def _v40(y: Array, vi: Array) -> Array:
    l_, h = _l_and_h(y)
    power = np.log10(1 + FACTOR_B * np.maximum(vi - 100, 0))
    return np.where(vi <= 100, l_ - vi * (l_ - h) / 100, h / y**power)
