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
LENS, GLASS = (80.0, 44.0), 40.0
CUT = 101  # height of the sound surface where the ring is cut through
MARK = (15.0, 25.0)  # half width and half height of the mark under the lens


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
    """Small dents without any order or common shape, each with its bright rim; a hard crumb still sits in one."""
    places = [p for p in scatter(80, 66, 70, 30, 44, seed=3, apart=10) if _on_track(p)]
    chance = random.Random(8)
    marks: list[Shape] = []
    for i, (x, y) in enumerate(places):
        rx, ry = chance.uniform(1.6, 4.6), chance.uniform(1.4, 3.4)
        rim = blob(x + 0.8, y + 0.8, rx + 1, ry + 1, seed=i, rough=0.4, corners=9)
        dent = blob(x, y, rx, ry, seed=i, rough=0.4, corners=9)
        marks += [polygon(rim, fill="#ffffff", width=0), polygon(dent, fill=WORN, width=0.6)]
    return [*_piece(), *marks, *_crumb(*_at(0, TRACK - 5))]


def _crumb(x: float, y: float) -> Drawing:
    """A dent with the crumb that pressed it."""
    return [
        polygon(blob(x, y, 11, 8, seed=41, rough=0.2, corners=11), fill="#ffffff", width=0),
        polygon(blob(x, y, 9.5, 6.5, seed=41, rough=0.2, corners=11), fill=WORN, width=0.8),
        polygon([(x - 5, y + 2), (x - 3, y - 5), (x + 2, y - 6), (x + 6, y - 1), (x + 2, y + 4)], fill="#d9a441"),
        line(x - 1, y - 1, x + 2, y - 6, 0.8),
    ]


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
    """A dull band along the whole path, of pits too fine to see one by one: the shine of the track breaks off at it."""
    chance = random.Random(4)
    dots = [
        circle(
            *_at(chance.uniform(-SIDE + 0.5, SIDE - 0.5), TRACK + chance.uniform(-9.5, 9.5)), 0.45, fill="#71797f",
            width=0,
        )
        for _ in range(560)
    ]
    band = ring_sector(CENTRE, TRACK - 10, TRACK + 10, 90 - SIDE, 90 + SIDE, fill="#bcc2c6", width=0)
    return [*_piece("#c9d6df"), *_shine(), band, *dots]


def _shine() -> Drawing:
    """Light thrown back by a bright track, across its whole width."""
    return [ring_sector(CENTRE, TRACK - TRACK_HALF + 1, TRACK + TRACK_HALF - 1, 90 + a, 90 + a + w, "#ffffff", width=0)
            for a, w in ((-15, 5), (-8, 1.5), (9, 6))]


def marks_worn() -> Drawing:
    """The lens shows a hollow in which the grinding lines are gone, and debris at its rim; below it cut through."""
    x, y = LENS
    debris = [
        circle(px, py, 1.4, fill=RUST, width=0.4)
        for px, py in blob(x, y, MARK[0] + 3, MARK[1] + 3, seed=2, rough=0.12, corners=30)
    ]
    smooth = ellipse(x, y, *MARK, fill="#f4f5f6", width=0.8)
    surface = f"{_teeth(20, 58)} L58 {CUT} C64 {CUT + 9} 96 {CUT + 9} 102 {CUT} {_teeth(102, 140)}"
    return [*_lens([*_grinding_lines(0), smooth]), *debris, _cut_through(surface)]


def marks_pressed() -> Drawing:
    """The lens shows grinding lines that run on through the hollow and its raised bright rim; below it cut through."""
    x, y = LENS
    hollow = ellipse(x, y, *MARK, fill="#b9c0c6", width=0)
    rim = ellipse(x, y, MARK[0] + 2, MARK[1] + 2, width=4, stroke="#ffffff")
    edge = ellipse(x, y, MARK[0] + 4.5, MARK[1] + 4.5, width=0.6)
    raised = f"C58 {CUT} 56 {CUT - 8} 60 {CUT - 7}"
    back = f"L100 {CUT - 7} C104 {CUT - 8} 102 {CUT} 106 {CUT}"
    floor = _teeth(62, 98, CUT + 6)
    surface = f"{_teeth(20, 54)} {raised} {floor} {back} {_teeth(106, 140)}"
    return [*_lens([hollow, rim, edge, *_grinding_lines(5)]), _cut_through(surface)]


def _at(angle: float, radius: float) -> Point:
    """A place on the ring piece: degrees from the middle, radius round CENTRE."""
    turn = math.radians(angle)
    return (CENTRE[0] + radius * math.sin(turn), CENTRE[1] + radius * math.cos(turn))


def _on_track(place: Point) -> bool:
    radius = math.dist(place, CENTRE)
    angle = math.degrees(math.atan2(place[0] - CENTRE[0], place[1] - CENTRE[1]))
    return abs(radius - TRACK) < TRACK_HALF - 4 and abs(angle) < SIDE - 2


def _piece(track: str = "#e6e9ec") -> Drawing:
    first, last = 90 - SIDE, 90 + SIDE
    return [
        ring_sector(CENTRE, NEAR, FAR, first, last, fill="#b3bac0"),
        ring_sector(CENTRE, TRACK - TRACK_HALF, TRACK + TRACK_HALF, first, last, fill=track, width=1),
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
    handle = line(x + 28, y + 28, x + 56, y + 42, 8, stroke_linecap="round")
    return [handle, circle(x, y, GLASS, fill=STEEL, width=0), group(*inside), circle(x, y, GLASS, width=4)]


def _grinding_lines(sag: float) -> list[Shape]:
    """Lines from edge to edge of the glass, each in one stroke; in the mark they sag by `sag`, as its floor does."""
    x, y = LENS
    found = []
    for dy in range(-36, 37, 4):
        half = math.sqrt(GLASS**2 - dy**2) - 2
        inner = MARK[0] * math.sqrt(max(0.0, 1 - (dy / MARK[1]) ** 2))
        d = (f"M{x - half:.1f} {y + dy} L{x - inner:.1f} {y + dy} Q{x} {y + dy + 2 * sag * inner / MARK[0]:.1f} "
             f"{x + inner:.1f} {y + dy} L{x + half:.1f} {y + dy}")
        found.append(path(d, width=1, stroke=WORN))
    return found


def _teeth(first: int, last: int, level: int = CUT) -> str:
    """Ground surface cut through: small teeth from `first` to `last` round a height."""
    return " ".join(f"L{x} {level + (1.5 if i % 2 == 0 else -1.5)}" for i, x in enumerate(range(first, last + 1, 2)))


def _cut_through(surface: str) -> Shape:
    """The ring cut through across the mark, its surface above."""
    return path(f"M20 {CUT} {surface} L140 116 L20 116 Z", fill="#b3bac0", width=1.3)
