"""Marks on the plan: grain, zero, no-go areas, tabs, order numbers and sizes, problems.

Every mark has a shape of its own, so that no meaning hangs on colour.

Glossary:
    badge: the disc with a piece's order number. step_mm: height of small print on this sheet.
"""

import math
from collections.abc import Collection, Sequence
from typing import Final

from platelayer.geometry.contours import bounds, circle, polygon, rectangle
from platelayer.geometry.regions import Area, box, intersection, to_area
from platelayer.manifest.schema import ManifestBoard, ManifestPiece
from platelayer.preview.pictures import palette
from platelayer.preview.pictures.drawing import Anchor, Group, Ink, Part, Shape, Words, arrow, hatched, polyline
from platelayer.preview.pictures.middles import middle
from platelayer.preview.pictures.plan_swaths import CutFile
from platelayer.tolerances import FLATTEN_CHORD_MM
from platelayer.units import LengthUnit, show_length, worded
from platelayer.values.cuts import Tab
from platelayer.values.findings import Finding, Severity
from platelayer.values.shapes import Arc, Contour, Line, Point, Region, Segment

WHITE: Final = "#ffffff"
BACKING_STEPS: Final = 1.3
"""How wide a strip's fence and batten are drawn, in steps of the sheet."""


def grain_lines(board: ManifestBoard) -> tuple[Contour, ...]:
    """Gently waving lines along the grain, worked out from their number so that they never change."""
    width, height = board.size_mm
    middle, reach = (width / 2, height / 2), math.hypot(width, height) / 2
    along = (math.cos(board.grain_rad), math.sin(board.grain_rad))
    across = (along[1], -along[0])
    out, offset, index = [], -reach, 0
    while offset < reach:
        points = []
        for part in range(13):
            t = -reach + 2 * reach * part / 12
            wave = 1.6 * math.sin(t / 61 + index * 1.7) + 1.1 * math.sin(t / 143 + index * 0.9)
            points.append((
                middle[0] + along[0] * t + across[0] * (offset + wave),
                middle[1] + along[1] * t + across[1] * (offset + wave),
            ))
        out.append(polyline(*points))
        offset += 3.1 + 2.3 * (1 + math.sin(index * 2.4))
        index += 1
    return tuple(out)


def grain(board: ManifestBoard, *, step_mm: float) -> Group:
    """Double-headed arrow along the grain, beside the board's upper right corner."""
    (wide, high), half = board.size_mm, 3 * step_mm
    x, y = wide - 9 * step_mm, high + 5.6 * step_mm
    dx, dy = half * math.cos(board.grain_rad), half * math.sin(board.grain_rad)
    pointer = arrow((x - dx, y - dy), (x + dx, y + dy), width_mm=0.14 * step_mm, is_double=True)
    name = Words(text="grain", at=(x + 3.6 * step_mm, y - 0.35 * step_mm), size_mm=step_mm)
    return Group(parts=(pointer, name))


def zero(board: ManifestBoard, *, at: Point, step_mm: float) -> Group:
    """The program's zero: a quartered disc at its place, the board's near left corner, with arrows along x and y."""
    r, reach = 1.1 * step_mm, min(5.2 * step_mm, 0.45 * min(board.size_mm))
    axes = [arrow(start, end, width_mm=0.2 * step_mm) for start, end in (((r, 0), (reach, 0)), ((0, r), (0, reach)))]
    names = [
        plated(name, place, size_mm=1.2 * step_mm, plate=palette.PAPER, anchor=Anchor.START, is_bold=True)
        for name, place in (
            ("X", (2.0 * step_mm, 0.5 * step_mm)),
            ("Y", (0.5 * step_mm, 1.8 * step_mm)),
        )
    ]
    return Group(parts=(*axes, quartered((0.0, 0.0), r), *names), at=at)


def quartered(at: Point, radius_mm: float) -> Group:
    """The disc that marks a zero: two of its quarters black."""
    (x, y), r = at, radius_mm
    quarters = tuple(
        Contour((Line(at, right), Arc(right, up, at, is_ccw=True), Line(up, at)), is_closed=True)
        for right, up in (((x + r, y), (x, y + r)), ((x - r, y), (x, y - r)))
    )
    rim = Ink(fill=WHITE, stroke=palette.INK, width_mm=0.11 * r)
    return Group(parts=(Shape((circle(at, r),), rim), Shape(quarters, Ink(fill=palette.INK))))


