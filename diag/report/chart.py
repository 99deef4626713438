"""Drawings of the report and the page, as SVG text made here: the viscosity–temperature chart and small bars.

Only presentation attributes are used, so that a page with a strict content policy shows them; ink is
`currentColor`, and curves differ by their dashes, so that they survive both themes and black and white print.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree import ElementTree

from diag.case.model import Case
from diag.compute.bench import Bench, Oil
from diag.findings import Computed, Findings
from diag.knowledgebase import Knowledge
from diag.report.figures import System, figure

__all__ = [
    "CANDIDATES", "Curve", "Mark", "Needed", "chance_bar", "evidence_bar", "oil_curve", "viscosity_chart",
    "viscosity_chart_of",
]

WIDTH, HEIGHT = 360, 320
_LEFT, _RIGHT, _TOP, _BOTTOM = 46, 22, 18, 56
_COLDEST, _HOTTEST = 20.0, 120.0  # °C shown when nothing asks for more
_TICKS = (2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000)  # mm²/s
_DASHES = ("none", "8 4", "2 3", "8 3 2 3")
CANDIDATES = len(_DASHES) - 1  # greases of the shelf that can be told apart beside the one in service
_LONGEST_NAME = 40  # characters that fit into the frame
_FULL_FACTOR = 100.0  # a factor that fills the evidence bar (display only)


@dataclass(frozen=True, slots=True)
class Curve:
    """One oil: `v40` [mm²/s] and viscosity index with the span it may have."""

    name: str
    v40: float
    index: float
    index_low: float
    index_high: float


@dataclass(frozen=True, slots=True)
class Needed:
    """The viscosity that must be there [mm²/s] at the temperature the grease is sized by [°C]."""

    viscosity: float
    temperature: float


@dataclass(frozen=True, slots=True)
class Mark:
    """A temperature worth a line of its own [°C]."""

    name: str
    temperature: float


def viscosity_chart_of(
    found: Findings, case: Case, knowledge: Knowledge, system: System = "metric", candidates: Sequence[Curve] = ()
) -> str | None:
    """The chart of a case: grease in service, shelf candidates, the needed line; None when there is nothing to draw.

    The needed line is drawn at the usual temperature where one is known, since the grease is sized by it.
    """
    in_service = oil_curve("grease in service", case, knowledge)
    curves = [*([in_service] if in_service else []), *candidates]
    needed = _needed(found, case)
    if not curves and needed is None:
        return None
    point = case.point
    marks = [
        Mark(name, value)
        for name, value in (("usual", point.usual_temperature), ("now", point.running_temperature))
        if value is not None
    ]
    return viscosity_chart(curves, needed, marks, system)


def oil_curve(name: str, case: Case, knowledge: Knowledge) -> Curve | None:
    """The oil of the grease in service of a case; None when its viscosity isn't known. A long name is cut."""
    oil = Bench(case, knowledge).oil
    shown = name if len(name) <= _LONGEST_NAME else f"{name[:_LONGEST_NAME - 3]}..."
    return None if oil is None else Curve(shown, oil.v40, oil.vi, oil.vi_low, oil.vi_high)


def _needed(found: Findings, case: Case) -> Needed | None:
    wanted = next((r for r in found.spec.requirements if r.property == "viscosity_at_running"), None)
    known = (case.point.usual_temperature, _number(found.computed, "expected_temperature"))
    at = next((t for t in (*known, case.point.running_temperature) if t is not None), None)
    if wanted is None or at is None or not isinstance(wanted.value, int | float):
        return None
    return Needed(float(wanted.value), at)


def _number(computed: Sequence[Computed], computed_id: str) -> float | None:
    return next((float(c.value) for c in computed if c.id == computed_id and not isinstance(c.value, str)), None)


def viscosity_chart(
    curves: Sequence[Curve], needed: Needed | None, marks: Sequence[Mark], system: System = "metric"
) -> str:
    """One <svg>: oils as straight lines on ASTM D341 axes, the needed viscosity, the temperatures that matter.

    A band round a line is the span of an index that was assumed. Title and description say the same in words.
    """
    scale = _Scale.around(curves, needed, marks)
    root = _svg(WIDTH, HEIGHT + 16 * len(curves), role="img")
    _words(root, "Oil viscosity over temperature", _description(curves, needed, marks, system))
    _axes(root, scale, system)
    for row, mark in enumerate(marks):
        _mark(root, scale, mark, row, system)
    for row, curve in enumerate(curves):
        _curve(root, scale, curve, row)
    if needed is not None:
        _needed_line(root, scale, needed, system)
    return ElementTree.tostring(root, encoding="unicode")


