"""What a raceway shows close by: a piece of outer ring seen from inside, or a spot under a lens."""

from __future__ import annotations

import math
import random

from diag.pictures.pen import (
    INK,
    RUST,
    STEEL,
    WORN,
    Drawing,
    Point,
    Shape,
    arrow,
    blob,
    circle,
    ellipse,
    group,
    line,
    path,
    polygon,
    ring_sector,
    scatter,
)

__all__ = [
    "dents",
    "fluted",
    "frosted",
    "marks_at_pitch",
    "marks_pressed",
    "marks_worn",
    "rusted",
    "smeared",
    "spalled",
]

CENTRE = (80.0, -70.0)
NEAR, FAR = 116.0, 172.0  # the ring's faces, as radii round CENTRE
TRACK, TRACK_HALF = 144.0, 20.0
SIDE = 27.0  # degrees to each end of the piece
LENS, GLASS = (80.0, 56.0), 46.0


def marks_at_pitch() -> Drawing:
    """One mark under each ball; the balls are drawn as outlines above their marks."""
    angles = (-19.5, -6.5, 6.5, 19.5)
    balls = [circle(*_at(angle, 98), 9.5, width=1.5, stroke_dasharray="3 2") for angle in angles]
    guides = [line(*_at(angle, 109), *_at(angle, 129), 1, stroke_dasharray="2 2") for angle in angles]
    marks = [_mark(angle, TRACK, 5, 14, WORN) for angle in angles]
    return [*_piece(), *balls, *guides, *marks]


def fluted() -> Drawing:
    """Even ridges across the whole path."""
    steps = [-25 + 2.5 * i for i in range(21)]
    return [
        *_piece(),
        *(line(*_at(a, TRACK - 15), *_at(a, TRACK + 15), 3.4, stroke=WORN) for a in steps),
        *(line(*_at(a + 1, TRACK - 15), *_at(a + 1, TRACK + 15), 1, stroke="#ffffff") for a in steps),
    ]


def smeared() -> Drawing:
    """Metal dragged the way it slid: a torn head and long tails."""
    patches = []
    for i, (angle, radius, length) in enumerate(((-22, 134, 16), (-16, 152, 17), (-3, 137, 19), (5, 153, 17))):
        patches += _smear(angle, radius, length, i)
    return [*_piece(), *patches, arrow(*_at(-9, 186), 30, 0)]


def spalled() -> Drawing:
    """One deep hole with sharp edges and cracks that run on from it."""
    x, y = _at(3, TRACK)
    hole = polygon(blob(x, y, 24, 13, seed=5, rough=0.32, corners=17), fill=INK, width=2)
    floor = polygon(blob(x + 2, y + 2, 16, 7, seed=9, rough=0.3, corners=13), fill=WORN, width=0.8)
    steps = [path(f"M{x - 12} {y + 1} l5 -3 l5 4 l6 -3 l5 3", width=1, stroke="#ffffff")]
    cracks = [
        path(f"M{x + 24} {y - 2} l7 -3 l3 4 l7 -2", width=1.3),
        path(f"M{x - 25} {y} l-7 3 l-4 -3 l-6 2", width=1.3),
    ]
    return [*_piece(), hole, floor, *steps, *cracks]


def dents() -> Drawing:
    """Small dents without any order, each with its bright rim."""
    places = [p for p in scatter(80, 66, 70, 30, 60, seed=3, apart=9) if _on_track(p)]
    chance = random.Random(8)
    marks: list[Shape] = []
    for x, y in places:
        size = chance.uniform(1.6, 3.6)
        marks += [circle(x + 0.7, y + 0.7, size + 1, fill="#ffffff", width=0), circle(x, y, size, fill=WORN, width=0.8)]
    return [*_piece(), *marks]


def rusted() -> Drawing:
    """Blotches and pits without order."""
    places = [p for p in scatter(80, 66, 66, 28, 30, seed=12, apart=14) if _on_track(p)]
    spots = [
        polygon(blob(x, y, 5 + i % 4, 3.5 + i % 3, seed=i, rough=0.35, corners=13), fill=RUST, width=0.8)
        for i, (x, y) in enumerate(places)
    ]
    pits = [circle(x + dx, y + dy, 1.2, fill=INK, width=0) for x, y in places for dx, dy in ((-2, 0), (2, 1))]
    return [*_piece(), *spots, *pits]


def frosted() -> Drawing:
    """A dull band along the whole path, made of pits too fine to see one by one."""
    chance = random.Random(4)
    dots = [
        circle(
            *_at(chance.uniform(-SIDE + 0.5, SIDE - 0.5), TRACK + chance.triangular(-10, 10)), 0.7, fill=INK, width=0
        )
        for _ in range(420)
    ]
    band = ring_sector(CENTRE, TRACK - 10, TRACK + 10, 90 - SIDE, 90 + SIDE, fill="#aeb4b9", width=0)
    return [*_piece(), band, *dots]


