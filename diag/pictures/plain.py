"""Pins, bushes and slideways."""

from __future__ import annotations

import random

from diag.pictures.pen import (
    GREASE,
    RUST,
    STEEL,
    WORN,
    Drawing,
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
    """Cut lengthways: the pin stands askew and has eaten into the bush at one end (hatched); dashed is how
    the bore was."""
    upper = rectangle(20, 6, 120, 28, fill=BRONZE, line_width=2)
    lower = polygon([(20, 114), (140, 114), (140, 94), (60, 80), (20, 80)], fill=BRONZE, width=2)
    pin = polygon([(4, 32), (156, 58), (156, 96), (4, 70)], fill=STEEL, width=2)
    was = [line(4, y, 156, y, 1.6, stroke_dasharray="4 3") for y in (34, 80)]
    worn = polygon([(62, 80), (140, 80), (140, 93.3)], fill="#f0c9ae", width=1)
    strokes = [line(x, 80, x - 3, 80 + (x - 65) * 0.17, 1.6, stroke=RUST) for x in range(76, 141, 5)]
    axis = line(4, 51, 156, 77, 1, stroke_dasharray="10 3 2 3")
    return [upper, lower, pin, axis, worn, *strokes, *was]


def galled() -> Drawing:
    """A pin with ragged patches of metal torn and welded on; below its surface cut through: lumps up, hollows down."""
    pin = [
        rectangle(14, 8, 124, 62, fill="#e6e9ec", line_width=2),
        ellipse(138, 39, 12, 31, fill=STEEL, width=2),
        path("M14 8 C3 20 3 58 14 70", fill="#e6e9ec", width=2),
    ]
    patches: Drawing = []
    for i, (x, y) in enumerate(((44, 29), (72, 40), (98, 29), (108, 50), (46, 50))):
        patches += _welded(x, y, i)
    surface = ("M14 96 L40 96 L43 100 L48 99 L51 93 L55 84 L61 86 L64 82 L70 88 L73 97 L77 102 L83 99 L88 101 "
               "L91 93 L96 87 L101 85 L105 91 L108 97 L112 99 L116 96 L146 96 L146 114 L14 114 Z")
    return [*pin, *patches, path(surface, fill="#b3bac0", width=1.6)]


def _welded(x: float, y: float, seed: int) -> Drawing:
    """A torn patch with drag lines round the pin and a lump on it, lit from above."""
    patch = polygon(blob(x, y, 13, 13, seed=seed, rough=0.35, corners=17), fill="#8b9298", width=1)
    chance = random.Random(seed)
    drags = [line(x + dx, y - chance.uniform(7, 12), x + dx, y + chance.uniform(7, 12), 1.1, stroke=WORN)
             for dx in (-7, -3.5, 0, 3.5, 7)]
    lump = polygon(blob(x, y, 6, 5, seed=seed + 9, rough=0.35, corners=9), fill="#b9c0c6", width=1.2)
    return [patch, *drags, lump, path(f"M{x - 3} {y - 1} q2 -3 5 -2", stroke="#ffffff", width=1.6)]


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
