"""How each board is held down, in words: by what, where, and which screws to drive before anything is cut."""

from collections.abc import Iterator

from platelayer.geometry.contours import bounds
from platelayer.manifest.schema import Manifest, ManifestBoard
from platelayer.units import show_length, show_place
from platelayer.values.tooling import NoGo

_HOW = {
    "tape": "by tape under the whole of it: double-sided, or masking tape on both faces and glue between",
    "vacuum": "by a vacuum under the whole of it",
}


def holding_lines(manifest: Manifest) -> tuple[str, ...]:
    """A line for each board, and one for each clamp and screw with its middle and size; none without boards named."""
    return tuple(line for board in manifest.boards for line in _board(board) if manifest.pieces)


def _board(board: ManifestBoard) -> Iterator[str]:
    holds = [area for area in board.no_go if area.height_mm > 0]
    if board.held_by in _HOW:
        yield f"Board {board.id} is held {_HOW[board.held_by]}."
    elif not holds:
        yield f"Board {board.id}: nothing says where it is held down."
    else:
        apart = f", {show_length(board.span_mm)} apart at the most" if board.span_mm else ""
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
