"""The board as a drawing on paper: pieces with numbers, tabs, no-go areas, zero, grain and sizes.

Glossary:
    scale: points of paper for a millimetre of wood; chosen so that the board fills the width, never over full size.

Everything here is lines and true curves of the PDF (arcs as cubic curves, off by less than a thousandth of the radius).
"""

import math
from collections.abc import Iterable

from platelayer.gcode.board_frame import board_area
from platelayer.geometry.contours import bounds, circle
from platelayer.geometry.regions import intersection, line_through
from platelayer.manifest.schema import Manifest, ManifestBoard, ManifestPiece
from platelayer.preview.paper.measures import POINTS_PER_MM, Drawing, Points
from platelayer.preview.pictures import palette
from platelayer.preview.pictures.middles import middle
from platelayer.units import show_length
from platelayer.values.shapes import Contour, Line, Point, Segment

_LEFT, _BELOW, _RIGHT, _ABOVE = 30.0, 30.0, 10.0, 22.0
_SMALL, _TINY = 8.0, 6.5


def board_drawing(manifest: Manifest, board: ManifestBoard, *, width_mm: float, height_mm: float) -> Drawing:
    """One board as a reportlab drawing, no wider and no higher on paper than that."""
    from reportlab.graphics import shapes

    wide, high = board.size_mm
    width, height = width_mm * POINTS_PER_MM, height_mm * POINTS_PER_MM
    scale = min((width - _LEFT - _RIGHT) / wide, (height - _BELOW - _ABOVE) / high, POINTS_PER_MM)
    drawing = shapes.Drawing(_LEFT + wide * scale + _RIGHT, _BELOW + high * scale + _ABOVE)
    pen = _Pen(drawing, scale)
    if board.outline is None:
        pen.rectangle((0.0, 0.0), (wide, high), fill=palette.MAPLE, stroke=palette.INK, width=1.0)
    else:
        pen.contour(board.outline, fill=palette.MAPLE, stroke=palette.INK, width=1.0)
    _grain(pen, board)
    pieces = sorted((piece for piece in manifest.pieces if piece.board == board.id), key=lambda piece: piece.order)
    for piece in pieces:
        _piece(pen, piece)
    for area in board.no_go:
        pen.contour(area.outline, fill="#D9D9D9", stroke=palette.VERMILLION, width=1.0)
        low_x, low_y, high_x, high_y = bounds(area.outline)
        pen.line((low_x, low_y), (high_x, high_y), stroke=palette.VERMILLION, width=0.6)
        pen.line((low_x, high_y), (high_x, low_y), stroke=palette.VERMILLION, width=0.6)
    for dowel in board.turning.dowels if board.turning is not None else ():
        pen.contour(circle(dowel.at, dowel.diameter_mm / 2), fill="#FFFFFF", stroke=palette.INK, width=1.4)
    for piece in pieces:
        _badge(pen, piece)
    _zero(pen)
    _sizes(pen, manifest, board)
    return drawing


