"""Does the bit stay where it may go: within the machine and the board, high enough, clear of clamps, not too deep?

These need no manifest beyond a board, bits and a machine.
"""

import math
from collections.abc import Sequence
from typing import Final

import numpy as np

from platelayer.gcode.board_frame import board_area
from platelayer.gcode.moves import BoardMoves, Bools, Rows
from platelayer.geometry.regions import Area, distance_between_mm, distances_mm, line_through, to_area
from platelayer.geometry.turning import turned_places
from platelayer.manifest.schema import ManifestMachine
from platelayer.proof.checks.rows import where_of, worst_by_file, worst_of
from platelayer.proof.dowels import spoilboard_mm
from platelayer.tolerances import COINCIDENT_MM, FLATTEN_CHORD_MM, PROGRAM_STEP_MM, RAPID_CLEARANCE_MM
from platelayer.units import show_place, show_small
from platelayer.values.findings import Code, Finding
from platelayer.values.motion import Floats, MoveKind

_AXES: Final = "XYZ"


def check_rapids(moves: BoardMoves) -> tuple[Finding, ...]:
    """No rapid has a point lower than RAPID_CLEARANCE_MM above the wood, pure lifts excepted; one finding a file."""
    level = np.hypot(*(moves.high - moves.low).T) <= COINCIDENT_MM
    lifts = level & (moves.depth[:, 1] <= moves.depth[:, 0])
    low = (moves.kind == MoveKind.RAPID) & (moves.depth.max(axis=1) > COINCIDENT_MM - RAPID_CLEARANCE_MM) & ~lifts
    by_file = worst_by_file(moves, np.flatnonzero(low), moves.depth.max(axis=1))
    return tuple(_low_rapid(moves, rows, worst, -depth) for rows, worst, depth in by_file)


def _low_rapid(moves: BoardMoves, rows: Sequence[int], worst: int, height: float) -> Finding:
    side = "above" if height >= 0 else "below"
    return Finding(
        code=Code.TRAVEL_LOW_RAPID,
        text=f"G0 goes {show_small(abs(height))} {side} the top of the wood; "
        f"a rapid stays at least {show_small(RAPID_CLEARANCE_MM)} above it{_and_more(rows)}.",
        advice="Raise the safe height, or make the job again if the file was changed.",
        where=where_of(moves, worst),
        measured=height,
        limit=RAPID_CLEARANCE_MM,
    )


def check_depth(moves: BoardMoves) -> tuple[Finding, ...]:
    """No tip goes further below the board than its allowance, in a dowel's hole than the dowel; one finding a file."""
    limit, deepest = moves.board.thickness_mm + spoilboard_mm(moves), moves.depth.max(axis=1)
    found = []
    for rows, worst, depth in worst_by_file(moves, np.flatnonzero(deepest > limit + PROGRAM_STEP_MM), deepest):
        below = depth - moves.board.thickness_mm
        found.append(
            Finding(
                code=Code.TRAVEL_TOO_DEEP,
                text=f"the bit goes {show_small(below)} below the board; the spoilboard allows "
                f"{show_small(moves.board.allowance_mm)}{_and_more(rows)}.",
                advice="Check thickness and zero of the board, or make the job again if the file was changed.",
                where=where_of(moves, worst),
                measured=below,
                limit=moves.board.allowance_mm,
            )
        )
    return tuple(found)


def check_on_board(moves: BoardMoves) -> tuple[Finding, ...]:
    """While its tip is below the face, the bit's centre stays over the board; one finding a file."""
    over = _past_edge_mm(moves)
    found = []
    off = np.flatnonzero((over > PROGRAM_STEP_MM) & (moves.depth.max(axis=1) > COINCIDENT_MM))
    for rows, worst, past in worst_by_file(moves, off, over):
        found.append(
            Finding(
                code=Code.TRAVEL_OFF_BOARD,
                text=f"the bit goes {show_small(past)} past the edge of board {moves.board.id} "
                f"while it is down{_and_more(rows)}.",
                advice="Use a larger board or wider margins, or make the job again if the file was changed.",
                where=where_of(moves, worst),
                measured=past,
                limit=0.0,
            )
        )
    return tuple(found)


