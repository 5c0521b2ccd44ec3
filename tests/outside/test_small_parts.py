"""The small-parts gauge against the published sizes and the parts of a wooden railway.

SOURCE: 16 CFR 1501.4 (gauge, any orientation); Canada Toys Regulations SOR/2011-17, Schedule 1 (31.7, 25.4, 57.1 mm,
floor at 45 degrees). The gauge's three inch sizes: from memory, they convert to the printed millimetres.
"""

import math

import numpy as np
import pytest
from scipy.optimize import differential_evolution
from scipy.spatial.transform import Rotation

from fit.hand_made import USUAL, WIDTH_MM
from platelayer.fit.contours import peg_contour
from platelayer.fit.shapes import as_designed
from platelayer.fit.small_parts import DEEP_MM, SHALLOW_MM, caution_words, hull_corners, in_cylinder, spare_mm
from platelayer.fit.small_parts import WIDTH_MM as GAUGE_MM
from platelayer.geometry.contours import circle, rectangle
from platelayer.values.pieces import CornerRadii
from platelayer.values.shapes import Arc, Contour, Line

THICKNESS_MM = 12.7


def test_gauge_is_the_larger_of_the_published_ones():
    # source: SOR/2011-17, Schedule 1: 25.4 + 31.7 tan 45 = 57.1
    assert 25.4 + 31.7 * math.tan(math.radians(45)) == pytest.approx(57.1, abs=1e-9)
    assert pytest.approx((31.75, 25.4, 57.15), abs=1e-9) == (GAUGE_MM, SHALLOW_MM, DEEP_MM)
    assert pytest.approx(GAUGE_MM) == DEEP_MM - SHALLOW_MM


def double_peg():
    """Two pegs back to back, as sold loose to join sockets: heads at both ends of one neck."""
    shape = as_designed(USUAL, width_mm=WIDTH_MM, corners=CornerRadii())
    head, half = shape.head_centre_mm, shape.half_neck_mm
    onto = head - math.sqrt(shape.head_radius_mm**2 - half**2)
    return Contour(
        (
            Line((-onto, -half), (onto, -half)),
            Arc((onto, -half), (onto, half), (head, 0.0), is_ccw=True),
            Line((onto, half), (-onto, half)),
            Arc((-onto, half), (-onto, -half), (-head, 0.0), is_ccw=True),
        ),
        is_closed=True,
    )


@pytest.mark.parametrize(
    ("outline", "fits", "nearly"),
    [
        (circle((0.0, 0.0), USUAL.head_diameter_mm / 2), True, True),
        (double_peg(), True, True),
        (rectangle((0.0, 0.0), (22.0, WIDTH_MM)), True, True),
        (rectangle((0.0, 0.0), (29.0, WIDTH_MM)), False, True),
        (rectangle((0.0, 0.0), (30.0, WIDTH_MM)), False, False),
        (rectangle((0.0, 0.0), (60.0, WIDTH_MM)), False, False),
    ],
    ids=["broken-off head", "loose double peg", "plain 22 mm", "plain 29 mm", "plain 30 mm", "straight 60 mm"],
)
def test_parts_of_a_railway(outline, fits, nearly):
    """Plain pieces pass the hole up to sqrt(31.75^2 - 12.7^2) = 29.1 mm; the slanting floor takes some back."""
    found = in_cylinder(outline, thickness_mm=THICKNESS_MM)
    assert (found.fits, found.nearly_fits) == (fits, nearly)


def test_search_finds_as_much_as_an_evolution_of_orientations():
    """scipy's differential evolution, over Euler angles and places, is a search that shares nothing with ours."""
    corners = hull_corners(rectangle((0.0, 0.0), (26.0, WIDTH_MM)), thickness_mm=THICKNESS_MM)

    def sticks_out(v):
        return -spare_mm(corners, Rotation.from_euler("zyx", v[:3]).as_matrix(), v[3:])

    bounds = [(0, 2 * math.pi), (-math.pi, math.pi), (-math.pi, math.pi), (-8, 8), (-8, 8)]
    other = differential_evolution(sticks_out, bounds, seed=1, maxiter=150, popsize=12, tol=1e-9)
    found = in_cylinder(rectangle((0.0, 0.0), (26.0, WIDTH_MM)), thickness_mm=THICKNESS_MM)
    assert found.spare_mm >= -other.fun - 1e-3


def test_a_short_pegged_piece_sticks_out_sooner():
    shape = as_designed(USUAL, width_mm=WIDTH_MM, corners=CornerRadii())
    assert not in_cylinder(peg_contour(shape, body_mm=29.0), thickness_mm=THICKNESS_MM).fits


def test_gauge_itself_is_measured_right():
    """Discs and rods whose fit is plain: the hole's width, and the depth at the middle of the slanting floor."""
    assert in_cylinder(circle((0, 0), 15.8), thickness_mm=20).fits
    # worked by hand: a thin rod reaches from the rim to the deep corner: at most hypot(31.75, 57.15) = 65.4 mm
    assert in_cylinder(rectangle((0, 0), (62.0, 0.5)), thickness_mm=0.5).fits
    assert not in_cylinder(rectangle((0, 0), (67.0, 1.0)), thickness_mm=1.0).fits


def test_every_part_that_fits_still_fits_when_smaller():
    found = [in_cylinder(rectangle((0, 0), (length, 20.0)), thickness_mm=10.0).spare_mm for length in (20, 35, 50)]
    assert np.all(np.diff(found) < 0.05)


def test_words_caution_and_certify_nothing():
    head = in_cylinder(circle((0, 0), 5.5), thickness_mm=THICKNESS_MM)
    straight = in_cylinder(rectangle((0, 0), (29.0, WIDTH_MM)), thickness_mm=THICKNESS_MM)
    assert caution_words("Plain 29 mm", straight) == (
        "Plain 29 mm: sticks out of the small-parts cylinder of toy rules by only 1.5 mm. Treat it as a small "
        "part: not for children under three. This is a caution, not a certificate."
    )
    assert caution_words("Broken-off head", head) == (
        "Broken-off head: goes into the small-parts cylinder of toy rules. Not for children under three. "
        "This is a caution, not a certificate."
    )