class _Pen:
    """Draws millimetres of wood onto the drawing."""

    def __init__(self, drawing: Drawing, scale: float) -> None:
        self.drawing, self.scale = drawing, scale

    def at(self, point: Point) -> Point:
        """Where on the paper a point of the board is."""
        return _LEFT + point[0] * self.scale, _BELOW + point[1] * self.scale

    def line(self, start: Point, end: Point, *, stroke: str, width: Points) -> None:
        """A straight line."""
        from reportlab.graphics import shapes
        from reportlab.lib.colors import HexColor

        self.drawing.add(shapes.Line(*self.at(start), *self.at(end), strokeColor=HexColor(stroke), strokeWidth=width))

    def rectangle(self, low: Point, high: Point, *, fill: str, stroke: str, width: Points) -> None:
        """An upright rectangle."""
        from reportlab.graphics import shapes
        from reportlab.lib.colors import HexColor

        x, y = self.at(low)
        self.drawing.add(
            shapes.Rect(
                x,
                y,
                (high[0] - low[0]) * self.scale,
                (high[1] - low[1]) * self.scale,
                fillColor=HexColor(fill),
                strokeColor=HexColor(stroke),
                strokeWidth=width,
            )
        )

    def contour(self, contour: Contour, *, fill: str | None, stroke: str, width: Points) -> None:
        """A contour of lines and arcs."""
        from reportlab.graphics import shapes
        from reportlab.lib.colors import HexColor

        path = shapes.Path(fillColor=HexColor(fill) if fill else None, strokeColor=HexColor(stroke), strokeWidth=width)
        path.moveTo(*self.at(contour.start))
        for segment in contour.segments:
            for curve in curves(segment):
                if len(curve) == 1:
                    path.lineTo(*self.at(curve[0]))
                else:
                    path.curveTo(*self.at(curve[0]), *self.at(curve[1]), *self.at(curve[2]))
        if contour.is_closed:
            path.closePath()
        self.drawing.add(path)

    def text(self, words: str, x: float, y: float, *, size: Points, anchor: str = "middle", bold: bool = False) -> None:
        """A line of text, x and y on the paper."""
        from reportlab.graphics import shapes
        from reportlab.lib.colors import HexColor

        font = "Helvetica-Bold" if bold else "Helvetica"
        self.drawing.add(
            shapes.String(x, y, words, fontName=font, fontSize=size, textAnchor=anchor, fillColor=HexColor(palette.INK))
        )


def curves(segment: Segment) -> Iterable[tuple[Point, ...]]:
    """A segment as straight ends, ``(end,)``, or cubic curves, ``(control, control, end)``, of an eighth turn each.

    Source:
        derived here: control points lie at 4/3 tan(sweep / 4) radii along the tangents; exact at ends and middle.
    """
    if isinstance(segment, Line):
        yield (segment.end,)
        return
    count = max(1, math.ceil(segment.sweep_rad / (math.pi / 4)))
    step = segment.sweep_rad / count * (1 if segment.is_ccw else -1)
    reach = 4 / 3 * math.tan(step / 4) * segment.radius_mm
    (cx, cy), radius = segment.centre, segment.radius_mm
    turn = math.atan2(segment.start[1] - cy, segment.start[0] - cx)
    for index in range(count):
        a, b = turn + index * step, turn + (index + 1) * step
        start = (cx + radius * math.cos(a), cy + radius * math.sin(a))
        end = segment.end if index == count - 1 else (cx + radius * math.cos(b), cy + radius * math.sin(b))
        yield (
            (start[0] - reach * math.sin(a), start[1] + reach * math.cos(a)),
            (end[0] + reach * math.sin(b), end[1] - reach * math.cos(b)),
            end,
        )


def _piece(pen: _Pen, piece: ManifestPiece) -> None:
    pen.contour(piece.outline, fill="#FFFFFF", stroke=palette.INK, width=0.8)
    for hole in piece.inner:
        pen.contour(hole, fill=palette.MAPLE, stroke=palette.INK, width=0.8)
    for groove in piece.grooves:
        pen.contour(groove.path, fill=None, stroke="#B8B0A4", width=max(0.4, groove.width_mm * pen.scale))
    for tab in piece.tabs:
        x, y = pen.at(tab.at)
        half = max(1.6, tab.width_mm * pen.scale / 2)
        _tab_mark(pen, x, y, half)


def _tab_mark(pen: _Pen, x: float, y: float, half: float) -> None:
    from reportlab.graphics import shapes
    from reportlab.lib.colors import HexColor

    pen.drawing.add(
        shapes.Rect(x - half, y - half, 2 * half, 2 * half, fillColor=HexColor(palette.BLUE), strokeWidth=0)
    )


