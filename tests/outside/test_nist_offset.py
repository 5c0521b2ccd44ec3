"""The offset against a published pair of contours: material edge and tool path, vertex by vertex.

SOURCE: NISTIR 6556 (Kramer, Proctor, Messina, 2000), tables 12 and 13: the same part programmed by its edge and by
the path of the centre of a cutter of diameter 1.
"""

import math

import pytest

from platelayer.offset.parallels import parallels
from platelayer.values.shapes import Arc, Contour, Line

# source: NISTIR 6556, table 12, as edge contour from (2, 3), clockwise
EDGE = (
    Arc((2.0, 3.0), (3.0, 2.0), (2.0, 2.0), is_ccw=False),
    Line((3.0, 2.0), (3.0, -1.0)),
    Arc((3.0, -1.0), (2.0, -2.0), (2.0, -1.0), is_ccw=False),
    Line((2.0, -2.0), (-2.0, -2.0)),
    Arc((-2.0, -2.0), (-2.6, -0.2), (-2.0, -1.0), is_ccw=False),
    Line((-2.6, -0.2), (1.4, 2.8)),
    Arc((1.4, 2.8), (2.0, 3.0), (2.0, 2.0), is_ccw=False),
)
# source: NISTIR 6556, table 13, end points of the tool-centre path from (2, 3.5)
PATH = ((3.5, 2.0), (3.5, -1.0), (2.0, -2.5), (-2.0, -2.5), (-2.9, 0.2), (1.1, 3.2), (2.0, 3.5))
# source: NISTIR 6556, table 13, centres of its arcs, from its I and J words
CENTRES = ((2.0, 2.0), (2.0, -1.0), (-2.0, -1.0), (2.0, 2.0))


def outline() -> Contour:
    """The edge counter-clockwise, as outlines are here."""
    turned = [
        Line(s.end, s.start) if isinstance(s, Line) else Arc(s.end, s.start, s.centre, not s.is_ccw) for s in EDGE
    ]
    return Contour(tuple(reversed(turned)), is_closed=True)


def test_edge_moved_out_by_half_the_cutter_is_the_printed_path_vertex_by_vertex():
    (found,) = parallels(outline(), 0.5)
    back = [segment.start for segment in reversed(found.contour.segments)]
    assert found.contour.is_closed
    assert len(back) == len(PATH)
    begin = min(range(len(back)), key=lambda index: math.dist(back[index], PATH[0]))
    for point, printed in zip(back[begin:] + back[:begin], PATH, strict=True):
        assert point == pytest.approx(printed, abs=1e-9)


def test_arcs_of_the_path_keep_the_printed_centres_and_the_lines_stay_lines():
    (found,) = parallels(outline(), 0.5)
    arcs = [segment for segment in found.contour.segments if isinstance(segment, Arc)]
    assert sorted(arc.centre for arc in arcs) == sorted(CENTRES)
    assert [arc.radius_mm for arc in arcs] == pytest.approx([1.5] * 4, abs=1e-12)
