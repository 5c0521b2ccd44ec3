"""Gaps: what lies between an open end and its goal, measured by tape or left by the pieces that are laid.

Glossary:
    mark: one of the two points across the track from which tape is taken at an end, left and right as seen from here.
    unsure: standard uncertainties of x, y and turn of the far end, mm, mm and rad.
    bed: the fixed pieces and joints on either side of a gap; its joints give as well as the new ones.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from platelayer.errors import Fault, JobError
from platelayer.floor.composing import MATE
from platelayer.geometry.contours import transform_pose
from platelayer.tolerances import MEETS_MM
from platelayer.values.layout import GapMeasured, Miss
from platelayer.values.pieces import EndKind
from platelayer.values.shapes import Pose

SURE = (0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """What is to be closed: the goal as seen from the open end, and what stands at either side.

    Attributes:
        pose: the goal, looking ahead; the origin is the open end, looking ahead.
        here, there: ends that the closing pieces couple with.
        is_open_ended: nothing is coupled with at the goal: a place or a wall.
        meets_wall: only the distance counts.
    """

    name: str
    goal: str
    pose: Pose
    here: EndKind
    there: EndKind
    unsure: tuple[float, float, float] = SURE
    is_open_ended: bool = False
    meets_wall: bool = False


def gap_of_miss(miss: Miss, *, meets_wall: bool) -> Gap:
    """The gap that a stretch leaves; where it begins at a bare place or ends at one, pegs lead."""
    here = miss.here or EndKind.PEG
    return Gap(
        name=miss.stretch,
        goal=miss.goal,
        pose=miss.gap,
        here=here,
        there=miss.there or MATE.get(here, here),
        is_open_ended=miss.there is None,
        meets_wall=meets_wall,
    )


def measured_gap(gap: GapMeasured, *, track_width_mm: float) -> Gap:
    """The gap that three readings of a tape give, and how unsure they leave it.

    Raises:
        JobError: readings that make no figure.
    Source:
        derived here: marks here at (0, b / 2) and (0, -b / 2). The right mark there is r from the one and d from the
        other: y = (r^2 - d^2) / 2 b, x = sqrt(r^2 - (y + b / 2)^2). The left mark there is l from the left one here
        and b from the right one there. Uncertainties by difference quotients of the readings.
    """
    base = gap.base_mm or track_width_mm
    readings = (gap.left_mm, gap.right_mm, gap.diagonal_mm)
    try:
        pose = _far_end(*readings, base)
        slopes = []
        for index in range(3):
            moved = [value + MEETS_MM * (number == index) for number, value in enumerate(readings)]
            off = _far_end(moved[0], moved[1], moved[2], base)
            slopes.append([(off.x - pose.x), (off.y - pose.y), off.heading_rad - pose.heading_rad])
    except (ValueError, ZeroDivisionError) as error:
        fix = "Take them again: both edges, and the diagonal from the left mark here to the right mark there."
        where, problem = f"[[gap]] {gap.name} diagonal", "the three readings make no figure"
        raise JobError(Fault(where=where, problem=problem, fix=fix)) from error
    spread = np.linalg.norm(np.array(slopes), axis=0) / MEETS_MM * gap.reading_mm
    set_in = Pose(gap.set_mm, 0.0)
    whole = transform_pose(set_in, transform_pose(pose, set_in)) if gap.set_mm else pose
    aside = math.hypot(float(spread[1]), gap.set_mm * float(spread[2]))
    return Gap(
        name=gap.name,
        goal="the other side",
        pose=whole,
        here=gap.here,
        there=gap.there,
        unsure=(float(spread[0]), aside, float(spread[2])),
    )


def as_straight_as_may_be(gap: Gap) -> Gap:
    """The gap with what lies aside and what is turned taken back by twice their uncertainty, but not past nothing."""
    pose, (_, aside, turn) = gap.pose, gap.unsure
    y = math.copysign(max(abs(pose.y) - 2 * aside, 0.0), pose.y)
    heading = math.copysign(max(abs(pose.heading_rad) - 2 * turn, 0.0), pose.heading_rad)
    return replace(gap, pose=Pose(pose.x, y, heading))


def _far_end(left_mm: float, right_mm: float, diagonal_mm: float, base_mm: float) -> Pose:
    half = base_mm / 2
    y = (right_mm**2 - diagonal_mm**2) / (2 * base_mm)
    right = math.sqrt(right_mm**2 - (y + half) ** 2), y
    across = right[0], right[1] - half
    apart = math.hypot(*across)
    along = (left_mm**2 - base_mm**2 + apart**2) / (2 * apart)
    aside = math.sqrt(left_mm**2 - along**2)
    unit = across[0] / apart, across[1] / apart
    left = along * unit[0] - aside * unit[1], half + along * unit[1] + aside * unit[0]
    heading = math.atan2(left[1] - right[1], left[0] - right[0]) - math.pi / 2
    return Pose((left[0] + right[0]) / 2, (left[1] + right[1]) / 2, heading)