def _badge(pen: _Pen, piece: ManifestPiece) -> None:
    """The piece's number half-way along its main route, a little away from a socket at one end of it."""
    first, last = middle(piece).sockets
    x, y = pen.at(middle(piece, share_ratio=0.5 + (first - last) / 10).at)
    pen.text(str(piece.order), x, y - _SMALL * 0.36, size=_SMALL + 1, bold=True)


def _zero(pen: _Pen) -> None:
    from reportlab.graphics import shapes
    from reportlab.lib.colors import HexColor

    x, y = pen.at((0.0, 0.0))
    red = HexColor(palette.VERMILLION)
    pen.drawing.add(shapes.Circle(x, y, 4, fillColor=None, strokeColor=red, strokeWidth=1.4))
    for dx, dy, words in ((24, 0, "x"), (0, 24, "y")):
        pen.drawing.add(shapes.Line(x, y, x + dx, y + dy, strokeColor=red, strokeWidth=1.4))
        east = [x + 28, y, x + 22, y + 2.5, x + 22, y - 2.5]
        north = [x, y + 28, x - 2.5, y + 22, x + 2.5, y + 22]
        pen.drawing.add(shapes.Polygon(east if dx else north, fillColor=red, strokeWidth=0))
        pen.text(words, x + dx + (8 if dx else -8), y + dy - 2, size=_SMALL, bold=True)
    pen.text("zero", x - 9, y - 10, size=_TINY, bold=True)


def _grain(pen: _Pen, board: ManifestBoard) -> None:
    """Thin lines along the grain, and an arrow with two heads above the board."""
    wide, high = board.size_mm
    along = (math.cos(board.grain_rad), math.sin(board.grain_rad))
    if abs(along[1]) < abs(along[0]) / 1000:
        for index in range(1, 12):
            y = high * index / 12
            ends = (wide * (index * 5 % 12) / 60, y), (wide * (1 - (index * 7 % 12) / 60), y)
            on = intersection(line_through(ends), board_area(board))
            for part in on.geoms if hasattr(on, "geoms") else (on,):
                if part.length:
                    pen.line(part.coords[0], part.coords[-1], stroke="#E4CF9F", width=0.5)
    x, y = _LEFT + wide * pen.scale / 2, _BELOW + high * pen.scale + 11
    from reportlab.graphics import shapes
    from reportlab.lib.colors import HexColor

    ink = HexColor(palette.INK)
    half = min(26.0, 9.0 / max(abs(along[1]), 1 / 10))
    dx, dy = along[0] * half, along[1] * half
    pen.drawing.add(shapes.Line(x - dx, y - dy, x + dx, y + dy, strokeColor=ink, strokeWidth=1))
    for sign in (1, -1):
        tip = (x + sign * dx, y + sign * dy)
        turn = math.atan2(sign * dy, sign * dx)
        sides = [(tip[0] - 5 * math.cos(turn + k), tip[1] - 5 * math.sin(turn + k)) for k in (0.4, -0.4)]
        pen.drawing.add(shapes.Polygon([*tip, *sides[0], *sides[1]], fillColor=ink, strokeWidth=0))
    pen.text("grain", x + 34, y - 2.5, size=_SMALL, anchor="start")


def _sizes(pen: _Pen, manifest: Manifest, board: ManifestBoard) -> None:
    from reportlab.graphics import shapes

    wide, high = board.size_mm
    first = manifest.units
    pen.text(show_length(wide, first=first), _LEFT + wide * pen.scale / 2, 8, size=_SMALL)
    words = shapes.String(
        0, 0, show_length(high, first=first), fontName="Helvetica", fontSize=_SMALL, textAnchor="middle"
    )
    pen.drawing.add(
        shapes.Group(words, transform=(0, 1, -1, 0, 10, max(_BELOW + high * pen.scale / 2 + 14, _BELOW + 50)))
    )
    share = pen.scale / POINTS_PER_MM
    pen.text(f"drawn at 1 : {1 / share:.2g}", _LEFT + wide * pen.scale, 8, size=_TINY, anchor="end")
