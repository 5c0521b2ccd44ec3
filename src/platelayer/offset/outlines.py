"""The outline: round the piece in levels, then a finish pass, all by climb; over tabs, or down to a skin.

Glossary:
    loop: where the bit's centre goes round. near loop: the rough one beside the piece; wide loop: one further out, that
    widens a deep slot. lead: the way in waste between slot and finish path; here always on a long edge.

The bit comes to its wall from outside, and where an axis has slack it stands off by it until the way next turns. So a
finish loop begins close before a corner and overlaps its start: but for that bit of edge all is cut the same way round,
no side stands out more than the others, and a caliper finds the machine's slack in every width alike.

Spindle M3 turns the bit clockwise as seen from above. Clockwise round the outside the piece is on the right of travel
and the cut is climb. Roughing goes that way too: in a full slot the teeth push the bit across its travel to the left,
where it cuts conventionally, and so away from the piece; the other way round it would be drawn into the wall to be.
Source: textbook mechanics, derived here: the mean of N teeth whose chips are c sin(phi) thick over half a turn is
N a c Kt / 4 across the travel, a the depth, Kt the wood's resistance, edge terms left out.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from platelayer.errors import CannotCut, Fault
from platelayer.geometry.contours import inverse_pose, reversed_contour, started_at, transform_point
from platelayer.offset.depths import canyon_levels, deep_from_mm, finish_levels, levels
from platelayer.offset.entries import RAMP_RUN, lead_in, lead_out
from platelayer.offset.paths import Knot, nearest_along, steps_along
from platelayer.offset.pockets import OVERLAP_MM
from platelayer.offset.room import outline_depth_mm, widening_mm
from platelayer.offset.runs import Rim, loop_round, rim_of
from platelayer.offset.tabs import (
    END_CLEAR_MM,
    FLANK_RUN,
    Lifts,
    Sites,
    as_met,
    has_tabs,
    knots_over,
    place_tabs,
    sides_of,
    tab_height_mm,
)
from platelayer.tolerances import FINISH_ALLOWANCE_MM, LEAST_SKIN_MM
from platelayer.units import show_length
from platelayer.values.cuts import Cut, CutKind, Pass, Step, Tab
from platelayer.values.findings import Code, Finding, Severity, Where
from platelayer.values.pieces import Piece
from platelayer.values.shapes import Contour, Point
from platelayer.values.tooling import Bit, Board, CutData, Holding, Job

LEAD_RADIUS_MM: Final = 4.0
"""Radius of the leads' arcs: over the finish allowance they take about 1.3 mm of path."""

_LEAD_MM: Final = 1.5
"""More path than a lead over the finish allowance takes."""

_LEADS_MM: Final = 2 * _LEAD_MM + OVERLAP_MM
"""Path that two leads and the overlap between them take."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """The outline's cut, its tabs in the piece's own frame, and what was noticed."""

    cut: Cut
    tabs: tuple[Tab, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OutlineTask:
    """All that the outline of a piece is worked out from. Depth counts from the top of the board."""

    piece: Piece
    rim: Rim
    bit: Bit
    data: CutData
    board: Board
    holding: Holding
    depth_mm: float
    clearance_mm: float


def outline_task(piece: Piece, *, job: Job, board: Board, clearance_mm: float) -> OutlineTask:
    """What the job says of the outline of a piece, or of a stack of them, on this board with so much room round it."""
    bit = job.bit(job.outlines_bit)
    return OutlineTask(
        piece=piece,
        rim=rim_of(piece),
        bit=bit,
        data=job.cut_data(bit.id),
        board=board,
        holding=job.holding,
        depth_mm=outline_depth_mm(job, board),
        clearance_mm=clearance_mm,
    )


def cut_outline(task: OutlineTask) -> Outline:
    """Near loop, wide loop where the slot is deep, finish loops; all over the same tabs.

    Raises:
        CannotCut: no side for tabs or leads; a bit too wide to go round the piece or for the room kept round it.
    """
    bit = task.bit
    clear_mm = end_clear_mm(bit)
    reach_mm = bit.radius_mm + FINISH_ALLOWANCE_MM + _widening_mm(task)
    sides = tuple(as_met(side, reach_mm) for side in sides_of(task.piece))
    if not sides or sides[0].length_mm < 2 * clear_mm + _LEADS_MM:
        raise CannotCut(_no_side(task))
    tabs, begin = _tabs_and_begin(task, Sites(sides, _LEADS_MM, clear_mm))
    entry = sides[0].at(clear_mm + _LEAD_MM)
    if task.holding.kind.is_from_below and not tabs:
        return _freed_last(task, entry, begin)
    lifts = Lifts(
        tabs=tabs,
        top_z_mm=-task.board.thickness_mm + tab_height_mm(task.holding, task.board) if tabs else -task.depth_mm,
        lift_mm=task.holding.tab_width_mm + bit.diameter_mm,
    )
    passes, findings = _round(task, entry, begin, lifts)
    cut = Cut(piece_id=task.piece.id, kind=CutKind.OUTLINE, bit_id=bit.id, passes=tuple(passes))
    return Outline(cut=cut, tabs=tabs, findings=findings)


def _tabs_and_begin(task: OutlineTask, sites: Sites) -> tuple[tuple[Tab, ...], Point]:
    """Tabs, and where the finish loop is entered: near the beginning of a side, which is the corner that comes next.

    A side that begins at a notch is best, else the longest, where the rough loop ends. A piece too short to spare the
    place from tabs is entered where the rough loop is.

    Raises:
        CannotCut: no room for the tabs.
    """
    at = sites.end_clear_mm + _LEAD_MM + OVERLAP_MM
    long_enough = [i for i, side in enumerate(sites.sides) if side.length_mm >= 2 * (sites.end_clear_mm + _LEADS_MM)]
    number = next((i for i in long_enough if _is_at_a_notch(task.piece, sites.sides[i].contour.start)), 0)
    try:
        return _tabs(task, replace(sites, finish_side=number)), sites.sides[number].at(at)
    except CannotCut:
        return _tabs(task, sites), sites.sides[0].at(sites.end_clear_mm + _LEAD_MM)


def _is_at_a_notch(piece: Piece, start: Point) -> bool:
    """A side that begins there begins away from every end face."""
    return all(abs(transform_point(start, inverse_pose(end.pose))[0]) > END_CLEAR_MM for end in piece.ends)


def _round(task: OutlineTask, entry: Point, begin: Point, lifts: Lifts) -> tuple[list[Pass], tuple[Finding, ...]]:
    """Rough loops, entered beside that point, and finish loops down to the task's depth."""
    near = _loop(task, task.bit.radius_mm + FINISH_ALLOWANCE_MM, entry)
    passes, findings = _rough(task, near, entry, lifts)
    for level in finish_levels(task.depth_mm, bit=task.bit, data=task.data, side_mm=FINISH_ALLOWANCE_MM):
        passes.append(_finish(task, near, begin, lifts, level))
    return passes, findings


