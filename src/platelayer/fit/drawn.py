"""Whether a joint goes together and closes as it is drawn, before any bit has a part in it; else what sizes would."""

import math

from platelayer.errors import Fault
from platelayer.fit.in_line import in_line
from platelayer.fit.shapes import as_designed
from platelayer.tolerances import PLAY_MM, SEAT_MM
from platelayer.units import show_length, show_small
from platelayer.values.pieces import CornerRadii, JointSizes


def drawn_faults(joint: JointSizes, *, width_mm: float) -> tuple[Fault, ...]:
    """A fault where sharp corners and all the faces stay apart, or PLAY_MM is not left before the head meets the lips.

    Raises:
        ValueError: sizes of which no joint can be made, as ``as_designed``.
    """
    shape = as_designed(joint, width_mm=width_mm, corners=CornerRadii())
    plays = in_line(shape)
    if plays.opening_mm <= SEAT_MM and plays.play_mm >= PLAY_MM:
        return ()
    if plays.opening_mm > SEAT_MM:
        problem = f"the head reaches the bottom of its hole with the faces {show_small(plays.opening_mm)} apart"
    elif plays.play_mm < 0:
        problem = f"the head meets the lips {show_small(-plays.play_mm)} before the faces close"
    else:
        problem = f"the faces close, but only {show_small(plays.play_mm)} is left before the head meets the lips"
    radius, spare = shape.head_radius_mm, 2 * (shape.hole_radius_mm - shape.head_radius_mm)
    least = shape.lip_mm + math.sqrt(radius**2 - shape.half_mouth_mm**2) - radius + PLAY_MM
    most = joint.hole_setback_mm + spare
    fix = f"Use {show_length(least)} to {show_length(most)}."
    if least > most or most < 0:
        fix = "Give the head more room: a larger hole_diameter, or a smaller head_diameter or hole_setback."
    return (Fault(where="[joint] head_setback", found=show_length(joint.head_setback_mm), problem=problem, fix=fix),)
