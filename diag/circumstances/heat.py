"""Circumstances of heat and cold."""

from __future__ import annotations

from diag.circumstances.base import Found, Scene, all_of, any_of, circumstance
from diag.compute.heat import explanation
from diag.compute.temperature import LASTING_HEAT
from diag.limits import over, upper_limits

__all__: list[str] = []


@circumstance("over_own_baseline")
def over_own_baseline(scene: Scene) -> Found:
    """Rise over its own usual temperature: no up to 5 K, yes over 10 K."""
    rise = _rise(scene)
    if rise is None:
        return Found(None, working="rise over its usual temperature is not known")
    limit = scene.knowledge.limits.baseline_watch.value
    holds = True if rise > limit else False if rise <= limit / 2 else None
    return Found(holds, rise, "K", f"{rise:.0f} K over its usual temperature")


@circumstance("over_limit")
def over_limit(scene: Scene) -> Found:
    temperature, limits = scene.case.point.running_temperature, upper_limits(scene.case, scene.knowledge)
    if temperature is None or not limits:
        return Found(None, working="running temperature or limits are not known")
    lowest = limits[0]
    words = f"{temperature:.0f} °C against {lowest.value:.0f} °C, the limit of the {lowest.text}"
    return Found(over(temperature, lowest), temperature, "°C", words)


@circumstance("over_dropping_point_margin")
def over_dropping_point_margin(scene: Scene) -> Found:
    """Nearer to the dropping point than is usable, or over the grease's stated highest temperature."""
    margin, least = scene.number("dropping_point_margin"), scene.knowledge.limits.dropping_point_margin.value
    temperature, highest = scene.case.point.running_temperature, scene.case.grease.highest_temperature
    known = [] if margin is None else [margin < least]
    if temperature is not None and highest is not None:
        known.append(temperature > highest)
    working = "no distance known" if margin is None else f"{margin:.0f} K under the dropping point; least {least:.0f} K"
    return Found(any_of(known) if known else None, margin, "" if margin is None else "K", working)


@circumstance("heat_explained")
def heat_explained(scene: Scene) -> Found:
    """Within or below the band of the heat balance: yes; over it by more than is watched: no; between: not known."""
    found = explanation(scene.case, scene.knowledge)
    if found is None:
        return Found(None, working="no reading, or too little is known for the balance of friction and cooling")
    watch = scene.knowledge.limits.baseline_watch.value
    holds = True if found.measured <= found.high else False if found.measured > found.high + watch else None
    fresh = ", fresh grease in it" if found.fresh else ""
    return Found(holds, found.share_below, "", f"{found.measured:.0f} °C measured; speed, load, oil, fill{fresh} and "
                 f"surroundings explain {found.low:.0f} to {found.high:.0f} °C (good to about half of the rise)")


@circumstance("genuine_lasting_heat")
def genuine_lasting_heat(scene: Scene) -> Found:
    """A hot process is named and the point runs at its usual temperature."""
    point = scene.case.point
    if point.running_temperature is None or point.usual_temperature is None:
        return Found(None, working="running or usual temperature is not known")
    rise = point.running_temperature - point.usual_temperature
    as_usual = rise <= scene.knowledge.limits.baseline_watch.value
    named = True if LASTING_HEAT & set(point.exposure) else None
    return Found(all_of((as_usual, named)), rise, "K", f"{rise:.0f} K over its usual temperature")


@circumstance("cold_start_too_stiff")
def cold_start_too_stiff(scene: Scene) -> Found:
    coldest, lowest = scene.case.point.surroundings.coldest, scene.case.grease.lowest_temperature
    if coldest is None or lowest is None:
        return Found(None, working="coldest start or lowest temperature of the grease is not known")
    return Found(coldest < lowest, coldest, "°C", f"coldest {coldest:.0f} °C, grease to {lowest:.0f} °C")


@circumstance("ep_on_hot_brass")
def ep_on_hot_brass(scene: Scene) -> Found:
    point, additives = scene.case.point, scene.case.grease.additives
    known = [t for t in (point.running_temperature, point.usual_temperature) if t is not None]
    hot = max(known) > 80 if known else None
    ep = "ep" in additives if additives else None
    return Found(all_of((scene.holds("brass_inside"), ep, hot)), max(known, default=None), "°C" if known else "",
                 "EP, brass or bronze, over 80 °C")


def _rise(scene: Scene) -> float | None:
    """Measured, else running less usual [K]."""
    point = scene.case.point
    if "temperature_rise" in scene.case.measured:
        return scene.case.measured["temperature_rise"]
    if point.running_temperature is None or point.usual_temperature is None:
        return None
    return point.running_temperature - point.usual_temperature