def _freed_last(task: OutlineTask, entry: Point, begin: Point) -> Outline:
    """Everything down to a floor that still holds the piece, finish loops too; then one pass that cuts it free.

    The last pass follows the finish loop, by climb, ramps into the floor and ends where its own ramp is cut away, so
    that the piece comes free as the bit leaves it.
    """
    floor_z = holding_floor_z(task.board)
    upper = replace(task, depth_mm=-floor_z)
    passes, findings = _round(upper, entry, begin, Lifts(tabs=(), top_z_mm=floor_z, lift_mm=0.0))
    loop = _loop(task, task.bit.radius_mm, begin)
    down = levels(task.depth_mm, task.data.stepdown_mm, from_mm=-floor_z)
    last = _down(loop, down, floor_z, Lifts(tabs=(), top_z_mm=-task.depth_mm, lift_mm=0.0))
    passes.append(replace(last, is_finish=True))
    cut = Cut(piece_id=task.piece.id, kind=CutKind.OUTLINE, bit_id=task.bit.id, passes=tuple(passes))
    return Outline(cut=cut, tabs=(), findings=findings)


def holding_floor_z(board: Board) -> float:
    """The z of a floor that still holds a piece until it is cut free."""
    return -(board.thickness_mm - LEAST_SKIN_MM - board.scatter_mm)


def end_clear_mm(bit: Bit) -> float:
    """How far leads and the flanks of tabs keep from an end face: a bit diameter, and END_CLEAR_MM at least."""
    return max(bit.diameter_mm, END_CLEAR_MM)


def _tabs(task: OutlineTask, sites: Sites) -> tuple[Tab, ...]:
    if not has_tabs(task.piece, task.holding):
        return ()
    return place_tabs(
        task.piece,
        sites,
        holding=task.holding,
        board=task.board,
        bit_diameter_mm=task.bit.diameter_mm,
        depth_mm=task.depth_mm,
    )


def _loop(task: OutlineTask, distance_mm: float, begin: Point) -> Contour:
    """The loop at a distance, clockwise, begun beside a point of the outline."""
    loop = reversed_contour(whole_loop(task, distance_mm))
    return started_at(loop, nearest_along(loop, begin))


def whole_loop(task: OutlineTask, distance_mm: float) -> Contour:
    """The loop at a distance, counter-clockwise, begun anywhere.

    Raises:
        CannotCut: a bit too wide to go round the piece.
    """
    loop = loop_round(task.rim, distance_mm)
    if loop is None:
        raise CannotCut(
            Fault(
                where="[bits] outlines",
                found=task.bit.id,
                problem=f"{show_length(task.bit.diameter_mm)} wide, too wide to go round {task.piece.title}",
                fix="Use a smaller bit.",
            )
        )
    return loop.contour


