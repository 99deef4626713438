"""Mean diameter and the two speed factors of a bearing."""

from __future__ import annotations

import numpy as np

from diag.errors import Fault, InputError
from diag.tribology._ranges import Range, Reals, Result, checked, plain

__all__ = ["bore_speed_factor", "mean_diameter", "speed_factor"]

RANGES = {
    "diameter": Range(0, np.inf, "mm", over=True),
    "speed": Range(0, np.inf, "rpm"),
}
CONFIDENCE = {
    "mean_diameter": "cross-checked", "speed_factor": "cross-checked", "bore_speed_factor": "cross-checked",
}


def mean_diameter(bore: Reals, outside: Reals) -> Result:
    """Mean diameter of a bearing, taken for the pitch diameter of its elements.

    dm = (d + D)/2

    bore: bore d [mm]
    outside: outside diameter D [mm]
    returns: mean diameter [mm]

    Range: both above 0, outside above bore; else InputError.
    Source: ISO 281:2007, 9.3.3.2.

    >>> mean_diameter(100, 130)
    115.0
    """
    d = checked("bore", bore, RANGES["diameter"])
    big = checked("outside diameter", outside, RANGES["diameter"])
    if np.any(big <= d):
        raise InputError(Fault("outside diameter is not above the bore: give the larger one as outside"))
    return plain((d + big) / 2)


def speed_factor(speed: Reals, mean_diameter: Reals) -> Result:
    """n·dm, the speed factor by mean diameter; 15 to 60 % above DN, so never held against a limit for DN.

    speed: rotational speed n [rpm]
    mean_diameter: mean diameter dm [mm]
    returns: n·dm [mm·rpm]

    Range: speed from 0, diameter above 0; else InputError.
    Source: lubricant supplier bulletin on bearing speed factors.

    >>> speed_factor(1000, 115)
    115000.0
    """
    n = checked("speed", speed, RANGES["speed"])
    return plain(n * checked("mean diameter", mean_diameter, RANGES["diameter"]))


def bore_speed_factor(speed: Reals, bore: Reals) -> Result:
    """DN, the speed factor by bore.

    speed: rotational speed n [rpm]
    bore: bore d [mm]
    returns: DN [mm·rpm]

    Range: speed from 0, bore above 0; else InputError.
    Source: lubricant supplier bulletin on bearing speed factors.

    >>> bore_speed_factor(1000, 100)
    100000.0
    """
    n = checked("speed", speed, RANGES["speed"])
    return plain(n * checked("bore", bore, RANGES["diameter"]))
