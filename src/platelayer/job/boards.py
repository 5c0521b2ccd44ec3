"""Boards and no-go areas, from the models to values."""

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from platelayer.errors import Fault
from platelayer.geometry.contours import circle, polygon, rectangle
from platelayer.geometry.regions import is_simple
from platelayer.job.entry_models import BoardTable, NoGoTable
from platelayer.job.job_models import CuttingTable, JobFile
from platelayer.job.limits import MOST_SCATTER_MM
from platelayer.job.names import entry_labels, entry_names
from platelayer.job.track_models import STOCK_MM, TrackTable
from platelayer.tolerances import COINCIDENT_MM, DEPTH_MM
from platelayer.units import inches, show_length
from platelayer.values.shapes import Contour, Point
from platelayer.values.tooling import Board, Machine, NoGo

SCATTER_MM: Final = 0.2
"""How far a board strays from its stated thickness unless said otherwise. Common practice, no source."""
SCATTER_MEASURED_MM: Final = 0.1
"""The same for a board measured by caliper. Common practice, no source."""
MARGIN_MM: Final = inches(1 / 4)
"""Wood kept at a board's edge, and at either end of a strip for its clamps, where nobody says. Common practice, no
source."""
STRIP_MARGIN_MM: Final = inches(1)
_MOST_APART_MM: Final = 1.0
"""A board further than this from the track's thickness was meant for other track. Common practice, no source."""


def boards_of(
    tables: Sequence[BoardTable],
    entries: Sequence[object],
    track: TrackTable,
    *,
    faults: list[Fault],
) -> tuple[Board, ...]:
    """The boards of a job in the order written, counted ones one after the other.

    Args:
        tables: as read.
        entries: as written, for their names.
        track: for the thickness of a board that names none; without either it is asked for.
        faults: what is wrong is added here.
    """
    names, labels = entry_names("board", entries), entry_labels("board", entries)
    boards: list[Board] = []
    for table, ids, label in zip(tables, names, labels, strict=True):
        where = f"[[board]] {label}"
        board = _board(table, ids[0], where, track, faults)
        faults += _thickness_faults(board, track, where)
        if {other.id for other in boards}.intersection(ids):
            problem, fix = "there is another board of this id", "Give each its own."
            faults.append(Fault(where=f"{where} id", found=ids[0], problem=problem, fix=fix))
        if boards and abs(board.thickness_mm - boards[0].thickness_mm) > DEPTH_MM:
            faults.append(_uneven(board, boards[0], where))
        boards += [replace(board, id=board_id) for board_id in ids]
    if not tables:
        fix = "Write a [[board]] with width and height."
        faults.append(Fault(where="[[board]]", problem="missing: no wood to cut", fix=fix))
    return tuple(boards)


def wood_mm(model: JobFile) -> float:
    """How thick the pieces come out: as the first board is, all being of one thickness, or as the track says."""
    said = model.board[0].thickness if model.board else None
    return said or model.track.thickness or STOCK_MM


def _board(table: BoardTable, board_id: str, where: str, track: TrackTable, faults: list[Fault]) -> Board:
    is_strip = table.kind == "strip"
    width, height = (table.width, table.height) if table.outline is None else _outline_size(table, where, faults)
    height = track.width if is_strip and height is None else height
    for key, side in (("width", width), ("height", height)):
        if side is None:
            faults.append(Fault(where=f"{where} {key}", problem="missing"))
    if table.thickness is None and track.thickness is None:
        fix = 'Measure it with a caliper and write it, as in thickness = "12.5 mm".'
        faults.append(Fault(where=f"{where} thickness", problem="missing", fix=fix))
    no_go: list[NoGo] = []
    for number, entry in enumerate(table.no_go, start=1):
        no_go += _no_go(entry, f"{where} no_go {number}", faults)
    usual_scatter = SCATTER_MEASURED_MM if table.thickness_measured else SCATTER_MM
    return Board(
        id=board_id,
        width_mm=width or 0.0,
        height_mm=height or 0.0,
        thickness_mm=table.thickness or track.thickness or STOCK_MM,
        scatter_mm=usual_scatter if table.scatter is None else table.scatter,
        thickness_is_measured=table.thickness_measured,
        height_is_measured=table.height_measured,
        zero=table.zero,
        margin_mm=(STRIP_MARGIN_MM if is_strip else MARGIN_MM) if table.margin is None else table.margin,
        is_strip=is_strip,
        grain_rad=table.grain,
        no_go=tuple(no_go),
        outline=None if table.outline is None else _ring(table.outline),
        fence_error_mm=table.fence_error,
    )


def _outline_size(table: BoardTable, where: str, faults: list[Fault]) -> tuple[float, float]:
    """Width and height of an offcut: the sides of the box about its corners, whose near left corner is the zero."""
    corners = table.outline or []
    xs, ys = [x for x, _ in corners] or [0.0], [y for _, y in corners] or [0.0]
    for key in ("width", "height"):
        if getattr(table, key) is not None:
            problem = "of no use beside an outline, which says how large the board is"
            faults.append(Fault(where=f"{where} {key}", problem=problem, fix="Leave one of the two out."))
    if len(corners) < 3 or not _twice_area(corners) or not is_simple(_ring(corners)):
        problem = "an outline has three corners or more, not all in line, and does not cross itself"
        faults.append(Fault(where=f"{where} outline", problem=problem, fix="List the corners in order round it."))
    elif max(abs(min(xs)), abs(min(ys))) > COINCIDENT_MM:
        found = " and ".join(show_length(least) for least in (min(xs), min(ys)))
        problem = "its least x and least y must be 0, as the machine's zero is set on them"
        faults.append(Fault(where=f"{where} outline", found=found, problem=problem, fix="Count from there."))
    return max(xs), max(ys)