def _rough(task: OutlineTask, near: Contour, entry: Point, lifts: Lifts) -> tuple[list[Pass], tuple[Finding, ...]]:
    """Near loop and wide loop down to where the rest is no deep slot, near loop the rest; or near loop all the way."""
    down = levels(task.depth_mm, task.data.stepdown_mm)
    first = canyon_levels(down, task.bit)
    if not first:
        return [_down(near, down, 0.0, lifts)], ()
    more = _widening_mm(task)
    if more <= 0:
        return [_down(near, down, 0.0, lifts)], (deep_slot(task),)
    wide = _loop(task, task.bit.radius_mm + FINISH_ALLOWANCE_MM + more, entry)
    return [
        _down(near, first, 0.0, lifts),
        _down(wide, first, 0.0, lifts),
        _down(near, down[len(first) :], first[-1], lifts),
    ], ()


def _widening_mm(task: OutlineTask) -> float:
    return widening_mm(task.bit, task.data, depth_mm=task.depth_mm, clearance_mm=task.clearance_mm)


def _down(loop: Contour, down: Sequence[float], top: float, lifts: Lifts) -> Pass:
    """Round and round a closed loop, ramping down to each level at its beginning; the last ramp's wedge is recut.

    Each ramp cuts the wedge of the one before it. Tabs lie beyond the ramp.
    """
    length = loop.length_mm
    first_flank = _first_flank(loop, lifts, down[-1])
    wanted = RAMP_RUN * max(a - b for a, b in pairwise((top, *down)))
    ramp = _at_a_joint(loop, wanted, min(first_flank, length / 2))
    knots: list[Knot] = [(0.0, top)]
    for turn, z in enumerate(down):
        base = turn * length
        knots.append((base + ramp, z))
        knots += [(base + along, height) for along, height in knots_over(loop, lifts, z, first_mm=ramp, last_mm=length)]
        knots.append((base + length, z))
    last = knots[-1][0]
    knots.append((last + min(ramp + OVERLAP_MM, first_flank), down[-1]))
    return Pass(steps_along(loop, knots))


def _at_a_joint(loop: Contour, wanted_mm: float, most_mm: float) -> float:
    """The length of a ramp that ends where a segment ends, if it may be so long; it saves a line of program a level."""
    along = 0.0
    for segment in loop.segments:
        along += segment.length_mm
        if along >= wanted_mm:
            break
    return along if along <= most_mm else min(wanted_mm, most_mm)


def _first_flank(loop: Contour, lifts: Lifts, z: float) -> float:
    """Distance along a loop at which its first tab's flank begins at that depth; its length when there is none."""
    half = lifts.lift_mm / 2 + max(0.0, lifts.top_z_mm - z) * FLANK_RUN
    return min((nearest_along(loop, tab.at) - half for tab in lifts.tabs), default=loop.length_mm)


def _finish(task: OutlineTask, near: Contour, begin: Point, lifts: Lifts, level: float) -> Pass:
    """One turn by climb at one level from the roughed slot and back into it, overlapping its start."""
    loop = _loop(task, task.bit.radius_mm, begin)
    end = loop.length_mm + OVERLAP_MM
    way_in = lead_in(near, loop, 0.0, radius_mm=LEAD_RADIUS_MM, waste_is_left=True)
    way_out = lead_out(near, loop, OVERLAP_MM, radius_mm=LEAD_RADIUS_MM, waste_is_left=True)
    over = knots_over(loop, lifts, level, first_mm=OVERLAP_MM + _LEAD_MM, last_mm=loop.length_mm - _LEAD_MM)
    middle = steps_along(loop, ((0.0, level), *over, (end, level)))
    return Pass((Step(way_in, level, level), *middle, Step(way_out, level, level)), is_finish=True)


def deep_slot(task: OutlineTask) -> Finding:
    """The warning of a slot too deep for its width and with no room to be widened."""
    deep = deep_from_mm(task.bit)
    return Finding(
        code=Code.CUTTING_DEEP_SLOT,
        severity=Severity.WARNING,
        text=f"{task.piece.title}: the outline's slot is {show_length(task.depth_mm)} deep, more "
        f"than three diameters "
        f"of {task.bit.id}, and there is no room to widen it: chips pack and the wood burns.",
        advice="Name a bigger bit for the outlines in [bits], or stop and clear the chips.",
        where=Where(piece=task.piece.id),
        measured=task.depth_mm,
        limit=deep,
    )


def _no_side(task: OutlineTask) -> Fault:
    return Fault(
        where="[bits] outlines",
        found=task.bit.id,
        problem=f"{task.piece.title} has no long edge on which this bit could be led in a diameter away from both ends",
        fix="Use a smaller bit for the outlines, or make the piece longer.",
    )