def evidence_bar(factor: float) -> str:
    """A bar from the middle line: to the right where a finding raises the odds, to the left where it lowers them.

    factor: how far the finding shifts the odds [-]; 100 either way fills the half. Words stand beside it.
    """
    length = 50 * min(1.0, abs(math.log(max(factor, 1e-6))) / math.log(_FULL_FACTOR))
    root = _svg(100, 10, aria_hidden="true")
    root.set("preserveAspectRatio", "none")
    _add(root, "line", x1=50, y1=0, x2=50, y2=10, stroke="currentColor", stroke_width=1)
    raises = factor >= 1
    _add(root, "rect", x=50 if raises else 50 - length, y=2, width=length, height=6,
         fill="currentColor" if raises else "none", stroke="currentColor", stroke_width=1)
    return ElementTree.tostring(root, encoding="unicode")


def chance_bar(probability: float) -> str:
    """A frame filled as far as the chance goes [0 to 1]. Words stand beside it."""
    root = _svg(100, 10, aria_hidden="true")
    root.set("preserveAspectRatio", "none")
    _add(root, "rect", x=0.5, y=0.5, width=99, height=9, fill="none", stroke="currentColor", stroke_width=1)
    _add(root, "rect", x=0.5, y=0.5, width=99 * min(1.0, max(0.0, probability)), height=9, fill="currentColor")
    return ElementTree.tostring(root, encoding="unicode")


@dataclass(frozen=True, slots=True)
class _Scale:
    """Axes on which oils are straight: lg T [K] across, lg lg (ν + 0.7) upwards (ASTM D341)."""

    coldest: float
    hottest: float
    thinnest: float
    thickest: float

    @classmethod
    def around(cls, curves: Sequence[Curve], needed: Needed | None, marks: Sequence[Mark]) -> _Scale:
        heats = [m.temperature for m in marks] + ([needed.temperature] if needed else [])
        coldest, hottest = min([_COLDEST, *heats]), max([_HOTTEST, *heats])
        heights = [v for c in curves for t in (coldest, hottest) for v in _span(c, t)]
        heights += [4 * needed.viscosity, needed.viscosity] if needed else []  # room for names above its line
        least, most = min(heights, default=2.0), max(heights, default=1000.0)
        return cls(coldest, hottest, max(1.0, least * 0.8), max(most * 1.2, least * 10))

    def x(self, temperature: float) -> float:
        low, high = math.log10(self.coldest + 273.15), math.log10(self.hottest + 273.15)
        share = (math.log10(temperature + 273.15) - low) / (high - low)
        return _LEFT + share * (WIDTH - _LEFT - _RIGHT)

    def y(self, viscosity: float) -> float:
        low, high = _height(self.thinnest), _height(self.thickest)
        return HEIGHT - _BOTTOM - (_height(viscosity) - low) / (high - low) * (HEIGHT - _TOP - _BOTTOM)


def _height(viscosity: float) -> float:
    return math.log10(math.log10(viscosity + 0.7))


def _span(curve: Curve, temperature: float) -> tuple[float, float, float]:
    """Viscosity [mm²/s] with the likely, the lowest and the highest index."""
    from diag.compute.film import viscosity

    return viscosity(Oil(curve.v40, curve.index, curve.index_low, curve.index_high, ""), temperature)


def _axes(root: ElementTree.Element, scale: _Scale, system: System) -> None:
    bottom, right = HEIGHT - _BOTTOM, WIDTH - _RIGHT
    for tick in (t for t in _TICKS if scale.thinnest <= t <= scale.thickest):
        y = scale.y(tick)
        _add(root, "line", x1=_LEFT, y1=y, x2=right, y2=y, stroke="currentColor", stroke_width=0.4, opacity=0.5)
        _text(root, _LEFT - 5, y + 4, f"{tick}", "end")
    for heat in range(20 * math.ceil(scale.coldest / 20), math.floor(scale.hottest) + 1, 20):
        x = scale.x(heat)
        _add(root, "line", x1=x, y1=_TOP, x2=x, y2=bottom, stroke="currentColor", stroke_width=0.4, opacity=0.5)
        _text(root, x, bottom + 14, figure(heat, "°C", system), "middle")
    _add(root, "rect", x=_LEFT, y=_TOP, width=right - _LEFT, height=bottom - _TOP, fill="none",
         stroke="currentColor", stroke_width=1)
    _text(root, _LEFT, 11, "mm²/s", "end")