def marks_worn() -> Drawing:
    """The lens shows a hollow in which the grinding lines are gone, and debris at its rim."""
    x, y = LENS
    debris = [
        circle(px, py, 1.4, fill=RUST, width=0.4) for px, py in blob(x, y, 22, 31, seed=2, rough=0.12, corners=34)
    ]
    return [
        *_lens(_grinding_lines()),
        ellipse(x, y, 19, 28, fill="#f4f5f6", width=0.8),
        ellipse(x, y, 12, 20, fill="#e3e6e8", width=0),
        *debris,
    ]


def marks_pressed() -> Drawing:
    """The lens shows grinding lines that dip through the hollow unbroken, and a raised bright rim."""
    x, y = LENS
    rim = ellipse(x, y, 22, 31, fill="none", width=4, stroke="#ffffff")
    edge = [ellipse(x, y, 24.5, 33.5, width=1.2), ellipse(x, y, 19.5, 28.5, width=1.8)]
    hollow = ellipse(x, y, 20, 29, fill="#9aa2a9", width=0)
    return [*_lens([*_grinding_lines(), hollow, *_sagging_lines()]), rim, *edge]


def _at(angle: float, radius: float) -> Point:
    """A place on the ring piece: degrees from the middle, radius round CENTRE."""
    turn = math.radians(angle)
    return (CENTRE[0] + radius * math.sin(turn), CENTRE[1] + radius * math.cos(turn))


def _on_track(place: Point) -> bool:
    radius = math.dist(place, CENTRE)
    angle = math.degrees(math.atan2(place[0] - CENTRE[0], place[1] - CENTRE[1]))
    return abs(radius - TRACK) < TRACK_HALF - 4 and abs(angle) < SIDE - 2


def _piece() -> Drawing:
    first, last = 90 - SIDE, 90 + SIDE
    return [
        ring_sector(CENTRE, NEAR, FAR, first, last, fill="#b3bac0"),
        ring_sector(CENTRE, TRACK - TRACK_HALF, TRACK + TRACK_HALF, first, last, fill="#e6e9ec", width=1),
    ]


def _mark(angle: float, radius: float, across: float, along: float, fill: str) -> Shape:
    x, y = _at(angle, radius)
    return ellipse(x, y, across, along, fill=fill, width=1, transform=f"rotate({-angle:.1f} {x:.1f} {y:.1f})")


def _smear(angle: float, radius: float, length: float, seed: int) -> Drawing:
    """Torn head at `angle`, then tails for `length` degrees the way the metal was dragged."""
    chance = random.Random(seed)
    tails = []
    for i in range(-4, 5):
        reach = length * chance.uniform(0.5, 1)
        start, end = _at(angle, radius + 1.3 * i), _at(angle + reach, radius + 1.3 * i)
        middle = _at(angle + reach / 2, radius + 1.3 * i)
        colour = "#ffffff" if i % 3 == 0 else WORN
        tails.append(
            path(
                f"M{start[0]:.1f} {start[1]:.1f} Q{middle[0]:.1f} {middle[1]:.1f} {end[0]:.1f} {end[1]:.1f}",
                width=1.5,
                stroke=colour,
            )
        )
    x, y = _at(angle, radius)
    return [*tails, polygon(blob(x, y, 4, 7, seed=seed + 20, rough=0.4, corners=11), fill=INK, width=0.6)]


def _lens(inside: list[Shape]) -> Drawing:
    """A reading glass with its handle."""
    x, y = LENS
    handle = line(x + 33, y + 33, x + 60, y + 58, 9, stroke_linecap="round")
    return [handle, circle(x, y, GLASS, fill=STEEL, width=0), group(*inside), circle(x, y, GLASS, width=5)]


def _grinding_lines() -> list[Shape]:
    x, y = LENS
    found = []
    for dy in range(-42, 43, 4):
        half = math.sqrt(GLASS**2 - dy**2) - 2
        found.append(line(x - half, y + dy, x + half, y + dy, 1, stroke=WORN))
    return found


def _sagging_lines() -> list[Shape]:
    x, y = LENS
    found = []
    for dy in range(-26, 27, 4):
        half = 19 * math.sqrt(1 - (dy / 29) ** 2)
        found.append(path(f"M{x - half:.1f} {y + dy} Q{x} {y + dy + 5} {x + half:.1f} {y + dy}", width=1.1))
    return found
