"""Pieces that are no kind of the catalogue, made by hand: a turnout, a wye, a crossing and a plain block.

Sizes invented for these tests. Every outline is of lines and true arcs; a crotch, where two sides meet, is rounded so
that the usual bit goes in.
"""

import math
from dataclasses import replace

from platelayer.geometry.contours import polygon, reversed_contour, reversed_segment, turn_of
from platelayer.pieces.curve import centre_line
from platelayer.pieces.kind import Making
from platelayer.pieces.track import end_poses, piece_round
from platelayer.values.pieces import BoardFace, End, EndKind, Piece, Route
from platelayer.values.shapes import Arc, Contour, Line, Pose

TOP = (BoardFace.TOP,)
RADIUS, LENGTH, ANGLE, CROTCH = 200.0, 200.0, math.radians(45), 4.0


def way(*segments, ends):
    return Route(Contour(segments, is_closed=False), ends)


def open_path(*segments):
    return Contour(segments, is_closed=False)


def bent(radius, angle, *, is_left, beside=0.0):
    """A curve's line, or its parallel so far to the left: from (0, beside), about the curve's own centre."""
    side = 1 if is_left else -1
    arc = centre_line(radius_mm=radius - side * beside, angle_rad=angle, is_left=is_left)
    return Arc(*((x, y + beside) for x, y in (arc.start, arc.end, arc.centre)), is_left)


def crotch_arc(at, from_at, centre):
    """The rounding about a middle, clockwise from where it touches in that direction to a circle about a centre."""
    far = math.dist(at, centre)
    touch = (at[0] + (centre[0] - at[0]) * CROTCH / far, at[1] + (centre[1] - at[1]) * CROTCH / far)
    return Arc((at[0] + CROTCH * from_at[0], at[1] + CROTCH * from_at[1]), touch, at, is_ccw=False)


def turnout(making: Making) -> Piece:
    """A straight with a branch to the left; the crotch touches the straight's left side and the branch's right."""
    half = making.track.width_mm / 2
    straight, branch = Line((0.0, 0.0), (LENGTH, 0.0)), bent(RADIUS, ANGLE, is_left=True)
    high = half + CROTCH  # its middle is (x, high), and x^2 + (high - R)^2 = (R + high)^2
    crotch = crotch_arc((2 * math.sqrt(RADIUS * high), high), (0.0, -1.0), (0.0, RADIUS))
    outer, inner = bent(RADIUS, ANGLE, is_left=True, beside=-half), bent(RADIUS, ANGLE, is_left=True, beside=half)
    (start, end), (_, away) = end_poses(straight), end_poses(branch)
    return named(
        piece_round(
            [End(EndKind.SOCKET, start), End(EndKind.PEG, end), End(EndKind.PEG, away)],
            [
                open_path(Line((0.0, -half), (LENGTH, -half))),
                open_path(Line((LENGTH, half), crotch.start), crotch, replace(outer, start=crotch.end)),
                reversed_contour(open_path(inner)),
            ],
            kind="turnout",
            routes=(way(straight, ends=(0, 1)), way(branch, ends=(0, 2))),
            faces=TOP,
            making=making,
        )
    )


def wye(making: Making) -> Piece:
    """Two curves from one end, one to either hand: the crotch lies on the line between them."""
    half = making.track.width_mm / 2
    right, left = bent(RADIUS, ANGLE, is_left=False), bent(RADIUS, ANGLE, is_left=True)
    crotch_at = (math.sqrt((RADIUS + half + CROTCH) ** 2 - RADIUS**2), 0.0)
    away = RADIUS + half + CROTCH
    crotch = crotch_arc(crotch_at, (-crotch_at[0] / away, -RADIUS / away), (0.0, RADIUS))
    inner = replace(bent(RADIUS, ANGLE, is_left=False, beside=half), start=crotch.start)
    (start, to_right), (_, to_left) = end_poses(right), end_poses(left)
    return named(
        piece_round(
            [End(EndKind.SOCKET, start), End(EndKind.PEG, to_right), End(EndKind.PEG, to_left)],
            [
                open_path(bent(RADIUS, ANGLE, is_left=False, beside=-half)),
                open_path(
                    reversed_segment(inner),
                    crotch,
                    replace(bent(RADIUS, ANGLE, is_left=True, beside=-half), start=crotch.end),
                ),
                reversed_contour(open_path(bent(RADIUS, ANGLE, is_left=True, beside=half))),
            ],
            kind="wye",
            routes=(way(right, ends=(0, 1)), way(left, ends=(0, 2))),
            faces=TOP,
            making=making,
        )
    )


def crossing(making: Making, *, angle: float = math.pi / 2, length: float = 150.0) -> Piece:
    """Two straights over each other at their middles; ends counter-clockwise from the left."""
    half, arm = making.track.width_mm / 2, length / 2
    middle = (arm, 0.0)
    headings = (math.pi, angle - math.pi, 0.0, angle)
    poses = [Pose(middle[0] + arm * turn_of(h)[0], arm * turn_of(h)[1], h) for h in headings]
    sides = []
    for here, after in zip(headings, (*headings[1:], headings[0]), strict=True):
        turn = (after - here) % math.tau
        wide = half + CROTCH
        reach = wide / math.tan(turn / 2)  # from the middle, along the arm, to beside the crotch's own middle
        (cos, sin), (cos2, sin2) = turn_of(here), turn_of(after)
        at = (middle[0] + reach * cos - wide * sin, reach * sin + wide * cos)
        crotch = Arc(
            (at[0] + CROTCH * sin, at[1] - CROTCH * cos), (at[0] - CROTCH * sin2, at[1] + CROTCH * cos2), at, False
        )
        first = (middle[0] + arm * cos - half * sin, arm * sin + half * cos)
        last = (middle[0] + arm * cos2 + half * sin2, arm * sin2 - half * cos2)
        sides.append(open_path(Line(first, crotch.start), crotch, Line(crotch.end, last)))
    kinds = (EndKind.SOCKET, EndKind.SOCKET, EndKind.PEG, EndKind.PEG)
    points = [(pose.x, pose.y) for pose in poses]
    return named(
        piece_round(
            [End(kind, pose) for kind, pose in zip(kinds, poses, strict=True)],
            sides,
            kind="crossing",
            routes=(way(Line(points[0], points[2]), ends=(0, 2)), way(Line(points[1], points[3]), ends=(1, 3))),
            faces=TOP,
            making=making,
        )
    )


def block(making: Making) -> Piece:
    """A plain block with one corner cut off: no ends, no grooves, nothing runs on it."""
    outline = polygon([(0.0, 0.0), (90.0, 0.0), (90.0, 30.0), (75.0, 45.0), (0.0, 45.0)])
    return named(piece_round([], [outline], kind="block", routes=(), faces=(), making=making))


def named(piece: Piece) -> Piece:
    return replace(piece, id=f"{piece.kind}-01", title=f"{piece.kind} by hand")


ODD = {"turnout": turnout, "wye": wye, "crossing": crossing, "block": block}
