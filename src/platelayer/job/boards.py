"""Boards, no-go areas and holding, from the models to values."""

import math
from collections.abc import Sequence
from typing import Final

from platelayer.errors import Fault
from platelayer.job.job_models import BoardTable, CuttingTable, HoldingTable, NoGoTable, TrackTable
from platelayer.job.names import entry_names
from platelayer.units import LengthUnit, show_length
from platelayer.values.shapes import Arc, Contour, Line, Point
from platelayer.values.tooling import Board, Holding, HoldingKind, Machine, NoGo

TAB_LEAST_MM: Final = 1.5
"""A tab is at least this high beside the board's scatter, or it breaks while the piece is cut. Common practice, no source."""
TAB_MOST_SHARE: Final = 0.25
"""A tab is at most this share of the board's thickness, to be sawn by hand. Common practice, no source."""
SKIN_LEAST_MM: Final = 0.4
"""A skin is at least this thick beside the board's scatter. Common practice, no source."""
_SPARE_MM: Final = 0.3
"""What a chosen tab or skin has above the least, where the board allows. Common practice, no source."""
_SCATTER_MM: Final = 0.2
_SCATTER_MEASURED_MM: Final = 0.1
_MOST_SCATTER_MM: Final = 2.0
_MOST_APART_MM: Final = 1.0
"""A board further than this from the track's thickness was meant for other track. Common practice, no source."""
_SHORT_PIECE_TABS: Final = 4
_SHORT_PIECE_MM: Final = 100.0


def boards_of(
    tables: Sequence[BoardTable], track: TrackTable, *, unit: LengthUnit, faults: list[Fault]
) -> tuple[Board, ...]:
    """The boards of a job in the order written, counted ones one after the other.

    Args:
        tables: as written.
        track: for the thickness of a board that names none.
        unit: the unit that is shown first.
        faults: what is wrong is added here.
    """
    names = entry_names("board", [{"id": table.id, "count": table.count} for table in tables])
    boards: list[Board] = []
    for table, ids in zip(tables, names, strict=True):
        where = f"[[board]] {ids[0]}"
        for key in ("width", "height"):
            if getattr(table, key) is None:
                faults.append(Fault(where=f"{where} {key}", problem="missing"))
        thickness = table.thickness or track.thickness
        board = Board(
            id=ids[0],
            width_mm=table.width or 0.0,
            height_mm=table.height or 0.0,
            thickness_mm=thickness,
            scatter_mm=_scatter(table),
            thickness_is_measured=table.thickness_measured,
            zero=table.zero,
            margin_mm=table.margin,
            grain_rad=table.grain,
            no_go=tuple(
                area
                for number, entry in enumerate(table.no_go, start=1)
                for area in _no_go(entry, f"{where} no_go {number}", faults)
            ),
        )
        faults += _thickness_faults(board, track, where, unit)
        taken = {other.id for other in boards}
        boards += [Board(**{**_fields(board), "id": board_id}) for board_id in ids]  # type: ignore[arg-type]
        if taken.intersection(ids):
            faults.append(Fault(where=where, problem="there is another board of this id", mend="Give each its own."))
    if not tables:
        faults.append(
            Fault(where="[[board]]", problem="missing: no wood to cut", mend="Write a [[board]] with width and height.")
        )
    return tuple(boards)


def _fields(board: Board) -> dict[str, object]:
    return {name: getattr(board, name) for name in Board.__slots__}


def _scatter(table: BoardTable) -> float:
    if table.scatter is not None:
        return table.scatter
    return _SCATTER_MEASURED_MM if table.thickness_measured else _SCATTER_MM


