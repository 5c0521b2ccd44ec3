"""Arcs and feeds that the report prints or that follow from what it prints.

The whole listing of program C.1 is not at hand here, so its totals (59 motion lines, 183.430466 mm at feed) are not
replayed; its five arcs are, each from the point, the words and the figures known of it.

SOURCE: T. R. Kramer, F. M. Proctor, E. Messina, The NIST RS274NGC Interpreter - Version 3, NISTIR 6556, 17 August
2000, clauses 3.5.3.2 and 3.5.17, table 10 and appendix C.1.
"""

import math

import pytest

from platelayer.gcode.reader import read_program
from platelayer.values.motion import MoveKind
from platelayer.values.shapes import Arc


def arc_of(motion, row):
    """The arc of a row and its length in space: along the helix where the height changes."""
    arc = Arc(
        tuple(motion.start[row, :2]),
        tuple(motion.end[row, :2]),
        tuple(motion.centre[row]),
        motion.kind[row] == MoveKind.ARC_CCW,
    )
    return arc, math.hypot(arc.length_mm, motion.end[row, 2] - motion.start[row, 2])


def test_centre_form_example():
    """3.5.3.2, printed: from (7,7) the centre is (10,11) and the radius 5; sweep and length worked by hand."""
    motion = read_program("G0 X7 Y7 Z9\nG17 G2 x10 y16 i3 j4 z9\nM2\n", name="a.nc")
    arc, length = arc_of(motion, 1)
    assert motion.end[1].tolist() == [10.0, 16.0, 9.0]
    assert arc.centre == (10.0, 11.0)
    assert arc.radius_mm == 5.0
    assert math.degrees(arc.sweep_rad) == pytest.approx(143.1301, abs=5e-5)
    assert length == pytest.approx(12.490458, abs=5e-7)


def test_session_of_table_10():
    """Table 10, printed: SET_FEED_RATE(20.0000), STRAIGHT_FEED(3,1,0), ARC_FEED(0, 1, 1.5000, 7.8476, -1, 0.5).

    The session writes the end as an expression that comes to zero; expressions are not read here.
    """
    motion = read_program("g1 x3 y1 f20.0\ng2 x0 r 7.01 z0.5\nM2\n", name="a.nc")
    assert motion.feed.tolist() == [20.0, 20.0]
    assert motion.end.tolist() == [[3.0, 1.0, 0.0], [0.0, 1.0, 0.5]]
    assert motion.kind.tolist() == [MoveKind.LINE, MoveKind.ARC_CW]
    assert motion.centre[1] == pytest.approx([1.5, 7.8476], abs=5e-5)
    arc, length = arc_of(motion, 1)
    sweep = 2 * math.asin(1.5 / 7.01)  # worked by hand: half the chord of 3 over the radius
    assert arc.sweep_rad == pytest.approx(sweep, abs=1e-12)
    assert length == pytest.approx(math.hypot(7.01 * sweep, 0.5), abs=1e-12)


# start, words, centre, degrees, length in mm; source: appendix C.1, lines n0190, n0320, n0430, n0490, n0590
ARCS_OF_C1 = {
    "n0190": ((16.0, 2.5), "g3 x13.5 y0 i-2.5", (13.5, 2.5), 270.0, 11.780972),
    "n0320": ((35.0, 2.5), "g2 x35 y2.5 i-2.5", (32.5, 2.5), 360.0, 15.707963),
    "n0430": ((60.0, 2.5), "g2 x60 y2.5 i-2.5", (57.5, 2.5), 360.0, 15.707963),
    "n0490": ((64.0, 4.0), "g2 x69 r4", (66.5, 0.877501), 77.364, 5.401052),
    "n0590": ((79.5, 0.0), "g2 j2.5 y5", (79.5, 2.5), 180.0, 7.853982),
}


@pytest.mark.parametrize(("start", "words", "centre", "degrees", "length"), ARCS_OF_C1.values(), ids=ARCS_OF_C1)
def test_arcs_of_program_c1(start, words, centre, degrees, length):
    """Of the two full circles only centre and radius are known; here they begin at their right."""
    motion = read_program(f"g21 f20\ng0 x{start[0]} y{start[1]}\n{words}\nm2\n", name="a.nc")
    arc, found = arc_of(motion, 1)
    assert arc.centre == pytest.approx(centre, abs=5e-7)
    assert math.degrees(arc.sweep_rad) == pytest.approx(degrees, abs=5e-4)
    assert found == pytest.approx(length, abs=5e-7)
    assert motion.feed[1] == 20.0


# vertices of the material edge, appendix B / tables 12 and 13; all in one contour of lines and clockwise arcs
EDGE = "G0 X2 Y3\nG2 X3 Y2 J-1\nG1 Y-1\nG2 X2 Y-2 I-1\nG1 X-2\nG2 X-2.6 Y-0.2 J1\nG1 X1.4 Y2.8\nG2 X2 Y3 I0.6 J-0.8\n"
PATH = (
    "G0 X2 Y3.5\nG2 X3.5 Y2 J-1.5\nG1 Y-1\nG2 X2 Y-2.5 I-1.5\nG1 X-2\nG2 X-2.9 Y0.2 J1.5\nG1 X1.1 Y3.2\n"
    "G2 X2 Y3.5 I0.9 J-1.2\n"
)


@pytest.mark.parametrize(
    ("text", "perimeter"),
    [(EDGE, 12 + 2 * math.pi), (PATH, 12 + 3 * math.pi)],
    ids=["table 12, material edge", "table 13, tool path"],
)
def test_contours_of_tables_12_and_13(text, perimeter):
    """A 3-4-5 triangle grown by a disc of 1, then of 1.5: perimeters by the Minkowski-Steiner formula."""
    motion = read_program(text + "M2\n", name="a.nc")
    lengths, sweeps = [], []
    for row in range(1, len(motion)):
        if motion.kind[row] == MoveKind.LINE:
            lengths.append(math.dist(motion.start[row], motion.end[row]))
            continue
        arc, length = arc_of(motion, row)
        lengths.append(length)
        sweeps.append(math.degrees(arc.sweep_rad))
    assert sum(lengths) == pytest.approx(perimeter, abs=1e-9)
    assert sweeps == pytest.approx([90.0, 90.0, 143.1301, 36.8699], abs=5e-5)
