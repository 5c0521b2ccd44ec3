"""A drawing as values, before anyone decides between screen and paper: shapes, words, groups.

Glossary:
    drawing: a picture in mm, x right, y up, shown from one corner to the other. Not SVG, not PDF: those are written
        from it, by ``svg`` here and by the paper's ``pdf``.
    ink: how a shape is filled and its line drawn; a colour is ``#rrggbb``, the empty text means none.
    halo: a rim of the ground's colour round letters, so that they read on whatever lies under them.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from platelayer.geometry.contours import bounds, polygon
from platelayer.preview.pictures import palette
from platelayer.values.shapes import Contour, Line, Point


class Anchor(StrEnum):
    """Which part of a line of words stands at its place."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ink:
    """How a shape looks; ``is_round`` rounds a line's ends and corners, ``dash_mm`` is stroke and gap in turn."""

    fill: str = ""
    stroke: str = ""
    width_mm: float = 0.0
    fill_ratio: float = 1.0
    stroke_ratio: float = 1.0
    dash_mm: tuple[float, ...] = ()
    is_round: bool = False


@dataclass(frozen=True, slots=True)
class Shape:
    """Contours of one ink; what an even number of them goes round is not filled."""

    contours: tuple[Contour, ...]
    ink: Ink


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """One line of words, its baseline at a place."""

    text: str
    at: Point
    size_mm: float
    anchor: Anchor = Anchor.START
    turn_rad: float = 0.0
    is_bold: bool = False
    is_serif: bool = False
    colour: str = palette.INK
    halo: str = ""
    halo_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Parts in a frame of their own, which is enlarged, turned and set down at a place; shown within the clip alone.

    A named group is a layer of a file for other programs.
    """

    parts: "tuple[Part, ...]"
    name: str = ""
    at: Point = (0.0, 0.0)
    turn_rad: float = 0.0
    scale_ratio: float = 1.0
    clip: Contour | None = None


Part = Shape | Words | Group


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """Parts from the undermost to the topmost; ``id`` tells apart the drawings that one page places."""

    id: str
    title: str
    low: Point
    high: Point
    parts: tuple[Part, ...]

    @property
    def width_mm(self) -> float:
        """From the left edge to the right one."""
        return self.high[0] - self.low[0]

    @property
    def height_mm(self) -> float:
        """From the lower edge to the upper one."""
        return self.high[1] - self.low[1]


def polyline(*points: Point) -> Contour:
    """An open contour of straight lines through at least two points."""
    return Contour(tuple(Line(a, b) for a, b in pairwise(points)), is_closed=False)


def arrow(start: Point, end: Point, *, width_mm: float, is_double: bool = False) -> Group:
    """A line with a head at its end, or at both, the points of the heads at the ends."""
    long = math.dist(start, end)
    along = ((end[0] - start[0]) / long, (end[1] - start[1]) / long)
    head = min(4.5 * width_mm, long / 3)

    def place(far_mm: float, aside_mm: float) -> Point:
        return start[0] + along[0] * far_mm - along[1] * aside_mm, start[1] + along[1] * far_mm + along[0] * aside_mm

    ends = [(long, -head)] + ([(0.0, head)] if is_double else [])
    heads = tuple(
        polygon([place(tip, 0.0), place(tip + back, head * 0.43), place(tip + back, -head * 0.43)])
        for tip, back in ends
    )
    line = polyline(place(head / 2 if is_double else 0.0, 0.0), place(long - head / 2, 0.0))
    return Group(
        parts=(Shape((line,), Ink(stroke=palette.INK, width_mm=width_mm)), Shape(heads, Ink(fill=palette.INK)))
    )


def hatched(contour: Contour, *, apart_mm: float, turns_rad: Iterable[float], ink: Ink, ground: Ink) -> Group:
    """An area filled and ruled with lines so far apart at each of those turns."""
    low_x, low_y, high_x, high_y = bounds(contour)
    middle, reach = ((low_x + high_x) / 2, (low_y + high_y) / 2), math.dist((low_x, low_y), (high_x, high_y)) / 2
    count = math.ceil(reach / apart_mm)
    lines = []
    for turn in turns_rad:
        cos, sin = math.cos(turn), math.sin(turn)
        for index in range(-count, count + 1):
            x, y = middle[0] - sin * index * apart_mm, middle[1] + cos * index * apart_mm
            lines.append(polyline((x - cos * reach, y - sin * reach), (x + cos * reach, y + sin * reach)))
    return Group(parts=(Shape((contour,), ground), Shape(tuple(lines), ink)), clip=contour)
