"""A floor from above, to scale on one page: walls, pieces, their ends, and what stretches miss.

Glossary:
    paper mm: as measured on the printed page; floor mm are so many times that.
    mark: a number beside a piece, its place in its stretch.
"""

import math
from collections.abc import Iterator, Sequence
from collections.abc import Set as AbstractSet
from textwrap import wrap
from typing import Final

from platelayer.floor.composing import miss_size
from platelayer.floor.overlaps import band_of
from platelayer.geometry.contours import (
    bounds,
    circle,
    heading_along,
    point_along,
    polygon,
    rectangle,
    transform_point,
)
from platelayer.preview.pictures import palette
from platelayer.preview.pictures.drawing import Anchor, Drawing, Group, Ink, Part, Shape, Words, polyline
from platelayer.preview.pictures.svg import svg_text
from platelayer.tolerances import MEETS_MM, MEETS_RAD
from platelayer.units import LengthUnit, inches, worded
from platelayer.values.layout import LaidFloor, LaidPiece, Miss, NamedEnd
from platelayer.values.pieces import EndKind
from platelayer.values.shapes import Contour, Point, Pose

PAGE_MM: Final = (297.0, 210.0)
"""A4, lying on its side. Source: ISO 216."""
_SCALES: Final = (2, 4, 5, 8, 10, 12, 15, 20, 25, 30, 40, 50, 75, 100, 150, 200)
_MARGIN_MM: Final = 12.0
_HEAD_MM: Final = 18.0
_FOOT_MM: Final = 5.0
_LINE_MM: Final = 4.6
_PRINT_MM: Final = 3.4
_SMALL_MM: Final = 2.6
_LONGEST_BAR_MM: Final = 60.0
_LETTERS: Final = 150
"""Letters to a line of notes."""
_PEG_MM: Final = (7.0, 5.5)
"""Length of neck and radius of head of a peg as drawn, floor mm: a sign, not a size."""


def floor_svg(
    laid: LaidFloor,
    *,
    width_mm: float,
    new: AbstractSet[str] = frozenset(),
    notes: Sequence[str] = (),
    unit: LengthUnit = "mm",
) -> str:
    """The floor as SVG text on an A4 page lying on its side; the same floor gives the same text.

    Args:
        laid: pieces where they lie.
        width_mm: of the track.
        new: ids of the pieces still to be made, drawn in another colour.
        notes: lines below the drawing, lengths as marks.
        unit: the reader's own.

    Raises:
        ValueError: a curve tighter than half the track's width.
    """
    said = [line for note in notes for line in wrap(worded(note, unit), _LETTERS)]
    foot = _FOOT_MM + _LINE_MM * (len(said) + 1)
    low, high = _extent(laid, width_mm)
    room = PAGE_MM[0] - 2 * _MARGIN_MM, PAGE_MM[1] - _HEAD_MM - foot - _MARGIN_MM
    scale = next((one for one in _SCALES if high[0] - low[0] <= one * room[0] and high[1] - low[1] <= one * room[1]), 0)
    scale = scale or math.ceil(max((high[0] - low[0]) / room[0], (high[1] - low[1]) / room[1]))
    corner = (
        _MARGIN_MM + (room[0] - (high[0] - low[0]) / scale) / 2 - low[0] / scale,
        foot + (room[1] - (high[1] - low[1]) / scale) / 2 - low[1] / scale,
    )
    drawn = Group(parts=tuple(_floor(laid, width_mm, new, scale)), at=corner, scale_ratio=1 / scale)
    title = f"{laid.floor.title}"
    parts: tuple[Part, ...] = (
        Shape((rectangle((0.0, 0.0), PAGE_MM),), Ink(fill="#ffffff")),
        drawn,
        Words(text=title, at=(_MARGIN_MM, PAGE_MM[1] - 13.0), size_mm=6.0, is_bold=True),
        *_bar(scale, unit),
        *_legend(laid, foot, has_new=bool(new)),
        *(
            Words(text=line, at=(_MARGIN_MM, foot - _LINE_MM * (row + 2)), size_mm=_PRINT_MM)
            for row, line in enumerate(said)
        ),
    )
    return svg_text(Drawing(id="floor", title=title, low=(0.0, 0.0), high=PAGE_MM, parts=parts))


def _extent(laid: LaidFloor, width_mm: float) -> tuple[Point, Point]:
    boxes = [bounds(band_of(route, width_mm)) for piece in laid.pieces for route in piece.routes]
    points = [end for wall in laid.floor.walls for end in (wall.line.start, wall.line.end)]
    for miss in laid.misses:
        points += [(miss.at.x, miss.at.y), transform_point((miss.gap.x, miss.gap.y), miss.at)]
    xs = [x for box in boxes for x in (box[0], box[2])] + [x for x, _ in points]
    ys = [y for box in boxes for y in (box[1], box[3])] + [y for _, y in points]
    if not xs:
        return (0.0, 0.0), (1000.0, 1000.0)
    return (min(xs) - width_mm, min(ys) - width_mm), (max(xs) + width_mm, max(ys) + width_mm)


