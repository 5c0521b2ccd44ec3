"""The curve: any radius and angle, either hand, any two ends.

Glossary:
    radius: of the centre line. angle: between the two end faces. left, right: the way a train turns that starts at
    the start end.
"""

import math

from platelayer.geometry.contours import turn_of
from platelayer.geometry.track import track_piece
from platelayer.values.pieces import BoardFace, CornerRadii, EndKind, JointSizes, Piece, TrackSizes
from platelayer.values.shapes import Arc


def centre_line(*, radius_mm: float, angle_rad: float, is_left: bool) -> Arc:
    """From the origin, leaving along x, turning left about (0, R) or right about (0, -R)."""
    cos, sin = turn_of(angle_rad)
    side = 1 if is_left else -1
    return Arc((0.0, 0.0), (radius_mm * sin, side * radius_mm * (1 - cos)), (0.0, side * radius_mm), is_left)


def end_gap_mm(*, radius_mm: float, angle_rad: float, width_mm: float) -> float:
    """Length along the inside of the curve that is still open between its two ends; negative past a full ring."""
    return (math.tau - angle_rad) * (radius_mm - width_mm / 2)


def curve(
    *,
    id: str,
    title: str,
    radius_mm: float,
    angle_rad: float,
    is_left: bool,
    ends: tuple[EndKind, EndKind],
    faces: tuple[BoardFace, ...],
    track: TrackSizes,
    joint: JointSizes,
    corners: CornerRadii,
) -> Piece:
    """A curve in its own frame: start face at x = 0, both faces radial, pegs along the tangent.

    Raises:
        ValueError: sizes that make no such piece; ``sizes`` says it in words first.
    """
    return track_piece(
        centre_line(radius_mm=radius_mm, angle_rad=angle_rad, is_left=is_left),
        id=id,
        kind="curve",
        title=title,
        ends=ends,
        faces=faces,
        track=track,
        joint=joint,
        corners=corners,
    )
