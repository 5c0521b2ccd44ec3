"""Turning a board over about its long axis: two dowels on that axis bring the second face to where the first was.

Glossary:
    turn line: the line y = half the board's height, which stays where it is. Dowel: a pin in a hole through the board
    into the spoilboard; on the turn line the same two holes serve both faces.
    misalignment: how far the second face's work may lie from where it should.
"""

from dataclasses import replace

from platelayer.geometry.contours import circle
from platelayer.values.pieces import TrackSizes
from platelayer.values.shapes import Point
from platelayer.values.tooling import Board, NoGo


def dowel_places(board: Board, *, dowel_diameter_mm: float) -> tuple[Point, Point]:
    """Middles of the two holes, as far apart on the turn line as the board's margin and a hole's width allow."""
    y = board.height_mm / 2
    inset = max(board.margin_mm, dowel_diameter_mm / 2) + dowel_diameter_mm
    return (inset, y), (board.width_mm - inset, y)


def with_dowels(board: Board, *, dowel_diameter_mm: float) -> Board:
    """The board with both holes as no-go areas, so that no piece and no bit comes there."""
    holes = tuple(
        NoGo(circle(place, dowel_diameter_mm / 2), 0.0, "dowel hole")
        for place in dowel_places(board, dowel_diameter_mm=dowel_diameter_mm)
    )
    return replace(board, no_go=(*board.no_go, *holes))


def face_shift_mm(*, dowel_diameter_mm: float, hole_diameter_mm: float) -> float:
    """How far grooves above and below may lie apart when both were cut on pins with that play.

    Half the play either way each time the board is put on the pins, twice in all.
    """
    return max(0.0, hole_diameter_mm - dowel_diameter_mm)


def web_between_grooves_mm(track: TrackSizes, *, scatter_mm: float, depth_error_mm: float = 0.0) -> float:
    """Wood left at the least between a groove above and one below it, for a board as thin as it may be.

    Negative where the two would meet.
    """
    return track.thickness_mm - scatter_mm - 2 * (track.groove_depth_mm + depth_error_mm)
