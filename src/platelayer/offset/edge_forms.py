"""What the bits make of a piece's edges: how far in, how deep, and where the axis runs.

Glossary:
    form: one bit set to one depth beside a wall. Not a path: where it goes is the business of ``edges``.
    beside: distance of the axis from the wall. reach: how far beyond the outline the bit takes wood.
"""

import math
from dataclasses import dataclass

from platelayer.geometry.edges import FLOOR_CLEAR_MM, chamfer_depth_mm, round_depth_mm, vee_beside_mm
from platelayer.tolerances import GROOVE_RUN_OUT_MM
from platelayer.values.bit_shape import tip_radius_mm
from platelayer.values.pieces import BoardFace, EdgeBreak, EdgePlace, Piece
from platelayer.values.tooling import Bit, BitKind, Job


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeForm:
    """A bit beside a wall: the tip's depth, the axis' distance from the wall, and what is taken off the edge.

    ``wall_mm`` is how far down the wall wood is taken: the tip's depth for a round-over bit, less for a vee bit.
    """

    bit: Bit
    tip_mm: float
    beside_mm: float
    width_mm: float
    wall_mm: float

    @property
    def reach_mm(self) -> float:
        """How far from the wall, on the waste side, the bit is widest at the face."""
        return 2 * self.beside_mm + self.width_mm


def outer_form(job: Job) -> EdgeForm | None:
    """How the outer edges are rounded; None when they are left to hand."""
    if not job.edges.outer_mm:
        return None
    return _round_form(job.bit(job.edges.outer_bit), job.edges.outer_mm)


def groove_form(job: Job) -> EdgeForm | None:
    """How the edges of the grooves are broken; None when they are left to hand."""
    width = job.edges.groove_mm
    if not width:
        return None
    bit = job.bit(job.edges.groove_bit)
    if bit.kind is BitKind.ROUND_OVER:
        return _round_form(bit, width)
    wall = chamfer_depth_mm(width_mm=width, included_rad=bit.included_rad)
    beside = vee_beside_mm(
        width_mm=width,
        included_rad=bit.included_rad,
        groove_mm=job.track.groove_width_mm,
        deepest_mm=job.track.groove_depth_mm - FLOOR_CLEAR_MM,
    )
    tip = wall + beside / math.tan(bit.included_rad / 2)
    return EdgeForm(bit=bit, tip_mm=tip, beside_mm=beside, width_mm=width, wall_mm=wall)


def _round_form(bit: Bit, width_mm: float) -> EdgeForm:
    depth = round_depth_mm(width_mm=width_mm, radius_mm=bit.corner_radius_mm)
    return EdgeForm(bit=bit, tip_mm=depth, beside_mm=tip_radius_mm(bit), width_mm=width_mm, wall_mm=depth)


def edge_reaches_mm(job: Job) -> tuple[tuple[EdgeForm, float], ...]:
    """The bits that break edges, and how far beyond a piece's outline each takes wood; none left to hand."""
    outer, groove = outer_form(job), groove_form(job)
    found = () if outer is None else ((outer, outer.reach_mm),)
    if groove is None:
        return found
    return (*found, (groove, GROOVE_RUN_OUT_MM + groove.beside_mm + groove.width_mm))


def edges_reach_mm(job: Job) -> float:
    """How far beyond a piece's outline the bits that break its edges take wood; 0 when they are left to hand."""
    return max((reach_mm for _, reach_mm in edge_reaches_mm(job)), default=0.0)


def edge_breaks(piece: Piece, job: Job) -> tuple[EdgeBreak, ...]:
    """What is taken off which edges of the piece: outer ones of the top, then the grooves' of either face."""
    found: list[EdgeBreak] = []
    outer, groove = outer_form(job), groove_form(job)
    if outer is not None:
        found.append(_break(outer, EdgePlace.OUTER, BoardFace.TOP))
    for face in BoardFace:
        if groove is not None and any(one.face is face for one in piece.grooves):
            found.append(_break(groove, EdgePlace.GROOVE, face))
    return tuple(found)


def _break(form: EdgeForm, place: EdgePlace, face: BoardFace) -> EdgeBreak:
    return EdgeBreak(
        place=place,
        face=face,
        width_mm=form.width_mm,
        depth_mm=form.wall_mm,
        radius_mm=form.bit.corner_radius_mm if form.bit.kind is BitKind.ROUND_OVER else 0.0,
        bit=form.bit.id,
    )