def plated(
    text: str, at: Point, *, size_mm: float, plate: str, anchor: Anchor = Anchor.MIDDLE, is_bold: bool = False
) -> Group:
    """Words on a plate of the ground's colour, which hides the lines that would run through them."""
    wide = _LETTER_WIDTH * size_mm * (1.2 if is_bold else 1.1) * len(text) + 0.4 * size_mm
    left = at[0] - {Anchor.START: 0.2 * size_mm, Anchor.MIDDLE: wide / 2, Anchor.END: wide - 0.2 * size_mm}[anchor]
    under = rectangle((left, at[1] - 0.25 * size_mm), (left + wide, at[1] + 0.85 * size_mm))
    words = Words(text=text, at=at, size_mm=size_mm, anchor=anchor, is_bold=is_bold)
    return Group(parts=(Shape((under,), Ink(fill=plate)), words))


def hatch(area: Contour, *, step_mm: float) -> Group:
    """An area that is crossed out, whatever lies under it still to be seen."""
    rule = Ink(stroke=palette.INK, width_mm=0.35)
    ground = Ink(fill=WHITE, fill_ratio=0.55)
    lines = hatched(area, apart_mm=step_mm, turns_rad=(math.pi / 4, -math.pi / 4), ink=rule, ground=ground)
    return Group(parts=(lines, Shape((area,), Ink(stroke=palette.INK, width_mm=0.12 * step_mm))))


def no_go(board: ManifestBoard, *, pieces: Sequence[ManifestPiece], zero: Point, step_mm: float) -> Group:
    """No-go areas cross-hatched, with their names on them, or beside them where they are too small to be read."""
    out: list[Part] = []
    print_mm = min(step_mm, _PRINT_MOST_MM)
    read = [_room_at(middle(piece).at, (9.5 * print_mm, 4.4 * print_mm)) for piece in pieces]
    for along, across, wide, tall in ((2.0, 0.0, 6.4, 1.2), (2.3, 0.9, 1.6, 1.4)):  # an arrow and its name, in steps
        for off, room in (((along, across), (wide, tall)), ((across, along), (tall, wide))):
            at = (zero[0] + off[0] * step_mm, zero[1] + off[1] * step_mm)
            read.append(_room_at(at, (room[0] * step_mm, room[1] * step_mm)))
    areas = [to_area(area.outline, chord_mm=FLATTEN_CHORD_MM) for area in board.no_go]
    seen = [to_area(Region(piece.outline, piece.inner), chord_mm=FLATTEN_CHORD_MM) for piece in pieces]
    for area in board.no_go:
        low_x, low_y, high_x, high_y = bounds(area.outline)
        name = area.title or "no-go"
        wide, tall = high_x - low_x, high_y - low_y
        at, size = ((low_x + high_x) / 2, (low_y + high_y) / 2), 0.9 * step_mm
        turn = 0.0 if wide >= tall else math.pi / 2
        if max(wide, tall) < 0.65 * size * len(name):
            room = (0.7 * size * len(name) + 0.4 * size, 1.2 * size)
            at, turn = _beside(board, area.outline, room, seen=seen, read=(*read, *areas)), 0.0
            read.append(_room_at(at, room))
        words = plated(name, (0.0, -0.35 * size), size_mm=size, plate=WHITE, is_bold=True)
        out += [hatch(area.outline, step_mm=step_mm), Group(parts=(words,), at=at, turn_rad=turn)]
    return Group(parts=tuple(out))


_READ_COUNTS: Final = 100.0
"""A name hides rather so many times as much of a piece than anything of what is read."""


def _beside(
    board: ManifestBoard, area: Contour, room: tuple[float, float], *, seen: Sequence[Area], read: Sequence[Area]
) -> Point:
    """The middle of so much room beside an area, on the board, where it hides least of what is seen and read there."""
    (low_x, low_y, high_x, high_y), (wide, tall) = bounds(area), room
    off_x, off_y = (high_x - low_x + wide) / 2 + tall / 4, (high_y - low_y + tall) / 2 + tall / 4

    def held(at_mm: float, room_mm: float, size_mm: float) -> float:
        return min(max(at_mm, room_mm / 2), size_mm - room_mm / 2)

    places = [
        (
            held((low_x + high_x) / 2 + a * off_x, wide, board.size_mm[0]),
            held((low_y + high_y) / 2 + b * off_y, tall, board.size_mm[1]),
        )
        for a, b in ((1, 0), (-1, 0), (0, 1), (0, -1), (1, 1), (-1, 1), (1, -1), (-1, -1))
    ]

    def hidden_mm2(place: Point) -> float:
        there = _room_at(place, room)
        hidden = (math.fsum(intersection(there, one).area for one in some) for some in (seen, read))
        return sum(share * times for share, times in zip(hidden, (1.0, _READ_COUNTS), strict=True))

    return min(places, key=hidden_mm2)


