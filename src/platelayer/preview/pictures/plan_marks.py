"""Marks on the plan: grain, zero, no-go areas, tabs, order numbers and sizes, problems.

Every mark has a shape of its own, so that no meaning hangs on colour.

Glossary:
    badge: the ring with a piece's order number. step_mm: height of small print on this sheet.
"""

import math
from collections.abc import Sequence
from typing import Final

from platelayer.geometry.contours import bounds
from platelayer.manifest.schema import ManifestBoard, ManifestPiece
from platelayer.preview.pictures import palette
from platelayer.preview.pictures.middles import middle
from platelayer.preview.pictures.plan_swaths import CutFile
from platelayer.preview.pictures.svg import contour_data, num, tag, text
from platelayer.units import show_fraction
from platelayer.values.cuts import Tab
from platelayer.values.findings import Finding, Severity
from platelayer.values.shapes import Arc, Contour, Line, Point, Segment

DEFS = (
    '<defs><pattern id="nogo" width="STEP" height="STEP" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    f'<rect width="100%" height="100%" fill="#ffffff" fill-opacity="0.55"/><path d="M0 0H99M0 0V99" '
    f'stroke="{palette.INK}" stroke-width="0.35" fill="none"/></pattern>'
    '<marker id="tip" viewBox="0 0 6 6" refX="5" refY="3" markerWidth="4.5" markerHeight="4.5" '
    'orient="auto-start-reverse">'
    '<path d="M0 0.4L6 3L0 5.6Z"/></marker></defs>'
)


def grain_lines(board: ManifestBoard) -> str:
    """Path data of gently waving lines along the grain, worked out from their number so that they never change."""
    width, height = board.size_mm
    middle, reach = (width / 2, height / 2), math.hypot(width, height) / 2
    along = (math.cos(board.grain_rad), -math.sin(board.grain_rad))
    across = (-along[1], along[0])
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
        out.append("M" + "L".join(f"{num(x)} {num(y)}" for x, y in points))
        offset += 3.1 + 2.3 * (1 + math.sin(index * 2.4))
        index += 1
    return "".join(out)


def grain(board: ManifestBoard, *, step_mm: float) -> str:
    """Double-headed arrow along the grain, beside the board's upper right corner."""
    x, y, half = board.size_mm[0] - 9 * step_mm, -5.6 * step_mm, 3 * step_mm
    dx, dy = half * math.cos(board.grain_rad), -half * math.sin(board.grain_rad)
    line = tag(
        "path",
        d=f"M{num(x - dx)} {num(y - dy)}L{num(x + dx)} {num(y + dy)}",
        stroke=palette.INK,
        stroke_width=0.14 * step_mm,
        marker_start="url(#tip)",
        marker_end="url(#tip)",
    )
    return line + text("grain", x + 3.6 * step_mm, y + 0.35 * step_mm, size_mm=step_mm)


def zero(board: ManifestBoard, *, step_mm: float) -> str:
    """The program's zero: a quartered disc at the board's near left corner with arrows along x and y."""
    y, r, reach = board.size_mm[1], 1.1 * step_mm, min(5.2 * step_mm, 0.45 * min(board.size_mm))
    disc = tag("circle", cx=0.0, cy=y, r=r, fill="#ffffff", stroke=palette.INK, stroke_width=0.12 * step_mm)
    quarter = (
        f"M0 {num(y)}L{num(r)} {num(y)}A{num(r)} {num(r)} 0 0 0 0 {num(y - r)}Z"
        f"M0 {num(y)}L{num(-r)} {num(y)}A{num(r)} {num(r)} 0 0 0 0 {num(y + r)}Z"
    )
    axes = "".join(
        tag("path", d=data, stroke=palette.INK, stroke_width=0.2 * step_mm, marker_end="url(#tip)", fill="none")
        for data in (f"M{num(r)} {num(y)}H{num(reach)}", f"M0 {num(y - r)}V{num(y - reach)}")
    )
    bold = {"font_weight": "bold", "paint_order": "stroke", "stroke": palette.PAPER, "stroke_width": 0.25 * step_mm}
    names = text("X", reach + 0.4 * step_mm, y - 0.3 * step_mm, size_mm=1.2 * step_mm, **bold)
    names += text("Y", 0.4 * step_mm, y - reach - 0.3 * step_mm, size_mm=1.2 * step_mm, **bold)
    return axes + disc + tag("path", d=quarter, fill=palette.INK) + names


def no_go(board: ManifestBoard, *, step_mm: float) -> str:
    """No-go areas cross-hatched, with their names."""
    out = []
    for area in board.no_go:
        out.append(
            tag(
                "path",
                d=contour_data(area.outline, height_mm=board.size_mm[1]),
                fill="url(#nogo)",
                stroke=palette.INK,
                stroke_width=0.14 * step_mm,
            )
        )
        low_x, low_y, high_x, high_y = bounds(area.outline)
        name = f"no-go {area.title}".strip()
        wide, tall = high_x - low_x, high_y - low_y
        size = min(0.9 * step_mm, max(wide, tall) / (0.6 * len(name)))
        x, y = (low_x + high_x) / 2, board.size_mm[1] - (low_y + high_y) / 2
        turn = f"translate({num(x)} {num(y)}) rotate({0 if wide >= tall else -90})"
        words = {"text_anchor": "middle", "paint_order": "stroke", "stroke": "#ffffff", "font_weight": "bold"}
        out.append(text(name, 0.0, 0.35 * size, size_mm=size, transform=turn, stroke_width=0.3 * size, **words))
    return "".join(out)