def _past_edge_mm(moves: BoardMoves) -> Floats:
    """(n,) how far past the edge of the wood a move goes; 0 where it does not, or stays above the face."""
    size = np.asarray(moves.board.size_mm)
    over: Floats = np.maximum(moves.high - size, -moves.low).max(axis=1, initial=0.0)
    if moves.board.outline is not None:
        wood = board_area(moves.board)
        for row in np.flatnonzero(moves.depth.max(axis=1) > COINCIDENT_MM).tolist():
            over[row] = float(distances_mm(wood, moves.plan(row)).max())
            if not over[row] and not wood.covers(line_through(moves.plan(row))):
                over[row] = math.dist(moves.plan(row)[0], moves.plan(row)[-1]) / 2
    return over


def check_extents(moves: BoardMoves, machine: ManifestMachine) -> tuple[Finding, ...]:
    """Every file fits the machine: within its travel where the board's zero is known, else no larger than the travel.

    Along X and Y moves before the first that goes anywhere there are left out, since nobody knows where they begin;
    heights count from the first move's end on.
    """
    found: list[Finding] = []
    is_moving = np.hypot(*(moves.high - moves.low).T) > 0
    for number in range(len(moves.files)):
        mine = np.flatnonzero(moves.file == number)
        away = mine[is_moving[mine]]
        if len(away):
            found += _extents(moves, mine, int(away[0] - mine[0]), number, machine)
    return tuple(found)


def _extents(moves: BoardMoves, rows: Rows, begun: int, number: int, machine: ManifestMachine) -> list[Finding]:
    """How far a file's rows, known in X and Y from the one numbered ``begun`` on, go past the machine's travel."""
    motion, turn = moves.motions[number], moves.files[number].turn_y_mm
    low, high = moves.low[rows[begun:]], moves.high[rows[begun:]]
    if turn is not None:
        low, high = turned_places(low, turn), turned_places(high, turn)
        low, high = np.minimum(low, high), np.maximum(low, high)
    heights = motion.end[moves.row[rows], 2]
    found = []
    for axis, travel in enumerate(machine.travel_mm):
        lows, highs = (heights, heights) if axis == 2 else (low[:, axis], high[:, axis])
        least, most = float(lows.min()), float(highs.max())
        first = 0 if axis == 2 else begun
        at = first + int(highs.argmax())
        if machine.zero_at is None:
            over, what = most - least - travel, f"needs {show_small(most - least)} along {_AXES[axis]}"
        else:
            zero = machine.zero_at[axis]
            above, below = most + zero - travel, -(least + zero)
            at = at if above >= below else first + int(lows.argmin())
            over = max(above, below)
            what = f"goes {show_small(over)} past the end of {_AXES[axis]}"
        if travel > 0 and over > PROGRAM_STEP_MM:
            found.append(
                Finding(
                    code=Code.TRAVEL_OUTSIDE,
                    text=f"{motion.name} {what}; machine {machine.id} travels {show_small(travel)}.",
                    advice="Use a smaller board, or move the board's zero.",
                    where=where_of(moves, int(rows[at])),
                    measured=travel + over,
                    limit=travel,
                )
            )
    return found


def _begun(moves: BoardMoves) -> Bools:
    """(n,) from the first move of each file on that goes anywhere in X or Y."""
    is_moving = np.hypot(*(moves.high - moves.low).T) > 0
    begun = np.zeros(len(moves), np.bool_)
    for number in range(len(moves.files)):
        mine = np.flatnonzero(moves.file == number)
        begun[mine] = np.maximum.accumulate(is_moving[mine])
    return begun


def check_no_go(moves: BoardMoves, machine: ManifestMachine) -> tuple[Finding, ...]:
    """Neither bit, shank nor holder enters a no-go area lower than its height; the worst of each file and part.

    Moves before the first that goes anywhere in X or Y are left out, since nobody knows where they begin.

    The bit's shank begins at its cutting length, the holder at the bit's reach; where that is unknown it is taken to
    begin a shank's diameter above the cutting length.
    """
    found = []
    known = _begun(moves)
    for number, area in enumerate(moves.board.no_go):
        outline = to_area(area.outline, chord_mm=FLATTEN_CHORD_MM)
        title = area.title or f"no-go area {number + 1}"
        parts = (("bit", 0.0, 1.0, 0.0), ("shank", 1.0, 0.0, 0.5), ("holder", 1.0, 0.0, 0.0))
        for name, above_cut, of_bit, of_shank in parts:
            lift, reach = _part_sizes(moves, machine, name, above_cut, of_bit, of_shank)
            low = (lift - moves.depth.max(axis=1) < area.height_mm - COINCIDENT_MM) & (reach > 0)
            near = _box_near(moves, outline.bounds, reach) & known
            rows = [row for row in np.flatnonzero(low & near).tolist() if _enters(moves, row, outline, reach[row])]
            hits = worst_by_file(moves, np.asarray(rows, np.intp), moves.depth.max(axis=1) - lift)
            found += [_no_go(moves, hit, name, title, area.height_mm) for hit in hits]
    return tuple(found)


