"""Size, speed and film of a rolling bearing: is the oil thick enough where it runs?"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from diag.compute.bench import Bench, Oil, computed, hundreds, step
from diag.compute.heat import DRAWS, drawn_temperatures
from diag.compute.temperature import usual_temperature
from diag.errors import InputError
from diag.findings import Computed
from diag.numbertext import shown

if TYPE_CHECKING:
    from diag.tribology._ranges import Array

__all__ = ["viscosity"]

ISO_281 = "ISO 281:2007, 9.3.3, as printed in a bearing maker's catalogue (verified)"
D341 = "ASTM D341 and D2270 (cross-checked)"
GRADE_TOLERANCE = 0.1  # a viscosity grade is its middle ± 10 % (ISO 3448)


@step("mean_diameter")
def mean_diameter(bench: Bench) -> Computed | None:
    from diag.tribology.speed import mean_diameter as formula

    bearing = bench.case.point.bearing
    if bearing.bore is None or bearing.outside is None:
        return None
    value = float(formula(bearing.bore, bearing.outside))
    working = f"({bearing.bore:g} + {bearing.outside:g}) / 2 = {value:g} mm"
    return computed("mean_diameter", value, "mm", working, "ISO 281:2007, 9.3.3.2 (cross-checked)")


@step("speed_factor")
def speed_factor(bench: Bench) -> Computed | None:
    from diag.tribology.speed import speed_factor as formula

    speed, diameter = bench.case.point.speed, bench.number("mean_diameter")
    if speed is None or diameter is None:
        return None
    value = float(formula(speed, diameter))
    return computed("speed_factor", value, "mm/min", f"{speed:g} rpm × {diameter:g} mm = {value:.0f}",
                    "lubricant supplier bulletin on bearing speed factors (cross-checked)")


@step("viscosity_at_running")
def viscosity_at_running(bench: Bench) -> Computed | None:
    oil, running = bench.oil, bench.running
    if oil is None or running is None:
        return None
    temperature, what = running
    value, low, high = viscosity(oil, temperature)
    working = f"{oil.v40:g} mm²/s at 40 °C, {oil.words}: {shown(value)} mm²/s at {temperature:.0f} °C ({what})"
    return computed("viscosity_at_running", value, "mm²/s", working, D341, _band(low, high))


@step("reference_viscosity")
def reference_viscosity(bench: Bench) -> Computed | None:
    from diag.tribology.film import reference_viscosity as formula

    speed, diameter = bench.case.point.speed, bench.number("mean_diameter")
    if not speed or diameter is None or not bench.rolling:
        return None
    value = float(formula(speed, diameter))
    slow = speed < 1000
    law = "45000 × {n:g}^-0.83 × {d:g}^-0.5" if slow else "4500 × {n:g}^-0.5 × {d:g}^-0.5"
    return computed("reference_viscosity", value, "mm²/s",
                    f"ν1 = {law.format(n=speed, d=diameter)} = {shown(value)} mm²/s", ISO_281)


@step("viscosity_ratio")
def viscosity_ratio(bench: Bench) -> Computed | None:
    item, wanted, oil, running = (bench.done.get("viscosity_at_running"), bench.number("reference_viscosity"),
                                  bench.oil, bench.running)
    if item is None or wanted is None or oil is None or running is None or not isinstance(item.value, float):
        return None
    value = item.value / wanted
    band = _ratio_band(oil, running[0], wanted, value)
    working = f"κ = {shown(item.value)} / {shown(wanted)} = {shown(value)}{_band_words(band, oil)}"
    return computed("viscosity_ratio", value, "", working, ISO_281, band)


@step("viscosity_ratio_usual")
def viscosity_ratio_usual(bench: Bench) -> Computed | None:
    """The ratio that a specification is sized by: at the usual temperature, never at a fault's."""
    oil, wanted = bench.oil, bench.number("reference_viscosity")
    usual, words = usual_temperature(bench.case, bench.done)
    if oil is None or wanted is None or usual is None:
        return None
    if usual != bench.case.point.usual_temperature:
        bench.assume(f"the usual temperature is {usual:.0f} °C: {words}")
    value = viscosity(oil, usual)[0] / wanted
    expected = bench.number("expected_temperature")
    drawn = drawn_temperatures(bench) if usual == expected else None
    band = _ratio_band(oil, usual if drawn is None else drawn, wanted, value)
    working = (f"κ at {usual:.0f} °C ({words}): {shown(value * wanted)} / {shown(wanted)} = {shown(value)}"
               f"{_band_words(band, oil, '' if drawn is None else ' and of the temperature')}")
    return computed("viscosity_ratio_usual", value, "", working, ISO_281, band)


def _ratio_band(oil: Oil, temperature: float | Array, wanted: float, value: float) -> tuple[float, float] | None:
    """5 and 95 % of the ratio over what isn't known of oil and temperature, from a fixed seed.

    None for an oil so thin that no index is defined for a part of its grade.
    """
    import numpy as np

    from diag.tribology.heat import quantile_span
    from diag.tribology.viscosity import viscosity_at

    try:
        oils = _drawn_oils(oil)
    except InputError:
        return None
    span = quantile_span(np.asarray(viscosity_at(temperature, *oils)) / wanted)
    return min(span.low, value), max(span.high, value)


@lru_cache(maxsize=8)  # asked for at two temperatures of one case
def _drawn_oils(oil: Oil) -> tuple[Array, Array]:
    """Viscosities at 40 and 100 °C [mm²/s] of oils of this grade and index."""
    import numpy as np

    from diag.tribology.viscosity_index import v100_from_index

    rng = np.random.default_rng(1)  # its own stream: oil and heat are drawn apart
    v40 = oil.v40 * rng.uniform(1 - GRADE_TOLERANCE, 1 + GRADE_TOLERANCE, DRAWS)
    return v40, np.asarray(v100_from_index(v40, rng.uniform(oil.vi_low, oil.vi_high, DRAWS)))


def _band_words(band: tuple[float, float] | None, oil: Oil, temperature: str = "") -> str:
    if band is None:
        return ""
    index = "" if oil.vi_low == oil.vi_high else ", of its index"
    return f"; {shown(band[0], 2)} to {shown(band[1], 2)} over {DRAWS} draws of the grade (± 10 %){index}{temperature}"


def viscosity(oil: Oil, temperature: float) -> tuple[float, float, float]:
    """Viscosity at a temperature [mm²/s]: with the likely index, then lowest and highest over its span."""
    import numpy as np

    from diag.tribology.viscosity import viscosity_at

    found = np.asarray(viscosity_at(temperature, oil.v40, np.array(hundreds(oil))))
    return float(found[0]), float(found.min()), float(found.max())


def _band(low: float, high: float) -> tuple[float, float] | None:
    """No band where the inputs are numbers."""
    return None if low == high else (low, high)
