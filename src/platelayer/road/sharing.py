"""Cuts that straights share: which pieces may, and the outlines of the stacks that lie on the boards."""

from collections.abc import Sequence

from platelayer.errors import CannotCut
from platelayer.offset.stacks import sharing_faults
from platelayer.offset.tabs import has_tabs
from platelayer.placing.shared import NOBODY, Sharing
from platelayer.values.pieces import Piece
from platelayer.values.tooling import Job


def sharing_of(job: Job, pieces: Sequence[Piece]) -> Sharing:
    """All straights that no tab holds, where the job asks for shared cuts.

    Raises:
        CannotCut: a bit too wide for the pegs of two neighbours.
    """
    if not job.shared_cuts:
        return NOBODY
    faults = sharing_faults(job)
    if faults:
        raise CannotCut(*faults)
    kerf = job.bit(job.outlines_bit).diameter_mm
    able = (index for index, piece in enumerate(pieces) if piece.is_straight and not has_tabs(piece, job.holding))
    return Sharing(pitch_mm=job.track.width_mm + kerf, kerf_mm=kerf, members=frozenset(able))
