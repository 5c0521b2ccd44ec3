"""Whether a skin holds a piece along enough of its edge once its joints are cut right through; asked before any slot.

The measure and the limit are the dry run's own (``proof.checks.holding``), on the joints' planned cuts.
"""

from collections.abc import Mapping, Sequence

from platelayer.errors import Fault
from platelayer.geometry.discs import solid
from platelayer.offset.pockets import swept_below
from platelayer.proof.checks.holding import SKIN_RATIO, skin_share_ratio, skin_words
from platelayer.tolerances import DEPTH_MM, LEFTOVER_MM
from platelayer.values.cuts import PieceCuts
from platelayer.values.findings import Code
from platelayer.values.pieces import Piece
from platelayer.values.tooling import Job


def skin_faults(job: Job, pieces: Sequence[Piece], cuts: Mapping[str, PieceCuts]) -> tuple[Fault, ...]:
    """A fault for every piece that too little skin would hold; ``cuts`` by shape."""
    shares = {
        shape: _share_ratio(job, piece, cuts[shape]) for shape, piece in {one.shape: one for one in pieces}.items()
    }
    fix = 'Make it longer, or hold it by tabs: kind = "tabs" in [holding].'
    if job.has_own_joints_bit:
        fix = f'Make it longer, or let one bit cut joints and outlines: outlines = "{job.joints_bit}" in [bits].'
    return tuple(
        Fault(
            where=f"[[piece]] {piece.id}",
            problem=skin_words(cuts[piece.shape].skin_mm, shares[piece.shape]),
            fix=fix,
            code=Code.HOLDING_TAB_MISSING.value,
        )
        for piece in pieces
        if shares[piece.shape] < SKIN_RATIO
    )


def _share_ratio(job: Job, piece: Piece, made: PieceCuts) -> float:
    if not made.skin_mm:
        return 1.0
    radius_mm = min(job.bit(bit).radius_mm for bit in (job.outlines_bit, *(cut.bit_id for cut in made.cuts)))
    taken = swept_below(made.cuts, job, job.boards[0].thickness_mm - made.skin_mm + DEPTH_MM)
    return skin_share_ratio(solid(piece, chord_mm=LEFTOVER_MM), radius_mm, taken)
