"""Arcs held against printed values of circular segments.

SOURCE: Machinery's Handbook, 31st edition, pp. 79 and 83 (segment formulas and worked examples);
help.matheass.eu, "CircularSections" (two worked segments, to the digits printed there).
"""

import math

import numpy as np
import pytest

from platelayer.geometry.contours import circle, reversed_contour, signed_area_mm2
from platelayer.geometry.grooves import arc_through
from platelayer.geometry.regions import contour_points, quarter_chords, to_area
from platelayer.values.shapes import Arc, Contour, Line, Region


def segment_on(chord, height):
    """The segment over a chord from the origin along x, its arc bulging to negative y, counter-clockwise."""
    arc = arc_through((0.0, 0.0), (chord / 2, -height), (chord, 0.0))
    assert isinstance(arc, Arc)
    assert arc.is_ccw
    return arc, Contour((arc, Line(arc.end, arc.start)), is_closed=True)


def arc_of(radius, sweep):
    half = sweep / 2
    return Arc(
        (-radius * math.sin(half), -radius * math.cos(half)),
        (radius * math.sin(half), -radius * math.cos(half)),
        (0.0, 0.0),
        is_ccw=True,
    )


def test_radius_from_chord_and_height():
    # source: Machinery's Handbook 31, p. 79: c = 16, h = 6 gives r = 8 1/3
    arc, _ = segment_on(16.0, 6.0)
    assert arc.radius_mm == pytest.approx(25 / 3, abs=1e-12)


def test_chord_from_radius_and_height():
    # source: Machinery's Handbook 31, p. 79: r = 60, h = 8 gives c = 59.86, printed from a rounded root, so 0.01
    arc, _ = segment_on(2 * math.sqrt(8 * (2 * 60 - 8)), 8.0)
    assert arc.radius_mm == pytest.approx(60)
    assert math.dist(arc.start, arc.end) == pytest.approx(59.86, abs=0.01)


def test_segment_of_chord_21_and_height_6():
    # source: help.matheass.eu, CircularSections: c = 21, h = 6
    arc, contour = segment_on(21.0, 6.0)
    assert arc.radius_mm == pytest.approx(12.1875, abs=5e-5)
    assert math.degrees(arc.sweep_rad) == pytest.approx(118.97953, abs=5e-6)
    assert arc.length_mm == pytest.approx(25.308373, abs=5e-7)
    assert signed_area_mm2(contour) == pytest.approx(89.254148, abs=5e-7)


def test_segment_of_arc_1_and_angle_45():
    # source: help.matheass.eu, CircularSections: arc 1, angle 45 degrees
    arc = arc_of(1.2732395, math.pi / 4)
    assert arc.length_mm == pytest.approx(1.0, abs=1e-7)
    assert math.dist(arc.start, arc.end) == pytest.approx(0.97449536, abs=5e-8)
    assert arc.radius_mm + arc.start[1] == pytest.approx(0.096919589, abs=5e-8)
    contour = Contour((arc, Line(arc.end, arc.start)), is_closed=True)
    assert signed_area_mm2(contour) == pytest.approx(0.063460604, abs=5e-8)


def test_ring_of_12_and_8():
    # source: Machinery's Handbook 31, p. 79: ring of outer diameter 12 and inner 8 cm has 62.83 cm2
    ring = Region(circle((0, 0), 6.0), (reversed_contour(circle((0, 0), 4.0)),))
    exact = signed_area_mm2(ring.outer) + sum(signed_area_mm2(hole) for hole in ring.holes)
    assert exact == pytest.approx(62.83, abs=5e-3)
    assert to_area(ring, chord_mm=1e-6).area == pytest.approx(exact, rel=1e-5)


@pytest.mark.parametrize(("radius", "least"), [(200.0, 315), (182.0, 300)])
def test_chords_of_a_circle_at_a_hundredth(radius, least):
    # source: h = r (1 - cos(a / 2)), Machinery's Handbook 31, p. 79; 315 and 300 chords follow for 0.01 mm
    assert 4 * quarter_chords(radius, chord_mm=0.01) - 4 < least <= 4 * quarter_chords(radius, chord_mm=0.01)
    # spread to both sides, a circle needs no more than that over the square root of two
    points = contour_points(circle((0, 0), radius), chord_mm=0.01)
    assert len(points) - 1 <= math.ceil(least / math.sqrt(2))
    middles = np.hypot(*((points[:-1] + points[1:]) / 2).T)
    assert radius - middles.min() == pytest.approx(np.hypot(*points.T).max() - radius, rel=1e-6)
    assert radius - middles.min() <= 0.01
