"""Seats, cage and heat colours: parts of a rolling bearing beside its raceways."""

from __future__ import annotations

from diag.pictures.pen import (
    INK,
    RUST,
    STEEL,
    WORN,
    Drawing,
    Shape,
    blob,
    circle,
    line,
    path,
    polygon,
    rectangle,
    ring_sector,
    scatter,
)

__all__ = ["cage_worn", "creep", "fretting", "heat_colours", "shield_dished"]

# Temper colours in the order they come with heat (straw, brown, purple, blue); each darker than the last.
TEMPER = ("#dcdfe2", "#ecd58a", "#b9813f", "#7d4a74", "#274a86")


def fretting() -> Drawing:
    """Powder and stained patches on the seat where the ring sat, and a little heap fallen from it."""
    patches = [
        polygon(blob(x, y, rx, ry, seed=i, rough=0.35), fill=RUST, width=0.8)
        for i, (x, y, rx, ry) in enumerate(((66, 40, 9, 7), (90, 50, 11, 8), (70, 62, 8, 9), (92, 72, 8, 5)))
    ]
    dust = [circle(x, y, 1, fill=RUST, width=0.3) for x, y in scatter(79, 56, 24, 26, 40, seed=1, apart=4)]
    falling = [circle(x, y, 1.2, fill=RUST, width=0.3) for x, y in scatter(79, 96, 14, 8, 14, seed=2, apart=4)]
    heap = path("M58 116 C68 106 74 104 80 104 C88 104 92 108 102 116 Z", fill=RUST)
    return [*_shaft(), *patches, *dust, *falling, heap]


def creep() -> Drawing:
    """Left: polished rings all round the seat. Right, from the end: two marks that stood in line stand apart."""
    shaft = [rectangle(4, 40, 16, 40, fill=STEEL), rectangle(60, 40, 14, 40, fill=STEEL)]
    seat = rectangle(20, 30, 40, 60, fill="#c3c9ce", line_width=2)
    places = ((23, 5), (31, 10), (44, 3), (50, 7))
    bands = [rectangle(x, 30, width, 60, fill="#ffffff", line_width=0.8) for x, width in places]
    ridges = [line(x, 31, x, 89, 0.8, stroke=WORN) for x in (34, 37, 53)]
    x, y = 118, 66
    ring = [circle(x, y, 36, fill=STEEL, width=2), circle(x, y, 21, fill="#b3bac0", width=2)]
    marks = [line(x, y - 20, x, y - 8, 4, stroke=RUST), line(x + 14.5, y - 16.5, x + 24, y - 27, 4, stroke=RUST)]
    head = polygon([(147, 32), (134, 29), (141, 20)], fill=INK, width=0.5)
    turn = [path("M102 24 C110 18 126 18 138 25", width=3), head]
    was = line(x, y - 22, x, y - 34, 2, stroke=RUST, stroke_dasharray="3 2")
    return [*shaft, seat, *bands, *ridges, *ring, *marks, was, *turn]


def heat_colours() -> Drawing:
    """A ring whose broad areas are tinted, the deepest where it was hottest; waves of heat above."""
    centre, inner, outer = (80.0, 72.0), 24.0, 44.0
    spans = [(270, 300, 4), (300, 330, 3), (330, 355, 2), (355, 385, 1), (385, 450, 0)]
    right = [ring_sector(centre, inner, outer, a, b, TEMPER[i], width=0) for a, b, i in spans]
    left = [ring_sector(centre, inner, outer, 540 - b, 540 - a, TEMPER[i], width=0) for a, b, i in spans]
    outline = [circle(*centre, r, width=2) for r in (inner, outer, outer - 6)]
    waves = [path(f"M{x} 24 C{x - 6} 18 {x + 6} 14 {x} 6", width=2.5) for x in (64, 80, 96)]
    return [*right, *left, *outline, *waves]


def cage_worn() -> Drawing:
    """A cage unrolled: one pocket is worn too wide, the bar next to it is broken through."""
    rails = [rectangle(6, 24, 148, 10, fill=GOLD), rectangle(6, 86, 148, 10, fill=GOLD)]
    bars = [rectangle(x, 34, w, 52, fill=GOLD) for x, w in ((10, 8), (42, 8), (144, 8))]
    thin = path("M74 34 C79 48 79 72 74 86 L80 86 C82 72 82 48 80 34 Z", fill=GOLD)
    broken = [
        path("M110 34 L118 34 L118 52 L115 57 L113 51 L110 56 Z", fill=GOLD),
        path("M110 86 L118 86 L120 70 L116 66 L114 71 L110 67 Z", fill=GOLD),
    ]
    rollers = [_roller(30, 0), _roller(62, 0), _roller(97, 0), _roller(130, 14)]
    return [*rails, *rollers, *bars, thin, *broken]


def shield_dished() -> Drawing:
    """Cut through a shielded bearing: one shield is straight, the other pushed in on to the cage."""
    outer = path("M30 8 L130 8 L130 34 L108 34 C100 26 60 26 52 34 L30 34 Z", fill="#b3bac0")
    inner = path("M30 112 L130 112 L130 86 L108 86 C100 94 60 94 52 86 L30 86 Z", fill="#b3bac0")
    cage = [rectangle(46, 54, 14, 12, fill=GOLD), rectangle(100, 54, 14, 12, fill=GOLD)]
    good = line(34, 32, 34, 84, 4)
    bent = path("M126 32 C126 44 116 48 116 60 C116 72 122 76 124 84", width=4)
    push = polygon([(122, 60), (136, 52), (136, 57), (154, 57), (154, 63), (136, 63), (136, 68)], fill=RUST, width=1)
    return [outer, inner, *cage, circle(80, 60, 31, fill=STEEL), good, bent, push]


GOLD = "#d8bd7a"


def _shaft() -> Drawing:
    """A shaft lying across, its seat in the middle between two smaller ends."""
    return [
        rectangle(6, 36, 48, 40, fill=STEEL),
        rectangle(106, 36, 48, 40, fill=STEEL),
        rectangle(54, 26, 52, 60, fill="#e6e9ec", line_width=2),
        line(6, 44, 54, 44, 1, stroke=WORN),
        line(106, 44, 154, 44, 1, stroke=WORN),
    ]


def _roller(x: float, tilt: float) -> Shape:
    return rectangle(x - 10, 37, 20, 46, fill=STEEL, rx=3, transform=f"rotate({tilt} {x} 60)")
