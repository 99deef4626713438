"""How long a charge of grease lasts: the published forecast, and the rules of thumb for temperature.

Functions take floats or numpy arrays. The forecast equation and its terms are from memory: guidance only.
"""

from __future__ import annotations

import numpy as np

from diag.tribology._ranges import Reals, Result, plain
from diag.tribology.common import require_at_least, require_positive

__all__ = [
    "forecast_hours", "halved", "interval_from_life", "load_term", "oxidation_speedup", "speed_term",
]  # fmt: skip

NEWTON_PER_POUND = 4.4482216
ZERO_CELSIUS = 273.0  # as the forecast prints it
LIFE_SHARE = 0.5  # bearing maker A: regrease at about half the grease life


def forecast_hours(temperature: Reals, s: Reals = 0.0) -> Result:
    """Grease life of a greased ball bearing: log10 L = −2.60 + 2450/(273 + T) − 0.301·S.

    temperature: T at the bearing [°C]; s: S = soap + speed + load terms [-], each unit halves the life.
    Returns the life at which half of the bearings have failed from grease [h].
    Range: one charge, mostly single-row deep groove motor bearings, 70 to 150 °C; below that it is
    extrapolated. Wide scatter, a rough guide. Raises InputError below −50 °C or for S below 0.
    Source: Booser 1974, Grease Life Forecast for Ball Bearings (terms and units read; equation from memory).

    >>> round(float(forecast_hours(100.0)))
    9297
    """
    require_at_least(-50, "°C", temperature=temperature)
    require_at_least(0, "", s=s)
    return plain(10 ** (-2.60 + 2450 / (ZERO_CELSIUS + np.asarray(temperature)) - 0.301 * np.asarray(s)))


def speed_term(bore_speed: Reals, limit: Reals) -> Result:
    """Speed term of the forecast: S_N = 0.86·DN/DN_limit.

    bore_speed: bore × speed DN [mm r/min]; limit: grease limit of the bearing, also bore × speed [mm r/min].
    Returns the term [-]. Raises InputError for a speed below 0 or a limit not above 0.
    Source: Booser 1974 (from memory).
    """
    require_at_least(0, "mm r/min", bore_speed=bore_speed)
    require_positive("mm r/min", limit=limit)
    return plain(0.86 * np.asarray(bore_speed) / limit)


def load_term(bore_speed: Reals, load: Reals, dynamic_rating: Reals) -> Result:
    """Load term of the forecast: S_W = 0.61·DN·W/C², W and C in pounds.

    bore_speed: bore × speed DN [mm r/min]; load: W [N]; dynamic_rating: C [N] (10 % life of 10⁶ turns).
    Returns the term [-]. Raises InputError for a speed or load below 0 or a rating not above 0.
    Source: Booser 1974 (C in pounds and D in mm read; the factor from memory).
    """
    require_at_least(0, "mm r/min", bore_speed=bore_speed)
    require_at_least(0, "N", load=load)
    require_positive("N", dynamic_rating=dynamic_rating)
    # W/C² carries 1/pound: with both in newtons the result is to be multiplied by newtons per pound.
    return plain(0.61 * np.asarray(bore_speed) * load * NEWTON_PER_POUND / np.square(dynamic_rating))


def halved(hours: Reals, at: Reals, temperature: Reals, step: Reals = 15.0) -> Result:
    """Life at another temperature: L·2^−((T − T0)/step).

    hours: L at `at` [h]; at: T0 [°C]; temperature: T [°C]; step: rise that halves the life [K]: 15 for
    intervals (bearing maker B), 10 for a conservative grease life (bearing maker D).
    Returns life [h]. Raises InputError for a life or step not above 0.
    Source: bearing maker D (4000 h at 80 °C, 2000 at 90, 1000 at 100); bearing maker B.

    >>> halved(2000.0, at=90.0, temperature=80.0, step=10.0)
    4000.0
    """
    require_positive("h", hours=hours)
    require_positive("K", step=step)
    return plain(np.asarray(hours) * 2.0 ** (-(np.asarray(temperature) - at) / step))


def interval_from_life(life: Reals) -> Result:
    """Regreasing interval from a grease life: about half of it.

    life: grease life [h]. Returns interval [h]. Raises InputError for a life not above 0.
    Source: bearing maker A, 2006 (relubrication at about 0.5 of the grease life).

    >>> interval_from_life(8000.0)
    4000.0
    """
    require_positive("h", life=life)
    return plain(LIFE_SHARE * np.asarray(life))


def oxidation_speedup(usual: Reals, temperature: Reals) -> Result:
    """How much faster oil oxidises: 10^(4750/(T0 + 273) − 4750/(T + 273)).

    usual: T0 [°C]; temperature: T [°C].
    Returns the ratio of lives [-], above 1 when hotter; about 2 per 10 K between 100 and 150 °C, outside that
    extrapolated. Raises InputError below −50 °C.
    Source: Khonsari and Booser 2003, predicting lube life.

    >>> round(float(oxidation_speedup(125.0, 135.0)), 2)
    1.96
    """
    require_at_least(-50, "°C", usual=usual, temperature=temperature)
    return plain(10 ** (4750 / (np.asarray(usual) + 273) - 4750 / (np.asarray(temperature) + 273)))
