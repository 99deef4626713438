"""The straight line of ASTM D341 without guards, for searches that pass through odd oils."""

from __future__ import annotations

import numpy as np

from diag.tribology._ranges import Array

__all__ = ["line", "temperature", "viscosity"]

ZERO_C = 273.15  # K


def line(v40: Array, v100: Array) -> tuple[Array, Array]:
    """A and B of lg lg Z = A − B·lg T through the viscosities at 40 and 100 °C."""
    t40, t100 = np.log10(40 + ZERO_C), np.log10(100 + ZERO_C)
    b = (_w(v40) - _w(v100)) / (t100 - t40)
    return _w(v40) + b * t40, b


def viscosity(temperature_c: Array, v40: Array, v100: Array) -> Array:
    a, b = line(v40, v100)
    return _from_z(10 ** (10 ** (a - b * np.log10(temperature_c + ZERO_C))))


def temperature(wanted: Array, v40: Array, v100: Array) -> Array:
    a, b = line(v40, v100)
    return np.asarray(10 ** ((a - _w(wanted)) / b) - ZERO_C, dtype=np.float64)


def _z(v: Array) -> Array:
    return np.asarray(v + 0.7 + np.exp(-1.47 - 1.84 * v - 0.51 * v**2), dtype=np.float64)


def _from_z(z: Array) -> Array:
    # Beyond 10 the correction is below 1e-100; the cap keeps the cube from overflowing.
    y = z - 0.7
    thin = np.minimum(y, 10.0)
    correction = np.exp(-0.7487 - 3.295 * thin + 0.6119 * thin**2 - 0.3193 * thin**3)
    return np.asarray(y - correction, dtype=np.float64)


def _w(v: Array) -> Array:
    return np.asarray(np.log10(np.log10(_z(v))), dtype=np.float64)
