"""The pieces of a job as they are designed, before any is laid."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import chain

from platelayer.job.edges import FLAT_LEAST_MM
from platelayer.offset.relief import corner_radii, land_mm
from platelayer.pieces.catalogue import pieces_from_order
from platelayer.pieces.kind import Making
from platelayer.pieces.wheels import Running, wheel_findings
from platelayer.placing.grain import allowed_turns
from platelayer.values.findings import Finding
from platelayer.values.pieces import Piece
from platelayer.values.tooling import Job


def made_pieces(job: Job) -> tuple[Sequence[Piece], tuple[Finding, ...]]:
    """The pieces of a job's cut list, and what was noticed of their corners and of the wheels that run on them.

    Raises:
        CannotCut: corners that these bits cannot make.
    """
    corners, track, findings = corner_radii(job)
    running = None if job.wheel is None else Running(job.wheel, _side_land_mm(job))
    making = Making(track=track, joint=job.joint, corners=corners, running=running)
    pieces = [pieces_from_order(order, making) for order in job.orders]
    if job.wheel is not None:
        findings += wheel_findings([*chain.from_iterable(pieces)], track=track, wheel=job.wheel)
    turns = [allowed_turns(order.turns, has_grain=job.material.has_grain) for order in job.orders]
    return [replace(piece, turns=may) for some, may in zip(pieces, turns, strict=True) for piece in some], findings


def _side_land_mm(job: Job) -> float:
    """Land that stays beside a widened groove: some of it level, and enough of it however the board was turned."""
    edges = job.edges.outer_mm + job.edges.groove_mm
    return max(land_mm(job), edges + FLAT_LEAST_MM if edges else 0.0)
