"""Joints that cannot close as drawn are told before anything is cut, and what closes is not refused."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fit.hand_made import USUAL
from platelayer.errors import CannotCut
from platelayer.fit.drawn import drawn_faults
from platelayer.fit.seat import seat
from platelayer.proof.joints import nominal_end
from platelayer.tolerances import PLAY_MM, SEAT_MM
from platelayer.values.pieces import EndKind, JointSizes


@st.composite
def joints(draw):
    neck = draw(st.floats(4.5, 8))
    mouth, head = neck + draw(st.floats(0.2, 2.0)), neck + draw(st.floats(2.5, 7))
    return JointSizes(
        neck_width_mm=neck,
        head_diameter_mm=head,
        head_setback_mm=draw(st.floats(2, 10)),
        mouth_width_mm=min(mouth, head - 0.3),
        hole_diameter_mm=head + draw(st.floats(0.2, 2.5)),
        hole_setback_mm=draw(st.floats(2, 10)),
    )


@settings(max_examples=60)
@given(joints())
def test_a_fault_is_told_where_the_two_solids_do_not_close(joint):
    found = seat(nominal_end(EndKind.PEG, joint), nominal_end(EndKind.SOCKET, joint))
    play = found.pull_out_mm - found.forced_mm
    near = min(abs(found.forced_mm - SEAT_MM), abs(play - PLAY_MM)) < 0.005
    closes = found.couples and found.opening_mm <= SEAT_MM and play >= PLAY_MM
    assert near or (drawn_faults(joint, width_mm=40.0) == ()) == closes


def test_the_usual_joint_closes():
    assert drawn_faults(USUAL, width_mm=40.0) == ()


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        (
            {"head_setback_mm": 10.0},
            "~25/64 in (10.000 mm): the head reaches the bottom of its hole with the faces 0.050 in (1.269 mm) apart. "
            "Use ~9/32 in (6.969 mm) to 11/32 in (8.731 mm).",
        ),
        (
            {"head_setback_mm": 6.0},
            "~15/64 in (6.000 mm): the head meets the lips 0.034 in (0.869 mm) before the faces close. "
            "Use ~9/32 in (6.969 mm) to 11/32 in (8.731 mm).",
        ),
        (
            {"hole_diameter_mm": 11.15},
            "9/32 in (7.144 mm): the faces close, but only 0.0003 in (0.008 mm) is left before the head meets the "
            "lips. Give the head more room: a larger hole_diameter, or a smaller head_diameter or hole_setback.",
        ),
    ],
)
def test_the_sentence_says_what_stands_in_the_way_and_what_would_do(changes, told):
    assert CannotCut(*drawn_faults(replace(USUAL, **changes), width_mm=40.0)).lines == (
        f"[joint] head_setback = {told}",
    )
