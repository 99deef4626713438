"""How much grease, how often, how to: grams per 1,000 h first, then the interval the methods span."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

import msgspec

from diag.case.model import Case
from diag.compute import usual_temperature
from diag.compute.interval import Advised, advised
from diag.errors import InputError
from diag.findings import CircumstanceFound, Computed, Regrease
from diag.knowledgebase import Knowledge
from diag.numbertext import shown
from diag.remedy import feeding_notes as notes
from diag.remedy.first_fill import housing_share
from diag.remedy.point_feeding import plain_plan
from diag.tribology import amount as grease_amount
from diag.tribology import interval as methods
from diag.tribology.common import Span
from diag.tribology.interval_cap import dose_for, flush_grams

__all__ = ["plan"]

NOTHING = Regrease(grams_per_1000_h=None, amount_g=None, interval_h=None, interval_low_h=None,
                   interval_high_h=None, first_fill_g=None, strokes=None, working=())


@dataclass(frozen=True, slots=True)
class _Point:
    """A rolling bearing and what is known of it."""

    case: Case
    computed: Mapping[str, Computed]
    knowledge: Knowledge
    usual: float | None  # usual temperature [°C]
    usual_words: str


def plan(case: Case, computed: Mapping[str, Computed], circumstances: Mapping[str, CircumstanceFound],
         knowledge: Knowledge) -> Regrease:
    """The regreasing plan of a point; numbers are None where the inputs or the duty don't allow them.

    Sized at the usual temperature. Restricted duty gets no interval: its approved programme decides. Dirt and
    water shorten the interval and with it the dose; nothing adds grease to be on the safe side.
    """
    refusal = _refusal(case, circumstances)
    if refusal:
        return msgspec.structs.replace(NOTHING, working=(*notes.manual_beside(case, None), refusal))
    if case.point.kind != "rolling_bearing":
        found = plain_plan(case, computed, knowledge)
    else:
        usual, words = usual_temperature(case, computed, circumstances)
        found = _rolling(_Point(case, computed, knowledge, usual, words))
    beside = tuple(notes.manual_beside(case, found.grams_per_1000_h))
    return msgspec.structs.replace(found, working=(*beside, *found.working))


def _refusal(case: Case, circumstances: Mapping[str, CircumstanceFound]) -> str:
    restricted = circumstances.get("restricted_duty")
    if restricted is not None and restricted.holds:
        return "Restricted or safety-critical duty: no interval is given here; the approved programme decides."
    if case.point.feed == "sealed_for_life" or case.point.bearing.sealing == "sealed":
        return "Sealed for life: it can't be regreased; its grease life is its life."
    return ""


def _rolling(p: _Point) -> Regrease:
    whole, whole_words = _whole_dose(p)
    found, interval_words = _interval(p)
    fed = _repacked(found) if p.case.point.feed == "hand_packed" else _fed(p, whole, found)
    dose, held, dose_words = fed.dose, fed.interval, fed.words
    fill, fill_words = _first_fill(p)
    rate = float(methods.grams_per_1000_h(dose, held.typical)) if dose and held else None
    strokes, stroke_words = notes.count_strokes(p.case, dose, p.knowledge)
    rate_words = () if not (rate and dose and held) else (
        f"{shown(rate)} g per 1,000 h = 1000 × {shown(dose)} g / {held.typical:.0f} h.",)
    return Regrease(
        grams_per_1000_h=_rounded(rate), amount_g=_rounded(dose),
        interval_h=_rounded(held.typical) if held else None,
        interval_low_h=_rounded(held.low) if held else None,
        interval_high_h=_rounded(held.high) if held else None,
        first_fill_g=_rounded(fill), strokes=strokes,
        working=(*rate_words, *whole_words, *interval_words, *dose_words, *fill_words, *stroke_words,
                 *notes.feed_setting(p.case, rate), *notes.outlet_notes(p.case),
                 *notes.speed_notes(p.case, p.computed, p.knowledge), *notes.heat_note(p.case, p.usual, p.knowledge)))


def _whole_dose(p: _Point) -> tuple[float | None, tuple[str, ...]]:
    """The dose [g] of one whole interval."""
    bearing = p.case.point.bearing
    if bearing.outside is None or bearing.width is None:
        return None, ("Amount: give the outside diameter and the width of the bearing.",)
    grams = float(grease_amount.replenishment_grams(bearing.outside, bearing.width))
    return grams, (f"Amount: 0.005 × {bearing.outside:g} mm × {bearing.width:g} mm = {shown(grams)} g, fed from the "
                   "side (The Tribology Handbook A20.5; bearing makers). Fed through holes in a ring, 0.002 in place "
                   "of 0.005.",)


def _interval(p: _Point) -> tuple[Advised | None, tuple[str, ...]]:
    own = p.case.grease.highest_temperature
    if own is not None and p.usual is not None and p.usual > own:
        return None, (f"Interval: none for this grease. It usually runs at {p.usual:.0f} °C and the grease is good to "
                      f"{own:.0f} °C by its data sheet: no interval makes up for that; take one that stands it.",)
    try:
        found = advised(p.case, p.usual, p.knowledge.standard("interval"))
    except InputError as error:
        return None, (f"Interval: {error}",)
    if found is None:
        if p.case.point.swing.angle is not None:
            return None, ("Interval: the formulas are for turning bearings, this one swings. Fill it wholly, grease by "
                          "what comes out, and turn it full circle at times where that can be done (common practice).",)
        return None, ("Interval: give bearing type, speed, bore and outside diameter.",)
    return found, (f"Interval {_heat_words(p)}:", *map(_method_words, found.methods), *_cap_words(found))


def _heat_words(p: _Point) -> str:
    """The temperature it is sized at; a computed one with its band, since it is rough."""
    if p.usual is None:
        return "no temperature known: taken as 70 °C or less"
    expected = p.computed.get("expected_temperature")
    computed = p.case.point.usual_temperature is None and expected is not None and expected.value == p.usual
    band = f", {expected.low:.0f} to {expected.high:.0f} °C" if computed and expected and expected.low is not None \
        and expected.high is not None else ""
    return f"at {p.usual:.0f} °C ({p.usual_words}{band})"


def _method_words(method: methods.Interval) -> str:
    factors = "".join(f" × {shown(f.value)} ({f.name})" for f in method.factors)
    remarks = f"; {'; '.join(method.notes)}" if method.notes else ""
    return (f"{method.method}: {method.base_hours:.0f} h{factors} → {method.hours:.0f} h "
            f"({', '.join(method.source)}; {method.confidence}){remarks}")


def _cap_words(found: Advised) -> Iterator[str]:
    if found.cap is None:
        return
    what = (f"a fan maker's table for dirty points gives {found.cap.low:.0f} to {found.cap.high:.0f} h "
            f"({found.cap.text}; {', '.join(found.cap.source)}, {found.cap.confidence}; water counted as dirt by "
            "judgement)")
    if found.shortened:
        yield (f"Dirt or water hold it: {what}, so {found.held.typical:.0f} h at the longest; that table counts days "
               "of a machine that always runs, and its wide span is for how dirty the place is.")
    else:
        yield f"Dirt or water don't shorten it further: {what}."


class _Fed(NamedTuple):
    """Dose [g] and interval [h] that go together."""

    dose: float | None
    interval: Span | None
    words: tuple[str, ...]


def _fed(p: _Point, whole: float | None, found: Advised | None) -> _Fed:
    """The whole dose and interval, or the smaller dose of an interval that dirt or water shorten."""
    table = p.knowledge.standard("interval")
    if whole is None or found is None or not found.shortened:
        return _Fed(whole, found.held if found else None, _wash_words(p, table))
    held = found.held.typical
    share, least = dose_for(whole, found.span.typical, held), _flushing(p)
    need = (f"Dose for the shorter interval: in proportion, {shown(whole)} g × {held:.0f} / {found.span.typical:.0f} = "
            f"{shown(share, 2)} g keeps the film; more often is no reason for more grease.")
    if least > share:
        dose = dose_for(whole, found.span.typical, held, least)
        need += (f" Dirt wants flushing, and the drain is open: 0.002 × D × B = {shown(least)} g (a maker's weekly "
                 "dose, from memory) pushes it out; less once it comes out clean.")
        return _Fed(dose, found.held, (need, *_wash_words(p, table)))
    need += " Dirt wants flushing: through an open outlet more may follow until it comes out clean."
    return _at_least_a_stroke(p, share, found, (need, *_wash_words(p, table)))


def _repacked(found: Advised | None) -> _Fed:
    """A point packed by hand has no supply: nothing is dosed, it is opened and packed anew."""
    return _Fed(None, found.held if found else None, (
        "Packed by hand: there is nothing to dose; open it, clean it and pack it with the first fill by then at the "
        "latest.",))


def _flushing(p: _Point) -> float:
    """What pushes dirt out [g]; 0 where it has no open way out."""
    bearing = p.case.point.bearing
    if p.case.point.drain != "open" or bearing.outside is None or bearing.width is None:
        return 0.0
    return flush_grams(p.knowledge.standard("interval"), bearing.outside, bearing.width)


def _at_least_a_stroke(p: _Point, dose: float, found: Advised, words: tuple[str, ...]) -> _Fed:
    """No gun gives less than a stroke: the interval grows with it, so that no more goes in over time."""
    stroke = p.case.regreasing.grams_per_stroke or p.knowledge.standard("replenishment")["guns"]["any"]["low"]
    if p.case.point.feed in ("lubricator", "central_system") or dose >= stroke:
        return _Fed(dose, found.held, words)
    hours = min(found.held.typical * stroke / dose, found.span.typical)
    said = (f"That is less than a stroke of a gun ({stroke:g} g): one stroke each {hours:.0f} h gives the same over "
            "time; a lubricator could give it day by day.")
    return _Fed(stroke, found.held._replace(typical=hours, high=max(found.held.high, hours)), (*words, said))


def _wash_words(p: _Point, table: Mapping[str, Mapping[str, Mapping[str, str]]]) -> tuple[str, ...]:
    """After a wash-down it is greased whatever the hours."""
    if not {"wash_down", "steam"} & set(p.case.point.exposure):
        return ()
    return (f"Washed down: {table['dirty_cap']['wash']['text']} (common practice).",)


def _first_fill(p: _Point) -> tuple[float | None, tuple[str, ...]]:
    """First fill [g] of a clean, dry bearing and the housing beside it."""
    b, factor = p.case.point.bearing, p.computed.get("speed_factor")
    if b.bore is None or b.outside is None or b.width is None:
        return None, ()
    k = grease_amount.free_volume_factor(p.knowledge.standard("free_volume"), b.type, b.cage)
    table = p.knowledge.standard("replenishment")
    volume = float(grease_amount.free_volume_cm3(b.bore, b.outside, b.width, k=k.typical))
    speed = float(factor.value) if factor is not None else 0.0
    share = grease_amount.bearing_fill_share(table, speed, p.case.point.swing.angle is not None)
    beside = housing_share(p.case, p.computed, p.knowledge)
    density = grease_amount.density_of(table, p.case.grease.base_oil).typical
    fill = grease_amount.first_fill_grams(volume, share, beside, density)
    return float(fill.grams), (
        f"First fill: bearing {shown(volume)} cm³ free space × {share:.0%} × {density:g} g/cm³ = "
        f"{shown(float(fill.bearing_g))} g; housing beside it {2 * volume:.0f} cm³ (taken as twice that space: measure "
        f"it) × {beside:.0%} = {float(fill.housing_g):.0f} g (fill sheet of a lubricant maker; bearing maker B).",)


def _rounded(value: float | None) -> float | None:
    """Three figures are more than such methods are worth."""
    return None if value is None else float(f"{value:.3g}")