def _room_at(at: Point, room: tuple[float, float]) -> Area:
    (x, y), (wide, tall) = at, room
    return box((x - wide / 2, y - tall / 2), (x + wide / 2, y + tall / 2))


def backing(board: ManifestBoard, *, step_mm: float) -> Group:
    """What stands along both long edges of a strip, whose ends are cut right across: near the fence, far a batten."""
    if not board.is_strip:
        return Group(parts=())
    (width, height), deep = board.size_mm, BACKING_STEPS * step_mm
    ink = Ink(fill=palette.PAPER, stroke=palette.INK, width_mm=0.1 * step_mm)
    out: list[Part] = []
    for name, low in (("batten", height), ("fence", -deep)):
        out.append(Shape((rectangle((0.0, low), (width, low + deep)),), ink))
        at = (width / 2, low + 0.3 * deep)
        out.append(Words(text=name, at=at, size_mm=0.85 * step_mm, anchor=Anchor.MIDDLE))
    return Group(parts=tuple(out))


def dowels(board: ManifestBoard, *, step_mm: float) -> Group:
    """The dowels on which the board is turned over, as rings with their name."""
    out: list[Part] = []
    ring = Ink(fill=palette.PAPER, stroke=palette.INK, width_mm=0.18 * step_mm)
    for dowel in board.turning.dowels if board.turning is not None else ():
        (x, y), radius = dowel.at, dowel.diameter_mm / 2
        out.append(Shape((circle(dowel.at, radius),), ring))
        beside = 1.3 * step_mm
        below = (min(max(x, beside), board.size_mm[0] - beside), y - radius - 1.1 * step_mm)
        out.append(plated("dowel", below, size_mm=0.9 * step_mm, plate=palette.PAPER))
    return Group(parts=tuple(out))


def tabs(pieces: Sequence[ManifestPiece], cut: Sequence[CutFile]) -> Group:
    """Tabs as bars across the outline's kerf, as long as the wood left."""
    across = max((bit.diameter_mm for _, file in cut for bit in file.bits), default=3.0)
    return Group(parts=tuple(_tab(tab, piece.outline, across_mm=across) for piece in pieces for tab in piece.tabs))


def _tab(tab: Tab, outline: Contour, *, across_mm: float) -> Group:
    heading = min(heading_beside(segment, tab.at) for segment in outline.segments)[1]
    half = tab.width_mm / 2
    bar = Shape(
        (rectangle((-half, -across_mm - 0.3), (half, 0.3)),),
        Ink(fill=palette.VERMILLION, stroke=WHITE, width_mm=0.16 * across_mm),
    )
    return Group(parts=(bar,), at=tab.at, turn_rad=heading)


def heading_beside(segment: Segment, at: Point) -> tuple[float, float]:
    """Distance of a point from a segment, and the segment's heading beside it."""
    match segment:
        case Line(start, end):
            dx, dy = end[0] - start[0], end[1] - start[1]
            share = ((at[0] - start[0]) * dx + (at[1] - start[1]) * dy) / ((dx * dx + dy * dy) or 1.0)
            share = min(max(share, 0.0), 1.0)
            return math.dist(at, (start[0] + dx * share, start[1] + dy * share)), math.atan2(dy, dx)
        case Arc(start, end, centre, is_ccw):
            angle = math.atan2(at[1] - centre[1], at[0] - centre[0])
            first = math.atan2(start[1] - centre[1], start[0] - centre[0])
            turned = ((angle - first) if is_ccw else (first - angle)) % math.tau
            gap = abs(math.dist(at, centre) - segment.radius_mm)
            if turned > segment.sweep_rad:
                gap = min(math.dist(at, start), math.dist(at, end))
            return gap, angle + (math.pi / 2 if is_ccw else -math.pi / 2)


