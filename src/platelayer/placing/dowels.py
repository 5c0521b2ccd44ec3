"""Where the dowels stand on which a board is turned over.

Glossary:
    turn line: the board's long middle line, y = half its height, about which it is turned; what lies on it stays there.
    keep-out: a disc round a dowel that no kerf may come into. Not one of the person's own no-go areas.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from platelayer.errors import CannotCut, Fault
from platelayer.geometry.contours import bounds, circle
from platelayer.geometry.regions import distance_between_mm, points_area, to_area
from platelayer.placing.collet import with_collet_clearance
from platelayer.tolerances import FLATTEN_CHORD_MM
from platelayer.units import show_length
from platelayer.values.cuts import Bore, Dowel
from platelayer.values.shapes import Point
from platelayer.values.tooling import Board, NoGo, Turning

END_DIAMETERS: Final = 1.5
"""The middle of a dowel lies this many diameters from the board's end at least, or the end splits. Common practice, no
source."""


def dowel_places(board: Board, turning: Turning) -> tuple[Point, ...]:
    """The middles of the dowels on the turn line: where the person said, else spread evenly from end to end."""
    y = board.turn_y_mm
    if turning.dowel_places_mm:
        return tuple((x, y) for x in turning.dowel_places_mm)
    from_end = max(END_DIAMETERS * turning.dowel_diameter_mm, board.margin_mm + turning.dowel_diameter_mm / 2)
    span, gaps = board.width_mm - 2 * from_end, turning.dowel_count - 1
    return tuple((from_end + span * number / gaps, y) for number in range(gaps + 1))


def with_keep_outs(
    boards: Sequence[Board], turning: Turning, *, web_mm: float, parts: Sequence[tuple[float, float]] = ()
) -> tuple[Board, ...]:
    """The boards as placing must see them: a keep-out round every dowel, wood between it and any kerf included.

    Args:
        boards: as the person described them.
        turning: where their dowels stand.
        web_mm: wood between a dowel and any kerf.
        parts: wide parts of all bits: height above the wood, and how much further they reach than a hole.

    Raises:
        CannotCut: a board too short for its dowels, or one of its no-go areas where a dowel must stand, or so near that
            a wide part would strike what stands there.
    """
    radius = turning.dowel_diameter_mm / 2
    pairs = zip(boards, with_collet_clearance(boards, parts), strict=True)
    faults = [fault for board, grown in pairs for fault in _dowel_faults(board, grown, turning)]
    if faults:
        raise CannotCut(*faults)
    return tuple(
        replace(
            board,
            no_go=(
                *board.no_go,
                *(NoGo(circle(at, radius + web_mm), 0.0, "dowel") for at in dowel_places(board, turning)),
            ),
        )
        for board in boards
    )


def _dowel_faults(board: Board, grown: Board, turning: Turning) -> list[Fault]:
    radius = turning.dowel_diameter_mm / 2
    places = dowel_places(board, turning)
    apart = places[-1][0] - places[0][0]
    if apart < 2 * END_DIAMETERS * turning.dowel_diameter_mm:
        return [
            Fault(
                where=f"[[board]] {board.id} width",
                found=show_length(board.width_mm),
                problem=f"its dowels would stand only {show_length(max(apart, 0.0))} apart and let it swing",
                fix='Use thinner dowels, or turn it against a fence: by = "fence" in [turning].',
            )
        ]
    found = []
    for x, y in places:
        for area, wide in zip(board.no_go, grown.no_go, strict=True):
            if _off_mm((x, y), wide) < radius:
                is_in = _off_mm((x, y), area) < radius
                how = "in" if is_in else "so near that the shank or the holder would strike"
                low_x, low_y, _, _ = bounds(area.outline)
                found.append(
                    Fault(
                        where="[turning] dowel_places",
                        problem=f"the dowel at x {show_length(x)}, y {show_length(y)} of board {board.id} stands "
                        f"{how} {area.title or 'a no-go area'}, whose near left corner is x {show_length(low_x)}, "
                        f"y {show_length(low_y)}",
                        fix="Name places along the board's long middle line that are free.",
                    )
                )
    return found


def _off_mm(at: Point, area: NoGo) -> float:
    return distance_between_mm(points_area([at])[0], to_area(area.outline, chord_mm=FLATTEN_CHORD_MM))


def dowels_of(board: Board, turning: Turning, bore: Bore) -> tuple[Dowel, ...]:
    """The dowels of a board that is turned on them."""
    return tuple(Dowel(at, bore.diameter_mm, bore.depth_mm) for at in dowel_places(board, turning))
