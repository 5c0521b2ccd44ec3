"""A board turned over about a line along x."""

import math

import numpy as np
import pytest

from platelayer.geometry.contours import area_mm2, circle
from platelayer.geometry.turning import turned_contour, turned_places, turned_segment
from platelayer.values.shapes import Arc, Line


def test_places_keep_their_x_and_lie_as_far_on_the_lines_other_side():
    assert turned_segment(Line((1.0, 2.0), (3.0, 50.0)), 20.0) == Line((1.0, 38.0), (3.0, -10.0))
    places = np.array([[1.0, 2.0, -3.0]])
    assert turned_places(places, 20.0).tolist() == [[1.0, 38.0, -3.0]]
    assert places.tolist() == [[1.0, 2.0, -3.0]], "what was given stays as it was"


def test_an_arc_changes_hands_and_keeps_its_length():
    arc = Arc((10.0, 0.0), (0.0, 10.0), (0.0, 0.0), is_ccw=True)
    turned = turned_segment(arc, 4.0)
    assert turned == Arc((10.0, 8.0), (0.0, -2.0), (0.0, 8.0), is_ccw=False)
    assert turned.length_mm == pytest.approx(arc.length_mm)


def test_twice_turned_is_unturned_and_once_turned_runs_the_other_way_round():
    disc = circle((30.0, 12.0), 5.0)
    once = turned_contour(disc, 16.0)
    assert area_mm2(once) == pytest.approx(math.pi * 25)
    assert [arc.is_ccw for arc in once.segments] == [not arc.is_ccw for arc in disc.segments]
    assert turned_contour(turned_contour(disc, 16.0), 16.0) == disc
