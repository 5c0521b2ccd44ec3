"""Exact areas and grown shapes held against shapely and the Minkowski-Steiner formula.

SOURCE: shapely (GEOS) as referee of areas of finely chopped contours; NISTIR 6556 (2000), tables 12 and 13, for a
contour and the same grown; the Minkowski-Steiner formula for convex sets, A + P r + pi r^2 and P + 2 pi r.
"""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given

import strategies_geometry as some
from geometry.usual import BEND, EIGHTH, LONG, SHARP, made
from platelayer.geometry.contours import area_mm2, distance_mm, polygon, segment_point, signed_area_mm2
from platelayer.geometry.discs import opened
from platelayer.geometry.regions import buffered, difference, furthest_outside_mm, to_area
from platelayer.values.shapes import Arc, Contour, Line
from referees.contours import contains, is_chained

# source: NISTIR 6556, table 12, the material's edge, clockwise from (2, 3); G2 with centres by I and J
EDGE = Contour(
    (
        Arc((2.0, 3.0), (3.0, 2.0), (2.0, 2.0), False),
        Line((3.0, 2.0), (3.0, -1.0)),
        Arc((3.0, -1.0), (2.0, -2.0), (2.0, -1.0), False),
        Line((2.0, -2.0), (-2.0, -2.0)),
        Arc((-2.0, -2.0), (-2.6, -0.2), (-2.0, -1.0), False),
        Line((-2.6, -0.2), (1.4, 2.8)),
        Arc((1.4, 2.8), (2.0, 3.0), (2.0, 2.0), False),
    ),
    is_closed=True,
)
# source: NISTIR 6556, table 13, the tool's path round it for a cutter of diameter 1
PATH = Contour(
    (
        Arc((2.0, 3.5), (3.5, 2.0), (2.0, 2.0), False),
        Line((3.5, 2.0), (3.5, -1.0)),
        Arc((3.5, -1.0), (2.0, -2.5), (2.0, -1.0), False),
        Line((2.0, -2.5), (-2.0, -2.5)),
        Arc((-2.0, -2.5), (-2.9, 0.2), (-2.0, -1.0), False),
        Line((-2.9, 0.2), (1.1, 3.2)),
        Arc((1.1, 3.2), (2.0, 3.5), (2.0, 2.0), False),
    ),
    is_closed=True,
)
TRIANGLE = polygon(((2.0, 2.0), (-2.0, -1.0), (2.0, -1.0)))


def chopped(contour, per_segment=4000):
    """A polygon by shapely alone: points on every segment, evenly."""
    points = [evenly(segment, per_segment) for segment in contour.segments]
    return shapely.Polygon(np.concatenate(points))


def evenly(segment, count):
    """Points on an arc from its start on, its end left out; of a line its start alone."""
    if not isinstance(segment, Arc):
        return np.array([segment.start])
    centre, sign = complex(*segment.centre), 1 if segment.is_ccw else -1
    turned = np.exp(1j * sign * segment.sweep_rad * np.arange(count) / count)
    at = centre + (complex(*segment.start) - centre) * turned
    return np.column_stack([at.real, at.imag])


def test_the_published_contour_is_a_3_4_5_triangle_grown_by_one():
    # derived from the table: perimeter 12 + 2 pi and area 18 + pi, by Minkowski-Steiner from 12 and 6
    assert is_chained(EDGE)
    assert EDGE.length_mm == pytest.approx(12 + 2 * math.pi, abs=1e-9)
    assert area_mm2(EDGE) == pytest.approx(18 + math.pi, abs=1e-9)
    assert signed_area_mm2(EDGE) < 0
    sweeps = [math.degrees(s.sweep_rad) for s in EDGE.segments if isinstance(s, Arc)]
    assert sweeps == pytest.approx([90, 90, 143.1301, 36.8699], abs=5e-5)


def test_the_published_path_is_it_grown_by_a_half_more():
    assert is_chained(PATH)
    assert PATH.length_mm == pytest.approx(12 + 3 * math.pi, abs=1e-9)
    assert area_mm2(PATH) == pytest.approx(24 + 2.25 * math.pi, abs=1e-9)
    for segment in PATH.segments:
        assert distance_mm(EDGE, segment.start) == pytest.approx(0.5, abs=1e-9)
        assert distance_mm(EDGE, segment_point(segment, 0.37)) == pytest.approx(0.5, abs=1e-9)


@pytest.mark.parametrize(
    ("contour", "grown_by", "expected"), [(TRIANGLE, 1.0, EDGE), (TRIANGLE, 1.5, PATH), (EDGE, 0.5, PATH)]
)
def test_growing_by_a_disc_gives_the_published_contours(contour, grown_by, expected):
    chord = 1e-5
    grown, published = (
        buffered(to_area(contour, chord_mm=chord), grown_by, chord_mm=chord),
        to_area(expected, chord_mm=chord),
    )
    assert furthest_outside_mm(grown, published, chord_mm=chord) < 4 * chord
    assert furthest_outside_mm(published, grown, chord_mm=chord) < 4 * chord
    steiner = area_mm2(contour) + contour.length_mm * grown_by + math.pi * grown_by**2
    assert grown.area == pytest.approx(steiner, abs=2 * chord * expected.length_mm)
    assert area_mm2(expected) == pytest.approx(steiner, abs=1e-9)


def test_the_grown_triangle_is_open_for_its_own_disc_and_no_larger():
    area = to_area(EDGE, chord_mm=1e-5)
    assert difference(area, opened(area, 0.999, chord_mm=1e-5)).area < 1e-3
    assert difference(area, opened(area, 1.2, chord_mm=1e-5)).area > 0.05


@given(some.closed_contours())
def test_exact_area_and_length_agree_with_shapely_s(contour):
    referee = chopped(contour)
    assert signed_area_mm2(contour) == pytest.approx(referee.area, rel=1e-5)
    assert contour.length_mm == pytest.approx(referee.length, rel=1e-6)


@given(some.closed_contours())
def test_containment_agrees_with_shapely_s(contour):
    referee = chopped(contour, per_segment=400)
    x0, y0, x1, y1 = referee.bounds
    for x in np.linspace(x0, x1, 7):
        for y in np.linspace(y0, y1, 7):
            point = shapely.Point(x, y)
            if referee.boundary.distance(point) > (x1 - x0) / 1000:
                assert contains(contour, (float(x), float(y))) == referee.contains(point)


@pytest.mark.parametrize("corners", [SHARP, EIGHTH], ids=["sharp", "cured"])
@pytest.mark.parametrize("order", [LONG, BEND], ids=["straight", "curve"])
def test_pieces_have_the_area_shapely_finds(order, corners):
    outline = made(order, corners=corners).outline
    assert signed_area_mm2(outline) == pytest.approx(chopped(outline).area, rel=1e-6)
    assert signed_area_mm2(outline) == pytest.approx(to_area(outline, chord_mm=5e-4).area, abs=5e-4 * outline.length_mm)
