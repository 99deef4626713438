"""How grease looks on a plate, and how the consistency grades stand when turned out of a cup."""

from __future__ import annotations

from diag.pictures.pen import (
    AMBER,
    BROWN,
    GREASE,
    PALE,
    RUST,
    STEEL,
    WATER,
    Drawing,
    Shape,
    arrow,
    blob,
    circle,
    ellipse,
    line,
    path,
    polygon,
    rectangle,
    scatter,
    text,
)

__all__ = [
    "buttery",
    "caked",
    "channelled",
    "glittering",
    "grade_0",
    "grade_000",
    "grade_2",
    "grade_6",
    "marbled",
    "milky",
    "oil_and_dry_soap",
    "soupy",
    "threads",
]

PLATE = 98
HEAP = "M28 98 C30 82 46 80 52 66 C58 54 70 52 80 44 C92 52 104 54 108 66 C114 80 130 82 132 98 Z"


def buttery() -> Drawing:
    """Smooth and short: parted by the blade it stays on both sides in soft peaks, and neither drips nor runs."""
    handle = path("M8 8 C2 8 2 22 8 22 L44 20 L44 10 Z", fill="#8a5a33", width=2)
    blade = path("M44 13 L56 13 L62 8 L132 8 C146 10 146 20 132 22 L62 22 L56 17 L44 17 Z", fill=STEEL, width=2)
    above = path("M64 22 C66 34 72 32 77 38 C81 43 80 48 83 53 C84 47 90 41 97 37 C106 33 112 31 114 22 Z",
                 fill=GREASE, width=2)
    below = path(
        "M20 98 C20 82 42 84 56 76 C66 70 66 60 80 56 C76 64 82 70 94 76 C110 82 140 80 140 98 Z", fill=GREASE, width=2
    )
    folds = [path(d) for d in ("M54 84 C68 92 92 92 106 84", "M66 76 C72 80 82 80 86 77", "M74 29 C82 33 96 33 104 29")]
    shine = path("M32 90 C36 86 42 85 48 84", stroke="#ffffff", width=3)
    return [*_plate(), below, above, handle, blade, *folds, shine]


def soupy() -> Drawing:
    """Runs off the blade in a stream and lies flat."""
    blade = path("M8 18 L70 32 L66 44 L8 34 Z", fill=STEEL)
    film = path("M34 18 C48 18 62 26 74 32 C80 36 80 42 78 48 L80 88 L68 88 L68 46 C60 40 46 34 32 32 Z", fill=GREASE)
    drop = path("M90 50 C96 60 98 64 90 66 C82 64 84 60 90 50 Z", fill=GREASE)
    pool = ellipse(80, 93, 70, 9, fill=GREASE, width=2)
    rings = [ellipse(74, 91, r, r / 6, width=1) for r in (14, 26)]
    return [*_plate(), pool, *rings, film, blade, path("M34 24 C48 24 60 29 70 34", stroke="#ffffff", width=2), drop]


def milky() -> Drawing:
    """Pale and cloudy, with drops of water in it and running from it."""
    clouds = [
        path(d, stroke="#b9ad8d", width=2.5)
        for d in ("M46 82 C60 70 70 92 84 78 C94 70 104 84 116 82", "M58 64 C68 56 80 70 100 62")
    ]
    drops = [_drop(x, y, 5) for x, y in ((66, 76), (92, 70), (80, 88), (106, 90), (52, 90), (80, 58))]
    return [*_plate(), path(HEAP, fill="#f7f1e1", width=2), *clouds, *drops, _drop(20, 88, 8), _drop(142, 88, 8)]


def caked() -> Drawing:
    """Dark slabs with open cracks between them, and crumbs."""
    slabs = [
        [(24, 98), (22, 78), (40, 66), (54, 72), (50, 98)],
        [(54, 98), (58, 72), (44, 63), (58, 46), (78, 52), (80, 74), (72, 98)],
        [(76, 98), (84, 75), (82, 52), (104, 50), (110, 70), (102, 98)],
        [(106, 98), (114, 71), (128, 74), (136, 98)],
    ]
    crumbs = [polygon(blob(x, 95, 4, 3, seed=i, corners=7), fill=BROWN) for i, x in enumerate((14, 143, 151))]
    cracks = [
        path(d, stroke="#c9b29c", width=1.4)
        for d in ("M30 80 l8 6 l-3 8", "M62 58 l6 8 l-2 12 l4 8", "M96 56 l-4 12 l6 8 l-3 14", "M116 82 l7 4 l2 9")
    ]
    return [*_plate(), *(polygon(s, fill=BROWN, width=1) for s in slabs), *cracks, *crumbs]


def oil_and_dry_soap() -> Drawing:
    """A pale crumbling lump that stands in a pool of clear oil."""
    lump = polygon(
        [
            (48, 92),
            (44, 74),
            (54, 68),
            (52, 52),
            (66, 50),
            (72, 40),
            (86, 46),
            (96, 42),
            (100, 58),
            (112, 64),
            (108, 78),
            (114, 92),
        ],
        fill=PALE,
        width=2,
    )
    cracks = [path(d, width=1.3) for d in ("M66 52 l6 10 l-5 9 l5 10", "M96 50 l-5 12 l7 8")]
    pool = ellipse(80, 92, 72, 13, fill=AMBER, width=2)
    shine = [
        path("M18 92 C24 86 32 84 40 83", stroke="#ffffff", width=2.5),
        path("M122 100 C132 99 138 96 143 92", stroke="#ffffff", width=2.5),
    ]
    return [*_plate(), pool, *shine, lump, *cracks]