def _thickness_faults(board: Board, track: TrackTable, where: str, unit: LengthUnit) -> list[Fault]:
    faults = []
    if abs(board.thickness_mm - track.thickness) > _MOST_APART_MM:
        wanted = show_length(track.thickness, first=unit)
        problem = f"pieces come out as thick as the board, but [track] thickness is {wanted}"
        found = show_length(board.thickness_mm, first=unit)
        faults.append(Fault(where=f"{where} thickness", found=found, problem=problem, mend="Make the two agree."))
    if board.scatter_mm > _MOST_SCATTER_MM:
        found, limit = (show_length(length, first=unit) for length in (board.scatter_mm, _MOST_SCATTER_MM))
        mend = "Plane the board, or measure it and write thickness_measured = true."
        problem = f"a board so uneven cannot be cut to depth; the limit is {limit}"
        faults.append(Fault(where=f"{where} scatter", found=found, problem=problem, mend=mend))
    return faults


def machine_faults(
    boards: Sequence[Board], machine: Machine, cutting: CuttingTable, *, unit: LengthUnit
) -> list[Fault]:
    """Boards that the machine cannot reach: too long, too wide, or too high under the bit."""
    faults = []
    for board in boards:
        where = f"[[board]] {board.id}"
        sides = (("width", board.width_mm, 0, "x"), ("height", board.height_mm, 1, "y"))
        for key, size, axis, letter in sides:
            if size > machine.travel_mm[axis]:
                found, limit = (show_length(length, first=unit) for length in (size, machine.travel_mm[axis]))
                problem = f"more than {machine.title} travels in {letter}, {limit}"
                faults.append(Fault(where=f"{where} {key}", found=found, problem=problem, mend="Cut the board to fit."))
            elif 0 < size <= 2 * board.margin_mm:
                margin = show_length(board.margin_mm, first=unit)
                problem = f"nothing is left within a margin of {margin} on each side"
                found = show_length(size, first=unit)
                faults.append(Fault(where=f"{where} {key}", found=found, problem=problem))
        high = board.thickness_mm + machine.safe_z_mm + cutting.spoilboard_allowance
        if high > machine.travel_mm[2]:
            found, need, limit = (
                show_length(length, first=unit) for length in (board.thickness_mm, high, machine.travel_mm[2])
            )
            problem = f"with the safe height over it needs {need} of z, and {machine.title} travels {limit}"
            faults.append(Fault(where=f"{where} thickness", found=found, problem=problem))
    return faults


def _no_go(table: NoGoTable, where: str, faults: list[Fault]) -> list[NoGo]:
    """The area of one entry, in a list of one; none when it is no shape."""
    is_box = table.width is not None and table.height is not None
    shapes = (is_box, table.diameter is not None, table.outline is not None)
    if sum(shapes) != 1 or (table.outline is None and (table.x is None or table.y is None)):
        problem = "needs x, y, width and height for a box, or x, y and diameter for a disc, or an outline"
        faults.append(Fault(where=where, problem=problem))
        return []
    x, y = table.x or 0.0, table.y or 0.0
    if table.outline is not None:
        if len(table.outline) < 3 or not _twice_area(table.outline):
            faults.append(Fault(where=f"{where} outline", problem="an area has three corners or more, not all in line"))
            return []
        outline = polygon(table.outline)
    elif table.diameter is not None:
        start = (x + table.diameter / 2, y)
        outline = Contour((Arc(start, start, (x, y), is_ccw=True),), is_closed=True)
    else:
        right, far = x + (table.width or 0.0), y + (table.height or 0.0)
        outline = polygon([(x, y), (right, y), (right, far), (x, far)])
    return [NoGo(outline, table.rise, table.title)]


def polygon(corners: Sequence[Point]) -> Contour:
    """The closed contour through these corners, counter-clockwise whichever way they were written."""
    ring = list(corners) if _twice_area(corners) > 0 else list(reversed(corners))
    return Contour(tuple(Line(a, b) for a, b in zip(ring, [*ring[1:], ring[0]], strict=True)), is_closed=True)


def _twice_area(corners: Sequence[Point]) -> float:
    pairs = zip(corners, [*corners[1:], corners[0]], strict=True)
    return math.fsum(a[0] * b[1] - b[0] * a[1] for a, b in pairs)


