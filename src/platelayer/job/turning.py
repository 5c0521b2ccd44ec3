"""How boards are turned over, from the model to a value.

Glossary:
    place (of a dowel): its distance from the board's left end; all stand on the board's long middle line.
"""

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

from platelayer.errors import Fault
from platelayer.job.job_models import TurningTable
from platelayer.job.limits import (
    LEAST_DOWEL_DEPTH_MM,
    LEAST_DOWEL_MM,
    LEAST_DOWELS,
    MOST_DOWEL_MM,
    MOST_DOWELS,
    MOST_TURNED_OFF_MM,
)
from platelayer.units import show_length
from platelayer.values.tooling import Board, PieceOrder, TurnBy, Turning

_LEAST_APART_DIAMETERS: Final = 3.0
"""Dowels nearer to each other than this do not keep a board from swinging. Common practice, no source."""

_DOWEL_KEYS: Final = ("dowel_diameter", "dowel_depth", "dowel_count", "dowel_places")


def turning_of(
    table: TurningTable,
    boards: Sequence[Board],
    orders: Sequence[PieceOrder],
    *,
    written: Sequence[str],
    faults: list[Fault],
) -> Turning:
    """How boards are turned; only a job with grooves on both faces is held to what that takes of its boards.

    Args:
        table: as read.
        boards: all of the job's.
        orders: the cut list.
        written: keys that stand in the table.
        faults: what is wrong is added here.
    """
    places = tuple(sorted(table.dowel_places or ()))
    is_turned = any(order.grooves_bottom for order in orders)
    faults += _tolerance_faults(table)
    if is_turned:
        problem = "a board with grooves on both faces is turned over on its long middle line, so it must be a rectangle"
        fix = "Give width and height of a rectangle in it."
        faults += [
            Fault(where=f"[[board]] {board.id} outline", problem=problem, fix=fix)
            for board in boards
            if board.outline is not None
        ]
    if table.by is TurnBy.FENCE:
        faults += _useless_faults(written)
        faults += _unmeasured_faults(boards) if is_turned else []
    else:
        faults += [*_dowel_faults(table), *_count_faults(table, places)]
        faults += _place_faults(table, places, boards)
    return Turning(
        by=table.by,
        tolerance_mm=table.tolerance,
        dowel_diameter_mm=table.dowel_diameter,
        dowel_depth_mm=table.dowel_depth,
        dowel_count=len(places) or table.dowel_count or LEAST_DOWELS,
        dowel_places_mm=places,
    )


def _tolerance_faults(table: TurningTable) -> list[Fault]:
    if table.tolerance <= MOST_TURNED_OFF_MM:
        return []
    found, limit = (show_length(length) for length in (table.tolerance, MOST_TURNED_OFF_MM))
    problem = f"a board so far out of line cannot be cut on both faces; the limit is {limit}"
    fix = "Turn it on tighter dowels, or measure it better."
    return [Fault(where="[turning] tolerance", found=found, problem=problem, fix=fix)]


def _useless_faults(written: Sequence[str]) -> list[Fault]:
    fix = 'Write by = "dowels", or leave it out.'
    return [
        Fault(where=f"[turning] {key}", problem='of no use with by = "fence"', fix=fix)
        for key in _DOWEL_KEYS
        if key in written
    ]


def _unmeasured_faults(boards: Sequence[Board]) -> list[Fault]:
    loose = [board.id for board in boards if not board.height_is_measured]
    if not loose:
        return []
    problem = (
        f"against a fence the board's far edge takes the near one's place, so that an error in its height puts the"
        f" faces as far apart, and board {loose[0]} has no measured height"
    )
    fix = 'Measure it across, write height_measured = true in [[board]], or turn it on dowels: by = "dowels".'
    return [Fault(where="[turning] by", found="fence", problem=problem, fix=fix)]


def _dowel_faults(table: TurningTable) -> list[Fault]:
    faults = []
    if not LEAST_DOWEL_MM <= table.dowel_diameter <= MOST_DOWEL_MM:
        lengths = (table.dowel_diameter, LEAST_DOWEL_MM, MOST_DOWEL_MM)
        found, low, high = (show_length(length) for length in lengths)
        problem = f"too thin to hold a board or too thick for its end: the limits are {low} and {high}"
        faults.append(Fault(where="[turning] dowel_diameter", found=found, problem=problem))
    if table.dowel_depth and table.dowel_depth < LEAST_DOWEL_DEPTH_MM:
        found, limit = (show_length(length) for length in (table.dowel_depth, LEAST_DOWEL_DEPTH_MM))
        problem = f"too shallow to hold the dowel upright; the limit is {limit}"
        fix = "Leave it out, and the bit goes as deep as it reaches."
        faults.append(Fault(where="[turning] dowel_depth", found=found, problem=problem, fix=fix))
    return faults


def _count_faults(table: TurningTable, places: Sequence[float]) -> list[Fault]:
    if table.dowel_places is not None and table.dowel_count not in (None, len(places)):
        problem = f"but dowel_places names {len(places)}"
        found = str(table.dowel_count)
        return [Fault(where="[turning] dowel_count", found=found, problem=problem, fix="Leave one of them out.")]
    key = "dowel_places" if table.dowel_places is not None else "dowel_count"
    count = len(places) if table.dowel_places is not None else table.dowel_count or LEAST_DOWELS
    if LEAST_DOWELS <= count <= MOST_DOWELS:
        return []
    problem = f"a board is turned on {LEAST_DOWELS} to {MOST_DOWELS} dowels; on one it swings"
    return [Fault(where=f"[turning] {key}", found=str(count), problem=problem)]


def _place_faults(table: TurningTable, places: Sequence[float], boards: Sequence[Board]) -> list[Fault]:
    where = "[turning] dowel_places"
    half = table.dowel_diameter / 2
    faults = []
    for board in boards:
        outside = [place for place in places if not half < place < board.width_mm - half]
        if outside and board.width_mm > 0:
            found, width = (show_length(length) for length in (outside[0], board.width_mm))
            problem = f"its hole does not lie in board {board.id}, which is {width} long"
            faults.append(Fault(where=where, found=found, problem=problem))
            break
    apart = _LEAST_APART_DIAMETERS * table.dowel_diameter
    near = [second for first, second in pairwise(places) if second - first < apart]
    if near:
        found, limit = (show_length(length) for length in (near[0], apart))
        problem = f"nearer than {limit}, three diameters, to the dowel before it"
        faults.append(Fault(where=where, found=found, problem=problem, fix="Spread them over the board's length."))
    return faults
