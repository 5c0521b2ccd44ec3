"""Full-size pages to stick on wood, for those who saw by hand: every kind of piece at 1:1, with a ruler as proof.

Glossary:
    tile: the part of a long piece that one page shows. match mark: a cross that lies at the same place of the wood on
    two neighbouring tiles.
    ruler: 150 mm and 6 in, ticked; when it measures true the page does.

The PDF asks for no scaling when printed; the person checks the ruler, since printers do as they please.
"""

import math
from collections.abc import Sequence
from io import BytesIO
from typing import Final

from platelayer.geometry.contours import Bounds, bounds, heading_along, point_along
from platelayer.manifest.schema import Manifest, ManifestPiece
from platelayer.preview.paper.board_drawing import curves
from platelayer.preview.paper.measures import POINTS_PER_MM, Canvas, Paper, page_size, paper_for
from platelayer.preview.pictures import palette
from platelayer.units import inches, show_length
from platelayer.values.shapes import Contour, Point

RULER_MM: Final = 150.0
RULER_IN_SIXTEENTHS: Final = 96

_EDGE_MM: Final = 12.0
_HEAD_MM: Final = 16.0
_RULER_ROOM_MM: Final = 26.0
_OVERLAP_MM: Final = 20.0


def template_pdf(manifest: Manifest, *, paper: Paper | None = None) -> bytes:
    """Every kind of piece once, at full size, one page each or several where it is longer than the page.

    Args:
        manifest: pieces of the same title are one kind.
        paper: size of the pages, which lie on their long side; by the manifest's unit when None.
    """
    from reportlab.pdfgen import canvas as pdf

    height, width = page_size(paper or paper_for(manifest))
    page = (width, height)
    out = BytesIO()
    canvas = pdf.Canvas(out, pagesize=page, invariant=1)
    canvas.setTitle(f"Templates: {manifest.heading}")
    canvas.setViewerPreference("PrintScaling", "None")
    room = (page[0] / POINTS_PER_MM - 2 * _EDGE_MM, page[1] / POINTS_PER_MM - 2 * _EDGE_MM - _HEAD_MM - _RULER_ROOM_MM)
    for pieces in _kinds(manifest):
        lows = tiles(bounds(pieces[0].outline), room)
        for number, low in enumerate(lows):
            said = f", part {number + 1} of {len(lows)}" if len(lows) > 1 else ""
            _page(canvas, manifest, pieces, low=low, room=room, said=said, is_tiled=len(lows) > 1)
    canvas.save()
    return out.getvalue()


def tiles(box: Bounds, room: tuple[float, float]) -> list[Point]:
    """The low corners, in board coordinates, of the tiles that show a box on pages with so much room.

    A box that fits is one tile with the box in its middle; else tiles overlap by 20 mm.
    """
    along, across = (
        _starts(low, high - low, space) for low, high, space in ((box[0], box[2], room[0]), (box[1], box[3], room[1]))
    )
    return [(x, y) for y in across for x in along]


def _starts(low_mm: float, length_mm: float, room_mm: float) -> list[float]:
    if length_mm <= room_mm:
        return [low_mm - (room_mm - length_mm) / 2]
    count = math.ceil((length_mm - _OVERLAP_MM) / (room_mm - _OVERLAP_MM))
    step = (length_mm - room_mm) / (count - 1)
    return [low_mm + index * step for index in range(count)]


def _kinds(manifest: Manifest) -> list[list[ManifestPiece]]:
    kinds: dict[str, list[ManifestPiece]] = {}
    for piece in sorted(manifest.pieces, key=lambda piece: piece.order):
        kinds.setdefault(piece.title, []).append(piece)
    return list(kinds.values())


def _page(
    canvas: Canvas,
    manifest: Manifest,
    pieces: Sequence[ManifestPiece],
    *,
    low: Point,
    room: tuple[float, float],
    said: str,
    is_tiled: bool,
) -> None:
    piece = pieces[0]
    _words(canvas, manifest, pieces, said=said, top_mm=_EDGE_MM + _RULER_ROOM_MM + room[1] + _HEAD_MM)
    _ruler(canvas)
    canvas.saveState()
    canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
    canvas.translate(_EDGE_MM, _EDGE_MM + _RULER_ROOM_MM)
    frame = canvas.beginPath()
    frame.rect(0, 0, *room)
    canvas.clipPath(frame, stroke=0, fill=0)
    canvas.translate(-low[0], -low[1])
    canvas.setStrokeColor(palette.INK)
    canvas.setLineJoin(1)
    _draw(canvas, piece.outline, width_mm=0.2)
    for hole in piece.inner:
        _draw(canvas, hole, width_mm=0.2)
    canvas.setDash(3, 1.5)
    for groove in piece.grooves:
        _groove(canvas, groove.path, groove.width_mm)
    canvas.setDash()
    if is_tiled:
        _match_marks(canvas, low, room)
    canvas.restoreState()
    canvas.showPage()


