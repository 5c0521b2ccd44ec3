"""What the outlines bit goes round, what it leaves at each end, and the run of outline that the joints bit follows.

Glossary:
    joint run: the outline along one end's peg or socket and a stub of face at either side. Not the end's whole run.
    stub: the part of an end face that belongs to a joint run, so that the two bits' cuts overlap.
    loop: where the outlines bit's centre goes round a piece: clear of pegs and straight across mouths.
    remainder: wood left inside the loop that is not the piece; the joints bit takes it away first.
    room (of a joint run): where the joints bit's middle may go and no neighbour's wall can be cut. Not ``offset.room``.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from platelayer.geometry.contours import inverse_pose, signed_area_mm2, split_segment, transform_point
from platelayer.geometry.discs import opened
from platelayer.geometry.intersect import distances_mm
from platelayer.geometry.regions import Area, buffered, difference, parts, to_area, union, union_all
from platelayer.offset.parallels import Parallel, parallels
from platelayer.pieces.rim import begun_at_side, bridged
from platelayer.tolerances import COINCIDENT_MM, FLATTEN_CHORD_MM, SLIVER_MM
from platelayer.values.pieces import EndKind, Piece, Role
from platelayer.values.shapes import Contour, Pose, Segment

STUB_OVERLAP_MM: Final = 3.0
"""How far a joint run's stub goes on past the remainder: a lead and a good overlap of the two bits' cuts."""

FRONT_MM: Final = 0.3
"""A socket's waste is cleared so far beyond its face too, so that no fin stands between the two bits' cuts."""

_PEG_ROLES: Final = (Role.PEG, Role.RELIEF)


@dataclass(frozen=True, slots=True)
class Rim:
    """The closed contour that the outlines bit goes round, and for each segment what no loop comes nearer."""

    contour: Contour
    least_mm: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class JointRun:
    """One end's joint run, in the direction of the outline, the remainder that its cut has to take away, its room."""

    kind: EndKind
    contour: Contour
    remainder: Area
    room: Area


def rim_of(piece: Piece, *, off_pegs_mm: float = 0.0) -> Rim:
    """The piece's outline with mouths bridged by straight lines; no loop round it comes nearer to pegs than that."""
    contour, labels = bridged(piece)
    return Rim(contour, tuple(off_pegs_mm if label.role in _PEG_ROLES else 0.0 for label in labels))


def loop_round(rim: Rim, distance_mm: float) -> Parallel | None:
    """The outermost closed parallel of the rim at that distance, or as near as it may come; None if there is none."""
    found = [
        parallel
        for parallel in parallels(rim.contour, [max(distance_mm, least_mm) for least_mm in rim.least_mm])
        if parallel.contour.is_closed
    ]
    return max(found, key=lambda parallel: signed_area_mm2(parallel.contour), default=None)


def wood_within(loop: Contour, bit_radius_mm: float) -> Area:
    """What stays inside a loop once a bit has gone round it."""
    inside = to_area(loop, chord_mm=FLATTEN_CHORD_MM)
    return difference(inside, buffered(inside.exterior, bit_radius_mm, chord_mm=FLATTEN_CHORD_MM))


def joint_runs(
    piece: Piece, *, solid: Area, loop: Contour, bit_radius_mm: float, reach_mm: float
) -> tuple[JointRun, ...]:
    """The joint runs of the piece's pegs and sockets, in the order of its ends, each with its remainder.

    Args:
        piece: the design.
        solid: its area.
        loop: where the outlines bit goes round it.
        bit_radius_mm: of the outlines bit.
        reach_mm: how far from the outline the joints bit's middle may go: a neighbour there keeps its allowance.
    """
    left = [
        part
        for part in parts(difference(wood_within(loop, bit_radius_mm), solid))
        if not buffered(part, -SLIVER_MM / 2, chord_mm=SLIVER_MM).is_empty
    ]
    joints = {
        index: _joint_segments(piece, index) for index, end in enumerate(piece.ends) if end.kind is not EndKind.PLAIN
    }
    of_end: dict[int, list[Area]] = {index: [] for index in joints}
    for part in left:
        corner = np.asarray(part.exterior.coords)
        nearest = min(joints, key=lambda index: float(distances_mm(corner, joints[index]).min()), default=None)
        if nearest is None:
            continue
        is_socket = piece.ends[nearest].kind is EndKind.SOCKET
        whole = _without_hairs(part)
        of_end[nearest] += parts(difference(_with_front(whole), solid) if is_socket else whole)
    beside = buffered(to_area(bridged(piece)[0], chord_mm=FLATTEN_CHORD_MM), reach_mm, chord_mm=FLATTEN_CHORD_MM)
    room = union(beside, wood_within(loop, bit_radius_mm))
    return tuple(
        JointRun(
            kind=piece.ends[index].kind,
            contour=_with_stubs(piece, index, of_end[index]),
            remainder=union_all(of_end[index]),
            room=room,
        )
        for index in joints
    )


def _without_hairs(part: Area) -> Area:
    """A hair along the face is float noise: it would grow to a fin, or carry a run across tabs."""
    return opened(part, SLIVER_MM / 2, chord_mm=FLATTEN_CHORD_MM)


def _with_front(part: Area) -> Area:
    """Waste of a socket and FRONT_MM round it."""
    return buffered(part, FRONT_MM, chord_mm=FLATTEN_CHORD_MM)


def _joint_segments(piece: Piece, end: int) -> list[Segment]:
    return [s for s, label in begun_at_side(piece) if label.end == end and label.role is not Role.FACE]


def _with_stubs(piece: Piece, end: int, remainder: Sequence[Area]) -> Contour:
    """The joint's segments and as much of the face at either side as the remainder needs and a little more."""
    pairs = begun_at_side(piece)
    inside = [i for i, (_, label) in enumerate(pairs) if label.end == end and label.role is not Role.FACE]
    segments = [segment for segment, _ in pairs]
    run = segments[inside[0] : inside[-1] + 1]
    home = inverse_pose(piece.ends[end].pose)
    sideways = [abs(transform_point(p, home)[1]) for part in remainder for p in part.exterior.coords]
    reach = max(sideways, default=0.0) + STUB_OVERLAP_MM
    before, after = segments[inside[0] - 1], segments[(inside[-1] + 1) % len(segments)]
    return Contour((_end_of(before, run[0], home, reach), *run, _start_of(after, run[-1], home, reach)), False)


def _end_of(face: Segment, run: Segment, home: Pose, reach_mm: float) -> Segment:
    stub = min(face.length_mm, max(reach_mm - abs(transform_point(run.start, home)[1]), STUB_OVERLAP_MM))
    ratio = 1 - stub / face.length_mm
    return face if ratio <= COINCIDENT_MM else split_segment(face, ratio)[1]


def _start_of(face: Segment, run: Segment, home: Pose, reach_mm: float) -> Segment:
    stub = min(face.length_mm, max(reach_mm - abs(transform_point(run.end, home)[1]), STUB_OVERLAP_MM))
    ratio = stub / face.length_mm
    return face if ratio >= 1 - COINCIDENT_MM else split_segment(face, ratio)[0]
