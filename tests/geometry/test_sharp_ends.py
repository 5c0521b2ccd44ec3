"""Ends drawn again with sharp corners are those of the same piece made without any cure."""

import pytest

from geometry.usual import JOINT, TRACK
from odd_pieces import ODD
from platelayer.geometry.contours import area_mm2, transform_contour, transform_pose
from platelayer.geometry.regions import difference, to_area
from platelayer.geometry.sharp_ends import with_sharp_ends
from platelayer.pieces.kind import Making
from platelayer.values.pieces import CornerRadii, End
from platelayer.values.shapes import Pose

CORNERS = CornerRadii(relief_radius_mm=1.5875, ease_radius_mm=1.6875)
LAID = Pose(310.0, 47.5, 0.61)


@pytest.mark.parametrize("name", ODD)
def test_a_cured_outline_with_sharp_ends_is_the_outline_made_without_cures(name):
    sharp = ODD[name](Making(track=TRACK, joint=JOINT)).outline
    cured = ODD[name](Making(track=TRACK, joint=JOINT, corners=CORNERS))
    ends = [End(end.kind, transform_pose(end.pose, LAID)) for end in cured.ends]
    drawn = with_sharp_ends(transform_contour(cured.outline, LAID), ends, JOINT)
    wanted = transform_contour(sharp, LAID)
    assert len(drawn.segments) == len(wanted.segments)
    a, b = (to_area(one, chord_mm=0.0005) for one in (drawn, wanted))
    assert difference(a, b).area + difference(b, a).area < 1e-3
    assert bool(ends) == (abs(area_mm2(cured.outline) - area_mm2(sharp)) > 0.1)  # the cures were there to be taken off
