"""The outline of one piece: round it in levels to a floor that still holds it, finished to there, then cut from it.

Glossary:
    loop: where the bit's centre goes round. near loop: the rough one beside the piece, that leaves the allowance.
    lead: the way in waste between near loop and finish loop; here always on a long edge. heel: where it leaves the near
    loop; all passes of an outline begin there. floor: what holds the piece until its last pass, the parting.

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
from platelayer.geometry.contours import (
    inverse_pose,
    reversed_contour,
    started_at,
    transform_contour,
    transform_point,
)
from platelayer.geometry.regions import EMPTY, Area, moved
from platelayer.offset.dabs import with_dabs
from platelayer.offset.depths import deep_from_mm, levels, slot_depth_mm, spare_side_mm
from platelayer.offset.entries import RAMP_RUN, STEEPEST_RUN, lead_in, lead_out
from platelayer.offset.finish_ways import FinishWay, finish_pass, finish_way
from platelayer.offset.paths import Knot, nearest_along, steps_along, stretch
from platelayer.offset.pockets import OVERLAP_MM
from platelayer.offset.room import outline_depth_mm, widening_mm
from platelayer.offset.runs import Rim, loop_round, rim_of
from platelayer.offset.tabs import END_CLEAR_MM, FLANK_RUN, Lifts, Sites, as_met, has_tabs, knots_over, sides_of
from platelayer.tolerances import COINCIDENT_MM, FINISH_ALLOWANCE_MM, LEAST_SKIN_MM
from platelayer.units import show_length
from platelayer.values.cuts import Pass, Step
from platelayer.values.findings import Code, Finding, Severity, Where
from platelayer.values.pieces import Piece
from platelayer.values.shapes import Contour, Point, Pose, Segment
from platelayer.values.tooling import Bit, Board, CutData, Holding, HoldingKind, Job, StockBy

LEAD_RADIUS_MM: Final = 4.0
"""Radius of the leads' arcs: over the finish allowance they take about 1.3 mm of path."""

_LEAD_MM: Final = 1.5
"""More path than a lead over the finish allowance takes."""

