"""A joint for the wall: two pieces coupled, seen from above, cut along the track and cut across it, with sizes.

Glossary:
    mated: both pieces moved into the peg piece's end frame: its end face at x 0, its peg along +x, y left of that.
    view: one of the three drawings. along: the section on the track's centre line. across: the one square to it.
    opening: gap between the two end faces.

The outlines are those of the manifest.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from platelayer.geometry.contours import polygon, rectangle
from platelayer.geometry.grooves import groove_contour
from platelayer.manifest.schema import Manifest, ManifestPiece
from platelayer.pieces.routes import end_at
from platelayer.preview.pictures import palette
from platelayer.preview.pictures.drawing import (
    Anchor,
    Drawing,
    Group,
    Ink,
    Part,
    Shape,
    Words,
    hatched,
    polyline,
)
from platelayer.preview.pictures.section_sizes import across_size, height_size, joint_sizes, length_size
from platelayer.preview.pictures.svg import svg_text
from platelayer.tolerances import PLAY_MM
from platelayer.units import show_small, worded
from platelayer.values.findings import Seat
from platelayer.values.pieces import BoardFace, EndKind
from platelayer.values.shapes import Arc, Contour, Line, Point, Pose, Segment

REACH_MM: Final = 38.0
"""How much of each piece is shown on its side of the joint."""
FACE_MM: Final = PLAY_MM
"""Corners of an outline so near the end face stand on it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CutGroove:
    """A groove in the mated frame: its edge, and how far left of the track's middle it meets the face, if it does."""

    face: BoardFace
    edge: Contour
    offset_mm: float | None
    width_mm: float
    depth_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One piece of the joint in the mated frame: outline and grooves."""

    id: str
    outline: Contour
    grooves: tuple[CutGroove, ...]


def section_svg(
    manifest: Manifest,
    *,
    peg: tuple[str, int],
    socket: tuple[str, int],
    seat: Seat | None = None,
) -> str:
    """The picture of one joint as the text of an SVG file, at twice its size.

    Args:
        manifest: holds both pieces.
        peg: piece and number of the end that is a peg.
        socket: piece and number of the end that is a socket; may be of the same piece.
        seat: how they sit, from the dry run; without it the faces are drawn closed.

    Raises:
        ValueError: an end is not of the kind named.
        KeyError: the manifest has no such piece.
    """
    pieces = {piece.id: piece for piece in manifest.pieces}
    opening = max(seat.opening_mm, 0.0) if seat and math.isfinite(seat.opening_mm) else 0.0
    left = _side(pieces[peg[0]], peg[1], EndKind.PEG, opening_mm=0.0)
    right = _side(pieces[socket[0]], socket[1], EndKind.SOCKET, opening_mm=opening)
    thickness = next(board.thickness_mm for board in manifest.boards if board.id == pieces[peg[0]].board)
    shown = [*_points(left.outline), *_points(right.outline)]
    half = max(abs(point[1]) for point in shown if abs(point[0]) < REACH_MM)
    width = 2 * max(abs(y) for x, y in _points(left.outline) if abs(x) < FACE_MM)
    top = -half - 24.0
    views = [
        _plan(left, right, half_mm=half),
        _along(left, right, thickness_mm=thickness, top_mm=top),
        _across(left, half_mm=width / 2, thickness_mm=thickness, top_mm=top - thickness - 24.0),
    ]
    low = (-REACH_MM - 22.0, top - 2 * thickness - 24.0 - 14.0)
    high = (REACH_MM + 36.0, half + 26.0)
    x, y = low[0] + 6, high[1]
    head = Words(text="The joint", at=(x, y - 9), size_mm=6.0, is_serif=True, is_bold=True)
    words = worded(_words(left, right, seat), manifest.units)
    size = min(2.4, (high[0] - low[0] - 12) / (_LETTER_WIDTH * len(words)))
    said = Words(text=words, at=(x, y - 14), size_mm=size, colour=palette.FAINT_INK)
    sheet = Shape((rectangle(low, high),), Ink(fill=palette.PAPER))
    drawing = Drawing(id="joint", title="The joint", low=low, high=high, parts=(sheet, head, said, *views))
    return worded(svg_text(drawing, scale_ratio=2.0), manifest.units)


def _wood(contour: Contour, *, is_peg: bool) -> Group:
    """Wood cut through: ruled, each piece its own way."""
    ground = Ink(fill=palette.MAPLE if is_peg else palette.WASTE)
    rule, turn = Ink(stroke=palette.FAINT_INK, width_mm=0.18), math.pi / 4 if is_peg else -math.pi / 4
    inside = hatched(contour, apart_mm=1.6, turns_rad=(turn,), ink=rule, ground=ground)
    return Group(parts=(inside, Shape((contour,), _EDGE)))


_LETTER_WIDTH: Final = 0.52
"""Width of a letter in heights of print, on the whole and with some to spare."""
_EDGE: Final = Ink(stroke=palette.INK, width_mm=0.3)


def _words(left: Side, right: Side, seat: Seat | None) -> str:
    names = f"{left.id} into {right.id}"
    if seat is None:
        return f"{names}, drawn with the faces closed"
    if not seat.couples:
        return f"{names}: does not go together"
    return (
        f"{names}: opening {show_small(max(seat.opening_mm, 0.0))}, play along the track "
        f"{show_small(seat.pull_out_mm - max(seat.opening_mm, 0.0))}, to each side {show_small(seat.side_mm)}"
    )


def _side(piece: ManifestPiece, number: int, kind: EndKind, *, opening_mm: float) -> Side:
    end = piece.ends[number]
    if end.kind is not kind:
        raise ValueError(f"end {number} of {piece.id} is a {end.kind.value}, not a {kind.value}")
    place = _mover(end.pose, is_facing=kind is EndKind.SOCKET, opening_mm=opening_mm)
    grooves = []
    for groove in piece.grooves:
        path = _moved(groove.path, place)
        met = number in (end_at(piece.ends, groove.path.start), end_at(piece.ends, groove.path.end))
        nearest = min((path.start, path.end), key=lambda point: math.hypot(point[0], point[1]))
        offset = nearest[1] if met else None
        grooves.append(
            CutGroove(
                face=groove.face,
                edge=_moved(groove_contour(groove), place),
                offset_mm=offset,
                width_mm=groove.width_mm,
                depth_mm=groove.depth_mm,
            )
        )
    return Side(
        id=piece.id,
        outline=_moved(piece.outline, place),
        grooves=tuple(grooves),
    )


def _mover(pose: Pose, *, is_facing: bool, opening_mm: float) -> Callable[[Point], Point]:
    """Board coordinates into the mated frame; a facing piece is turned half round and stands off by the opening.

    Float noise is rounded away, so that however the pieces lie on their board one half of a hundredth is drawn alike.
    """
    cos, sin = math.cos(pose.heading_rad), math.sin(pose.heading_rad)
    turn, shift = (-1.0, opening_mm) if is_facing else (1.0, 0.0)

    def place(point: Point) -> Point:
        dx, dy = point[0] - pose.x, point[1] - pose.y
        x, y = turn * (dx * cos + dy * sin) + shift, turn * (dy * cos - dx * sin)
        return round(x, _ALIKE_DIGITS), round(y, _ALIKE_DIGITS)

    return place


def _moved(contour: Contour, place: Callable[[Point], Point]) -> Contour:
    moved: list[Segment] = []
    for segment in contour.segments:
        match segment:
            case Line(start, end):
                moved.append(Line(place(start), place(end)))
            case Arc(start, end, centre, is_ccw):
                moved.append(Arc(place(start), place(end), place(centre), is_ccw))
    return Contour(tuple(moved), contour.is_closed)


def _points(contour: Contour) -> list[Point]:
    """The outline as points no farther apart than its arcs need for a drawing."""
    out: list[Point] = []
    for segment in contour.segments:
        out.append(segment.start)
        if isinstance(segment, Arc):
            turn = segment.sweep_rad if segment.is_ccw else -segment.sweep_rad
            first = math.atan2(segment.start[1] - segment.centre[1], segment.start[0] - segment.centre[0])
            count = max(2, math.ceil(abs(turn) * 24))
            for part in range(1, count):
                angle = first + turn * part / count
                out.append((
                    segment.centre[0] + segment.radius_mm * math.cos(angle),
                    segment.centre[1] + segment.radius_mm * math.sin(angle),
                ))
    return out


def _plan(left: Side, right: Side, *, half_mm: float) -> Group:
    """Both pieces from above, cut off where the drawing ends."""
    body: list[Part] = []
    for side, fill in ((right, palette.WASTE), (left, palette.MAPLE)):
        body.append(Shape((side.outline,), Ink(fill=fill, stroke=palette.INK, width_mm=0.3)))
        ink = Ink(fill=palette.depth_colour(0.3), fill_ratio=0.75)
        body += [Shape((groove.edge,), ink) for groove in side.grooves if groove.face is BoardFace.TOP]
    window = rectangle((-REACH_MM, -half_mm - 1), (REACH_MM, half_mm + 1))
    return Group(
        parts=(
            Group(parts=tuple(body), clip=window),
            _cut_mark((-REACH_MM - 2, 0.0), (REACH_MM + 2, 0.0), "B"),
            _cut_mark((-9.0, half_mm + 2), (-9.0, -half_mm - 2), "A"),
            joint_sizes(left.outline, right.outline, half_mm=half_mm),
        )
    )


def _cut_mark(start: Point, end: Point, name: str) -> Group:
    """The chain line of a section with its letters."""
    chain = Ink(stroke=palette.BLUE, width_mm=0.3, dash_mm=(4.0, 1.0, 1.0, 1.0))
    dx, up, down = (2.2, -1.0, -1.0) if start[1] == end[1] else (0.0, 1.0, -3.2)
    return Group(
        parts=(
            Shape((polyline(start, end),), chain),
            _letter(name, (start[0] - dx, start[1] + up)),
            _letter(name, (end[0] + dx, end[1] + down)),
        )
    )


def _letter(name: str, at: Point) -> Words:
    return Words(text=name, at=at, size_mm=3.0, anchor=Anchor.MIDDLE, is_bold=True, colour=palette.BLUE)


def inside_on_axis(points: Sequence[Point]) -> list[tuple[float, float]]:
    """Where the line y = 0 runs inside a closed ring: spans of x, clipped to REACH_MM."""
    crossings = []
    for (x0, y0), (x1, y1) in zip(points, [*points[1:], points[0]], strict=True):
        if (y0 > 0) != (y1 > 0):
            crossings.append(x0 + (x1 - x0) * y0 / (y0 - y1))
    crossings.sort()
    spans = zip(crossings[::2], crossings[1::2], strict=False)
    return [(max(a, -REACH_MM), min(b, REACH_MM)) for a, b in spans if b > -REACH_MM and a < REACH_MM]


def _along(left: Side, right: Side, *, thickness_mm: float, top_mm: float) -> Group:
    """Section on the centre line: solid wood where the line runs inside a piece."""
    body: list[Part] = [_view_name("B–B, along the track", top_mm)]
    low = top_mm - thickness_mm
    for side in (right, left):
        for first, last in inside_on_axis(_points(side.outline)):
            body.append(_wood(rectangle((first, low), (last, top_mm)), is_peg=side is left))
    body.append(height_size(-REACH_MM - 4, (low, top_mm)))
    spans = inside_on_axis(_points(left.outline))
    if spans:
        body.append(length_size((0.0, spans[-1][1]), low - 4))
    return Group(parts=tuple(body))


def _across(side: Side, *, half_mm: float, thickness_mm: float, top_mm: float) -> Group:
    """Section square to the track through the peg piece, with its grooves."""
    low = top_mm - thickness_mm
    outline: list[Point] = []
    for face, edge, out in ((BoardFace.TOP, top_mm, -1), (BoardFace.BOTTOM, low, 1)):
        outline.append((out * half_mm, edge))
        grooves = sorted({(offset, cut.width_mm, cut.depth_mm) for cut, offset in _met(side, face)}, reverse=out > 0)
        for offset, width, depth in grooves:
            a, b = offset + out * width / 2, offset - out * width / 2
            deep = edge + out * depth
            outline += [(a, edge), (a, deep), (b, deep), (b, edge)]
        outline.append((-out * half_mm, edge))
    sizes = [height_size(-half_mm - 4, (low, top_mm)), length_size((-half_mm, half_mm), low - 4)]
    for cut, offset in sorted(_met(side, BoardFace.TOP), key=lambda one: one[1])[-1:]:
        sizes.append(across_size(offset, cut.width_mm, cut.depth_mm, top_mm, half_mm))
    return Group(parts=(_view_name("A–A, across the track", top_mm), _wood(polygon(outline), is_peg=True), *sizes))


def _met(side: Side, face: BoardFace) -> list[tuple[CutGroove, float]]:
    """The grooves of a face that come to the joint, and how far left of the track's middle each does."""
    return [
        (cut, round(cut.offset_mm, _ALIKE_DIGITS))
        for cut in side.grooves
        if cut.face is face and cut.offset_mm is not None
    ]


_ALIKE_DIGITS: Final = 6
"""Two grooves that come to the joint alike to so many digits, as two routes from one end do, are one there."""


def _view_name(words: str, top_mm: float) -> Words:
    return Words(text=words, at=(-REACH_MM, top_mm + 8), size_mm=3.0, is_serif=True, is_bold=True)
