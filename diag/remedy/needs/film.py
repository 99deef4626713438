"""Base-oil viscosity: enough film at the usual temperature, and thin enough to start in the cold."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from diag.errors import InputError
from diag.findings import Requirement
from diag.remedy.needs.duty import Duty, number, require, source_text, window
from diag.tribology.film import reference_viscosity, required_v40_for_kappa
from diag.tribology.viscosity_index import RANGES, v40_from_index, v40_from_viscosity

GRADE_TOLERANCE = 0.1  # a viscosity grade is its middle ± 10 % (ISO 3448)
THINNEST_V100 = RANGES["viscosity"].least  # mm²/s; below it no viscosity index is defined (ASTM D2270)

__all__ = ["ViscosityWindow", "cold_limit", "needs", "usual_window", "viscosity_window"]


@dataclass(frozen=True, slots=True)
class ViscosityWindow:
    """Base-oil viscosity at 40 °C [mm²/s] that serves the point, and what bounds it."""

    low: float
    high: float
    wanted: float  # what a viscosity ratio of 1 asks for
    reached: bool  # a ratio of 1 can be had
    low_because: str
    high_because: str


def _v40_for_ratio(ratio: float, duty: Duty, usual: float, n: float, dm: float) -> float:
    """The viscosity at 40 °C [mm²/s] that gives a viscosity ratio; infinite where no oil is thick enough."""
    try:
        return float(required_v40_for_kappa(ratio, usual, n, dm, _index(duty)))
    except InputError:
        return math.inf


def _index(duty: Duty) -> float:
    return duty.case.grease.viscosity_index or number(duty, "assumed_viscosity_index")


def cold_limit(duty: Duty) -> float | None:
    """Thickest v40 [mm²/s] whose oil still starts at the coldest surroundings; None where it isn't cold."""
    coldest = duty.case.point.surroundings.coldest
    if coldest is None or coldest >= number(duty, "cold_start_below"):
        return None
    try:
        return float(v40_from_viscosity(number(duty, "start_viscosity_most"), coldest, _index(duty)))
    except InputError:  # colder than the method goes: no more than the thinnest oil that has an index could start
        return float(v40_from_index(THINNEST_V100, _index(duty)))


def viscosity_window(duty: Duty) -> ViscosityWindow | None:
    """The window for a rolling bearing; None without speed, sizes and a usual temperature."""
    n, dm = duty.case.point.speed, duty.computed_value("mean_diameter")
    if not duty.rolling or not n or dm is None or duty.usual is None:
        return None
    nu1 = float(reference_viscosity(n, dm))
    wanted = _v40_for_ratio(number(duty, "viscosity_ratio_least"), duty, duty.usual, n, dm)
    most = _v40_for_ratio(number(duty, "viscosity_ratio_most"), duty, duty.usual, n, dm)
    thickest, cold = number(duty, "thickest_workable"), cold_limit(duty)
    ceiling = min(thickest, cold) if cold is not None else thickest
    reached = wanted <= ceiling
    low = wanted if reached else ceiling * (1 - GRADE_TOLERANCE)
    high = max(min(most, ceiling), low)
    return ViscosityWindow(
        low=low, high=high, wanted=wanted, reached=reached,
        low_because=(f"viscosity ratio 1 asks for {nu1:.0f} mm²/s at {duty.usual:.0f} °C ({duty.usual_words}), "
                     f"which is {_shown(wanted)} at 40 °C for an oil of viscosity index {_index(duty):.0f}"),
        high_because=_high_words(duty, most, ceiling, cold) if reached else _ceiling_words(duty, ceiling, cold))


def _shown(v40: float) -> str:
    return "more than any oil has" if math.isinf(v40) else f"{v40:.0f} mm²/s"


def _high_words(duty: Duty, most: float, ceiling: float, cold: float | None) -> str:
    if cold is not None and ceiling == cold and cold < most:
        return (f"at {duty.case.point.surroundings.coldest:.0f} °C an oil over {cold:.0f} mm²/s at 40 °C "
                "would be too stiff to start")
    return "above a viscosity ratio of 4 thicker oil gains no film, it only drags and heats"


def _ceiling_words(duty: Duty, ceiling: float, cold: float | None) -> str:
    """Why there is no reaching it; what would settle it stands with the conflicts."""
    if cold is not None and ceiling == cold:
        return (f"out of reach: over {cold:.0f} mm²/s would not start at "
                f"{duty.case.point.surroundings.coldest:.0f} °C, so the thickest that starts")
    return f"out of reach: about {ceiling:.0f} mm²/s is the thickest in use"


def needs(duty: Duty) -> Iterator[Requirement]:
    """Viscosity at 40 °C, and at running temperature where a film can be computed."""
    found = viscosity_window(duty)
    if found is None:
        yield _typical(duty)
        return
    source = "ISO 281:2007 (viscosity ratio); ASTM D341, D2270"
    yield Requirement(property="viscosity_40", relation="range",
                      value=(float(f"{found.low:.3g}"), float(f"{found.high:.3g}")), unit="mm2/s",
                      strength="must" if found.reached else "should",
                      because=(found.low_because, found.high_because),
                      source=source)
    n, dm = duty.case.point.speed, duty.computed_value("mean_diameter")
    assert n and dm is not None  # viscosity_window would have been None
    nu1 = float(reference_viscosity(n, dm))
    yield require("viscosity_at_running", "min", float(f"{nu1:.3g}"), "must" if found.reached else "should",
                  f"reference viscosity for {n:.0f} rpm and a mean diameter of {dm:.0f} mm", source, "mm2/s")
    if not found.reached:
        yield require("ep", "is", "yes", "must",
                      "no workable oil gives a viscosity ratio of 1 here, so the surfaces touch: EP carries the "
                      "contact; it does not lower the viscosity asked for", "ISO 281:2007; common practice")


def usual_window(duty: Duty) -> tuple[float, float]:
    """The trade's window at 40 °C [mm²/s] for this kind of point, before any cold is looked at."""
    return window(duty, _usual_name(duty))


def _usual_name(duty: Duty) -> str:
    return {"pin_bushing": "pin_heavy_viscosity" if duty.heavy else "pin_viscosity",
            "slideway": "slideway_viscosity"}.get(
        duty.case.point.kind, "bearing_heavy_viscosity" if duty.heavy else "bearing_viscosity")


def _typical(duty: Duty) -> Requirement:
    """The trade's usual window where speed, sizes or temperature are not known."""
    low, high = usual_window(duty)
    cold = cold_limit(duty)
    because = ["usual for this kind of point" if not duty.rolling else
               "speed, sizes or usual temperature are not known: the usual window stands until they are"]
    if cold is not None and cold < high:
        high, low = cold, low if low < cold else cold * (1 - GRADE_TOLERANCE)
        because.append(f"cold start at {duty.case.point.surroundings.coldest:.0f} °C bounds it at {cold:.0f}")
    return Requirement(property="viscosity_40", relation="range", value=(float(f"{low:.3g}"), float(f"{high:.3g}")),
                       unit="mm2/s", strength="should", because=tuple(because),
                       source=source_text(duty, _usual_name(duty)))
