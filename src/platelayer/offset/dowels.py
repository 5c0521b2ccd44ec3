"""The hole of a dowel on which a board is turned over: bored by a helix, all of its wood cleared.

Glossary:
    bore: the hole as a cut about the origin, right through the board and some way into the spoilboard.
    reach: how far below the board a bit's cutting edge goes.
"""

from typing import Final

from platelayer.errors import CannotCut, Fault
from platelayer.geometry.contours import circle
from platelayer.geometry.turning import turned_pass
from platelayer.offset.pockets import clear_pocket
from platelayer.tolerances import COINCIDENT_MM
from platelayer.units import show_length
from platelayer.values.cuts import Bore, Cut, CutKind
from platelayer.values.pieces import BoardFace
from platelayer.values.shapes import Region
from platelayer.values.tooling import Bit, Board, Job, TurnBy

USUAL_DEPTH_MM: Final = 6.0
LEAST_DEPTH_MM: Final = 3.0
"""How deep a dowel goes into the spoilboard where nobody says, and at least. Common practice, no source."""

LEAST_HOLE_DIAMETERS: Final = 1.5
"""Narrowest hole that a helix clears, in diameters of a bit that may not cut in its middle. Common practice, no
source."""


def bore_of(job: Job) -> Bore | None:
    """The bore of all dowels of a job, whose boards are alike; None where no board is turned, or against a fence.

    Raises:
        CannotCut: as ``bore_dowel``.
    """
    is_turned = any(order.grooves_bottom for order in job.orders)
    return bore_dowel(job, job.boards[0]) if is_turned and job.turning.by is TurnBy.DOWELS else None


def bore_dowel(job: Job, board: Board) -> Bore:
    """The bore of every dowel of this board, by the bit for grooves or, where that does not reach, for outlines.

    Promised: nothing is left standing in the hole, so no slug; the face up is the lower one, which is cut first.

    Raises:
        CannotCut: neither bit is narrow enough for the hole and long enough to go through the board into the
            spoilboard; or the machine does not travel so deep.
    """
    turning = job.turning
    least = turning.dowel_depth_mm or LEAST_DEPTH_MM
    bits = [job.bit(bit_id) for bit_id in dict.fromkeys((job.grooves_bit, job.outlines_bit))]
    able = [bit for bit in bits if not _faults(bit, board, turning.dowel_diameter_mm, least)]
    if not able:
        raise CannotCut(*(fault for bit in bits for fault in _faults(bit, board, turning.dowel_diameter_mm, least)))
    bit = able[0]
    depth = turning.dowel_depth_mm or min(USUAL_DEPTH_MM, bit.cutting_length_mm - board.thickness_mm)
    high = board.thickness_mm + depth + job.machine.safe_z_mm
    if high > job.machine.travel_mm[2]:
        raise CannotCut(
            Fault(
                where="[turning] dowel_depth",
                found=show_length(depth),
                problem=f"with the board and the safe height over it that is {show_length(high)} "
                f"of z, and the "
                f"{job.machine.title} travels {show_length(job.machine.travel_mm[2])}",
                fix="Let the dowels go less deep.",
            )
        )
    hole = Region(circle((0.0, 0.0), turning.dowel_diameter_mm / 2))
    passes = clear_pocket(hole, bit=bit, data=job.cut_data(bit.id), depth_mm=board.thickness_mm + depth)
    passes = tuple(turned_pass(one, 0.0) for one in passes)  # the file turns it back, so that climb finishes its wall
    cut = Cut(piece_id="dowel", kind=CutKind.DOWEL, bit_id=bit.id, passes=passes, face=BoardFace.BOTTOM)
    return Bore(cut=cut, diameter_mm=turning.dowel_diameter_mm, depth_mm=depth)


def _faults(bit: Bit, board: Board, hole_mm: float, depth_mm: float) -> list[Fault]:
    faults = []
    narrowest = LEAST_HOLE_DIAMETERS * bit.diameter_mm
    if hole_mm < narrowest - COINCIDENT_MM:
        faults.append(
            Fault(
                where="[turning] dowel_diameter",
                found=show_length(hole_mm),
                problem=f"too narrow to be bored by a helix of {bit.id}, which takes {show_length(narrowest)}",
                fix="Use thicker dowels, or a smaller bit for the grooves.",
            )
        )
    need = board.thickness_mm + depth_mm
    if bit.cutting_length_mm < need - COINCIDENT_MM:
        faults.append(
            Fault(
                where="[turning] dowel_depth",
                found=show_length(depth_mm),
                problem=f"through board {board.id} that is {show_length(need)}, and {bit.id} cuts "
                f"{show_length(bit.cutting_length_mm)} deep at most",
                fix='Use a bit with a longer cutting edge, or turn the board against a fence: by = "fence".',
            )
        )
    return faults
