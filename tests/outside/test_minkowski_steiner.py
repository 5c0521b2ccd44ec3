"""Length and area of a grown convex shape against the Minkowski-Steiner formula.

SOURCE: Minkowski-Steiner, plane case: area A + P r + pi r^2 and perimeter P + 2 pi r; shape: the part of NISTIR 6556,
tables 12 and 13, which is a 3-4-5 triangle grown by a disc of radius 1, then 1.5 (worked by hand from the tables).
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from platelayer.geometry.contours import area_mm2
from platelayer.offset.parallels import parallels
from strategies_offset import triangle_in_disc


@pytest.mark.parametrize(
    ("radius", "length", "area"),
    [
        # worked by hand: 12 + 2 pi and 18 + pi
        (1.0, 18.283185, 21.141593),
        # worked by hand: 12 + 3 pi and 24 + 2.25 pi
        (1.5, 21.424778, 31.068583),
    ],
)
def test_triangle_grown_by_a_disc_has_the_worked_length_and_area(radius, length, area):
    contour = triangle_in_disc(radius)
    assert contour.length_mm == pytest.approx(length, abs=5e-7)
    assert area_mm2(contour) == pytest.approx(area, abs=5e-7)


@given(first=st.floats(0.05, 5.0), more=st.floats(0.01, 30.0))
def test_offset_of_a_convex_contour_obeys_the_formula(first, more):
    contour = triangle_in_disc(first)
    (found,) = parallels(contour, more)
    length, area = contour.length_mm, area_mm2(contour)
    assert found.contour.length_mm == pytest.approx(length + math.tau * more, abs=1e-7)
    assert area_mm2(found.contour) == pytest.approx(area + length * more + math.pi * more**2, abs=1e-6)
    assert len(found.contour.segments) == 6