def _mark(root: ElementTree.Element, scale: _Scale, mark: Mark, row: int, system: System) -> None:
    """Its label stands in a row of its own, so that two close temperatures stay readable."""
    x, bottom = scale.x(mark.temperature), HEIGHT - _BOTTOM
    _add(root, "line", x1=x, y1=_TOP, x2=x, y2=bottom, stroke="currentColor", stroke_width=1.5)
    _text(root, x, bottom + 32 + 16 * row, f"{mark.name} {figure(mark.temperature, '°C', system)}", "middle")


def _curve(root: ElementTree.Element, scale: _Scale, curve: Curve, row: int) -> None:
    """Its name stands under the frame, where no line comes, with a piece of its own."""
    dash = _DASHES[row % len(_DASHES)]
    ends = [(scale.x(t), [scale.y(v) for v in _span(curve, t)]) for t in (scale.coldest, scale.hottest)]
    (x1, (y1, low1, high1)), (x2, (y2, low2, high2)) = ends
    crossing = scale.x(40.0), scale.y(curve.v40)  # whatever the index, 40 °C is where the lines meet
    if curve.index_low != curve.index_high:
        for a, b in ((low1, high2), (high1, low2)):
            points = f"{x1:.1f},{a:.1f} {crossing[0]:.1f},{crossing[1]:.1f} {x2:.1f},{b:.1f}"
            _add(root, "polyline", points=points, fill="none", stroke="currentColor", stroke_width=0.8, opacity=0.7)
    _add(root, "line", x1=x1, y1=y1, x2=x2, y2=y2, stroke="currentColor", stroke_width=2.5, stroke_dasharray=dash)
    y = HEIGHT + 8 + 16 * row
    _add(root, "line", x1=_LEFT, y1=y - 4, x2=_LEFT + 32, y2=y - 4, stroke="currentColor", stroke_width=2.5,
         stroke_dasharray=dash)
    _text(root, _LEFT + 38, y, curve.name, "start")


def _needed_line(root: ElementTree.Element, scale: _Scale, needed: Needed, system: System) -> None:
    x, y = scale.x(needed.temperature), scale.y(needed.viscosity)
    _add(root, "line", x1=_LEFT, y1=y, x2=WIDTH - _RIGHT, y2=y, stroke="currentColor", stroke_width=2,
         stroke_dasharray="1 3", stroke_linecap="round")
    _add(root, "circle", cx=x, cy=y, r=5, fill="none", stroke="currentColor", stroke_width=2.5)
    _text(root, WIDTH - _RIGHT - 6, y - 6, f"needed: {figure(needed.viscosity, 'mm²/s', system)}", "end")


def _description(curves: Sequence[Curve], needed: Needed | None, marks: Sequence[Mark], system: System) -> str:
    told = [f"{m.name}: {figure(m.temperature, '°C', system)}." for m in marks]
    at = [m.temperature for m in marks] or ([needed.temperature] if needed else [])
    for curve in curves:
        values = [f"{figure(_span(curve, t)[0], 'mm²/s', system)} at {figure(t, '°C', system)}" for t in at]
        stated = f"{curve.v40:.4g} mm²/s at {figure(40, '°C', system)}"
        told.append(f"{curve.name}: {', '.join([stated, *values])}.")
    if needed is not None:
        heat = figure(needed.temperature, "°C", system)
        told.append(f"Needed: at least {figure(needed.viscosity, 'mm²/s', system)} at {heat}.")
    return " ".join(told)


def _svg(width: int, height: int, **attributes: str) -> ElementTree.Element:
    found = {"xmlns": "http://www.w3.org/2000/svg", "viewBox": f"0 0 {width} {height}"}
    return ElementTree.Element("svg", found | {k.replace("_", "-"): v for k, v in attributes.items()})


def _words(root: ElementTree.Element, title: str, description: str) -> None:
    ElementTree.SubElement(root, "title").text = title
    ElementTree.SubElement(root, "desc").text = description


def _add(root: ElementTree.Element, tag: str, **attributes: float | str) -> ElementTree.Element:
    texts = {k.replace("_", "-"): v if isinstance(v, str) else f"{v:.4g}" for k, v in attributes.items()}
    return ElementTree.SubElement(root, tag, texts)


def _text(root: ElementTree.Element, x: float, y: float, words: str, anchor: str) -> None:
    element = _add(root, "text", x=x, y=y, fill="currentColor", text_anchor=anchor, font_size="12")
    element.text = words
