"""A piece from its ends, the sides between them and the routes through it, whatever their number.

Glossary:
    side: what runs from one end to the next round the outline, counter-clockwise.
    route: a centre line from the middle of one end's face to the middle of another's, in the piece's own frame.
    start, end: the two ends of a piece with one route; each end's own pose points out of the piece.
    corners: the radii of relief and ease, zero for a sharp corner.

The outline runs counter-clockwise: first end, the side after it, second end, and so on; with two ends start, right
side, end, left side. A piece without ends has one closed side.
"""

import hashlib
import math
from collections.abc import Sequence
from dataclasses import replace

from platelayer.geometry.contours import (
    bounds,
    reversed_segment,
    segment_heading,
    transform_segment,
    wrapped,
)
from platelayer.geometry.grooves import beside, track_grooves
from platelayer.geometry.joint import end_run
from platelayer.pieces.kind import Making
from platelayer.pieces.wheels import widened
from platelayer.values.pieces import BoardFace, EdgeLabel, End, EndKind, Groove, Piece, Role, Route
from platelayer.values.shapes import Contour, Pose, Segment


def track_piece(
    centre_line: Segment,
    *,
    kind: str,
    ends: tuple[EndKind, ...],
    faces: tuple[BoardFace, ...],
    making: Making,
) -> Piece:
    """The piece along one line or arc, in its own frame, with two ends; without id and title.

    Raises:
        ValueError: sizes that make no such piece; ``faults`` of its kind says it in words first.
    """
    half = making.track.width_mm / 2
    right, left = beside(centre_line, -half), beside(centre_line, half)
    return piece_round(
        [End(end, pose) for end, pose in zip(ends, end_poses(centre_line), strict=True)],
        [Contour((right,), is_closed=False), Contour((reversed_segment(left),), is_closed=False)],
        kind=kind,
        routes=(one_route(centre_line),),
        faces=faces,
        making=making,
    )


def piece_round(
    ends: Sequence[End],
    sides: Sequence[Contour],
    *,
    kind: str,
    routes: tuple[Route, ...],
    faces: tuple[BoardFace, ...],
    making: Making,
) -> Piece:
    """The piece of these ends, in their order round the outline, each with the side that follows it; no id, no title.

    Each side begins at the left-hand corner of its end's face, seen along the end's heading, and goes to the next
    end's right-hand corner; it is carried to the corners exactly. Along every route run two grooves on every face,
    widened on its arcs for what runs in them.

    Args:
        ends: any number, counter-clockwise.
        sides: one for each end; one that is closed where there is none.
        kind: name in the catalogue.
        routes: ways through, by index into ``ends``; the first is the one the piece is measured along.
        faces: those that are grooved.
        making: cross-section, joint and cures.

    Raises:
        ValueError: sizes that make no such piece; sides that are not one for each end.
    """
    runs = [
        end_run(end.kind, width_mm=making.track.width_mm, joint=making.joint, corners=making.corners) for end in ends
    ]
    placed = [_placed(run.segments, end.pose) for run, end in zip(runs, ends, strict=True)]
    pairs = [] if ends else [(segment, EdgeLabel(Role.SIDE)) for side in sides for segment in side.segments]
    for number, (run, side) in enumerate(zip(runs, sides, strict=True) if ends else ()):
        pairs += zip(placed[number], run.labels(number), strict=True)
        segments = list(side.segments)
        segments[0] = replace(segments[0], start=placed[number][-1].end)
        segments[-1] = replace(segments[-1], end=placed[(number + 1) % len(placed)][0].start)
        pairs += [(segment, EdgeLabel(Role.SIDE)) for segment in segments]
    outline = Contour(tuple(segment for segment, _ in pairs), is_closed=True)
    piece = Piece(
        id="",
        kind=kind,
        title="",
        outline=outline,
        labels=tuple(label for _, label in pairs),
        ends=tuple(ends),
        routes=routes,
        grooves=tuple(
            _running_in(groove, route, ends, making)
            for face in faces
            for route in routes
            for groove in track_grooves(route.path, track=making.track, faces=(face,))
        ),
        thickness_mm=making.track.thickness_mm,
        length_mm=_length_mm(routes, outline),
        shape="",
    )
    return replace(piece, shape=shape_of(piece))


def _running_in(groove: Groove, route: Route, ends: Sequence[End], making: Making) -> Groove:
    if making.running is None:
        return groove
    return widened(groove, route, ends, track=making.track, joint=making.joint, running=making.running)


def one_route(centre_line: Segment) -> Route:
    """The route of a piece with two ends, along one line or arc."""
    return Route(Contour((centre_line,), is_closed=False), (0, 1))


def end_poses(centre_line: Segment) -> tuple[Pose, Pose]:
    """Poses of the two ends, both pointing out of the piece."""
    (x0, y0), (x1, y1) = centre_line.start, centre_line.end
    backwards = wrapped(segment_heading(centre_line, 0.0) + math.pi)
    return Pose(x0, y0, backwards), Pose(x1, y1, segment_heading(centre_line, 1.0))


def shape_of(piece: Piece) -> str:
    """A short name of all that is cut: equal for two pieces that differ only in id and title."""
    what = (piece.outline, piece.inner, piece.labels, piece.ends, piece.grooves, piece.thickness_mm)
    return f"{piece.kind}-{hashlib.sha256(repr(what).encode()).hexdigest()[:16]}"


def _length_mm(routes: Sequence[Route], outline: Contour) -> float:
    """Along the longest route; without one the longer side of the box round the piece."""
    low_x, low_y, high_x, high_y = bounds(outline)
    return max((route.length_mm for route in routes), default=max(high_x - low_x, high_y - low_y))


def _placed(segments: Sequence[Segment], pose: Pose) -> tuple[Segment, ...]:
    return tuple(transform_segment(segment, pose) for segment in segments)