def check_holder(moves: BoardMoves, machine: ManifestMachine) -> tuple[Finding, ...]:
    """The holder stays RAPID_CLEARANCE_MM above the wood at least; the deepest move of each bit that breaks this."""
    found = []
    for number, bit in enumerate(moves.bits):
        rows = np.flatnonzero((moves.bit == number) & (bit.reach_mm > 0))
        deep = rows[moves.depth[rows].max(axis=1) > bit.reach_mm - RAPID_CLEARANCE_MM + COINCIDENT_MM]
        deep = deep[_over_wood(moves, deep, machine.holder_diameter_mm / 2)]
        if len(deep):
            worst, depth = worst_of(deep.tolist(), moves.depth.max(axis=1))
            found.append(
                Finding(
                    code=Code.TRAVEL_HOLDER,
                    text=f"bit {bit.id} goes {show_small(depth)} deep, and only {show_small(bit.reach_mm)} of it "
                    f"stands out of the holder: the holder comes down on the wood; {show_small(RAPID_CLEARANCE_MM)} "
                    "stays between.",
                    advice="Let the bit stand out further if its shank allows (stick_out in [[bit]]), or use a longer "
                    "one.",
                    where=where_of(moves, worst),
                    measured=depth,
                    limit=bit.reach_mm - RAPID_CLEARANCE_MM,
                )
            )
    return tuple(found)


def _over_wood(moves: BoardMoves, rows: Rows, holder_mm: float) -> Bools:
    """(k,) the holder is over the board somewhere on the way."""
    wide, high = moves.board.size_mm
    low, top = moves.low[rows] - holder_mm, moves.high[rows] + holder_mm
    over: Bools = (top[:, 0] > 0) & (top[:, 1] > 0) & (low[:, 0] < wide) & (low[:, 1] < high)
    return over


def _part_sizes(
    moves: BoardMoves, machine: ManifestMachine, name: str, above_cut: float, of_bit: float, of_shank: float
) -> tuple[np.ndarray, np.ndarray]:
    """(n,) height of a part's lower end above the tip and (n,) its radius; radius 0 where it is unknown."""
    blank = np.zeros(1)
    length = np.append([bit.cutting_length_mm for bit in moves.bits], blank)[moves.bit]
    shank = np.append([bit.shank_mm for bit in moves.bits], blank)[moves.bit]
    if name == "holder":
        reach = np.append([bit.reach_mm for bit in moves.bits], blank)[moves.bit]
        radius = np.where((length > 0) | (reach > 0), machine.holder_diameter_mm / 2, 0.0)
        return np.where(reach > 0, reach, length + shank), radius
    radius = of_bit * moves.radius + of_shank * np.where(length > 0, shank, 0.0)
    return above_cut * length, radius


def _box_near(moves: BoardMoves, box: tuple[float, float, float, float], reach: np.ndarray) -> Bools:
    low, high = np.asarray(box[:2]), np.asarray(box[2:])
    is_near: Bools = ((moves.low - reach[:, None] < high) & (moves.high + reach[:, None] > low)).all(axis=1)
    return is_near


def _enters(moves: BoardMoves, row: int, outline: Area, reach_mm: float) -> bool:
    return distance_between_mm(line_through(moves.plan(row)), outline) < reach_mm - PROGRAM_STEP_MM


def _no_go(
    moves: BoardMoves, hit: tuple[Sequence[int], int, float], name: str, title: str, height_mm: float
) -> Finding:
    rows, worst, below = hit
    at = -below
    return Finding(
        code=Code.TRAVEL_NO_GO,
        text=f"the {name} goes through {title} at {show_place(moves.end(worst))}, {show_small(at)} above the wood; "
        f"it must stay above {show_small(height_mm)} there{_and_more(rows)}.",
        advice="Move the clamp or screw, or raise the safe height above it.",
        where=where_of(moves, worst),
        measured=at,
        limit=height_mm,
    )


def _and_more(rows: Sequence[int]) -> str:
    return f", and so do {len(rows) - 1} more moves" if len(rows) > 1 else ""
