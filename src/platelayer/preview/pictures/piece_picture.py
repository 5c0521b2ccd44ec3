"""One piece by itself, seen from above: for a list to choose from, and for a line of a cut list."""

from typing import Final

from platelayer.geometry.contours import bounds
from platelayer.geometry.grooves import groove_contour
from platelayer.preview.pictures import palette
from platelayer.preview.pictures.drawing import Drawing, Ink, Shape
from platelayer.preview.pictures.svg import svg_text
from platelayer.values.pieces import BoardFace, Piece

_ROOM_MM: Final = 3.0
_WOOD: Final = Ink(fill=palette.MAPLE, stroke=palette.INK, width_mm=0.8)
_GROOVE: Final = Ink(fill=palette.depth_colour(0.3))
_BELOW: Final = Ink(stroke=palette.FAINT_INK, width_mm=0.5, dash_mm=(4.0, 2.0))


def piece_svg(piece: Piece, *, name: str) -> str:
    """The piece in its own frame as SVG text; grooves of its lower face in dashes. ``name`` tells pictures apart."""
    low_x, low_y, high_x, high_y = bounds(piece.outline)
    tops = tuple(groove_contour(groove) for groove in piece.grooves if groove.face is BoardFace.TOP)
    below = tuple(groove.path for groove in piece.grooves if groove.face is BoardFace.BOTTOM)
    parts = (
        Shape((piece.outline, *piece.inner), _WOOD),
        *(Shape((top,), _GROOVE) for top in tops),
        *((Shape(below, _BELOW),) if below else ()),
    )
    return svg_text(
        Drawing(
            id=name,
            title=piece.title,
            low=(low_x - _ROOM_MM, low_y - _ROOM_MM),
            high=(high_x + _ROOM_MM, high_y + _ROOM_MM),
            parts=parts,
        )
    )
