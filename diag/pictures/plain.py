"""Pins, bushes and slideways."""

from __future__ import annotations

import random

from diag.pictures.pen import (
    GREASE,
    INK,
    STEEL,
    WORN,
    Drawing,
    Point,
    arrow,
    blob,
    circle,
    ellipse,
    line,
    path,
    polygon,
    rectangle,
)

__all__ = ["bush_oval", "dry_stroke", "galled", "worn_one_end"]

BRONZE = "#d8bd7a"


def bush_oval() -> Drawing:
    """The hole has grown downwards under the load; the dashed circle is how it was."""
    bush = circle(80, 58, 52, fill=BRONZE, width=2)
    hole = path("M50 56 C50 14 110 14 110 56 C112 112 48 112 50 56 Z", fill="#ffffff", width=2)
    return [
        bush,
        hole,
        circle(80, 68, 29, fill=STEEL, width=2),
        circle(80, 54, 30, width=1.5, stroke_dasharray="4 3"),
        arrow(80, 86, 32, 90, width=4, head=6),
    ]


def worn_one_end() -> Drawing:
    """Cut lengthways: the pin stands askew and has eaten into the bush at one end; dashed is how it was."""
    upper = rectangle(20, 6, 120, 28, fill=BRONZE, line_width=2)
    lower = polygon([(20, 114), (140, 114), (140, 94), (60, 80), (20, 80)], fill=BRONZE, width=2)
    pin = polygon([(4, 32), (156, 58), (156, 96), (4, 70)], fill=STEEL, width=2)
    was = line(60, 80, 140, 80, 2, stroke_dasharray="4 3")
    axis = line(4, 51, 156, 77, 1, stroke_dasharray="10 3 2 3")
    return [upper, lower, pin, axis, was]


def galled() -> Drawing:
    """A pin with metal torn out and welded on in ragged streaks round it."""
    chance = random.Random(7)
    pin = [
        rectangle(14, 26, 124, 68, fill="#e6e9ec", line_width=2),
        ellipse(138, 60, 13, 34, fill=STEEL, width=2),
        path("M14 26 C2 38 2 82 14 94", fill="#e6e9ec", width=2),
    ]
    streaks: Drawing = []
    for i in range(17):
        x = 40 + 3.9 * i
        top, bottom = chance.uniform(28, 48), chance.uniform(72, 92)
        streaks.append(polygon(_torn(x, top, bottom, chance), fill=INK if i % 2 else WORN, width=0.5))
    lumps = [
        polygon(blob(x, y, 7, 5, seed=i, rough=0.45, corners=10), fill="#ffffff", width=1.8)
        for i, (x, y) in enumerate(((50, 50), (72, 72), (92, 46), (60, 82), (98, 76)))
    ]
    return [*pin, *streaks, *lumps]


def dry_stroke() -> Drawing:
    """A short stroke has wiped the middle bare and bright; the grease stands in ridges at its ends."""
    way = rectangle(6, 84, 148, 22, fill="#b3bac0")
    bare = rectangle(46, 84, 68, 7, fill="#ffffff", line_width=1.2)
    ridges = [
        path("M6 84 L6 74 C16 74 26 70 34 60 C42 56 46 64 46 84 Z", fill=GREASE, width=2),
        path("M154 84 L154 74 C144 74 134 70 126 60 C118 56 114 64 114 84 Z", fill=GREASE, width=2),
    ]
    glints = [path(d, width=1.5) for d in ("M50 78 l-2 -8", "M56 78 l0 -9", "M104 78 l0 -9", "M110 78 l2 -8")]
    slider = rectangle(64, 40, 32, 44, fill=STEEL, line_width=2)
    return [way, bare, *ridges, *glints, slider, arrow(50, 24, 30, 180), arrow(110, 24, 30, 0)]


def _torn(x: float, top: float, bottom: float, chance: random.Random) -> list[Point]:
    """A streak with ragged sides."""
    steps = range(5)
    right = [(x + chance.uniform(0.6, 3), top + (bottom - top) * i / 4) for i in steps]
    left = [(x - chance.uniform(0.2, 1.5), top + (bottom - top) * i / 4) for i in reversed(steps)]
    return [*right, *left]