def glittering() -> Drawing:
    """Bright flat flakes that catch the light."""
    flakes = [
        _star(x, y, 7 if i % 3 == 0 else 5) for i, (x, y) in enumerate(scatter(80, 77, 38, 14, 12, seed=21, apart=12))
    ]
    return [*_plate(), path(HEAP, fill="#8a6a35", width=2), *flakes, _star(38, 52, 6), _star(122, 46, 8)]


def marbled() -> Drawing:
    """Two colours in bands that have not become one."""
    bands = [
        "M36 90 C58 70 72 104 96 84 C108 76 116 84 126 90",
        "M48 74 C64 58 76 86 110 70",
        "M62 58 C72 50 82 66 98 56",
    ]
    return [*_plate(), path(HEAP, fill=PALE, width=2), *(path(d, stroke="#7c2d2d", width=7) for d in bands)]


def threads() -> Drawing:
    """Two fingers drawn apart, long strings between them."""
    fingers = [path(f"M2 {y} L84 {y} C104 {y} 104 {y + 26} 84 {y + 26} L2 {y + 26} Z", fill="#e8c9b0") for y in (8, 86)]
    strings = [
        path(f"M{x} 38 C{m} 54 {m} 66 {x} 82", stroke=AMBER, width=w)
        for x, m, w in ((48, 55, 3), (57, 60, 4), (67, 66, 4), (76, 70, 3))
    ]
    pads = [path("M36 34 C40 46 84 46 88 34 Z", fill=GREASE), path("M36 86 C40 74 84 74 88 86 Z", fill=GREASE)]
    return [*fingers, *strings, *pads, arrow(128, 14, 32, 270), arrow(128, 106, 32, 90)]


def channelled() -> Drawing:
    """From above: the ball rolls on and leaves a bare track with clean walls; no grease flows back into it."""
    bed = rectangle(6, 8, 148, 88, fill=GREASE, line_width=2)
    track = rectangle(6, 36, 148, 32, fill="#eef0f2", line_width=0)
    walls = [rectangle(6, y, 148, 5, fill=AMBER, line_width=1) for y in (31, 68)]
    ball = [circle(104, 52, 16, fill=STEEL, width=2), path("M95 46 C97 41 101 39 105 39", stroke="#ffffff", width=3)]
    backs = [arrow(38, 49, 36, 90, width=2.5), arrow(38, 55, 36, 270, width=2.5)]
    crosses = [line(30, y - dy, 46, y + dy, 3, stroke=RUST) for y in (21, 83) for dy in (7, -7)]
    words = text(80, 111, "does not flow back")
    return [bed, track, *walls, *ball, arrow(148, 52, 24, 0), *backs, *crosses, words]


def grade_000() -> Drawing:
    """Nothing stands: it has run flat like oil."""
    return [*_plate(), path("M4 98 C10 90 40 91 80 91 C120 91 150 90 156 98 Z", fill=GREASE, width=2), *_cup()]


def grade_0() -> Drawing:
    """A low soft heap that is still spreading."""
    return [
        *_plate(),
        path("M22 98 C26 84 54 72 80 72 C106 72 134 84 138 98 Z", fill=GREASE, width=2),
        path("M50 86 C66 80 94 80 110 86", width=1.3),
        *_cup(),
    ]


def grade_2() -> Drawing:
    """Stands by itself; only its edges have settled and rounded."""
    return [
        *_plate(),
        path(
            "M48 98 C52 84 51 66 53 58 C56 49 66 50 80 49 C94 50 104 49 107 58 C109 66 108 84 112 98 Z",
            fill=GREASE,
            width=2,
        ),
        path("M62 60 C74 66 86 66 98 60", width=1.3),
        *_cup(),
    ]


def grade_6() -> Drawing:
    """A block with sharp edges that can be cut and lifted like soap."""
    block = rectangle(57, 37, 46, 61, fill="#c99d4c", line_width=2.5)
    slice_ = polygon([(120, 98), (134, 36), (148, 40), (136, 98)], fill="#c99d4c", width=2.5)
    face = [line(x, 43, x, 92, 0.8) for x in (68, 80, 92)]
    return [*_plate(), block, *face, slice_, *_cup()]


def _plate() -> Drawing:
    return [rectangle(4, PLATE, 152, 7, fill="#c4cace")]


def _cup() -> Drawing:
    """The cup it was turned out of, lifted off, and dashed the place where it stood."""
    return [
        path("M54 98 L54 34 L106 34 L106 98", width=1.5, stroke_dasharray="4 3"),
        path("M54 25 L54 4 L106 4 L106 25 Z", fill="#b3bac0", width=2),
        rectangle(50, 24, 60, 5, fill=STEEL),
        arrow(124, 5, 23, 270, width=2, head=4),
    ]


def _drop(x: float, y: float, size: float) -> Shape:
    return path(
        f"M{x} {y - 1.3 * size} C{x + 1.6 * size} {y + 0.4 * size} {x + 0.9 * size} {y + size} {x} {y + size} "
        f"C{x - 0.9 * size} {y + size} {x - 1.6 * size} {y + 0.4 * size} {x} {y - 1.3 * size}Z",
        fill=WATER,
        width=1.3,
    )


def _star(x: float, y: float, size: float) -> Shape:
    """A glint with four points."""
    waist = size * 0.22
    points = [
        (x, y - size),
        (x + waist, y - waist),
        (x + size, y),
        (x + waist, y + waist),
        (x, y + size),
        (x - waist, y + waist),
        (x - size, y),
        (x - waist, y - waist),
    ]
    return polygon(points, fill="#ffffff", width=0.9)