def holding_of(table: HoldingTable, boards: Sequence[Board], *, unit: LengthUnit, faults: list[Fault]) -> Holding:
    """How pieces are held; what the person left open is chosen from the thinnest and the least even board.

    Args:
        table: as written.
        boards: all of the job's.
        unit: the unit that is shown first.
        faults: what is wrong is added here.
    """
    scatter = max((board.scatter_mm for board in boards), default=_SCATTER_MM)
    thickness = min((board.thickness_mm for board in boards), default=math.inf)
    if table.kind is HoldingKind.SKIN:
        faults += _skin_faults(table, boards, scatter, thickness, unit)
    else:
        faults += _tab_faults(table, scatter, thickness, unit)
    return Holding(
        kind=table.kind,
        tab_width_mm=table.tab_width,
        tab_height_mm=table.tab_height or min(TAB_LEAST_MM + scatter + _SPARE_MM, thickness * TAB_MOST_SHARE),
        tab_count=table.tab_count or 0,
        skin_mm=(table.skin or SKIN_LEAST_MM + scatter) if table.kind is HoldingKind.SKIN else 0.0,
    )


def _tab_faults(table: HoldingTable, scatter: float, thickness: float, unit: LengthUnit) -> list[Fault]:
    least, most = TAB_LEAST_MM + scatter, thickness * TAB_MOST_SHARE
    low, high = (show_length(length, first=unit) for length in (least, most))
    limits = f"the limits are {low}, which is 1.5 mm and the board's scatter, and {high}, a quarter of the board"
    if least > most:
        problem = f"the board is too thin or too uneven for tabs: {limits}"
        return [Fault(where="[holding] kind", found="tabs", problem=problem, mend='Hold by a skin: kind = "skin".')]
    if table.skin:
        mend = 'Write kind = "skin", or leave skin out.'
        return [
            Fault(
                where="[holding] skin",
                found=show_length(table.skin, first=unit),
                problem="of no use with tabs",
                mend=mend,
            )
        ]
    if table.tab_height and not least <= table.tab_height <= most:
        found = show_length(table.tab_height, first=unit)
        word = "too low to hold" if table.tab_height < least else "too high to saw"
        return [Fault(where="[holding] tab_height", found=found, problem=f"{word}: {limits}")]
    return []


def _skin_faults(
    table: HoldingTable, boards: Sequence[Board], scatter: float, thickness: float, unit: LengthUnit
) -> list[Fault]:
    faults = []
    for board in boards:
        if board.zero != "spoilboard" and not board.thickness_is_measured:
            problem = f"a skin needs a known floor, and board {board.id} has its zero on top and no measured thickness"
            mend = 'Write zero = "spoilboard", or measure it and write thickness_measured = true.'
            faults.append(Fault(where="[holding] kind", found="skin", problem=problem, mend=mend))
            break
    least, most = SKIN_LEAST_MM + scatter, thickness * TAB_MOST_SHARE
    if table.skin and not least <= table.skin <= most:
        found, low, high = (show_length(length, first=unit) for length in (table.skin, least, most))
        word = "too thin to hold" if table.skin < least else "too thick to part by hand"
        problem = (
            f"{word}: the limits are {low}, which is 0.4 mm and the board's scatter, and {high}, a quarter of the board"
        )
        faults.append(Fault(where="[holding] skin", found=found, problem=problem))
    return faults


def short_piece_fault(holding: Holding, lengths_mm: Sequence[float], *, unit: LengthUnit) -> list[Fault]:
    """A fault when fewer tabs are asked for than the shortest piece needs."""
    shortest = min(lengths_mm, default=math.inf)
    if holding.kind is not HoldingKind.TABS or not 0 < holding.tab_count < _SHORT_PIECE_TABS:
        return []
    if shortest >= _SHORT_PIECE_MM:
        return []
    found, limit = (show_length(length, first=unit) for length in (shortest, _SHORT_PIECE_MM))
    problem = f"a piece of {found} is shorter than {limit} and needs at least {_SHORT_PIECE_TABS} tabs, or a skin"
    mend = "Leave tab_count out, and each piece gets what it needs."
    return [Fault(where="[holding] tab_count", found=str(holding.tab_count), problem=problem, mend=mend)]
