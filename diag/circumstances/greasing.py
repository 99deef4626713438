"""Circumstances of greasing and time: how lately, how often, how much."""

from __future__ import annotations

from diag.case.model import Case
from diag.circumstances.base import Found, Scene, all_of, any_of, circumstance, listed
from diag.compute import usual_temperature
from diag.compute.interval import Advised, advised
from diag.compute.lately import greased_lately
from diag.errors import InputError
from diag.numbertext import shown

__all__: list[str] = []

HOT_SIGNS = ("hotter_than_usual", "climbing_after_hours")


@circumstance("greased_within_a_day")
def greased_within_a_day(scene: Scene) -> Found:
    since = scene.case.regreasing.since_last
    words = "since the last greasing" if since is not None else "by what went before the trouble"
    return Found(greased_lately(scene.case), since, "h" if since is not None else "", words)


@circumstance("hot_after_greasing")
def hot_after_greasing(scene: Scene) -> Found:
    greased, case = scene.holds("greased_within_a_day"), scene.case
    rise = case.measured.get("temperature_rise")
    seen_hot = any(case.seen.get(sign) in ("yes", "probably") for sign in HOT_SIGNS)
    hot = case.complaint == "hot" or seen_hot or scene.holds("over_own_baseline") is True
    cool = rise is not None and rise < 5
    holds = False if greased is False or (cool and not hot) else True if greased and hot else None
    return Found(holds, working="greased within a day, and hot")


@circumstance("since_bearing_change")
def since_bearing_change(scene: Scene) -> Found:
    return Found(listed(scene.case.history.since, "bearing_change", "overhaul"), working="by what went before")


@circumstance("interval_too_long")
def interval_too_long(scene: Scene) -> Found:
    """The longer of the interval kept and the time since greasing, against the computed interval.

    What dirt and water leave of it doesn't count here: that is a coarse table, no proof of too little grease.
    """
    regreasing, found = scene.case.regreasing, _interval(scene)
    computed = None if found is None else found.span.typical
    kept = [hours for hours in (regreasing.every, regreasing.since_last) if hours is not None]
    if computed is None or not kept:
        return Found(None, working="interval kept, or what the computed one needs, is not stated")
    ratio = max(kept) / computed
    return Found(_between(ratio, 1.0, 1.5), ratio, "", f"{max(kept):.0f} h / {computed:.0f} h = {shown(ratio, 2)}")


@circumstance("interval_kept_short")
def interval_kept_short(scene: Scene) -> Found:
    """Against the short end where dirt or water ask for it: there frequent greasing is no fault."""
    every, found = scene.case.regreasing.every, _interval(scene)
    computed = None if found is None else found.held.low if found.shortened else found.span.typical
    if computed is None or every is None:
        return Found(None, working="interval kept, or what the computed one needs, is not stated")
    ratio = every / computed
    return Found(ratio < 0.5, ratio, "", f"{every:.0f} h / {computed:.0f} h = {shown(ratio, 2)}")


@circumstance("dose_too_large")
def dose_too_large(scene: Scene) -> Found:
    ratio, working = _dose_ratio(scene)
    return Found(None if ratio is None else _between(ratio, 1.3, 2.0), ratio, "", working)


@circumstance("dose_too_small")
def dose_too_small(scene: Scene) -> Found:
    ratio, working = _dose_ratio(scene)
    holds = None if ratio is None else True if ratio < 0.5 else False if ratio >= 0.8 else None
    return Found(holds, ratio, "", working)


@circumstance("long_feed_line")
def long_feed_line(scene: Scene) -> Found:
    """Over 10 m, or over 3 m through less than 6 mm."""
    line = scene.case.point.feed_line
    if line.length is None:
        return Found(None, working="length of the feed line is not stated")
    narrow = None if line.bore is None else line.bore < 6
    holds = any_of((line.length > 10_000, all_of((line.length > 3_000, narrow))))
    return Found(holds, line.length, "mm", f"{line.length / 1000:g} m long")


@circumstance("changeover_recent")
def changeover_recent(scene: Scene) -> Found:
    """Said so, or the earlier grease is stated and differs."""
    since, differs = scene.case.history.since, _greases_differ(scene.case)
    if "changeover" in since or differs:
        return Found(True, working="a changeover is stated" if "changeover" in since else "earlier grease differs")
    return Found(False if since else None, working="by what went before the trouble")


@circumstance("earlier_grease_unknown")
def earlier_grease_unknown(scene: Scene) -> Found:
    changed = scene.holds("changeover_recent")
    unknown = scene.case.earlier_grease.thickener is None
    return Found(all_of((changed, unknown)), working="changed, and the earlier thickener is not known")


@circumstance("near_rated_life")
def near_rated_life(scene: Scene) -> Found:
    life = scene.number("modified_life") or scene.number("basic_life")
    hours = scene.case.history.running_hours
    if life is None or hours is None:
        return Found(None, working="running hours or rated life are not known")
    share = hours / life
    return Found(_between(share, 0.3, 0.7), share, "", f"{hours:.0f} h / {life:.0f} h = {shown(share, 2)}")


def _between(ratio: float, no_to: float, yes_from: float) -> bool | None:
    """True above `yes_from`, False up to `no_to`, not known between."""
    return True if ratio > yes_from else False if ratio <= no_to else None


def _interval(scene: Scene) -> Advised | None:
    """Computed interval at the usual temperature, the handbook's with its corrections as the likely one."""
    usual = usual_temperature(scene.case, scene.computed)[0]
    try:
        return advised(scene.case, usual, scene.knowledge.standard("interval"))
    except InputError:  # over the speed at which the formula ends: there is no interval to hold against
        return None


def _dose_ratio(scene: Scene) -> tuple[float | None, str]:
    """Dose ÷ formula, for rolling bearings."""
    from diag.tribology.amount import replenishment_grams

    regreasing, bearing = scene.case.regreasing, scene.case.point.bearing
    dose = regreasing.amount
    if dose is None and regreasing.strokes is not None and regreasing.grams_per_stroke is not None:
        dose = regreasing.strokes * regreasing.grams_per_stroke
    if scene.case.point.kind != "rolling_bearing" or dose is None:
        return None, "dose is not stated, or not that of a rolling bearing"
    if bearing.outside is None or bearing.width is None:
        return None, "outside diameter or width is not stated"
    formula = float(replenishment_grams(bearing.outside, bearing.width))
    return dose / formula, f"{shown(dose)} g / {shown(formula)} g = {shown(dose / formula, 2)}"


def _greases_differ(case: Case) -> bool:
    """A thickener, oil or code is known of both and differs."""
    pairs = ((getattr(case.earlier_grease, key), getattr(case.grease, key))
             for key in ("thickener", "base_oil", "code"))
    return any(old is not None and new is not None and old != new for old, new in pairs)
