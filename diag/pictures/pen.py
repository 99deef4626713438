"""The pen: SVG elements, the colours, and the few shapes that many drawings share.

A drawing is a list of elements on a panel of 160 × 120 units, one unit a pixel at the smallest size it is shown.
Only presentation attributes are used: a page with a strict content policy refuses style. Nothing has an id and
nothing points at one, so that a picture may stand on a page twice. The panel is light in the dark theme too;
what differs in colour also differs in lightness or in outline, so that it survives black and white print.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterable
from xml.etree import ElementTree

__all__ = [
    "AMBER",
    "BROWN",
    "GREASE",
    "HEIGHT",
    "INK",
    "PALE",
    "PANEL",
    "RUST",
    "STEEL",
    "WATER",
    "WIDTH",
    "WORN",
    "Drawing",
    "Point",
    "Shape",
    "arrow",
    "blob",
    "circle",
    "ellipse",
    "group",
    "line",
    "path",
    "polygon",
    "rectangle",
    "ring_sector",
    "scatter",
    "shape",
    "text",
]

WIDTH, HEIGHT = 160, 120

INK = "#1b1b1b"
PANEL = "#fdfcf8"
STEEL = "#d5dade"
WORN = "#555d64"  # metal that has been run on, dark enough to tell from STEEL in print
RUST = "#9c4a1c"
GREASE = "#e3b45c"
AMBER = "#c98a1e"  # free oil
PALE = "#f3ead2"  # grease that has lost its colour
BROWN = "#4b3220"  # burnt
WATER = "#5f9dc4"

Shape = ElementTree.Element
Drawing = list[Shape]
Point = tuple[float, float]


def shape(tag: str, *inside: Shape, **attributes: float | str) -> Shape:
    """An element; `stroke_width` becomes `stroke-width`, numbers get one decimal."""
    element = ElementTree.Element(tag, {k.rstrip("_").replace("_", "-"): _text(v) for k, v in attributes.items()})
    element.extend(inside)
    return element


def _text(value: float | str) -> str:
    return value if isinstance(value, str) else f"{value:.1f}".removesuffix(".0")


def group(*inside: Shape, **attributes: float | str) -> Shape:
    return shape("g", *inside, **attributes)


def line(
    x1: float, y1: float, x2: float, y2: float, width: float = 1.5, stroke: str = INK, **attributes: float | str
) -> Shape:
    return shape("line", x1=x1, y1=y1, x2=x2, y2=y2, stroke=stroke, stroke_width=width, **attributes)


def path(d: str, fill: str = "none", width: float = 1.5, stroke: str = INK, **attributes: float | str) -> Shape:
    return shape(
        "path",
        d=d,
        fill=fill,
        stroke=stroke,
        stroke_width=width,
        stroke_linejoin="round",
        stroke_linecap="round",
        **attributes,
    )


def polygon(
    points: Iterable[Point], fill: str = "none", width: float = 1.5, stroke: str = INK, **attributes: float | str
) -> Shape:
    joined = " ".join(f"{_text(x)},{_text(y)}" for x, y in points)
    return shape(
        "polygon", points=joined, fill=fill, stroke=stroke, stroke_width=width, stroke_linejoin="round", **attributes
    )


def rectangle(
    x: float,
    y: float,
    width: float,
    height: float,
    fill: str = "none",
    line_width: float = 1.5,
    **attributes: float | str,
) -> Shape:
    return shape(
        "rect", x=x, y=y, width=width, height=height, fill=fill, stroke=INK, stroke_width=line_width, **attributes
    )


def circle(
    x: float,
    y: float,
    radius: float,
    fill: str = "none",
    width: float = 1.5,
    stroke: str = INK,
    **attributes: float | str,
) -> Shape:
    return shape("circle", cx=x, cy=y, r=radius, fill=fill, stroke=stroke, stroke_width=width, **attributes)


def ellipse(
    x: float,
    y: float,
    rx: float,
    ry: float,
    fill: str = "none",
    width: float = 1.5,
    stroke: str = INK,
    **attributes: float | str,
) -> Shape:
    return shape("ellipse", cx=x, cy=y, rx=rx, ry=ry, fill=fill, stroke=stroke, stroke_width=width, **attributes)


def text(x: float, y: float, words: str, size: float = 10, anchor: str = "middle") -> Shape:
    """A word in the drawing; a page's own font size has no hold on it."""
    element = shape("text", x=x, y=y, font_size=size, font_family="sans-serif", text_anchor=anchor, fill=INK)
    element.text = words
    return element


def arrow(x: float, y: float, length: float, towards: float, width: float = 3, head: float = 5) -> Shape:
    """A straight arrow whose point stands at (x, y); `towards` in degrees, 0 right, 90 down."""
    return group(
        line(-length, 0, -head, 0, width),
        polygon([(0, 0), (-head * 1.6, -head), (-head * 1.6, head)], fill=INK, width=0.5),
        transform=f"translate({_text(x)} {_text(y)}) rotate({_text(towards)})",
    )


def blob(x: float, y: float, rx: float, ry: float, seed: int, rough: float = 0.25, corners: int = 14) -> list[Point]:
    """Corners of a ragged patch; the same seed gives the same patch."""
    chance = random.Random(seed)
    points = []
    for i in range(corners):
        angle, reach = 2 * math.pi * i / corners, 1 + chance.uniform(-rough, rough)
        points.append((x + rx * reach * math.cos(angle), y + ry * reach * math.sin(angle)))
    return points


def scatter(x: float, y: float, rx: float, ry: float, count: int, seed: int, apart: float) -> list[Point]:
    """Up to `count` places inside an ellipse, none nearer to another than `apart`."""
    chance = random.Random(seed)
    places: list[Point] = []
    for _ in range(40 * count):
        angle, reach = chance.uniform(0, 2 * math.pi), math.sqrt(chance.random())
        place = (x + rx * reach * math.cos(angle), y + ry * reach * math.sin(angle))
        if all(math.dist(place, other) >= apart for other in places):
            places.append(place)
        if len(places) == count:
            break
    return places


def ring_sector(
    centre: Point, inner: float, outer: float, first: float, last: float, fill: str, width: float = 1.5
) -> Shape:
    """A piece of a ring between two angles in degrees, 0 right, 90 down; less than half a turn."""

    def at(radius: float, angle: float) -> str:
        turn = math.radians(angle)
        return f"{_text(centre[0] + radius * math.cos(turn))} {_text(centre[1] + radius * math.sin(turn))}"

    d = (
        f"M{at(outer, first)} A{_text(outer)} {_text(outer)} 0 0 1 {at(outer, last)} "
        f"L{at(inner, last)} A{_text(inner)} {_text(inner)} 0 0 0 {at(inner, first)} Z"
    )
    return path(d, fill=fill, width=width)
