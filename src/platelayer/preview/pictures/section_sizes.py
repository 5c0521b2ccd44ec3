"""Sizes on the drawing of a joint: lines with arrows at both ends, and both units beside them."""

import math

from platelayer.geometry.contours import circle
from platelayer.preview.pictures import palette
from platelayer.preview.pictures.drawing import Anchor, Group, Ink, Shape, Words, arrow, polyline
from platelayer.tolerances import COINCIDENT_MM
from platelayer.units import show_length
from platelayer.values.shapes import Arc, Contour, Line, Point

LETTER_MM = 2.3


def size_text(length_mm: float) -> str:
    """The mark of a size on the drawing."""
    return show_length(length_mm)


def _arrow(start: Point, end: Point) -> Group:
    return arrow(start, end, width_mm=0.22, is_double=True)


def length_size(x: tuple[float, float], y: float) -> Group:
    """A size along x, from and to, under the drawing."""
    x0, x1 = x
    words = Words(
        text=size_text(x1 - x0),
        at=((x0 + x1) / 2, y - 3.2),
        size_mm=LETTER_MM,
        anchor=Anchor.MIDDLE,
        halo=palette.PAPER,
        halo_mm=0.8,
    )
    return Group(parts=(_arrow((x0, y), (x1, y)), words))


def height_size(x: float, y: tuple[float, float]) -> Group:
    """A size along y, from and to, beside the drawing, its words turned to read from the right."""
    y0, y1 = y
    words = Words(
        text=size_text(abs(y1 - y0)),
        at=(x - 1.2, (y0 + y1) / 2),
        size_mm=LETTER_MM,
        anchor=Anchor.MIDDLE,
        turn_rad=math.pi / 2,
    )
    return Group(parts=(_arrow((x, y0), (x, y1)), words))


def leader(at: Point, to: Point, text: str) -> Group:
    """A line from a thing to words beside it."""
    is_right = to[0] >= at[0]
    words = Words(
        text=text,
        at=(to[0] + (0.8 if is_right else -0.8), to[1] - 0.8),
        size_mm=LETTER_MM,
        anchor=Anchor.START if is_right else Anchor.END,
    )
    line = Shape((polyline(at, to),), Ink(stroke=palette.INK, width_mm=0.2))
    return Group(parts=(line, Shape((circle(at, 0.45),), Ink(fill=palette.INK)), words))


def across_size(offset_mm: float, width_mm: float, depth_mm: float, top_mm: float, half_mm: float) -> Group:
    """Width and depth of one groove on the section across."""
    side = 1 if offset_mm >= 0 else -1
    beside = side * (half_mm + 2)
    width = leader((offset_mm, top_mm - depth_mm / 2), (beside, top_mm + 3.5), f"groove {size_text(width_mm)}")
    depth = leader((offset_mm - side, top_mm - depth_mm), (beside, top_mm - 5.0), f"deep {size_text(depth_mm)}")
    return Group(parts=(width, depth))


def joint_sizes(peg: Contour, socket: Contour, *, half_mm: float) -> Group:
    """Names and sizes of neck, head, mouth and hole, read off the outlines in the mated frame."""
    out = []
    head, hole = _circle(peg, is_peg=True), _circle(socket, is_peg=False)
    neck, mouth = _gap(peg, half_mm=half_mm), _gap(socket, half_mm=half_mm)
    far, high = 40.0, half_mm
    if head:
        (x, radius), text = head, f"head dia. {size_text(2 * head[1])}"
        out.append(leader((x + radius * 0.5, radius * 0.5), (far, high - 2), text))
    if hole:
        (x, radius), text = hole, f"hole dia. {size_text(2 * hole[1])}"
        out.append(leader((x + radius * 0.8, -radius * 0.6), (far, -high + 2), text))
    if neck:
        out.append(leader((neck[0], neck[1] - 0.4), (6.0, high + 6), f"neck {size_text(2 * neck[1])}"))
    if mouth:
        out.append(leader((mouth[0], -mouth[1]), (6.0, -high - 6), f"mouth {size_text(2 * mouth[1])}"))
    return Group(parts=tuple(out))


def _circle(contour: Contour, *, is_peg: bool) -> tuple[float, float] | None:
    """Centre x and radius of head (counter-clockwise) or hole (clockwise), on the centre line beyond the face."""
    found = [
        (arc.centre[0], arc.radius_mm)
        for arc in contour.segments
        if isinstance(arc, Arc)
        and arc.is_ccw is is_peg
        and abs(arc.centre[1]) < COINCIDENT_MM * 1000
        and 0 < arc.centre[0] < 40
        and arc.sweep_rad > math.pi / 4
    ]
    return max(found, key=lambda circle: circle[1], default=None)


def _gap(contour: Contour, *, half_mm: float) -> tuple[float, float] | None:
    """Middle x and half width of neck or mouth: the straight lines along the track beyond the face."""
    found = [
        ((line.start[0] + line.end[0]) / 2, abs(line.start[1]))
        for line in contour.segments
        if isinstance(line, Line)
        and abs(line.start[1] - line.end[1]) < COINCIDENT_MM * 1000
        and abs(line.start[1]) < half_mm / 2
        and 0 <= min(line.start[0], line.end[0]) < 30
        and line.length_mm > 1
    ]
    return min(found, key=lambda gap: gap[0], default=None)
