"""How much clear width the bits need round a piece.

Glossary:
    room: distance from a piece's outline that no other piece, clamp or edge may come into. Not the kerf, which is what
    the bit takes away: the room is that and a little to spare.
"""

from typing import Final

from platelayer.offset.depths import deep_from_mm
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


def widening_mm(bit: Bit, data: CutData, *, depth_mm: float, room_mm: float) -> float:
    """How much wider than the bit a slot so deep is cut on the waste side; 0 where it is not deep or has no room."""
    if depth_mm <= deep_from_mm(bit):
        return 0.0
    spare = room_mm - bit.diameter_mm - FINISH_ALLOWANCE_MM - PEG_CLEAR_MM
    more = min(data.stepover_ratio * bit.diameter_mm, spare)
    return more if more >= LEAST_WIDENING_RATIO * bit.diameter_mm else 0.0


def room_needed_mm(job: Job, board: Board) -> float:
    """Clear width needed round a piece by every bit of the job, a deep slot's widening included."""
    through, outline = cut_depth_mm(job, board), outline_depth_mm(job, board)
    beside = FINISH_ALLOWANCE_MM + PEG_CLEAR_MM
    reaches = [job.bit(job.grooves_bit).diameter_mm / 2 * 1.1 + GROOVE_RUN_OUT_MM]
    for bit_id, depth in ((job.joints_bit, through), (job.outlines_bit, outline)):
        bit, data = job.bit(bit_id), job.cut_data(bit_id)
        deep = data.stepover_ratio * bit.diameter_mm if depth > deep_from_mm(bit) else 0.0
        reaches.append(bit.diameter_mm + beside + deep)
    return max(reaches) + ROOM_SPARE_MM
