"""How much clear width the bits need round a piece.

Glossary:
    room: distance from a piece's outline that no other piece, clamp or edge may come into. Not the kerf, which is what
    the bit takes away: the room is that and a little to spare.
"""

from typing import Final

from platelayer.offset.depths import deep_from_mm
from platelayer.offset.edge_forms import edges_reach_mm
from platelayer.tolerances import FINISH_ALLOWANCE_MM, GROOVE_RUN_OUT_MM, PEG_CLEAR_MM
from platelayer.values.tooling import Bit, Board, CutData, HoldingKind, Job

ROOM_SPARE_MM: Final = 0.5
"""Room beyond what the bits sweep; common practice, no source."""

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


def widening_mm(bit: Bit, data: CutData, *, depth_mm: float, clearance_mm: float) -> float:
    """How much wider than the bit a slot so deep is cut on the waste side; 0 where it is not deep or has no room."""
    if depth_mm <= deep_from_mm(bit):
        return 0.0
    spare = clearance_mm - bit.diameter_mm - FINISH_ALLOWANCE_MM - PEG_CLEAR_MM
    more = min(data.stepover_ratio * bit.diameter_mm, spare)
    return more if more >= LEAST_WIDENING_RATIO * bit.diameter_mm else 0.0


def wide_parts(job: Job) -> tuple[tuple[float, float], ...]:
    """Shanks and holder: how low above the wood they come, and how many mm beyond the room they reach.

    A bit's middle goes no further from a piece than the room less its radius and ROOM_SPARE_MM. Where a bit's reach is
    unknown the holder is taken to begin a shank's diameter above the cutting length.
    """
    found = []
    for bit in job.bits:
        depth = max(_deepest_mm(job, bit.id, board) for board in job.boards)
        holder = bit.reach_mm or bit.cutting_length_mm + bit.shank_mm
        for begins, diameter in ((bit.cutting_length_mm, bit.shank_mm), (holder, job.machine.holder_diameter_mm)):
            found.append((begins - depth, max(0.0, (diameter - bit.diameter_mm) / 2 - ROOM_SPARE_MM)))
    return tuple(found)


def _deepest_mm(job: Job, bit_id: str, board: Board) -> float:
    """How deep a bit goes at the most: right through, but for one that only cuts grooves or breaks edges."""
    if bit_id in (job.joints_bit, job.outlines_bit, job.finish_bit) or any(o.grooves_bottom for o in job.orders):
        return cut_depth_mm(job, board)
    return job.track.groove_depth_mm


def clearance_needed_mm(job: Job, board: Board) -> float:
    """Clear width needed round a piece by every bit of the job, a deep slot's widening included."""
    through, outline = cut_depth_mm(job, board), outline_depth_mm(job, board)
    beside = FINISH_ALLOWANCE_MM + PEG_CLEAR_MM
    reaches = [job.bit(job.grooves_bit).diameter_mm / 2 * 1.1 + GROOVE_RUN_OUT_MM]
    for bit_id, depth in ((job.joints_bit, through), (job.outlines_bit, outline)):
        bit, data = job.bit(bit_id), job.cut_data(bit_id)
        deep = data.stepover_ratio * bit.diameter_mm if depth > deep_from_mm(bit) else 0.0
        reaches.append(bit.diameter_mm + beside + deep)
    return max(*reaches, edges_reach_mm(job)) + ROOM_SPARE_MM
