"""How much clear width the bits need round a piece, and between two of them.

Glossary:
    room: distance from a piece's outline that no clamp or edge of a board may come into. Not the kerf, which is what
    the bit takes away: the room is that and a little to spare.
    gap: distance between the outlines of neighbours, which have one slot between them and no wood. Not the room.
    rim: wood kept between a room and the board's edge, or a knot.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from platelayer.errors import Fault
from platelayer.offset.depths import deep_from_mm
from platelayer.offset.edge_forms import edge_reaches_mm, edges_reach_mm
from platelayer.tolerances import (
    BESIDE_MM,
    FINISH_ALLOWANCE_MM,
    GROOVE_RUN_OUT_MM,
    LEAST_STANDING_MM,
    LEFTOVER_MM,
    PEG_CLEAR_MM,
    STANDING_RATIO,
)
from platelayer.units import show_length
from platelayer.values.tooling import Bit, Board, CutData, Holding, HoldingKind, Job, Machine, StockBy

ROOM_SPARE_MM: Final = 0.5
"""Room beyond what the bits sweep; common practice, no source."""

WEB_MM: Final = 4.0
"""Wood that holds all waste in one frame, and stands up to a bit passing either side."""

DEEP_GAP_DIAMETERS: Final = 1.5
"""A deep slot between two pieces is this many bits wide: a lane beside each of them, half a bit apart with both
allowances; common practice, no source."""

LEAST_WIDENING_RATIO: Final = 0.2
"""A deep slot widened by less than this share of the bit's diameter is no wider for the chips."""


def cut_depth_mm(job: Job, board: Board) -> float:
    """How deep a cut right through goes below the top of the board."""
    return board.thickness_mm + job.spoilboard_allowance_mm


def outline_depth_mm(job: Job, board: Board) -> float:
    """How deep the outline goes below the top of the board: right through, or down to the skin."""
    if job.holding.kind is HoldingKind.SKIN:
        return board.thickness_mm - job.holding.skin_mm
    return cut_depth_mm(job, board)


def wall_depth_mm(job: Job, board: Board) -> float:
    """How far down walls are judged: to the board's underside, or to the skin."""
    return min(board.thickness_mm, outline_depth_mm(job, board))


def widening_mm(bit: Bit, data: CutData, *, depth_mm: float, clearance_mm: float) -> float:
    """How much wider than the bit a slot so deep is cut on the waste side; 0 where it is not deep or has no room."""
    if depth_mm <= deep_from_mm(bit):
        return 0.0
    spare = clearance_mm - bit.diameter_mm - FINISH_ALLOWANCE_MM - PEG_CLEAR_MM
    more = min(data.stepover_ratio * bit.diameter_mm, spare)
    return more if more >= LEAST_WIDENING_RATIO * bit.diameter_mm else 0.0


def wide_parts(job: Job) -> tuple[tuple[float, float], ...]:
    """Shanks, holder and what breaks edges: how low above the wood they come, how many mm beyond the room they reach.

    A bit's middle goes no further from a piece than the room less its radius and ROOM_SPARE_MM; but one that breaks
    edges by its flank is wider than what it takes. Where a bit's reach is unknown the holder is taken to begin a
    shank's diameter above the cutting length.
    """
    room_mm = max(clearance_needed_mm(job, board) for board in job.boards)
    found = [
        (-form.tip_mm, max(0.0, reach_mm - form.beside_mm - form.width_mm + form.bit.radius_mm - room_mm))
        for form, reach_mm in edge_reaches_mm(job)
    ]
    for bit in job.bits:
        depth = max(_deepest_mm(job, bit.id, board) for board in job.boards)
        parts = wide_parts_of(bit, job.machine, depth_mm=depth)
        found += [(height, max(0.0, beyond - ROOM_SPARE_MM)) for height, beyond in parts]
    return tuple(found)


def wide_parts_of(bit: Bit, machine: Machine, *, depth_mm: float) -> tuple[tuple[float, float], ...]:
    """Shank and holder of a bit so deep: how low above the wood they come, how many mm beyond its edge they reach."""
    holder = bit.reach_mm or bit.cutting_length_mm + bit.shank_mm
    return tuple(
        (begins - depth_mm, max(0.0, (diameter - bit.diameter_mm) / 2))
        for begins, diameter in ((bit.cutting_length_mm, bit.shank_mm), (holder, machine.holder_diameter_mm))
    )


def _deepest_mm(job: Job, bit_id: str, board: Board) -> float:
    """How deep a bit goes at the most: right through, but for one that only cuts grooves or breaks edges."""
    if bit_id in (job.joints_bit, job.outlines_bit, job.finish_bit) or any(o.grooves_bottom for o in job.orders):
        return cut_depth_mm(job, board)
    return job.track.groove_depth_mm


def clearance_needed_mm(job: Job, board: Board) -> float:
    """Clear width needed round a piece by every bit of the job, a deep slot's widening included."""
    through, outline = cut_depth_mm(job, board), outline_depth_mm(job, board)
    beside = FINISH_ALLOWANCE_MM + PEG_CLEAR_MM
    reaches = [_groove_reach_mm(job.bit(job.grooves_bit))]
    for bit_id, depth in ((job.joints_bit, through), (job.outlines_bit, outline)):
        bit, data = job.bit(bit_id), job.cut_data(bit_id)
        deep = data.stepover_ratio * bit.diameter_mm if depth > deep_from_mm(bit) else 0.0
        reaches.append(bit.diameter_mm + beside + deep)
    return max(*reaches, edges_reach_mm(job)) + ROOM_SPARE_MM


