"""Load paths on the raceways: both rings cut open and laid flat, the load in the middle.

Drawn for a turning inner ring under a load that keeps its direction, the common case in the field.
"""

from __future__ import annotations

import math

from diag.pictures.pen import (
    INK,
    STEEL,
    WORN,
    Drawing,
    Point,
    Shape,
    arrow,
    blob,
    line,
    path,
    polygon,
    rectangle,
    text,
)

__all__ = ["misaligned", "normal", "out_of_round", "overloaded", "preloaded", "thrust"]

LEFT, RIGHT = 8, 152
OUTER, INNER = 36, 92  # middle height of each strip
HALF = 16  # half width of a strip


def normal() -> Drawing:
    return [*_rings(), _lens(80, 36, 6, OUTER), _band(INNER, 5), arrow(80, 19, 17, 90)]


def overloaded() -> Drawing:
    """Wide, long and heavy, with ragged pits; the load is drawn heavy as well."""
    pits = [
        polygon(blob(x, y, 6, 4.5, seed=i, rough=0.45, corners=11), fill=INK, width=0.9, stroke="#e6e9ec")
        for i, (x, y) in enumerate(((64, OUTER + 2), (79, OUTER - 4), (82, OUTER + 6), (97, OUTER + 1)))
    ]
    return [*_rings(), _lens(80, 62, 14, OUTER), _band(INNER, 13), *pits, arrow(80, 19, 16, 90, width=8, head=8)]


def misaligned() -> Drawing:
    """The path on the standing ring wanders from edge to edge; on the turning one it is only broad."""
    steps = range(LEFT, RIGHT + 1, 4)
    middle = [(x, OUTER - 9 * math.cos(2 * math.pi * (x - LEFT) / (RIGHT - LEFT))) for x in steps]
    upper = [(x, y - 5) for x, y in middle]
    lower = [(x, y + 5) for x, y in reversed(middle)]
    return [*_rings(), _patch([*upper, *lower]), _band(INNER, 11)]


def preloaded() -> Drawing:
    """All the way round both rings, somewhat broader where the load presses."""
    (top, bottom), (high, low) = ((OUTER - half, OUTER + half) for half in (5, 12))
    bulge = path(
        f"M{LEFT} {top} C44 {top} 52 {high} 80 {high} C108 {high} 116 {top} {RIGHT} {top} "
        f"L{RIGHT} {bottom} C116 {bottom} 108 {low} 80 {low} C52 {low} 44 {bottom} {LEFT} {bottom}Z",
        fill=WORN,
        width=0.8,
    )
    return [*_rings(), bulge, _band(INNER, 7), arrow(80, 19, 17, 90)]


def out_of_round() -> Drawing:
    """Two load zones half a turn apart: the housing pinches the ring."""
    return [
        *_rings(label_at=54),
        _lens(44, 24, 7, OUTER),
        _lens(116, 24, 7, OUTER),
        _band(INNER, 5),
        arrow(44, 19, 17, 90),
        arrow(116, 19, 17, 90),
    ]


def thrust() -> Drawing:
    """Round both rings, near one edge: towards opposite edges on the two."""
    return [
        *_rings(),
        _band(OUTER + 10, 4.5),
        _band(INNER - 10, 4.5),
        arrow(80, OUTER + 4, 17, 90),
        arrow(80, INNER - 4, 17, 270),
    ]


def _rings(label_at: float = 12) -> Drawing:
    unrolled = text(RIGHT, INNER - HALF - 5, "rings unrolled", anchor="end")
    return [*_strip(OUTER, "outer ring", label_at), *_strip(INNER, "inner ring", 12), unrolled]


def _strip(middle: float, words: str, x: float) -> Drawing:
    """One raceway laid flat, with jagged ends where the ring was cut open."""
    left = [(LEFT + dx, middle + dy) for dx, dy in ((0, HALF), (-4, HALF / 2), (0, 0), (-4, -HALF / 2), (0, -HALF))]
    right = [(RIGHT + dx, middle + dy) for dx, dy in ((0, -HALF), (4, -HALF / 2), (0, 0), (4, HALF / 2), (0, HALF))]
    shoulders = [line(LEFT, middle + dy, RIGHT, middle + dy, 3, stroke=INK) for dy in (-HALF, HALF)]
    return [polygon([*left, *right], fill=STEEL), *shoulders, text(x, middle - HALF - 5, words, anchor="start")]


def _band(middle: float, half: float) -> Shape:
    return rectangle(LEFT, middle - half, RIGHT - LEFT, 2 * half, fill=WORN, line_width=0.8)


def _lens(x: float, reach: float, half: float, middle: float) -> Shape:
    """A path that begins thin, is broadest under the load, and ends thin."""
    return path(
        f"M{x - reach} {middle} Q{x} {middle - 2 * half} {x + reach} {middle} "
        f"Q{x} {middle + 2 * half} {x - reach} {middle}Z",
        fill=WORN,
        width=0.8,
    )


def _patch(points: list[Point]) -> Shape:
    return polygon(points, fill=WORN, width=0.8)
