"""Circumstances of the surroundings, the point itself and its duty."""

from __future__ import annotations

import re

from diag.circumstances.base import Found, Scene, all_of, any_of, circumstance, listed, none_of

__all__: list[str] = []

WET = ("splash", "wash_down", "submerged", "steam", "outdoors")
RESTRICTED = ("oxygen", "explosive_atmosphere", "drinking_water")
YELLOW = ("brass", "bronze", "copper")
SLOW = 20_000.0  # n·dm


@circumstance("wet_exposure")
def wet_exposure(scene: Scene) -> Found:
    return _exposed(scene, *WET)


@circumstance("wet_or_chemical_exposure")
def wet_or_chemical_exposure(scene: Scene) -> Found:
    return _exposed(scene, *WET, "chemicals")


@circumstance("sealed_for_life")
def sealed_for_life(scene: Scene) -> Found:
    feed, sealing = scene.case.point.feed, scene.case.point.bearing.sealing
    sealed = feed == "sealed_for_life" or sealing == "sealed"
    other = feed is not None or sealing == "open"
    return Found(True if sealed else False if other else None, working=f"feed {feed}, sealing {sealing}")


@circumstance("oscillating_motion")
def oscillating_motion(scene: Scene) -> Found:
    point = scene.case.point
    angle, duty = point.swing.angle, point.duty
    if "oscillating" in duty or (angle is not None and angle < 360):
        return Found(True, angle, "°" if angle is not None else "", "it swings")
    turns = angle is None and (bool(duty) or bool(point.speed))
    return Found(False if turns else None, working="no swing is stated")


@circumstance("standby_duty")
def standby_duty(scene: Scene) -> Found:
    duty = scene.case.point.duty
    working = f"duty: {', '.join(duty) or 'not stated'}"
    return Found(listed(duty, "standby", "seasonal"), list(duty) or None, "", working)


@circumstance("heavy_load")
def heavy_load(scene: Scene) -> Found:
    """By word, or by the rating: C/P under 6, for slow bearings C0/P under 4."""
    point = scene.case.point
    ratio = _rating_ratio(point.bearing.dynamic_rating, point.load.force)
    static = _rating_ratio(point.bearing.static_rating, point.load.force)
    speed_factor = scene.number("speed_factor")
    slow = speed_factor is not None and speed_factor < SLOW
    yes = point.load.level in ("heavy", "shock") or _under(ratio, 6) or (slow and _under(static, 4))
    no = point.load.level in ("light", "normal") or (ratio is not None and ratio >= 10)
    working = f"load {point.load.level or 'not named'}" + (f", C/P {ratio:.3g}" if ratio is not None else "")
    return Found(True if yes else False if no else None, ratio, "", working)


@circumstance("brass_inside")
def brass_inside(scene: Scene) -> Found:
    cage, bush = scene.case.point.bearing.cage, scene.case.point.pin.bush_material
    yellow = cage == "brass" or any(word in (bush or "").lower() for word in YELLOW)
    known = cage is not None or bush is not None
    return Found(yellow if known else None, working=f"cage {cage or 'not known'}, bush {bush or 'not known'}")


@circumstance("current_possible")
def current_possible(scene: Scene) -> Found:
    """Welding or drive work need not be stated for a no: the drive and the surroundings decide."""
    drive, current = scene.holds("inverter_drive"), scene.holds("current_exposure")
    worked = scene.holds("since_welding_or_drive_work")
    return Found(any_of((drive, current, worked is True)), working="inverter, known current, welding or drive work")


@circumstance("restricted_duty")
def restricted_duty(scene: Scene) -> Found:
    """Duty for which no switch and no interval is given here: stated, by exposure, or named in the person's words."""
    critical, exposed = scene.case.point.safety_critical, listed(scene.case.point.exposure, *RESTRICTED)
    named = _named_duty(scene) if critical is None else ""
    if named:
        return Found(True, named, "", f"“{named}” in your words; state safety_critical: no where it isn't such a duty")
    return Found(any_of((critical, exposed)), working="safety-critical, oxygen, explosive or drinking-water duty")


def _named_duty(scene: Scene) -> str:
    """The first word of such a duty in title, machine, point or own words; "" when there is none."""
    case = scene.case
    told = " ".join(part for part in (case.title, case.case.machine, case.case.point, case.said) if part).lower()
    words: list[str] = scene.knowledge.standard("restricted_duty")["words"]
    return next((word for word in words if re.search(rf"\b{re.escape(word)}s?\b", told)), "")


@circumstance("no_ep_under_heavy_slow_load")
def no_ep_under_heavy_slow_load(scene: Scene) -> Found:
    """The film is thin by duty, and nothing in the grease stands in for it."""
    kappa, speed_factor = scene.number("viscosity_ratio"), scene.number("speed_factor")
    thin = (speed_factor is not None and speed_factor < SLOW) and (kappa is not None and kappa < 1)
    heavy = scene.holds("heavy_load")
    holds = all_of((True if thin else heavy, none_of(_boundary_help(scene))))
    return Found(holds, working="heavy, shock or slow with a thin film; EP, solids or such a thickener")


def _boundary_help(scene: Scene) -> bool | None:
    """The grease has EP, solids, anti-wear or a thickener that carries load by itself."""
    grease = scene.case.grease
    inherent = listed((grease.thickener,) if grease.thickener else (), "calcium_sulfonate", "calcium_complex")
    return any_of((listed(grease.additives, "ep", "moly", "graphite", "anti_wear"), inherent))


def _exposed(scene: Scene, *words: str) -> Found:
    exposure = scene.case.point.exposure
    working = f"exposure: {', '.join(exposure) or 'not stated'}"
    return Found(listed(exposure, *words), list(exposure) or None, "", working)


def _rating_ratio(rating: float | None, force: float | None) -> float | None:
    return rating / force if rating is not None and force else None


def _under(ratio: float | None, limit: float) -> bool:
    return ratio is not None and ratio < limit