def _thickness_faults(board: Board, track: TrackTable, where: str) -> list[Fault]:
    faults = []
    if track.thickness is not None and abs(board.thickness_mm - track.thickness) > _MOST_APART_MM:
        wanted = show_length(track.thickness)
        problem = f"pieces come out as thick as the board, but [track] thickness is {wanted}"
        found = show_length(board.thickness_mm)
        faults.append(Fault(where=f"{where} thickness", found=found, problem=problem, fix="Make the two agree."))
    if board.scatter_mm > MOST_SCATTER_MM:
        found, limit = (show_length(length) for length in (board.scatter_mm, MOST_SCATTER_MM))
        problem = f"a board so uneven cannot be cut to depth; the limit is {limit}"
        fix = "Plane the board, or measure it and write thickness_measured = true."
        faults.append(Fault(where=f"{where} scatter", found=found, problem=problem, fix=fix))
    return faults


def _uneven(board: Board, first: Board, where: str) -> Fault:
    wanted, found = (show_length(one.thickness_mm) for one in (first, board))
    problem = f"the boards of a job are cut to one depth, and board {first.id} is {wanted} thick"
    fix = "Write one thickness and a scatter that covers both, plane them alike, or make a job for each."
    return Fault(where=f"{where} thickness", found=found, problem=problem, fix=fix)


def machine_faults(boards: Sequence[Board], machine: Machine, cutting: CuttingTable) -> list[Fault]:
    """Boards that the machine cannot reach: too long, too wide, or too high under the bit."""
    faults = []
    for board in boards:
        if not board.is_strip:  # fed along, where it is longer than the machine
            faults += _side_faults(board, "width", board.width_mm, machine.travel_mm[0], machine)
            faults += _side_faults(board, "height", board.height_mm, machine.travel_mm[1], machine)
        high = board.thickness_mm + machine.safe_z_mm + cutting.spoilboard_allowance
        if high > machine.travel_mm[2]:
            lengths = (board.thickness_mm, high, machine.travel_mm[2])
            found, need, limit = (show_length(length) for length in lengths)
            problem = f"with the safe height over it needs {need} of z, and the {machine.title} travels {limit}"
            faults.append(Fault(where=f"[[board]] {board.id} thickness", found=found, problem=problem))
    return faults


def _side_faults(board: Board, key: str, side_mm: float, travel_mm: float, machine: Machine) -> list[Fault]:
    where = f"[[board]] {board.id} {key}"
    found = show_length(side_mm)
    if side_mm > travel_mm:
        problem = f"more than the {machine.title} travels, {show_length(travel_mm)}"
        return [Fault(where=where, found=found, problem=problem, fix="Cut the board to fit.")]
    if 0 < side_mm <= 2 * board.margin_mm:
        problem = f"nothing is left within a margin of {show_length(board.margin_mm)} on each side"
        return [Fault(where=where, found=found, problem=problem)]
    return []


def _no_go(table: NoGoTable, where: str, faults: list[Fault]) -> list[NoGo]:
    """The area of one entry, in a list of one; none when it is no shape."""
    corner = None if table.x is None or table.y is None else (table.x, table.y)
    sizes = (table.width, table.height)
    is_box = corner is not None and None not in sizes and table.diameter is None
    is_disc = corner is not None and table.diameter is not None and sizes == (None, None)
    is_polygon = table.outline is not None and (table.x, table.y, *sizes, table.diameter) == (None,) * 5
    if not (is_polygon or (table.outline is None and (is_box or is_disc))):
        problem = "needs x, y, width and height for a box, or x, y and diameter for a disc, or an outline alone"
        faults.append(Fault(where=where, problem=problem))
        return []
    if table.outline is not None:
        if len(table.outline) < 3 or not _twice_area(table.outline):
            problem = "an area has three corners or more, not all in line"
            faults.append(Fault(where=f"{where} outline", problem=problem))
            return []
        outline = _ring(table.outline)
    elif corner is not None and table.diameter is not None:
        outline = circle(corner, table.diameter / 2)
    else:
        x, y = corner or (0.0, 0.0)
        right, far = x + (table.width or 0.0), y + (table.height or 0.0)
        outline = rectangle((x, y), (right, far))
    return [NoGo(outline, table.rise, table.title)]


def _ring(corners: Sequence[Point]) -> Contour:
    """The closed contour through these corners, counter-clockwise whichever way they were written."""
    return polygon(corners if _twice_area(corners) > 0 else corners[::-1])


def _twice_area(corners: Sequence[Point]) -> float:
    pairs = zip(corners, [*corners[1:], corners[0]], strict=True)
    return math.fsum(a[0] * b[1] - b[0] * a[1] for a, b in pairs)