def dowels(board: ManifestBoard, *, step_mm: float) -> str:
    """The dowels on which the board is turned over, as rings with their name."""
    out = []
    for dowel in board.turning.dowels if board.turning is not None else ():
        (x, y), radius = (dowel.at[0], board.size_mm[1] - dowel.at[1]), dowel.diameter_mm / 2
        words = {"text_anchor": "middle", "paint_order": "stroke", "stroke": palette.PAPER}
        out.append(
            tag("circle", cx=x, cy=y, r=radius, fill=palette.PAPER, stroke=palette.INK, stroke_width=0.18 * step_mm)
        )
        below = y + radius + 1.1 * step_mm
        out.append(text("dowel", x, below, size_mm=0.9 * step_mm, stroke_width=0.25 * step_mm, **words))
    return "".join(out)


def tabs(pieces: Sequence[ManifestPiece], cut: Sequence[CutFile], *, height_mm: float, step_mm: float) -> str:
    """Tabs as bars across the outline's kerf, as long as the wood left."""
    across = max((bit.diameter_mm for _, file in cut for bit in file.bits), default=3.0)
    out = [
        _tab(tab, piece.outline, across_mm=across, height_mm=height_mm, step_mm=step_mm)
        for piece in pieces
        for tab in piece.tabs
    ]
    return "".join(out)


def _tab(tab: Tab, outline: Contour, *, across_mm: float, height_mm: float, step_mm: float) -> str:
    heading = min(heading_beside(segment, tab.at) for segment in outline.segments)[1]
    x, y = tab.at[0], height_mm - tab.at[1]
    return tag(
        "rect",
        x=-tab.width_mm / 2,
        y=-0.3,
        width=tab.width_mm,
        height=across_mm + 0.6,
        fill=palette.VERMILLION,
        stroke="#ffffff",
        stroke_width=0.07 * step_mm,
        transform=f"translate({num(x)} {num(y)}) rotate({num(-math.degrees(heading))})",
    )


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


def labels(pieces: Sequence[ManifestPiece], *, height_mm: float, step_mm: float) -> str:
    """Order number and both sizes of every piece, upright enough to read."""
    return "".join(_label(piece, height_mm=height_mm, step_mm=step_mm) for piece in pieces)


def _label(piece: ManifestPiece, *, height_mm: float, step_mm: float) -> str:
    place = middle(piece)
    (x, y), heading, sockets = place.at, place.heading_rad, place.sockets
    if place.length_mm < 150.0:
        shift = _SOCKET_MM / 2 * (sockets[0] - sockets[1])
        x, y = x + shift * math.cos(heading), y + shift * math.sin(heading)
    flip = math.cos(heading) < 0
    turn = -math.degrees(heading) + (180 if flip else 0)
    lines = (f"{piece.length_mm:.1f} mm", show_fraction(piece.length_mm))
    letters = _LETTER_WIDTH * max(map(len, lines))
    room = max(place.length_mm - _SOCKET_MM * sum(sockets) - 4.0, 6.0)
    size = min(step_mm, 6.2, room / (2 * _BADGE + 0.5 + letters))
    badge = _BADGE * size
    cx = -(0.5 + letters) * size / 2
    ring = tag("circle", cx=cx, cy=0.0, r=badge, fill=palette.INK)
    ring += text(
        str(piece.order), cx, 0.52 * size, size_mm=1.5 * size, text_anchor="middle", fill="#ffffff", font_weight="bold"
    )
    for row, content in enumerate(lines):
        ring += text(
            content,
            cx + badge + 0.5 * size,
            (row * 1.25 - 0.25) * size,
            size_mm=size,
            paint_order="stroke",
            stroke=palette.MAPLE,
            stroke_width=0.35 * size,
        )
    return tag("g", ring, transform=f"translate({num(x)} {num(height_mm - y)}) rotate({num(turn)})")


def problems(findings: Sequence[Finding], *, height_mm: float, step_mm: float) -> str:
    """A numbered triangle at every problem with a place; hollow when it is a note."""
    out = []
    for number, finding in enumerate(findings, 1):
        assert finding.where.point is not None
        x, y = finding.where.point[0], height_mm - finding.where.point[1]
        out.append(sign(x, y, str(number), severity=finding.severity, step_mm=step_mm))
    return "".join(out)


def sign(x: float, y: float, content: str, *, severity: Severity, step_mm: float) -> str:
    """The triangle of a problem, its lower tip at (x, y): filled black, yellow or white by weight."""
    fill, ink = {
        Severity.ERROR: (palette.INK, "#ffffff"),
        Severity.WARNING: (palette.YELLOW, palette.INK),
        Severity.NOTE: ("#ffffff", palette.INK),
    }[severity]
    w, h = 1.25 * step_mm, 2.2 * step_mm
    data = f"M{num(x)} {num(y)}L{num(x + w)} {num(y - h)}H{num(x - w)}Z"
    shape = tag(
        "path",
        d=data,
        fill=fill,
        stroke="#ffffff" if ink == "#ffffff" else palette.INK,
        stroke_width=0.12 * step_mm,
        stroke_linejoin="round",
    )
    return shape + text(
        content, x, y - 1.15 * step_mm, size_mm=1.05 * step_mm, text_anchor="middle", fill=ink, font_weight="bold"
    )
