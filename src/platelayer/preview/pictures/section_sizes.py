"""Sizes on the drawing of a joint: lines with arrows at both ends, and both units beside them."""

import math

from platelayer.preview.pictures import palette
from platelayer.preview.pictures.svg import num, tag, text
from platelayer.tolerances import COINCIDENT_MM
from platelayer.units import show_fraction
from platelayer.values.shapes import Arc, Contour, Line

LETTER_MM = 2.3


def words_of(length_mm: float) -> str:
    """The size in both units, short."""
    return f"{length_mm:.2f} mm · {show_fraction(length_mm)}"


def _arrow(x0: float, y0: float, x1: float, y1: float) -> str:
    return tag(
        "path",
        d=f"M{num(x0)} {num(y0)}L{num(x1)} {num(y1)}",
        stroke=palette.INK,
        stroke_width=0.22,
        fill="none",
        marker_start="url(#size)",
        marker_end="url(#size)",
    )


def length_size(x: tuple[float, float], y: float) -> str:
    """A size along x, from and to, under the drawing; the sheet's y."""
    x0, x1 = x
    words = {"text_anchor": "middle", "paint_order": "stroke", "stroke": palette.PAPER, "stroke_width": 0.8}
    return _arrow(x0, y, x1, y) + text(words_of(x1 - x0), (x0 + x1) / 2, y + 3.2, size_mm=LETTER_MM, **words)


def height_size(x: float, y: tuple[float, float]) -> str:
    """A size along y, from and to, beside the drawing, its words turned to read from the right."""
    y0, y1 = y
    turn = f"translate({num(x - 1.2)} {num((y0 + y1) / 2)}) rotate(-90)"
    words = text(words_of(abs(y1 - y0)), 0.0, 0.0, size_mm=LETTER_MM, text_anchor="middle", transform=turn)
    return _arrow(x, y0, x, y1) + words


def leader(x: float, y: float, to: tuple[float, float], words: str) -> str:
    """A line from a thing to words beside it; the sheet's y."""
    to_x, to_y = to
    line = tag(
        "path", d=f"M{num(x)} {num(y)}L{num(to_x)} {num(to_y)}", stroke=palette.INK, stroke_width=0.2, fill="none"
    )
    dot = tag("circle", cx=x, cy=y, r=0.45)
    anchor = "start" if to_x >= x else "end"
    shift = 0.8 if to_x >= x else -0.8
    return line + dot + text(words, to_x + shift, to_y + 0.8, size_mm=LETTER_MM, text_anchor=anchor)


def across_size(offset_mm: float, width_mm: float, depth_mm: float, top_mm: float, half_mm: float) -> str:
    """Width and depth of one groove on the section across."""
    side = 1 if offset_mm >= 0 else -1
    return leader(
        offset_mm,
        top_mm + depth_mm / 2,
        (side * (half_mm + 2), top_mm - 3.5),
        f"groove {words_of(width_mm)}",
    ) + leader(offset_mm - side, top_mm + depth_mm, (side * (half_mm + 2), top_mm + 5.0), f"deep {words_of(depth_mm)}")


def joint_sizes(peg: Contour, socket: Contour, *, half_mm: float) -> str:
    """Names and sizes of neck, head, mouth and hole, read off the outlines in the mated frame."""
    out = []
    head, hole = _circle(peg, is_peg=True), _circle(socket, is_peg=False)
    neck, mouth = _gap(peg, half_mm=half_mm), _gap(socket, half_mm=half_mm)
    far, high = 40.0, half_mm
    if head:
        out.append(
            leader(head[0] + head[1] * 0.5, -head[1] * 0.5, (far, -high + 2), f"head dia. {words_of(2 * head[1])}")
        )
    if hole:
        out.append(
            leader(hole[0] + hole[1] * 0.8, hole[1] * 0.6, (far, high - 2), f"hole dia. {words_of(2 * hole[1])}")
        )
    if neck:
        out.append(leader(neck[0], -neck[1] + 0.4, (6.0, -high - 6), f"neck {words_of(2 * neck[1])}"))
    if mouth:
        out.append(leader(mouth[0], mouth[1], (6.0, high + 6), f"mouth {words_of(2 * mouth[1])}"))
    return "".join(out)


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
