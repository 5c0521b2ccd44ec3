"""Hypothesis strategies of the fit room: joints that a person could ask for, target plays, shops."""

import math

from hypothesis import strategies as st

from platelayer.fit.target_play import TargetPlay
from platelayer.values.pieces import JointSizes


@st.composite
def joints(draw):
    """Sizes of a joint that couples when its corners are sharp: every clearance is positive."""
    neck = draw(st.floats(2, 4))
    mouth = neck + draw(st.floats(0.15, 1.2))
    head = mouth + draw(st.floats(0.8, 2.5))
    hole = head + draw(st.floats(0.3, 1.2))
    setback = draw(st.floats(5, 9))
    lip = setback + head - math.sqrt(head**2 - mouth**2) - draw(st.floats(0.05, 0.6))
    return JointSizes(
        neck_width_mm=2 * neck,
        head_diameter_mm=2 * head,
        head_setback_mm=setback,
        mouth_width_mm=2 * mouth,
        hole_diameter_mm=2 * hole,
        hole_setback_mm=lip + math.sqrt(hole**2 - mouth**2) - hole,
    )


def targets():
    """Plays between what a hand just feels and what rattles."""
    return st.builds(TargetPlay, st.floats(0.1, 0.5), st.floats(0.15, 0.6))