def _floor(laid: LaidFloor, width_mm: float, new: AbstractSet[str], scale: int) -> Iterator[Part]:
    wall = Ink(stroke=palette.INK, width_mm=0.8 * scale, is_round=True)
    yield Shape(tuple(polyline(one.line.start, one.line.end) for one in laid.floor.walls), wall)
    for piece in sorted(laid.pieces, key=lambda one: one.stock.passes_over):
        yield from _piece(piece, width_mm, scale, is_new=piece.id in new)
    closed = [miss for miss in laid.misses if not _is_missed(miss)]
    taken = laid.joined | {(one.last, one.last_end) for one in closed if one.met} | {one.met for one in closed}
    for index, piece in enumerate(laid.pieces):
        for number, end in enumerate(piece.ends):
            if end.kind is EndKind.PEG:
                yield _peg(end, scale, is_joined=(index, number) in taken)
    for piece in laid.pieces:
        yield _mark(piece, width_mm, scale)
    for miss in laid.misses:
        if _is_missed(miss):
            yield from _miss(miss, width_mm, scale)


def _piece(piece: LaidPiece, width_mm: float, scale: int, *, is_new: bool) -> Iterator[Part]:
    fill = palette.GREEN if is_new else palette.MAPLE
    ink = Ink(fill=fill, fill_ratio=0.8 if is_new else 1.0, stroke=palette.INK, width_mm=0.18 * scale, is_round=True)
    for route in piece.routes:
        yield Shape((band_of(route, width_mm),), ink)
    dash = () if not piece.is_turned else (1.6 * scale, 1.0 * scale)
    rails = Ink(stroke=palette.FAINT_INK, width_mm=0.12 * scale, dash_mm=dash)
    yield Shape(tuple(route.path for route in piece.routes), rails)


def _peg(end: NamedEnd, scale: int, *, is_joined: bool) -> Part:
    neck, head = _PEG_MM
    colour = palette.FAINT_INK if is_joined else palette.VERMILLION
    at = transform_point((neck + head, 0.0), end.pose)
    line = polyline((end.pose.x, end.pose.y), transform_point((neck, 0.0), end.pose))
    return Shape((line, circle(at, head)), Ink(stroke=colour, width_mm=0.2 * scale))


def _mark(piece: LaidPiece, width_mm: float, scale: int) -> Part:
    """The piece's place in its stretch, or its name; beside a piece that is too short to carry it."""
    path, size = piece.routes[0].path, _SMALL_MM * scale
    half = path.length_mm / 2
    at, said = point_along(path, half), piece.id.removeprefix(f"{piece.stretch}-")
    if path.length_mm < size * (0.6 * len(said) + 1.2):
        at = transform_point((0.0, width_mm / 2 + size), Pose(*at, heading_along(path, half)))
    x, y = at
    return Words(
        text=said,
        at=(x, y - 0.35 * size),
        size_mm=size,
        anchor=Anchor.MIDDLE,
        halo="#ffffff",
        halo_mm=0.4 * scale,
    )


def _is_missed(miss: Miss) -> bool:
    away, turned = miss_size(miss.gap)
    return away > MEETS_MM or turned > MEETS_RAD


def _miss(miss: Miss, width_mm: float, scale: int) -> Iterator[Part]:
    """Dashes from the open end to what it is to meet, and both end faces."""
    ink = Ink(stroke=palette.VERMILLION, width_mm=0.4 * scale, is_round=True)
    dashes = Ink(stroke=palette.VERMILLION, width_mm=0.3 * scale, dash_mm=(1.2 * scale, 1.0 * scale))
    goal = transform_point((miss.gap.x, miss.gap.y), miss.at)
    faces = (_face(miss.at, width_mm), _face(Pose(*goal, miss.at.heading_rad + miss.gap.heading_rad), width_mm))
    yield Shape(faces, ink)
    if math.hypot(miss.gap.x, miss.gap.y) > MEETS_MM:
        yield Shape((polyline((miss.at.x, miss.at.y), goal),), dashes)


def _face(pose: Pose, width_mm: float) -> Contour:
    return polyline(transform_point((0.0, width_mm / 2), pose), transform_point((0.0, -width_mm / 2), pose))


def _bar(scale: int, unit: LengthUnit) -> Iterator[Part]:
    """The scale in words, and a bar of a round length."""
    steps = ((inches(12), "1 ft"), (inches(3), "3 in")) if unit == "in" else ((500.0, "0.5 m"), (100.0, "0.1 m"))
    step, words = next((one for one in steps if one[0] / scale <= _LONGEST_BAR_MM), steps[-1])
    long = step / scale
    x, y = PAGE_MM[0] - _MARGIN_MM - long, PAGE_MM[1] - 10.0
    yield Shape((polygon([(x, y), (x + long, y), (x + long, y + 1.2), (x, y + 1.2)]),), Ink(fill=palette.INK))
    yield Words(text=f"{words}, 1 : {scale}", at=(x + long, y + 2.6), size_mm=_SMALL_MM, anchor=Anchor.END)


def _legend(laid: LaidFloor, foot: float, *, has_new: bool) -> Iterator[Part]:
    """One line of signs in words, above the notes."""
    said = ["numbers: places in a stretch", "circles: pegs, orange where nothing is joined"]
    said += ["dashed middle: turned over"] if any(piece.is_turned for piece in laid.pieces) else []
    said += ["green: still to be made"] if has_new else []
    said += ["orange dashes: a miss"] if any(map(_is_missed, laid.misses)) else []
    yield Words(
        text="; ".join(said) + ".", at=(_MARGIN_MM, foot - _LINE_MM), size_mm=_SMALL_MM, colour=palette.FAINT_INK
    )