def _groove_reach_mm(bit: Bit) -> float:
    return bit.diameter_mm / 2 * 1.1 + GROOVE_RUN_OUT_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """The width of a slot between two pieces, and the bit and its depth that ask for it."""

    width_mm: float
    bit: Bit
    depth_mm: float

    @property
    def asked_by(self) -> str:
        """What asks for it, in words."""
        return f"bit {self.bit.id}, which goes {show_length(self.depth_mm)} deep"


def gap_asked(job: Job, board: Board) -> Slot:
    """The slot that stands between two pieces unless ``[cutting] gap`` says otherwise.

    Beyond three diameters deep it is DEEP_GAP_DIAMETERS of the bit wide, so that each piece's lane widens the other's;
    else it is one pass: the bit and what the finish takes off both walls. No bit that reaches past an outline, as a
    larger one for the joints does at a peg, comes nearer to the neighbour than that finish.
    """
    bit = job.bit(job.outlines_bit)
    depths_mm = (outline_depth_mm(job, board), *(() if job.has_own_joints_bit else (cut_depth_mm(job, board),)))
    deep = [
        Slot(width_mm=DEEP_GAP_DIAMETERS * bit.diameter_mm, bit=bit, depth_mm=depth_mm)
        for depth_mm in depths_mm
        if depth_mm > deep_from_mm(bit)
    ]
    return max((*deep, least_gap(job, board)), key=lambda slot: slot.width_mm)


def least_gap(job: Job, board: Board) -> Slot:
    """The narrowest slot that all bits of the job have room in between two pieces."""
    return max(_least_slots(job, board), key=lambda slot: slot.width_mm)


def _least_slots(job: Job, board: Board) -> Iterator[Slot]:
    """One for each bit that goes round a piece or past its outline.

    A piece on tape or a vacuum is free when its neighbour is parted, and no bit then passes it nearer than BESIDE_MM.
    """
    aside = 2 * FINISH_ALLOWANCE_MM
    aside = max(aside, BESIDE_MM + LEFTOVER_MM) if job.holding.kind.is_from_below else aside
    for bit_id, depth in ((job.outlines_bit, outline_depth_mm(job, board)), (job.joints_bit, cut_depth_mm(job, board))):
        bit = job.bit(bit_id)
        yield Slot(width_mm=bit.diameter_mm + aside, bit=bit, depth_mm=depth)
    grooves, groove_mm = job.bit(job.grooves_bit), job.track.groove_depth_mm
    yield Slot(width_mm=_groove_reach_mm(grooves) + FINISH_ALLOWANCE_MM, bit=grooves, depth_mm=groove_mm)
    for form, reach_mm in edge_reaches_mm(job):
        yield Slot(width_mm=reach_mm + FINISH_ALLOWANCE_MM, bit=form.bit, depth_mm=form.tip_mm)


def gap_mm(job: Job) -> float:
    """Distance between the outlines of neighbours: as ``[cutting] gap`` says, else what the bits ask for."""
    return job.gap_mm or max(gap_asked(job, board).width_mm for board in job.boards)


def web_gap_mm(job: Job, board: Board) -> float:
    """Distance between pieces at which two slots leave wood that stands between them; no more than a gap on a skin."""
    return 0.0 if job.holding.kind is HoldingKind.SKIN else webbed_mm(job.bit(job.outlines_bit), board)


def webbed_mm(bit: Bit, board: Board) -> float:
    """The breadth of two slots by a bit and of wood that stands between them."""
    slot_mm = bit.diameter_mm + FINISH_ALLOWANCE_MM
    return 2 * slot_mm + max(LEAST_STANDING_MM, STANDING_RATIO * board.thickness_mm) + FINISH_ALLOWANCE_MM


def gap_faults(job: Job) -> tuple[Fault, ...]:
    """A fault where ``[cutting] gap`` is less than the bits need; says the least and the bit that needs it."""
    least = max((least_gap(job, board) for board in job.boards), key=lambda slot: slot.width_mm)
    if not job.gap_mm or job.gap_mm >= least.width_mm - LEFTOVER_MM:
        return ()
    width = show_length(least.width_mm)
    return (
        Fault(
            where="[cutting] gap",
            found=show_length(job.gap_mm),
            problem=f"the least is {width}, for {least.asked_by}, and the finish of both walls",
            fix=f"Use {width} or more, or leave it out.",
        ),
    )


def frame_mm(holding: Holding, thickness_mm: float) -> float:
    """Wood kept between kerfs: enough to stand up to a bit, and where no skin holds it WEB_MM at least.

    No kerf is wider than the room less ROOM_SPARE_MM, so that much more stands beside each.
    """
    return _stands_mm(thickness_mm) if holding.kind is HoldingKind.SKIN else max(WEB_MM, _stands_mm(thickness_mm))


def rim_mm(holding: Holding, thickness_mm: float) -> float:
    """Wood kept beside rooms at a board's edge or a knot: a frame, or what just stands where it is held from below."""
    is_below = holding.stock in (StockBy.TAPE, StockBy.VACUUM)
    return _stands_mm(thickness_mm) if is_below else frame_mm(holding, thickness_mm)


def _stands_mm(thickness_mm: float) -> float:
    return max(LEAST_STANDING_MM, STANDING_RATIO * thickness_mm) - ROOM_SPARE_MM
