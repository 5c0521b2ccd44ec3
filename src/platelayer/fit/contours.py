"""Peg and socket of a joint shape as contours of lines and arcs: for pictures, and for shapes that closed forms leave.

Glossary:
    end frame: origin at the middle of the end face, x out of the piece.
    half: the part of an end at y >= 0, from the piece's edge inwards; the other half is its mirror image.
"""

import math

from platelayer.fit.shapes import JointShape
from platelayer.fit.slabs import Rings
from platelayer.geometry.contours import reversed_segment
from platelayer.geometry.regions import contour_points
from platelayer.geometry.turning import turned_segment
from platelayer.values.shapes import Arc, Contour, Line, Point, Segment


def peg_contour(shape: JointShape, *, body_mm: float) -> Contour:
    """Outline of the peg's end, counter-clockwise, with so much of its piece behind the face."""
    return _both(_peg_half(shape), shape.width_mm / 2, body_mm)


def socket_contour(shape: JointShape, *, body_mm: float) -> Contour:
    """Outline of the socket's end, counter-clockwise, with so much of its piece behind the face."""
    return _both(_socket_half(shape), shape.width_mm / 2, body_mm)


def ring_of(contour: Contour, *, chord_mm: float) -> Rings:
    """The contour as one ring of vertices."""
    return (contour_points(contour, chord_mm=chord_mm)[:-1],)


def _peg_half(shape: JointShape) -> list[Segment]:
    """From the piece's edge along the face, into relief or fillet, along the neck and round the head to its tip."""
    neck, radius, depth = shape.half_neck_mm, shape.root_radius_mm, shape.overcut_mm
    head = (shape.head_centre_mm, 0.0)
    tip = (shape.head_centre_mm + shape.head_radius_mm, 0.0)
    half: list[Segment] = []
    here: Point = (0.0, shape.width_mm / 2)
    if radius > 0:
        centre = (radius - depth, neck + radius)
        # a plain fillet is tangent to the face; a relief meets it a second time, beyond its deepest point
        on_face = (0.0, centre[1] + math.sqrt(max(radius**2 - centre[0] ** 2, 0.0)))
        half += [Line(here, on_face), Arc(on_face, (centre[0], neck), centre, is_ccw=True)]
        here = (centre[0], neck)
    else:
        half.append(Line(here, (0.0, neck)))
        here = (0.0, neck)
    if shape.crook_radius_mm > 0:
        centre = shape.crook_centre
        share = shape.crook_radius_mm / (shape.head_radius_mm + shape.crook_radius_mm)
        onto = (centre[0] + share * (head[0] - centre[0]), centre[1] * (1 - share))
        half += [Line(here, (centre[0], neck)), Arc((centre[0], neck), onto, centre, is_ccw=True)]
    else:
        onto = (head[0] - math.sqrt(shape.head_radius_mm**2 - neck**2), neck)
        half.append(Line(here, onto))
    half.append(Arc(onto, tip, head, is_ccw=False))
    return half


def _socket_half(shape: JointShape) -> list[Segment]:
    """From the piece's edge along the face, round the ease, along the lip and round the hole to its bottom."""
    mouth, ease = shape.half_mouth_mm, shape.ease_radius_mm
    inner = (-shape.lip_mm, mouth)
    bottom = (-shape.hole_centre_mm - shape.hole_radius_mm, 0.0)
    half: list[Segment] = [Line((0.0, shape.width_mm / 2), (0.0, mouth + ease))]
    if ease > 0:
        half.append(Arc((0.0, mouth + ease), (-ease, mouth), (-ease, mouth + ease), is_ccw=False))
    half.append(Line((-ease, mouth), inner))
    half.append(Arc(inner, bottom, (-shape.hole_centre_mm, 0.0), is_ccw=True))
    return half


def _both(half: list[Segment], half_width: float, body: float) -> Contour:
    """The half, its mirror image and the body behind, counter-clockwise."""
    lower = [turned_segment(segment, 0.0) for segment in half]
    upper = [reversed_segment(segment) for segment in reversed(half)]
    back = (
        Line((0.0, half_width), (-body, half_width)),
        Line((-body, half_width), (-body, -half_width)),
        Line((-body, -half_width), (0.0, -half_width)),
    )
    return Contour((*lower, *upper, *back), is_closed=True)
