"""Slideways: pressure, pressure × speed, what a greased way stands, and how to grease it.

The formulas take floats or numpy arrays. The table is knowledge/standards/plain_bearings.yaml, as plain data;
its limits for ways are from memory: guidance, after the maker's own data.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from diag.tribology._ranges import Reals, Result, plain
from diag.tribology.common import require_at_least, require_positive
from diag.tribology.pins import Limits, limits_of

__all__ = ["contact_area", "may_stick_slip", "mean_pressure", "way_limits"]


def contact_area(length: Reals, width: Reals) -> Result:
    """Face of the slide that rests on the way: A = L·b.

    length: L [mm]; width: b [mm].
    Returns area [mm²]. Raises InputError for a size not above 0. Source: definition.

    >>> contact_area(400.0, 60.0)
    24000.0
    """
    require_positive("mm", slide_length=length, slide_width=width)
    return plain(np.asarray(length) * width)


def mean_pressure(force: Reals, length: Reals, width: Reals) -> Result:
    """Load over the face: p = F/(L·b).

    force: F [N]; length: L [mm]; width: b [mm].
    Returns pressure [MPa], a mean: a tilting load presses harder at one end.
    Raises InputError for a force below 0 or a size not above 0. Source: definition.

    >>> mean_pressure(6000.0, 400.0, 50.0)
    0.3
    """
    require_at_least(0, "N", force=force)
    return plain(np.asarray(force) / contact_area(length, width))


def way_limits(table: Mapping[str, Any]) -> Limits:
    """What a greased way stands.

    table: plain_bearings.yaml [-].
    Returns Limits; low = ordinary, high = well made and fed [MPa, m/s, MPa m/s]. Source: from memory.
    """
    return limits_of(table["way_limits"], "way", table["way_limits"])


def may_stick_slip(table: Mapping[str, Any], speed: float) -> bool:
    """Whether a greased way is slow enough to stick and slip.

    table: plain_bearings.yaml [-]; speed: v [m/s].
    Returns True below 0.005 m/s, standing still excepted [-]. Raises InputError for a speed below 0.
    Source: from memory.
    """
    require_at_least(0, "m/s", sliding_speed=speed)
    return 0 < speed < float(table["stick_slip_speed"]["value"])
