"""How much grease, how often, how to: grams per 1,000 h first, then the interval the methods span."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import msgspec

from diag.case.model import Case
from diag.compute import usual_temperature
from diag.compute.interval import service_of
from diag.errors import InputError
from diag.findings import CircumstanceFound, Computed, Regrease
from diag.knowledgebase import Knowledge
from diag.remedy.point_feeding import plain_plan
from diag.tribology import amount as grease_amount
from diag.tribology import interval as methods

__all__ = ["plan"]

NOTHING = Regrease(grams_per_1000_h=None, amount_g=None, interval_h=None, interval_low_h=None,
                   interval_high_h=None, first_fill_g=None, strokes=None, working=())


def plan(case: Case, computed: Mapping[str, Computed], circumstances: Mapping[str, CircumstanceFound],
         knowledge: Knowledge) -> Regrease:
    """The regreasing plan of a point; numbers are None where the inputs or the duty don't allow them.

    Sized at the usual temperature. Restricted duty gets no interval: its approved programme decides.
    """
    refusal = _refusal(case, circumstances)
    if refusal:
        return _with_manual(NOTHING, case, (refusal,))
    if case.point.kind != "rolling_bearing":
        return _with_manual(plain_plan(case, computed, knowledge), case, ())
    return _with_manual(_rolling(case, computed, circumstances, knowledge), case, ())


def _refusal(case: Case, circumstances: Mapping[str, CircumstanceFound]) -> str:
    restricted = circumstances.get("restricted_duty")
    if restricted is not None and restricted.holds:
        return "Restricted or safety-critical duty: no interval is given here; the approved programme decides."
    if case.point.feed == "sealed_for_life" or case.point.bearing.sealing == "sealed":
        return "Sealed for life: it can't be regreased; its grease life is its life."
    return ""


def _rolling(case: Case, computed: Mapping[str, Computed], circumstances: Mapping[str, CircumstanceFound],
             knowledge: Knowledge) -> Regrease:
    dose, dose_words = _dose(case, knowledge)
    found, interval_words = _intervals(case, computed, circumstances, knowledge)
    fill, fill_words = _first_fill(case, computed, knowledge)
    span = methods.spread(found) if found else None
    rate = float(methods.grams_per_1000_h(dose, span.typical)) if dose and span else None
    strokes, stroke_words = _strokes(case, dose)
    return Regrease(
        grams_per_1000_h=_rounded(rate), amount_g=_rounded(dose),
        interval_h=_rounded(span.typical) if span else None,
        interval_low_h=_rounded(span.low) if span else None,
        interval_high_h=_rounded(span.high) if span else None,
        first_fill_g=_rounded(fill), strokes=strokes,
        working=(*dose_words, *interval_words, *fill_words, *stroke_words, *_lubricator(case, rate)))


def _dose(case: Case, knowledge: Knowledge) -> tuple[float | None, tuple[str, ...]]:
    bearing = case.point.bearing
    if bearing.outside is None or bearing.width is None:
        return None, ("Amount: give the outside diameter and the width of the bearing.",)
    grams = float(grease_amount.replenishment_grams(bearing.outside, bearing.width))
    return grams, (f"Amount: 0.005 × {bearing.outside:g} mm × {bearing.width:g} mm = {grams:.3g} g, fed from the "
                   "side (The Tribology Handbook A20.5; bearing makers).",)


def _intervals(case: Case, computed: Mapping[str, Computed], circumstances: Mapping[str, CircumstanceFound],
               knowledge: Knowledge) -> tuple[tuple[methods.Interval, ...], tuple[str, ...]]:
    table = knowledge.standard("interval")
    usual, usual_words = usual_temperature(case, computed, circumstances)
    service = service_of(case, usual, table)
    if service is None:
        return (), ("Interval: give bearing type, speed, bore and outside diameter.",)
    try:
        found = methods.side_by_side(service, table)
    except InputError as error:
        return (), (f"Interval: {error}",)
    heat = "no temperature known: taken as 70 °C or less" if usual is None else f"at {usual:.0f} °C ({usual_words})"
    return found, (f"Interval {heat}:", *(_method_words(m) for m in found))


def _method_words(method: methods.Interval) -> str:
    factors = "".join(f" × {f.value:.3g} ({f.name})" for f in method.factors)
    notes = f"; {'; '.join(method.notes)}" if method.notes else ""
    return (f"{method.method}: {method.base_hours:.0f} h{factors} → {method.hours:.0f} h "
            f"({', '.join(method.source)}; {method.confidence}){notes}")


def _first_fill(case: Case, computed: Mapping[str, Computed], knowledge: Knowledge
                ) -> tuple[float | None, tuple[str, ...]]:
    b, factor = case.point.bearing, computed.get("speed_factor")
    if b.bore is None or b.outside is None or b.width is None:
        return None, ()
    k = grease_amount.free_volume_factor(knowledge.standard("free_volume"), b.type, b.cage)
    table = knowledge.standard("replenishment")
    volume = float(grease_amount.free_volume_cm3(b.bore, b.outside, b.width, k=k.typical))
    oscillating = case.point.swing.angle is not None
    share = grease_amount.bearing_fill_share(
        table, float(factor.value) if factor is not None else 0.0, oscillating)
    density = grease_amount.density_of(table, case.grease.base_oil).typical
    fill = volume * share * density
    return fill, (f"First fill of the bearing: {volume:.3g} cm³ free space × {share:.0%} × {density:g} g/cm³ = "
                  f"{fill:.3g} g; the housing beside it by the maker's figure (20 to 60 %).",)


def _strokes(case: Case, dose: float | None) -> tuple[float | None, tuple[str, ...]]:
    per_stroke = case.regreasing.grams_per_stroke
    if dose is None:
        return None, ()
    if per_stroke is None:
        return None, ("Strokes: weigh ten full strokes of your gun and divide by ten; guns differ threefold.",)
    count = max(1, round(float(grease_amount.strokes(dose, per_stroke))))
    return float(count), (f"Strokes: {dose:.3g} g ÷ {per_stroke:g} g = {count}.",)


def _lubricator(case: Case, rate: float | None) -> Iterator[str]:
    if case.point.feed in ("lubricator", "central_system") and rate is not None:
        yield f"Setting of the feed: {float(methods.grams_per_day(rate)):.2g} g a day of running."


def _with_manual(found: Regrease, case: Case, first: tuple[str, ...]) -> Regrease:
    """The manual's own figures beside ours; they come first where they are stated."""
    manual = case.point.manual.regreasing
    parts = [f"{manual.amount:g} g" if manual.amount else "", f"every {manual.every:g} h" if manual.every else ""]
    words = " ".join(p for p in parts if p)
    said = (f"The machine's manual says {words}: it comes first; ask its maker where it differs much.",)
    return msgspec.structs.replace(found, working=(*first, *(said if words else ()), *found.working))


def _rounded(value: float | None) -> float | None:
    """Three figures are more than such methods are worth."""
    return None if value is None else float(f"{value:.3g}")
