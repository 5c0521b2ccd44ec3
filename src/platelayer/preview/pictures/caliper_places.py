"""Where the caliper goes on a bought piece: peg and socket drawn, every size with its letter and words.

The page is an A4 one lying on its side; letters are as in the readings file.
"""

from dataclasses import dataclass
from typing import Final

from platelayer.fit.bought import LETTERS, WORDS, BoughtSize
from platelayer.fit.contours import peg_contour, socket_contour
from platelayer.fit.shapes import JointShape
from platelayer.geometry.contours import polygon
from platelayer.preview.pictures import palette
from platelayer.preview.pictures.drawing import Group, Ink, Part, Shape, Words, polyline
from platelayer.preview.pictures.joint_play import page_svg
from platelayer.values.pieces import TrackSizes
from platelayer.values.shapes import Contour, Point

_SCALE: Final = 2.6
_BODY_MM: Final = 22.0
_PEG_AT: Final = (75.0, 132.0)
_SOCKET_AT: Final = (262.0, 132.0)
_ACROSS_AT: Final = (214.0, 30.0)
_ACROSS_SCALE: Final = 1.8
_WOOD: Final = Ink(fill=palette.MAPLE, stroke=palette.INK, width_mm=0.08)
_SIZE: Final = Ink(stroke=palette.VERMILLION, width_mm=0.3)
_WHITE: Final = "#ffffff"


@dataclass(frozen=True, slots=True)
class _Span:
    """A size: from one point to another in the frame of a view: of the peg, the socket, or the cross-section."""

    size: BoughtSize
    first: Point
    last: Point
    at: Point = _PEG_AT
    scale_ratio: float = _SCALE


def bought_page(shape: JointShape, track: TrackSizes) -> str:
    """The page for a joint and a track of about those sizes; the same input gives the same text."""
    title = "What to measure of a bought piece"
    named = [
        part
        for number, size in enumerate(BoughtSize)
        for part in (
            Words(text=LETTERS[size], at=(12.0, 68.0 - 6.0 * number), size_mm=3.6, is_bold=True),
            Words(text=f"{size.value}: {WORDS[size]}", at=(20.0, 68.0 - 6.0 * number), size_mm=3.6),
        )
    ]
    parts = (
        Words(text=title, at=(12.0, 194.0), size_mm=6.0, is_bold=True),
        _wood(peg_contour(shape, body_mm=_BODY_MM), _PEG_AT),
        _wood(socket_contour(shape, body_mm=_BODY_MM + 9), _SOCKET_AT),
        Group(parts=(Shape((_across(track),), _WOOD),), at=_ACROSS_AT, scale_ratio=_ACROSS_SCALE),
        *(part for span in (*_spans(shape), *_heights(track)) for part in _drawn(span)),
        *named,
    )
    return page_svg(title, parts, name="caliper")


def _wood(contour: Contour, at: Point) -> Group:
    return Group(parts=(Shape((contour,), _WOOD),), at=at, scale_ratio=_SCALE)


def _spans(shape: JointShape) -> tuple[_Span, ...]:
    """The sizes seen from above, where the caliper takes them."""
    sizes, half = shape.sizes, shape.width_mm / 2
    neck, head, mouth, hole = shape.half_neck_mm, shape.head_radius_mm, shape.half_mouth_mm, shape.hole_radius_mm
    on_neck, on_lip = sizes.head_setback_mm / 2, -shape.lip_mm / 2
    tip, bottom = shape.head_centre_mm + head, -shape.hole_centre_mm - hole
    below_head, below_hole = -head - 4, 0.0
    return (
        _Span(BoughtSize.NECK, (on_neck, -neck), (on_neck, neck)),
        _Span(BoughtSize.HEAD, (shape.head_centre_mm, -head), (shape.head_centre_mm, head)),
        _Span(BoughtSize.PEG_LENGTH, (0.0, below_head), (tip, below_head)),
        _Span(BoughtSize.MOUTH, (on_lip, -mouth), (on_lip, mouth), _SOCKET_AT),
        _Span(BoughtSize.HOLE, (-shape.hole_centre_mm, -hole), (-shape.hole_centre_mm, hole), _SOCKET_AT),
        _Span(BoughtSize.SOCKET_DEPTH, (bottom, below_hole), (0.0, below_hole), _SOCKET_AT),
        _Span(BoughtSize.WIDTH, (-_BODY_MM / 2, -half), (-_BODY_MM / 2, half)),
    )


def _across(track: TrackSizes) -> Contour:
    """The cross-section, its near left corner at the origin."""
    width, top, floor = track.width_mm, track.thickness_mm, track.thickness_mm - track.groove_depth_mm
    outer, inner = track.groove_outer_mm, track.groove_inner_mm
    half = [(0.0, top), (outer, top), (outer, floor), (inner, floor), (inner, top)]
    return polygon([(0.0, 0.0), *half, *((width - x, y) for x, y in reversed(half)), (width, 0.0)])


def _heights(track: TrackSizes) -> tuple[_Span, ...]:
    """The sizes of the cross-section, where the caliper takes them."""
    width, top, floor = track.width_mm, track.thickness_mm, track.thickness_mm - track.groove_depth_mm
    outer, inner = track.groove_outer_mm, track.groove_inner_mm
    over, middle = top + 3.0, (outer + inner) / 2
    spans = (
        (BoughtSize.THICKNESS, (width / 2, 0.0), (width / 2, top)),
        (BoughtSize.FLOOR_HEIGHT, (middle, 0.0), (middle, floor)),
        (BoughtSize.GROOVE_WIDTH, (width - inner, over), (width - outer, over)),
        (BoughtSize.BETWEEN_GROOVES, (inner, over), (width - inner, over)),
    )
    return tuple(_Span(size, first, last, _ACROSS_AT, _ACROSS_SCALE) for size, first, last in spans)


def _drawn(span: _Span) -> tuple[Part, ...]:
    at, scale = span.at, span.scale_ratio
    (x0, y0), (x1, y1) = ((at[0] + scale * x, at[1] + scale * y) for x, y in (span.first, span.last))
    is_upright = x0 == x1
    dx, dy = (2.0, 0.0) if is_upright else (0.0, 2.0)
    ticks = (polyline((x - dx, y - dy), (x + dx, y + dy)) for x, y in ((x0, y0), (x1, y1)))
    share = _LETTER_SHARE.get(span.size, 1 / 2)
    aside = (1.5, -1.5) if is_upright else (-1.5, 2.0)
    place = (x0 + share * (x1 - x0) + aside[0], y0 + share * (y1 - y0) + aside[1])
    letter = Words(
        text=LETTERS[span.size],
        at=place,
        size_mm=5.0,
        is_bold=True,
        colour=palette.VERMILLION,
        halo=_WHITE,
        halo_mm=1.0,
    )
    return Shape((*ticks, polyline((x0, y0), (x1, y1))), _SIZE), letter


_LETTER_SHARE: Final = {BoughtSize.HOLE: 3 / 4, BoughtSize.SOCKET_DEPTH: 1 / 4, BoughtSize.MOUTH: 3 / 4}
"""Where along its line a letter stands that the middle would lay over another."""
