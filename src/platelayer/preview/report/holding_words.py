"""What holds pieces and boards, in words: tabs and skins, screws to drive before anything is cut, clamps and where."""

from collections import Counter
from collections.abc import Iterator

from platelayer.geometry.contours import bounds
from platelayer.manifest.schema import Manifest, ManifestBoard
from platelayer.proof.holds import widest_span
from platelayer.units import show_length, show_place
from platelayer.values.tooling import NoGo

_HOW = {
    "tape": "by tape under the whole of it: double-sided, or masking tape on both faces and glue between",
    "vacuum": "by a vacuum under the whole of it",
}


def pieces_words(count: int) -> str:
    """``1 piece``, ``20 pieces``."""
    return f"{count} piece{'' if count == 1 else 's'}"


def _pieces(manifest: Manifest) -> list[str]:
    """What holds the pieces to the end: tabs and how many, a skin, tape or a vacuum alone; not a strip's bridges."""
    said = []
    tabbed = [piece for piece in manifest.pieces if piece.tabs]
    if tabbed and not any(board.is_strip for board in manifest.boards):
        sizes = Counter((tab.width_mm, tab.height_mm) for piece in tabbed for tab in piece.tabs)
        said += [
            f"Tabs hold {pieces_words(len(tabbed))} at {count} places, {show_length(width)} along the edge and "
            f"{show_length(height)} high, marked in the drawing; one between two pieces holds both. Saw them flush "
            "once the board is off the machine."
            for (width, height), count in sorted(sizes.items())
        ]
    skins = sorted({piece.skin_mm for piece in manifest.pieces if piece.skin_mm > 0})
    said += [f"A skin of {show_length(skin)} is left under the pieces; it is cut or sanded off." for skin in skins]
    for way in ("tape", "vacuum"):
        count = sum(piece.held_by == way for piece in manifest.pieces)
        if count:
            said.append(f"Pieces cut free at their last pass and held by {way} alone: {count}.")
    loose = ", ".join(p.id for p in manifest.pieces if not p.tabs and p.skin_mm <= 0 and not p.held_by)
    if loose:
        said.append(f"Held by nothing in the wood: {loose}. Tape or suction must hold them to the end.")
    return said


def holding_lines(manifest: Manifest) -> tuple[str, ...]:
    """What holds the pieces, then a line for each board, and one for each clamp and screw with its middle and size.

    None where no pieces are named.
    """
    if not manifest.pieces:
        return ()
    return (*_pieces(manifest), *(line for board in manifest.boards for line in _board(manifest, board)))


def _apart(manifest: Manifest, board: ManifestBoard) -> str:
    """How far a board's clamps or screws stand apart: within what it bears, or where that is too far, how far."""
    widest = widest_span(manifest, board)
    if not board.span_mm or widest is None:
        return ""
    if widest.span_mm <= board.span_mm:
        return f", {show_length(board.span_mm)} apart at the most"
    return f", up to {show_length(widest.span_mm)} apart where it bears {show_length(board.span_mm)}"


def _board(manifest: Manifest, board: ManifestBoard) -> Iterator[str]:
    holds = [area for area in board.no_go if area.height_mm > 0]
    if board.held_by in _HOW:
        yield f"Board {board.id} is held {_HOW[board.held_by]}."
    elif not holds:
        yield f"Board {board.id}: nothing says where it is held down."
    else:
        apart = _apart(manifest, board)
        by = board.held_by or "clamps"
        first = " driven before anything is cut" if by == "screws" else ""
        yield f"Board {board.id} is held by {by}{first}{apart}:"
    for area in holds:
        yield f"  {area.title or 'clamp'} at {show_place(middle(area))}, {_size(area)}"


def middle(area: NoGo) -> tuple[float, float]:
    """The middle of an area, from the board's near left corner."""
    low_x, low_y, high_x, high_y = bounds(area.outline)
    return (low_x + high_x) / 2, (low_y + high_y) / 2


def _size(area: NoGo) -> str:
    low_x, low_y, high_x, high_y = bounds(area.outline)
    wide = f"{show_length(high_x - low_x)} wide"
    if abs((high_x - low_x) - (high_y - low_y)) > 1 / 2:
        wide = f"{show_length(high_x - low_x)} by {show_length(high_y - low_y)}"
    return f"{wide}, up to {show_length(area.height_mm)} high"
