"""Size, speed and film of a rolling bearing: is the oil thick enough where it runs?"""

from __future__ import annotations

from diag.compute.bench import Bench, Oil, computed, step
from diag.compute.temperature import usual_temperature
from diag.findings import Computed

__all__ = ["viscosity"]

ISO_281 = "ISO 281:2007, 9.3.3, as printed in a bearing maker's catalogue (verified)"
D341 = "ASTM D341 and D2270 (cross-checked)"


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
    working = f"{oil.v40:g} mm²/s at 40 °C, {oil.words}: {value:.3g} mm²/s at {temperature:.0f} °C ({what})"
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
                    f"ν1 = {law.format(n=speed, d=diameter)} = {value:.3g} mm²/s", ISO_281)


@step("viscosity_ratio")
def viscosity_ratio(bench: Bench) -> Computed | None:
    item, wanted = bench.done.get("viscosity_at_running"), bench.number("reference_viscosity")
    if item is None or wanted is None or not isinstance(item.value, float):
        return None
    value = item.value / wanted
    band = None if item.low is None or item.high is None else (item.low / wanted, item.high / wanted)
    working = f"κ = {item.value:.3g} / {wanted:.3g} = {value:.3g}"
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
    value, low, high = (v / wanted for v in viscosity(oil, usual))
    working = f"κ at {usual:.0f} °C ({words}): {value * wanted:.3g} / {wanted:.3g} = {value:.3g}"
    return computed("viscosity_ratio_usual", value, "", working, ISO_281, _band(low, high))


def viscosity(oil: Oil, temperature: float) -> tuple[float, float, float]:
    """Viscosity at a temperature [mm²/s]: with the likely index, then lowest and highest over its span."""
    from diag.tribology.viscosity import viscosity_at
    from diag.tribology.viscosity_index import v100_from_index

    found = [float(viscosity_at(temperature, oil.v40, v100_from_index(oil.v40, vi)))
             for vi in (oil.vi, oil.vi_low, oil.vi_high)]
    return found[0], min(found), max(found)


def _band(low: float, high: float) -> tuple[float, float] | None:
    """No band where the inputs are numbers."""
    return None if low == high else (low, high)
