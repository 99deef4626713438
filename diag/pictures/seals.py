"""Shaft seals cut through: the grease on the right, the air on the left, the shaft below."""

from __future__ import annotations

from diag.pictures.pen import (
    GREASE,
    INK,
    PALE,
    STEEL,
    Drawing,
    Shape,
    arrow,
    circle,
    line,
    path,
    rectangle,
)

__all__ = ["cracked", "cut", "good", "groove", "swollen", "turned"]

RUBBER = "#4a4f54"
LIP = "M38 44 L56 44 L80 56 L104 52 L108 62 L96 88 L84 74 L62 64 L38 60 Z"


def good() -> Drawing:
    return [_inside(), *_shaft(), _lip(LIP), _spring(98, 50), *_case()]


def cut() -> Drawing:
    """The edge is torn off; grease runs out below."""
    torn = "M38 44 L56 44 L80 56 L104 52 L108 62 L103 68 L99 64 L95 72 L91 67 L87 74 L84 74 L62 64 L38 60 Z"
    stub = path("M92 86 L96 88 L99 81 L95 83 Z", fill=RUBBER)
    return [
        _inside(),
        path("M110 88 L110 70 L100 76 C84 74 60 76 34 82 C24 84 20 88 18 88 Z", fill=GREASE, width=0),
        path("M97 76 C84 74 60 76 34 82 C24 84 20 88 18 88"),
        *_shaft(),
        _lip(torn),
        stub,
        _spring(98, 50),
        *_case(),
        arrow(12, 80, 22, 180, width=2.5),
    ]


def turned() -> Drawing:
    """The lip is folded under and points the wrong way; the spring has jumped off."""
    folded = "M38 44 L56 44 L80 54 C96 58 96 78 82 84 C66 90 48 86 34 88 C44 80 62 80 72 74 C80 70 76 66 62 63 L38 60 Z"
    return [
        _inside(),
        *_shaft(),
        _lip(folded),
        _spring(116, 80),
        *_case(),
        path("M112 60 C114 44 96 38 84 44", width=2),
        path("M90 38 L83 45 L92 48", width=2),
    ]


def swollen() -> Drawing:
    """Fat and soft, bulging past its old outline and lying flat on the shaft."""
    fat = (
        "M36 42 C52 32 66 44 82 46 C100 34 120 42 118 62 C124 80 116 88 108 88 L70 88 C60 88 64 80 54 76 "
        "C42 76 34 70 36 60 Z"
    )
    outline = path(LIP, width=1.3, stroke="#ffffff", stroke_dasharray="3 2")
    return [_inside(), *_shaft(), path(fat, fill="#7a8087", width=2), outline, *_case()]


def cracked() -> Drawing:
    """Shrunk away from the shaft, hard, with cracks across it."""
    shrunk = "M38 46 L56 46 L80 55 L102 51 L104 60 L95 78 L85 70 L62 62 L38 58 Z"
    cracks = [
        path(d, width=2, stroke="#ffffff")
        for d in ("M62 47 L66 54 L63 58 L66 64", "M76 53 L78 60 L75 63 L79 68", "M104 58 L98 62 L99 67 L92 72")
    ]
    return [_inside(), *_shaft(), _lip(shrunk), *cracks, _spring(97, 49), *_case()]


def groove() -> Drawing:
    """The lip is sound; it has worn a groove into the shaft."""
    shaft = path("M4 88 L84 88 C88 99 104 99 108 88 L156 88 L156 114 L4 114 Z", fill=STEEL, width=2)
    lip = "M38 44 L56 44 L80 56 L104 52 L108 62 L96 96 L84 74 L62 64 L38 60 Z"
    return [_inside(), shaft, *_hatching(103), _lip(lip), _spring(98, 50), *_case()]


def _inside() -> Shape:
    return path("M96 88 L108 60 L104 18 L154 18 L154 88 Z", fill=GREASE, width=0)


def _shaft() -> Drawing:
    return [rectangle(4, 88, 152, 26, fill=STEEL, line_width=2), *_hatching(92)]


def _hatching(top: float) -> Drawing:
    """Strokes that say: cut through."""
    reach = 112 - top
    return [line(x, 112, x + reach, top, 0.8) for x in range(8, 136, 12)]


def _lip(d: str) -> Shape:
    return path(d, fill=RUBBER, width=2)


def _spring(x: float, y: float) -> Shape:
    return circle(x, y, 5, fill=PALE, width=2)


def _case() -> Drawing:
    """Housing above, the seal's metal case hanging from it."""
    return [
        rectangle(4, 4, 152, 14, fill="#b3bac0"),
        path("M104 18 L104 26 L40 26 L40 62 L32 62 L32 18 Z", fill=INK, width=1),
    ]
