"""Floors that are refused, with whole sentences, and ways through pieces."""

import math

import pytest

from floor.floors import SET, laid, stretch
from platelayer.errors import JobError
from platelayer.floor.composing import lay_floor
from platelayer.floor.overlaps import overlaps
from platelayer.job.layout_load import load_floor


def refused(*stretches):
    with pytest.raises(JobError) as caught:
        laid(*stretches)
    return str(caught.value)


def test_a_curve_turns_to_the_other_hand_only_turned_over():
    assert refused(stretch("flat", "bend right")) == (
        "[[stretch]] line pieces 2 = bend: does not turn right from here. A curve turns to the other hand only turned "
        "over, with grooves on both faces, or by other ends."
    )


def test_by_its_other_end_a_curve_turns_right():
    floor = laid(stretch("bend start", "bend right"))
    assert math.degrees(floor.pieces[-1].exit.pose.heading_rad) == pytest.approx(-90)


def test_a_peg_goes_into_a_socket_only():
    assert refused(stretch("flat", "flat start")) == (
        "[[stretch]] line pieces 2 = flat: its peg would meet a peg; a peg goes into a socket only. Lay it the other "
        "way round, or another piece before it."
    )


def test_a_piece_grooved_on_one_face_is_not_turned_over():
    assert refused(stretch("bend turned")) == (
        "[[stretch]] line pieces 1 = bend: has grooves on one face only. Write grooves = "
        '"both" where it has them on both.'
    )


def test_a_stretch_that_begins_nowhere():
    assert refused(stretch("flat"), stretch("flat", name="side", begins='"line-7.end"')) == (
        "[[stretch]] side begins = line-7.end: no such end is laid. Ends are named by piece and end: line-1.start, "
        "line-1.end."
    )


def test_an_end_takes_one_piece():
    found = refused(stretch("2 flat"), stretch("flat", name="side", begins='"line-1.end"'))
    assert found == (
        "[[stretch]] side begins = line-1.end: this end is joined to another already. Begin at an end that is open."
    )


def test_a_branch_begins_at_a_piece_with_three_ends_in_whatever_order_stretches_stand():
    branch = stretch("bend", name="branch", begins='"yard.branch"')
    floor = laid(branch, stretch("flat", "points toe through as yard", "flat"))
    named = {piece.id: piece for piece in floor.pieces}
    # worked by hand: flat of 150, then an arc of 45 degrees and R 200, then another
    pose = named["branch-1"].exit.pose
    assert (pose.x, pose.y) == pytest.approx((500 + 150 + 200, 500 + 200))
    assert math.degrees(pose.heading_rad) == pytest.approx(90)
    assert named["branch-1"].before == ([*named].index("yard"), 2)


def test_a_wall_that_the_track_looks_past():
    text = refused(
        '\n[[wall]]\nname = "sofa"\nline = [[900, 600], [900, 900]]\n', stretch("flat", more='meets = "sofa"')
    )
    assert text == (
        "[[stretch]] line meets = sofa: the track looks past it, heading 0 degrees. Turn the track towards it, or name "
        "another wall."
    )


def test_a_wall_is_missed_by_what_lies_between():
    floor = laid(
        '\n[[wall]]\nname = "sofa"\nline = [[900, 300], [1000, 700]]\n', stretch("flat", more='meets = "sofa"')
    )
    assert floor.misses[0].gap.x == pytest.approx(950 - 650)


def test_a_peg_that_meets_a_wall_stands_before_it():
    # worked by hand: the face comes to a peg's length before the wall; an end with a socket goes right up to it
    def left(piece):
        text = (
            SET + '[[wall]]\nname = "sofa"\nline = [[950, 300], [950, 700]]\n' + stretch(piece, more='meets = "sofa"')
        )
        return lay_floor(load_floor(text, file="floor.toml"), peg_mm=18.3).misses[0].gap.x

    assert left("flat") == pytest.approx(300 - 18.3)
    assert left("flat start") == pytest.approx(300)


def test_a_length_is_missed_by_what_is_left_of_it():
    floor = laid(stretch("3 flat", more='length = "13 ft 4 in"'))
    assert floor.misses[0].gap.x == pytest.approx(160 * 25.4 - 450)


def overlapping(*stretches):
    return [str(one) for one in overlaps(laid(*stretches), width_mm=40.0)]


def test_pieces_that_lie_on_each_other_are_refused():
    across = stretch("flat", name="across", begins="[580, 430, 90]")
    assert overlapping(stretch("flat"), across) == [
        "[[stretch]] across pieces 1 = flat: across-1 lies on line-1. Lay them otherwise, or with a crossing or a "
        "bridge (over = true) between them."
    ]


def test_a_bridge_may_lie_over_anything_and_neighbours_touch():
    across = stretch("ramp", name="across", begins="[580, 350, 90]")
    assert overlapping(stretch("8 bend", "2 flat"), across)[0].startswith("[[stretch]] line")  # the ring comes back
    assert overlapping(stretch("flat"), across) == []
    assert overlapping(stretch("3 bend", "2 flat", "bend")) == []


def test_a_piece_in_a_wall_is_refused():
    wall = '\n[[wall]]\nname = "sofa"\nline = [[600, 300], [600, 700]]\n'
    assert overlapping(wall, stretch("flat")) == [
        "[[stretch]] line pieces 1 = flat: line-1 lies in the sofa wall. Lay it further off, or measure the wall again."
    ]
    beside = '\n[[wall]]\nname = "sofa"\nline = [[650, 300], [650, 700]]\n'
    assert overlapping(beside, stretch("flat")) == []
