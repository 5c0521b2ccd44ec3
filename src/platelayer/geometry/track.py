"""A piece of track along one line or one arc, with an end of any kind at either side.

Glossary:
    centre line: from the middle of the start face to the middle of the end face, in the piece's own frame.
    start, end: the piece's two ends; each end's own pose points out of the piece.
    corners: the radii of relief and ease, zero for a sharp corner.

The outline runs counter-clockwise: start end, right side, end, left side.
"""

import hashlib
import math
from dataclasses import replace

from platelayer.geometry.contours import reversed_segment, segment_heading, transform_segment, wrapped
from platelayer.geometry.grooves import beside, track_grooves
from platelayer.geometry.joint import Run, end_run
from platelayer.values.pieces import (
    BoardFace,
    CornerRadii,
    EdgeLabel,
    End,
    EndKind,
    JointSizes,
    Piece,
    Role,
    TrackSizes,
)
from platelayer.values.shapes import Contour, Pose, Segment


def track_piece(
    centre_line: Segment,
    *,
    id: str,
    kind: str,
    title: str,
    ends: tuple[EndKind, EndKind],
    faces: tuple[BoardFace, ...],
    track: TrackSizes,
    joint: JointSizes,
    corners: CornerRadii,
) -> Piece:
    """The piece along that centre line, in its own frame.

    Raises:
        ValueError: sizes that make no such piece; ``sizes`` says it in words first.
    """
    poses = end_poses(centre_line)
    runs = tuple(end_run(end, width_mm=track.width_mm, joint=joint, corners=corners) for end in ends)
    start, end = (_placed(run, pose) for run, pose in zip(runs, poses, strict=True))
    right = beside(centre_line, -track.width_mm / 2)
    left = beside(centre_line, track.width_mm / 2)
    right = replace(right, start=start[-1].end, end=end[0].start)
    back = replace(reversed_segment(left), start=end[-1].end, end=start[0].start)
    side = EdgeLabel(Role.SIDE)
    piece = Piece(
        id=id,
        kind=kind,
        title=title,
        outline=Contour((*start, right, *end, back), is_closed=True),
        labels=(*runs[0].labels(0), side, *runs[1].labels(1), side),
        ends=(End(ends[0], poses[0]), End(ends[1], poses[1])),
        grooves=track_grooves(centre_line, track=track, faces=faces),
        thickness_mm=track.thickness_mm,
        length_mm=centre_line.length_mm,
        shape="",
    )
    return replace(piece, shape=shape_of(piece))


def end_poses(centre_line: Segment) -> tuple[Pose, Pose]:
    """Poses of the two ends, both pointing out of the piece."""
    (x0, y0), (x1, y1) = centre_line.start, centre_line.end
    backwards = wrapped(segment_heading(centre_line, 0.0) + math.pi)
    return Pose(x0, y0, backwards), Pose(x1, y1, segment_heading(centre_line, 1.0))


def shape_of(piece: Piece) -> str:
    """A short name of all that is cut: equal for two pieces that differ only in id and title."""
    what = (piece.outline, piece.inner, piece.labels, piece.ends, piece.grooves, piece.thickness_mm)
    return f"{piece.kind}-{hashlib.sha256(repr(what).encode()).hexdigest()[:16]}"


def _placed(run: Run, pose: Pose) -> tuple[Segment, ...]:
    return tuple(transform_segment(segment, pose) for segment in run.segments)
