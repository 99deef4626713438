"""Regreasing of pins, bushings and slideways: by clearance, pressure and dirt, not by the bearing formulas."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from diag.case.model import Case
from diag.findings import Computed, Regrease
from diag.knowledgebase import Knowledge
from diag.numbertext import shown
from diag.remedy.feeding_notes import count_strokes, feed_setting
from diag.tribology import amount as grease_amount
from diag.tribology import pins, slides
from diag.tribology.common import Span
from diag.tribology.interval import grams_per_1000_h

__all__ = ["plain_plan"]


def plain_plan(case: Case, computed: Mapping[str, Computed], knowledge: Knowledge) -> Regrease:
    """Hours between greasings by duty and a dose by clearance (pins) or by film over the face (ways)."""
    table = knowledge.standard("plain_bearings")
    dose, dose_words = _dose(case, table)
    span, duty = _interval(case, computed, table)
    rate = float(grams_per_1000_h(dose, span.typical)) if dose else None
    count, stroke_words = count_strokes(case, dose, knowledge)
    words = (f"Interval: {span.low:g} to {span.high:g} h of work for {duty.replace('_', ' ')} duty "
             f"({knowledge.cite(span.source, span.confidence)}).")
    rate_words = () if not (rate and dose) else (
        f"{shown(rate)} g per 1,000 h = 1000 × {shown(dose)} g / {span.typical:g} h.",)
    return Regrease(
        grams_per_1000_h=_rounded(rate), amount_g=_rounded(dose), interval_h=_rounded(span.typical),
        interval_low_h=_rounded(span.low), interval_high_h=_rounded(span.high), first_fill_g=None, strokes=count,
        working=(*rate_words, *dose_words, words, *_stands(case, computed, table), *_how(case, table), *stroke_words,
                 *feed_setting(case, rate)))


def _stands(case: Case, computed: Mapping[str, Computed], table: Mapping[str, object]) -> Iterator[str]:
    """Pressure, speed and their product against what the bush or way stands: guidance after the maker's data."""
    limits = _limits(case, table)
    for name, allowed in (("specific_pressure", limits.pressure), ("sliding_speed", limits.speed),
                          ("pressure_velocity", limits.pressure_velocity)):
        found = computed.get(name)
        if found is not None and float(found.value) > allowed.low:
            over = "over what it stands at all" if float(found.value) > allowed.high else "in the upper range"
            yield (f"{name.replace('_', ' ')} {shown(float(found.value))} {found.unit}: {over}, {limits.material} "
                   f"{allowed.low:g} to {allowed.high:g} ({allowed.confidence}; the maker's data go first).")


def _how(case: Case, table: Mapping[str, object]) -> Iterator[str]:
    if case.point.kind == "pin_bushing":
        yield ("Grease a pin until clean grease shows at the collar, the joint unloaded or moved through its travel "
               "(common practice).")
        return
    yield "Grease a way along its whole travel, little and often (common practice)."
    speed = case.point.slide.speed
    if speed is not None and slides.may_stick_slip(table, speed):
        yield (f"At {speed:g} m/s a greased way may stick and slip (below 0.005 m/s, from memory): a thicker oil, or "
               "solids or friction modifiers in it, help more than more grease.")


def _interval(case: Case, computed: Mapping[str, Computed], table: Mapping[str, object]) -> tuple[Span, str]:
    limits = _limits(case, table)
    shares = [float(computed[name].value) / allowed.low for name, allowed in
              (("specific_pressure", limits.pressure), ("pressure_velocity", limits.pressure_velocity))
              if name in computed]
    exposure = set(case.point.exposure)
    wet = bool(exposure & {"splash", "wash_down", "submerged", "steam"})
    duty = pins.duty_of(max(shares) if shares else None, "dust" in exposure, wet)
    return pins.interval_hours(table, duty, case.point.swing.angle), duty


def _limits(case: Case, table: Mapping[str, object]) -> pins.Limits:
    if case.point.kind == "slideway":
        return slides.way_limits(table)
    return pins.bush_limits(table, case.point.pin.bush_material)


def _dose(case: Case, table: Mapping[str, object]) -> tuple[float | None, tuple[str, ...]]:
    density = grease_amount.DENSITY
    pin, slide = case.point.pin, case.point.slide
    if case.point.kind == "pin_bushing" and pin.diameter and pin.length:
        gap = pins.clearance_span(table, pin.diameter)
        volume = float(pins.clearance_volume_cm3(pin.diameter, pin.length, gap.typical))
        return volume * density, (
            f"Amount: π × {pin.diameter:g} mm × {pin.length:g} mm × {gap.typical:.2g} mm / 2 = {shown(volume)} cm³ "
            f"of clearance ({gap.confidence}); stop when clean grease shows.",)
    if case.point.kind == "slideway" and slide.length and slide.width:
        volume = float(pins.central_system_cm3(slides.contact_area(slide.length, slide.width)))
        return volume * density, (
            f"Amount: a film of 0.001 in over {slide.length:g} × {slide.width:g} mm every 4 h is {shown(volume)} cm³ "
            "(lubrication system supplier, basic formulas: a generous figure).",)
    return None, ("Amount: give the sizes of the point.",)


def _rounded(value: float | None) -> float | None:
    return None if value is None else float(f"{value:.3g}")
