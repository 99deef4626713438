"""What to keep in mind when a rolling bearing is regreased: outlet, shields, gun, feed, speed, heat, the manual."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from diag.case.model import Case
from diag.findings import Computed
from diag.knowledgebase import Knowledge
from diag.numbertext import shown
from diag.tribology import interval as methods
from diag.tribology.amount import strokes
from diag.tribology.upper_temperature import continuous_limit

__all__ = ["count_strokes", "dose_at_a_time", "feed_setting", "heat_note", "manual_beside", "outlet_notes",
           "speed_notes"]


def count_strokes(case: Case, dose: float | None, knowledge: Knowledge) -> tuple[float | None, tuple[str, ...]]:
    """Strokes of the gun in use for a dose [g]; None, and how to weigh the gun, where its output isn't known."""
    per_stroke = case.regreasing.grams_per_stroke
    if dose is None:
        return None, ()
    if per_stroke is None:
        procedure = knowledge.standard("replenishment")["calibration"]["procedure"].strip()
        return None, (f"Strokes: guns differ threefold for the same count. {procedure}",)
    count = float(strokes(dose, per_stroke))
    whole = max(1, round(count))
    return float(whole), (f"Strokes: {shown(dose)} g ÷ {per_stroke:g} g = {shown(count)}, so {whole}.",)


def dose_at_a_time(case: Case, whole: float | None, knowledge: Knowledge) -> str:
    """A dose [g] fed bit by bit: a quarter at a time, but no less than a stroke, which is the least a gun gives."""
    if whole is None:
        return "a quarter of the usual dose at a time, up to one dose"
    stroke = case.regreasing.grams_per_stroke or float(knowledge.standard("replenishment")["guns"]["any"]["low"])
    part = max(whole / 4, stroke)
    if part >= whole:
        return f"{shown(whole)} g, stroke by stroke"
    return f"{shown(part, 2)} g at a time, up to {shown(whole)} g"


def feed_setting(case: Case, rate: float | None) -> Iterator[str]:
    """What a lubricator or central system is set to."""
    if case.point.feed in ("lubricator", "central_system") and rate is not None:
        yield (f"Setting of the feed: {shown(float(methods.grams_per_day(rate)), 2)} g for each day of 24 h running; "
               "less in proportion where it runs less, and off while it stands.")


def outlet_notes(case: Case) -> Iterator[str]:
    """Closed drains and shields: where the old grease is to go."""
    if case.point.drain == "closed":
        yield "The drain is closed: open it and clear its passage before any grease goes in (common practice)."
    elif case.point.drain == "none":
        yield ("There is no drain: old grease can't leave, so small doses only, never against back pressure, and open "
               "and clean it at times (common practice).")
    if case.point.bearing.sealing == "shielded":
        yield ("Shielded: little gets past a shield and pressure can push it into the cage; feed on the open side, "
               "slowly (common practice).")


def speed_notes(case: Case, computed: Mapping[str, Computed], knowledge: Knowledge) -> Iterator[str]:
    """n·dm against what grease stands at fair intervals, where load and rating are known."""
    factor, rating, force = computed.get("speed_factor"), case.point.bearing.dynamic_rating, case.point.load.force
    kind = case.point.bearing.type
    table = knowledge.standard("interval")
    listed = {r["type"] for r in table["speed_limits"]["rows"]}
    if factor is None or not rating or not force or kind is None or kind not in listed:
        return
    limit = methods.speed_limit(table, kind, rating / force)
    share = float(factor.value) / limit.low
    source = knowledge.cite(limit.source, limit.confidence)
    if share > 1:
        yield (f"n·dm {float(factor.value):.0f} is over the {limit.low:.0f} that grease stands at C/P "
               f"{rating / force:.1f} ({source}): the interval is doubtful; feed all the time, or use oil.")
    elif share > table["speed_limits"]["check_share"]:
        yield f"n·dm is at {share:.0%} of the limit for grease at this load ({source}): watch its temperature."


def heat_note(case: Case, usual: float | None, knowledge: Knowledge) -> Iterator[str]:
    """The temperature from which this grease's life falls: far below what the pack prints."""
    table = knowledge.standard("upper_temperatures")
    limit = continuous_limit(table, case.grease.thickener, case.grease.base_oil)
    if limit is None or usual is None or usual <= limit.low:
        return
    span = f"{limit.low:.0f}" if limit.low == limit.high else f"{limit.low:.0f} to {limit.high:.0f}"
    yield (f"It usually runs at {usual:.0f} °C; the life of such a grease begins to fall from {span} °C "
           f"({knowledge.cite(limit.source, limit.confidence)}): take one that stands more, or cool the point.")


def manual_beside(case: Case, rate: float | None) -> Iterator[str]:
    """The machine manual's own figures beside ours; they come first where they are stated."""
    manual = case.point.manual.regreasing
    parts = [f"{manual.amount:g} g" if manual.amount else "", f"every {manual.every:g} h" if manual.every else ""]
    said = " ".join(p for p in parts if p)
    if not said:
        return
    beside = ""
    if manual.amount and manual.every:
        theirs = float(methods.grams_per_1000_h(manual.amount, manual.every))
        ours = "" if rate is None else f", {shown(theirs / rate, 2)} times the {shown(rate)} g worked out here"
        beside = f" That is {shown(theirs)} g per 1,000 h{ours}."
    yield f"The machine's manual says {said}: it comes first; ask its maker where it differs much.{beside}"
