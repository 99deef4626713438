"""Demands that no one grease can meet together: which collide, with numbers, and what would resolve it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from diag.findings import Requirement
from diag.remedy.needs import chemistry, consistency, film
from diag.remedy.needs.duty import Duty, number
from diag.remedy.requirement import compare
from diag.wordtext import label

__all__ = ["collisions"]

# Common practice: what is done where one grease can't serve.
_COLD_OR_HOT = ("A synthetic oil of high viscosity index, a grease for each season, a warmed start, or less heat "
                "at the point would settle it.")
_TOO_SLOW_OR_HOT = "Take the thickest workable with EP, and bring the heat down: cooling, a shield against it."
_WATER_OR_HEAT = ("Keep the water off (shield, better seal, drain), bring the heat down (cooling, heat shield), or "
                  "feed the best of them little and often from a lubricator, so that it is renewed before it fails.")
_SOFT_OR_STIFF = ("A shorter or warmed line, a lubricator at the point, a seal or shield under it that holds soft "
                  "grease, or a feed of its own for this point would settle it.")
_WANTED_OR_BARRED = {
    "tack": "Keep the tacky grease to open slow points and give this one a feed of its own; a seal or shield holds "
            "grease here, not tack.",
    "solid_lubricant": "Keep the solids to slow loaded points and give this one a feed of its own; EP serves here.",
    "thickener": "Keep the water off, or have the manual's maker name another grease for this duty.",
    "base_oil_type": "A seal of another material would settle it.",
}


def collisions(duty: Duty, requirements: Sequence[Requirement]) -> tuple[str, ...]:
    """The collisions at this point in sentences; () where one grease can meet everything asked for."""
    return (*_cold_against_hot(duty), *_water_against_heat(duty), *_soft_against_stiff(duty),
            *_wanted_and_barred(requirements))


def _cold_against_hot(duty: Duty) -> Iterator[str]:
    """Thin enough to start against thick enough to carry."""
    found, cold = film.viscosity_window(duty), film.cold_limit(duty)
    coldest = duty.case.point.surroundings.coldest
    if found is None:
        low, _ = film.usual_window(duty)
        if cold is not None and cold < low:
            yield (f"Thin for cold and thick for hot collide: {low:.0f} mm²/s at 40 °C is the least that is usual "
                   f"here, but over {cold:.0f} would not start at {coldest:.0f} °C. {_COLD_OR_HOT}")
        return
    if found.reached:
        return
    thickest = number(duty, "thickest_workable")
    wanted = "more than any oil has" if math.isinf(found.wanted) else f"{found.wanted:.0f} mm²/s"
    if cold is not None and cold < min(found.wanted, thickest):
        yield (f"Film and cold start collide: {wanted} at 40 °C is wanted at {duty.usual:.0f} °C, but over "
               f"{cold:.0f} would not start at {coldest:.0f} °C. {_COLD_OR_HOT}")
    else:
        yield (f"No workable grease carries a full film here: {wanted} at 40 °C would be needed and about "
               f"{thickest:.0f} is the thickest in use. {_TOO_SLOW_OR_HOT}")


def _water_against_heat(duty: Duty) -> Iterator[str]:
    """Every thickener that holds against this water fails at this heat."""
    if not duty.wet or chemistry.serving(duty):
        return
    ceilings = {name: duty.knowledge.thickeners[name].practical_max for name in chemistry.field_for(duty)}
    listed = ", ".join(f"{name.replace('_', ' ')} {ceiling:.0f} °C" for name, ceiling in ceilings.items())
    yield (f"Water and heat collide: the thickeners that hold against this water last to {listed}, and the point "
           f"usually runs at {duty.usual:.0f} °C. {_WATER_OR_HEAT}")


def _soft_against_stiff(duty: Duty) -> Iterator[str]:
    """A cold central system or long line moves soft grease only; on a vertical shaft it slumps."""
    point = duty.case.point
    cold = film.cold_limit(duty) is not None
    fed_far = point.feed == "central_system" or (point.feed_line.length or 0) > consistency.LONG_LINE_MM
    if point.shaft == "vertical" and cold and fed_far:
        yield (f"Soft for the line and stiff for the shaft collide: at {point.surroundings.coldest:.0f} °C the line "
               f"moves NLGI 0 or 1, and on a vertical shaft less than NLGI 2 slumps. {_SOFT_OR_STIFF}")


def _wanted_and_barred(requirements: Sequence[Requirement]) -> Iterator[str]:
    """One demand asks for what another forbids, such as tack against speed."""
    for barred in requirements:
        if barred.relation != "avoid":
            continue
        for wanted in requirements:
            if wanted.property == barred.property and _bars(barred, wanted):
                name = label(wanted.property)
                yield (f"{name.capitalize()} is both asked for ({wanted.because[0]}) and to be avoided "
                       f"({barred.because[0]}). {_WANTED_OR_BARRED.get(wanted.property, '')}").rstrip()


def _bars(barred: Requirement, wanted: Requirement) -> bool:
    """Everything that would meet `wanted` is what `barred` forbids."""
    if wanted.relation not in ("is", "in") or wanted.value is None:
        return False
    words = wanted.value if isinstance(wanted.value, tuple) else (wanted.value,)
    return all(compare(barred, {wanted.property: word}) == "falls_short" for word in words)
