"""A piece carried from its own frame to a place: on a board, or in a layout."""

import math
from dataclasses import replace

from platelayer.geometry.contours import inverse_pose, transform_contour, transform_pose
from platelayer.values.pieces import Piece
from platelayer.values.shapes import Pose


def place_piece(piece: Piece, pose: Pose) -> Piece:
    """The piece carried along by the pose: outline, inner contours, ends, routes and grooves.

    Its ``shape`` stays, as it names what is cut and not where.
    """
    return replace(
        piece,
        outline=transform_contour(piece.outline, pose),
        inner=tuple(transform_contour(contour, pose) for contour in piece.inner),
        ends=tuple(replace(end, pose=transform_pose(end.pose, pose)) for end in piece.ends),
        routes=tuple(replace(route, path=transform_contour(route.path, pose)) for route in piece.routes),
        grooves=tuple(replace(groove, path=transform_contour(groove.path, pose)) for groove in piece.grooves),
    )


def pose_to_join(moving: Pose, fixed: Pose) -> Pose:
    """The pose that carries a piece so that its end ``moving`` closes face to face on the end ``fixed``.

    Both are given as ends are, pointing out of their pieces: ``moving`` in the frame of the piece to be carried.
    """
    return transform_pose(inverse_pose(moving), facing(fixed))


def facing(pose: Pose) -> Pose:
    """The same place seen the other way."""
    return transform_pose(Pose(0.0, 0.0, math.pi), pose)