LEADS_MM: Final = 2 * _LEAD_MM + OVERLAP_MM
"""Path that two leads and the overlap between them take."""


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
    narrowest_mm: float

    @property
    def floor_mm(self) -> float:
        """How deep the walls are finished before the last level of all is cut along them.

        Where a skin, or what holds all of the board, holds the piece even then, it is as thick as one turn takes, but
        half of all at most; elsewhere thin, so that next to nothing is left to finish when the piece hangs on tabs.
        """
        holding, thin_mm = self.holding, -holding_floor_z(self.board)
        if has_tabs(self.piece, holding) and holding.stock not in (StockBy.TAPE, StockBy.VACUUM):
            return thin_mm
        return min(thin_mm, max(self.depth_mm - slot_depth_mm(bit=self.bit, data=self.data), self.depth_mm / 2))

    @property
    def parting_levels(self) -> tuple[float, ...]:
        """Levels from the floor right through; in a slot of its own width the bit bends BEND_MM at most at each."""
        return levels(self.depth_mm, slot_depth_mm(bit=self.bit, data=self.data), from_mm=self.floor_mm)

    @property
    def is_parted(self) -> bool:
        """The floor is cut through at last; no skin stays."""
        return self.holding.kind is not HoldingKind.SKIN

    @property
    def widening_mm(self) -> float:
        """How much wider than the bit the slot is where it is deep and has the room, else 0."""
        return widening_mm(self.bit, self.data, depth_mm=self.depth_mm, clearance_mm=self.clearance_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """A piece as its outline is cut, in its own frame or where it lies.

    Attributes:
        task: what it is worked out from; its piece stays in its own frame.
        outline: the design.
        near, finish: clockwise, begun at the heel and where the lead meets the finish loop.
        wide: the loop that widens a deep slot, clockwise, begun beside the heel; None where none is needed or has room.
        pegs: stretches of the finish loop that go right through before another bit cuts pegs there.
        sites: the sides of the piece on which tabs may stand.
        joints: what its sockets and pegs took before there is any slot, half through the board at least.
    """

    task: OutlineTask
    outline: Contour
    near: Contour
    finish: Contour
    wide: Contour | None
    sites: Sites
    pegs: tuple[Contour, ...] = ()
    joints: Area = EMPTY

    def at(self, pose: Pose) -> "Body":
        """The same where a pose puts it."""
        sides = tuple(replace(side, contour=transform_contour(side.contour, pose)) for side in self.sites.sides)
        return replace(
            self,
            outline=transform_contour(self.outline, pose),
            near=transform_contour(self.near, pose),
            finish=transform_contour(self.finish, pose),
            wide=None if self.wide is None else transform_contour(self.wide, pose),
            sites=replace(self.sites, sides=sides),
            pegs=tuple(transform_contour(way, pose) for way in self.pegs),
            joints=moved(self.joints, pose),
        )


def outline_task(piece: Piece, *, job: Job, board: Board, clearance_mm: float) -> OutlineTask:
    """What the job says of the outline of a piece on this board with so much room round it."""
    bit = job.bit(job.outlines_bit)
    return OutlineTask(
        piece=piece,
        rim=rim_of(piece, off_pegs_mm=bit.radius_mm + FINISH_ALLOWANCE_MM if job.has_own_joints_bit else 0.0),
        bit=bit,
        data=job.cut_data(bit.id),
        board=board,
        holding=job.holding,
        depth_mm=outline_depth_mm(job, board),
        clearance_mm=clearance_mm,
        narrowest_mm=min(bit.diameter_mm, job.bit(job.joints_bit).diameter_mm),
    )


def body_of(task: OutlineTask) -> Body:
    """Both loops of a piece in its own frame, and where tabs may stand.

    Raises:
        CannotCut: no side long enough for leads; a bit too wide to go round the piece.
    """
    clear_mm = end_clear_mm(task.bit)
    reach_mm = task.bit.radius_mm + FINISH_ALLOWANCE_MM + task.widening_mm
    sides = tuple(as_met(side, reach_mm) for side in sides_of(task.piece))
    if not sides or sides[0].length_mm < 2 * clear_mm + LEADS_MM:
        raise CannotCut(_no_side(task))
    long_enough = [i for i, side in enumerate(sides) if side.length_mm >= 2 * (clear_mm + LEADS_MM)]
    number = next((i for i in long_enough if _is_at_a_notch(task.piece, sides[i].contour.start)), 0)
    begin = sides[number].at(clear_mm + _LEAD_MM + OVERLAP_MM)
    finish = _begun_at(reversed_contour(whole_loop(task, task.bit.radius_mm)), begin)
    near = reversed_contour(near_loop(task))
    near = _begun_at(near, _way_in(near, finish).start)
    wide = None
    if task.widening_mm > 0:
        wide = _begun_at(reversed_contour(whole_loop(task, reach_mm)), near.start)
    return Body(
        task=task,
        outline=task.piece.outline,
        near=near,
        finish=finish,
        wide=wide,
        sites=Sites(sides, LEADS_MM, clear_mm, number),
    )


def _begun_at(loop: Contour, point: Point) -> Contour:
    return started_at(loop, nearest_along(loop, point))


def _is_at_a_notch(piece: Piece, start: Point) -> bool:
    """A side that begins there begins away from every end face."""
    return all(abs(transform_point(start, inverse_pose(end.pose))[0]) > END_CLEAR_MM for end in piece.ends)


def holding_floor_z(board: Board) -> float:
    """The z of a floor that still holds a piece until it is cut free."""
    return -(board.thickness_mm - LEAST_SKIN_MM - board.scatter_mm)


def end_clear_mm(bit: Bit) -> float:
    """How far leads and the flanks of tabs keep from an end face: a bit diameter, and END_CLEAR_MM at least."""
    return max(bit.diameter_mm, END_CLEAR_MM)


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


def near_loop(task: OutlineTask) -> Contour:
    """The rough loop, counter-clockwise, begun anywhere.

    Raises:
        CannotCut: as ``whole_loop``.
    """
    radius = task.bit.radius_mm
    near, finish = whole_loop(task, radius + FINISH_ALLOWANCE_MM), whole_loop(task, radius)
    return with_dabs(near, finish, task.rim.contour, bit_radius_mm=radius, side_mm=FINISH_ALLOWANCE_MM)


def down(loop: Contour, to: Sequence[float], z_start: float, lifts: Lifts) -> Pass:
    """Round and round a closed loop, ramping down to each level at its beginning; the last ramp's wedge is recut.

    Each ramp cuts the wedge of the one before it. Tabs lie beyond the ramp. Begun in a slot, the pass comes down to
    the wood's top and ramps in through what is open.
    """
    return Pass((*_into(loop, z_start, lifts), *_rounds(loop, to, z_start, lifts)))


def _rounds(loop: Contour, to: Sequence[float], z_start: float, lifts: Lifts) -> tuple[Step, ...]:
    length = loop.length_mm
    first_flank = _first_flank(loop, lifts, to[-1])
    wanted = RAMP_RUN * max(a - b for a, b in pairwise((z_start, *to)))
    ramp = min(wanted, first_flank, length / 2)
    knots: list[Knot] = [(0.0, z_start)]
    for turn, z in enumerate(to):
        base = turn * length
        knots.append((base + ramp, z))
        knots += [(base + along, height) for along, height in knots_over(loop, lifts, z, first_mm=ramp, last_mm=length)]
        knots.append((base + length, z))
    last = knots[-1][0]
    knots.append((last + min(ramp + OVERLAP_MM, first_flank), to[-1]))
    return steps_along(loop, knots)


def _into(loop: Contour, z: float, lifts: Lifts) -> tuple[Step, ...]:
    """Down through an open slot from the wood's top to the loop's beginning, no lower than tabs on the way are high."""
    if z >= -COINCIDENT_MM:
        return ()
    whole = loop.length_mm
    before = whole - min(-z * STEEPEST_RUN, whole / 2)
    behind = max((nearest_along(loop, tab.at) + lifts.lift_mm / 2 for tab in lifts.tabs), default=0.0)
    knots: list[Knot] = [(before, 0.0), (whole, z)]
    if before < behind < whole and z * (behind - before) / (whole - before) < lifts.top_z_mm:
        knots.insert(1, (behind, lifts.top_z_mm))
    return steps_along(loop, knots)


def _first_flank(loop: Contour, lifts: Lifts, z: float) -> float:
    """Distance along a loop at which its first tab's flank begins at that depth; its length when there is none."""
    half = lifts.lift_mm / 2 + max(0.0, lifts.top_z_mm - z) * FLANK_RUN
    return min((nearest_along(loop, tab.at) - half for tab in lifts.tabs), default=loop.length_mm)


def finish_passes(body: Body, lifts: Lifts, *, from_slot: bool) -> list[Pass]:
    """One turn by climb at each finish level, from the heel and back to it, overlapping its start.

    ``from_slot``: the first one follows other cuts there, else it ramps in through the open slot.
    """
    near, loop = body.near, body.finish
    way_in = _way_in(near, loop)
    way_out = lead_out(near, loop, OVERLAP_MM, radius_mm=LEAD_RADIUS_MM)
    home = back_along(near, way_out.end)
    way, passes = walls_way(body.task), list[Pass]()
    for level in way.levels:
        over = knots_over(loop, lifts, level, first_mm=OVERLAP_MM + _LEAD_MM, last_mm=loop.length_mm - _LEAD_MM)
        turn = steps_along(loop, ((0.0, level), *over, (loop.length_mm + OVERLAP_MM, level)))
        enter = () if from_slot or passes else _into(near, level, lifts)
        back = steps_along(home, ((0.0, level), (home.length_mm, level)))
        ends = Step(way_in, level, level), Step(way_out, level, level)
        one = finish_pass(ends[0], turn, ends[1], thin=way.thin, bit=body.task.bit, data=body.task.data, rough=near)
        passes.append(replace(one, steps=(*enter, *one.steps, *back)))
    return passes


def walls_way(task: OutlineTask) -> FinishWay:
    """How the walls are finished: down to the floor, or as far above it as the parting finishes as well."""
    deep, part_mm = task.floor_mm, task.depth_mm - task.floor_mm
    if deep < -holding_floor_z(task.board) - COINCIDENT_MM:
        above = deep - spare_side_mm(part_mm, bit=task.bit, data=task.data, side_mm=FINISH_ALLOWANCE_MM)
        deep = above if above > COINCIDENT_MM else deep
    return finish_way(deep, bit=task.bit, data=task.data, side_mm=FINISH_ALLOWANCE_MM)


def _way_in(near: Contour, loop: Contour) -> Segment:
    return lead_in(near, loop, 0.0, radius_mm=LEAD_RADIUS_MM, waste_is_left=True)


def back_along(near: Contour, point: Point) -> Contour:
    """The way back along a near loop from a point of it a little past its heel."""
    return reversed_contour(stretch(near, 0.0, nearest_along(near, point)))


def parting(body: Body, lifts: Lifts) -> Pass:
    """From the floor to the full depth along the finish loop, over tabs or freeing the piece as the bit leaves it.

    It takes off the wall what the finish passes left just above the floor.

    On a skin it goes straight on from the last finish pass, since the piece is held all the while.
    """
    task, floor = body.task, -body.task.floor_mm
    to = task.parting_levels
    if task.holding.kind is not HoldingKind.SKIN:
        return replace(down(body.finish, to, floor, lifts), is_finish=True)
    way_in = _way_in(body.near, body.finish)
    return Pass((Step(way_in, floor, floor), *_rounds(body.finish, to, floor, lifts)), is_finish=True)


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