def _draw(canvas: Canvas, contour: Contour, *, width_mm: float) -> None:
    """The contour, its line's middle on the contour."""
    path = canvas.beginPath()
    path.moveTo(*contour.start)
    for segment in contour.segments:
        for curve in curves(segment):
            if len(curve) == 1:
                path.lineTo(*curve[0])
            else:
                path.curveTo(*curve[0], *curve[1], *curve[2])
    if contour.is_closed:
        path.close()
    canvas.setLineWidth(width_mm)
    canvas.drawPath(path, stroke=1, fill=0)


def _groove(canvas: Canvas, path: Contour, width_mm: float) -> None:
    """Both walls of a groove, dashed: a pale band with the walls as its edges would print badly."""
    for side in (-1, 1):
        wall = canvas.beginPath()
        count = max(2, math.ceil(path.length_mm))
        for index in range(count + 1):
            distance = path.length_mm * index / count
            (x, y), heading = point_along(path, distance), heading_along(path, distance)
            x, y = x - side * math.sin(heading) * width_mm / 2, y + side * math.cos(heading) * width_mm / 2
            (wall.lineTo if index else wall.moveTo)(x, y)
        canvas.setLineWidth(0.15)
        canvas.drawPath(wall, stroke=1, fill=0)


def _match_marks(canvas: Canvas, low: Point, room: tuple[float, float]) -> None:
    """Crosses on a grid of the wood itself, the same on every tile that shows the place."""
    canvas.setLineWidth(0.1)
    step = _OVERLAP_MM / 2
    for i in range(math.ceil(low[0] / step), math.floor((low[0] + room[0]) / step) + 1):
        for j in range(math.ceil(low[1] / step), math.floor((low[1] + room[1]) / step) + 1):
            canvas.line(i * step - 1, j * step, i * step + 1, j * step)
            canvas.line(i * step, j * step - 1, i * step, j * step + 1)


def _words(canvas: Canvas, manifest: Manifest, pieces: Sequence[ManifestPiece], *, said: str, top_mm: float) -> None:
    piece = pieces[0]
    x, y = _EDGE_MM * POINTS_PER_MM, top_mm * POINTS_PER_MM
    canvas.setFillColor(palette.INK)
    canvas.setFont("Helvetica-Bold", 13)
    canvas.drawString(x, y - 13, f"{piece.title}{said}")
    canvas.setFont("Helvetica", 9)
    first = manifest.units
    along, dashed = "along the middle" if piece.grooves else "along it", "; dashed: grooves" if piece.grooves else ""
    canvas.drawString(
        x,
        y - 26,
        f"{len(pieces)} wanted. {show_length(piece.length_mm, first=first)} {along}; cut on the line's middle; "
        f"grain left to right{dashed}.",
    )
    canvas.drawString(
        x,
        y - 37,
        "Print at 100 %, no fitting to the page, then measure the ruler below: 150 mm and 6 in, or do not use.",
    )


def _ruler(canvas: Canvas) -> None:
    """150 mm above its line and 6 in below it, both from the same zero."""
    canvas.saveState()
    canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
    canvas.translate(_EDGE_MM, _EDGE_MM + 10.0)
    canvas.setStrokeColor(palette.INK)
    canvas.setFillColor(palette.INK)
    canvas.setLineWidth(0.15)
    canvas.setFont("Helvetica", 2.8)
    canvas.line(0, 0, inches(RULER_IN_SIXTEENTHS / 16), 0)
    for mm in range(int(RULER_MM) + 1):
        canvas.line(mm, 0, mm, 6 if mm % 10 == 0 else 4 if mm % 5 == 0 else 2.5)
        if mm % 10 == 0:
            canvas.drawCentredString(mm, 6.8, f"{mm}" if mm else "0 mm")
    for sixteenth in range(RULER_IN_SIXTEENTHS + 1):
        x = inches(sixteenth / 16)
        canvas.line(x, 0, x, -6 if sixteenth % 16 == 0 else -4 if sixteenth % 4 == 0 else -2.5)
        if sixteenth % 16 == 0:
            canvas.drawCentredString(x, -9, f"{sixteenth // 16}" if sixteenth else "0 in")
    canvas.restoreState()