_BADGE: Final = 1.45
"""Radius of a badge in heights of its piece's print."""
_LETTER_WIDTH: Final = 0.56
"""Width of a letter in heights of print, on the whole."""
_SOCKET_MM: Final = 21.0
"""How far a socket reaches into its piece, for keeping print clear of it."""
_PRINT_MOST_MM: Final = 6.2
"""Print between the grooves is no higher than this."""
_BADGE_MOST_MM: Final = 13.5
"""A badge that stands alone is no wider than leaves the outer lands of a track to be seen."""


def labels(
    pieces: Sequence[ManifestPiece], *, step_mm: float, first: LengthUnit | None, named: Collection[str] = ()
) -> Group:
    """Order number of every piece, with its length where a first unit is given, and the names of those to be named."""
    return Group(
        parts=tuple(_label(piece, step_mm=step_mm, first=first, is_named=piece.id in named) for piece in pieces)
    )


def _label(piece: ManifestPiece, *, step_mm: float, first: LengthUnit | None, is_named: bool) -> Group:
    place = middle(piece)
    (x, y), heading, sockets = place.at, place.heading_rad, place.sockets
    if place.length_mm < 150.0:
        shift = _SOCKET_MM / 2 * (sockets[0] - sockets[1])
        x, y = x + shift * math.cos(heading), y + shift * math.sin(heading)
    turn = heading + (math.pi if math.cos(heading) < 0 else 0.0)
    lines = tuple(worded(show_length(piece.length_mm), first).removesuffix(")").split(" (")) if first else ()
    lines = (piece.id, *lines) if is_named else lines
    letters = _LETTER_WIDTH * max(map(len, lines), default=0)
    room = max(place.length_mm - _SOCKET_MM * sum(sockets) - 4.0, 6.0)
    most = _PRINT_MOST_MM * 2 * _BADGE / max(2 * _BADGE, 1.25 * len(lines)) if lines else _BADGE_MOST_MM / _BADGE
    size = min(step_mm, most, room / (2 * _BADGE + 0.5 + letters))
    at = (-(0.5 + letters) * size / 2 if lines else 0.0, 0.0)
    top = 0.625 * (len(lines) - 1) - 0.375
    rows = [
        plated(
            content,
            (at[0] + (_BADGE + 0.5) * size, (top - row * 1.25) * size),
            size_mm=size,
            plate=palette.MAPLE,
            anchor=Anchor.START,
            is_bold=is_named and row == 0,
        )
        for row, content in enumerate(lines)
    ]
    return Group(parts=(badge(str(piece.order), at, radius_mm=_BADGE * size), *rows), at=(x, y), turn_rad=turn)


def badge(text: str, at: Point, *, radius_mm: float) -> Group:
    """A number in white on a black disc."""
    size = radius_mm * 1.04
    words = Words(
        text=text, at=(at[0], at[1] - 0.35 * size), size_mm=size, anchor=Anchor.MIDDLE, is_bold=True, colour=WHITE
    )
    return Group(parts=(Shape((circle(at, radius_mm),), Ink(fill=palette.INK)), words))


def problems(findings: Sequence[Finding], *, step_mm: float) -> Group:
    """A numbered triangle at every problem with a place."""
    out = []
    for number, finding in enumerate(findings, 1):
        assert finding.where.point is not None
        x, y, _ = finding.where.point
        out.append(sign((x, y), str(number), severity=finding.severity, step_mm=step_mm))
    return Group(parts=tuple(out))


def sign(at: Point, content: str, *, severity: Severity, step_mm: float) -> Group:
    """The triangle of a problem, its lower tip at the place: filled black when it is an error, else yellow."""
    fill, ink = (palette.INK, WHITE) if severity is Severity.ERROR else (palette.YELLOW, palette.INK)
    (x, y), w, h = at, 1.25 * step_mm, 2.2 * step_mm
    rim = WHITE if ink == WHITE else palette.INK
    shape = Shape(
        (polygon([at, (x + w, y + h), (x - w, y + h)]),),
        Ink(fill=fill, stroke=rim, width_mm=0.12 * step_mm, is_round=True),
    )
    words = Words(
        text=content,
        at=(x, y + 1.15 * step_mm),
        size_mm=1.05 * step_mm,
        anchor=Anchor.MIDDLE,
        is_bold=True,
        colour=ink,
    )
    return Group(parts=(shape, words))
