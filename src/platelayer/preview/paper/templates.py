"""Full-size pages to stick on wood, for those who saw by hand: every kind of piece at 1:1, with a ruler as proof.

Glossary:
    tile: the part of a long piece that one page shows. match mark: a cross that lies at the same place of the wood on
    two neighbouring tiles.
    sharp: drawn without relief and ease, which only a round bit needs.
    ruler: 150 mm and 6 in, ticked; when it measures true the page does.

The PDF asks for no scaling when printed; the person checks the ruler, since printers do as they please.
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from io import BytesIO
from typing import Final

from platelayer.geometry.contours import Bounds, bounds, rectangle
from platelayer.geometry.grooves import walls
from platelayer.geometry.sharp_ends import with_sharp_ends
from platelayer.manifest.schema import Manifest, ManifestPiece
from platelayer.preview.paper.measures import POINTS_PER_MM, Paper, page_size, paper_for
from platelayer.preview.paper.pdf import draw
from platelayer.preview.pictures import palette
from platelayer.preview.pictures.drawing import Anchor, Group, Ink, Part, Shape, Words, polyline
from platelayer.units import inches, show_length, worded
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
        pieces[0] = replace(pieces[0], outline=_sharp(manifest, pieces[0]))
        lows = tiles(bounds(pieces[0].outline), room)
        for number, low in enumerate(lows):
            said = f", part {number + 1} of {len(lows)}" if len(lows) > 1 else ""
            canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
            draw(canvas, _page(manifest, pieces, low=low, room=room, said=said, is_tiled=len(lows) > 1))
            canvas.showPage()
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


def _starts(low_mm: float, length_mm: float, clearance_mm: float) -> list[float]:
    if length_mm <= clearance_mm:
        return [low_mm - (clearance_mm - length_mm) / 2]
    count = math.ceil((length_mm - _OVERLAP_MM) / (clearance_mm - _OVERLAP_MM))
    step = (length_mm - clearance_mm) / (count - 1)
    return [low_mm + index * step for index in range(count)]


def _sharp(manifest: Manifest, piece: ManifestPiece) -> Contour:
    """The piece's outline with the joint as designed, before the cures and the tuning that a bit asks for."""
    joint = manifest.tuning.design if manifest.tuning else manifest.joint
    return piece.outline if joint is None else with_sharp_ends(piece.outline, piece.ends, joint)


def _kinds(manifest: Manifest) -> list[list[ManifestPiece]]:
    kinds: dict[str, list[ManifestPiece]] = {}
    for piece in sorted(manifest.pieces, key=lambda piece: piece.order):
        kinds.setdefault(piece.title, []).append(piece)
    return list(kinds.values())


def _page(
    manifest: Manifest,
    pieces: Sequence[ManifestPiece],
    *,
    low: Point,
    room: tuple[float, float],
    said: str,
    is_tiled: bool,
) -> tuple[Part, ...]:
    """All of one page, mm from its lower left corner: words, ruler, and as much of the wood as there is room for."""
    piece = pieces[0]
    both = [walls(groove) for groove in piece.grooves]  # a pale band with the walls as its edges would print badly
    wood: list[Part] = [
        Shape((piece.outline, *piece.inner), Ink(stroke=palette.INK, width_mm=0.2)),
        Shape(
            tuple(wall for one in both for wall in (one.left, one.right)),
            Ink(stroke=palette.INK, width_mm=0.15, dash_mm=(3.0, 1.5)),
        ),
    ]
    if is_tiled:
        wood.append(Shape(_match_marks(low, room), Ink(stroke=palette.INK, width_mm=0.1)))
    shown = Group(parts=tuple(wood), at=(-low[0], -low[1]))
    frame = Group(parts=(shown,), at=(_EDGE_MM, _EDGE_MM + _RULER_ROOM_MM), clip=rectangle((0.0, 0.0), room))
    top = _EDGE_MM + _RULER_ROOM_MM + room[1] + _HEAD_MM
    return (
        Group(parts=_words(manifest, pieces, said=said), at=(_EDGE_MM, top)),
        Group(parts=_ruler(), at=(_EDGE_MM, _EDGE_MM + 10.0)),
        frame,
    )


def _match_marks(low: Point, room: tuple[float, float]) -> tuple[Contour, ...]:
    """Crosses on a grid of the wood itself, the same on every tile that shows the place."""
    step = _OVERLAP_MM / 2
    columns, rows = (
        range(math.ceil(start / step), math.floor((start + size) / step) + 1)
        for start, size in zip(low, room, strict=True)
    )
    places = [(i * step, j * step) for i in columns for j in rows]
    return tuple(polyline((x - dx, y - dy), (x + dx, y + dy)) for x, y in places for dx, dy in ((1.0, 0.0), (0.0, 1.0)))


def _words(manifest: Manifest, pieces: Sequence[ManifestPiece], *, said: str) -> tuple[Words, ...]:
    """What the page is and how to print it, downwards from its head."""
    piece = pieces[0]
    length = worded(show_length(piece.length_mm), manifest.units)
    along, dashed = ("along the middle", "; dashed: grooves") if piece.grooves else ("along it", "")
    lines = (
        f"{len(pieces)} wanted. {length} {along}; joints sharp, as a saw cuts them; cut on the line's middle; grain "
        f"left to right{dashed}.",
        "Print at 100 %, no fitting to the page, then measure the ruler below: 150 mm and 6 in, or do not use.",
    )
    return (
        Words(text=f"{piece.title}{said}", at=(0.0, -4.6), size_mm=4.6, is_bold=True),
        *(Words(text=line, at=(0.0, -9.2 - 3.9 * row), size_mm=3.2) for row, line in enumerate(lines)),
    )


def _ruler() -> tuple[Part, ...]:
    """150 mm above its line and 6 in below it, both from the same zero."""
    ticks = [polyline((0.0, 0.0), (inches(RULER_IN_SIXTEENTHS / 16), 0.0))]
    names = []
    for mm in range(int(RULER_MM) + 1):
        ticks.append(polyline((mm, 0.0), (mm, 6.0 if mm % 10 == 0 else 4.0 if mm % 5 == 0 else 2.5)))
        if mm % 10 == 0:
            names.append((f"{mm}" if mm else "0 mm", (float(mm), 6.8)))
    for sixteenth in range(RULER_IN_SIXTEENTHS + 1):
        x = inches(sixteenth / 16)
        ticks.append(polyline((x, 0.0), (x, -6.0 if sixteenth % 16 == 0 else -4.0 if sixteenth % 4 == 0 else -2.5)))
        if sixteenth % 16 == 0:
            names.append((f"{sixteenth // 16}" if sixteenth else "0 in", (x, -9.0)))
    return (
        Shape(tuple(ticks), Ink(stroke=palette.INK, width_mm=0.15)),
        *(Words(text=name, at=at, size_mm=2.8, anchor=Anchor.MIDDLE) for name, at in names),
    )
