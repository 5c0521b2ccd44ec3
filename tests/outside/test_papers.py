"""What is taken to the shop, against things this project did not make.

SOURCE: NIOSH recommended exposure limit for noise (85 dBA over 8 h, 3 dB exchange), its published pairs of level and
time; ezdxf 1.4, a general-purpose DXF library, as an independent reader.
"""

import math
from io import StringIO

import ezdxf
import ezdxf.math
import ezdxf.path
import pytest
from hypothesis import given

import preview_scene as scene
from platelayer.geometry.contours import area_mm2, circle
from platelayer.geometry.joint import peg_run
from platelayer.preview.paper.cautions import loudest_for_dba
from platelayer.preview.pictures.outlines import outlines_dxf, piece_layers
from platelayer.values.shapes import Arc, Contour
from referees.contours import polyline
from strategies_geometry import joints


@pytest.mark.parametrize(("dba", "minutes"), [(85, 480), (88, 240), (91, 120), (94, 60), (97, 30), (100, 15)])
def test_the_noise_limit_is_the_published_table(dba, minutes):
    # source: NIOSH recommended exposure limit for noise, 85 dBA, 3 dB exchange (published pairs)
    assert loudest_for_dba(60 * minutes) == dba


def drawn(layers):
    """Closed and open lines of a DXF file, as ezdxf reads them."""
    document = ezdxf.read(StringIO(outlines_dxf(layers)))
    assert not document.audit().errors
    return list(document.modelspace().query("POLYLINE"))


def drawn_area_mm2(line):
    """Area inside a line by ezdxf's own flattening, to a thousandth of a millimetre from its arcs."""
    flat = [(p.x, p.y, 0.0) for p in ezdxf.path.make_path(line).flattening(0.001)]
    return abs(ezdxf.math.area(flat))


def test_dxf_read_by_an_independent_reader():
    """ezdxf (an outside library) finds the same area and true arcs."""
    (piece,) = scene.board(1, columns=1)[0].pieces
    outline = piece.outline
    layers = (
        *piece_layers(piece),
        ("opening", circle((5.0, 5.0), 3.0)),
        ("groove", polyline([(0, 0), (1, 1)])),
    )
    lines = drawn(layers)
    assert len(lines) == len(layers)
    radii = sorted(round(part.dxf.radius, 6) for part in lines[0].virtual_entities() if part.dxftype() == "ARC")
    wanted = sorted(
        round(s.radius_mm, 6)
        for s in outline.segments
        if isinstance(s, Arc)
        for _ in range(1 + (s.sweep_rad > math.pi))
    )
    assert radii == wanted
    assert drawn_area_mm2(lines[0]) == pytest.approx(area_mm2(outline), abs=0.5)


@given(joint=joints())
def test_every_peg_is_drawn_with_its_area(joint):
    """Whatever share of its circle the neck leaves of the head, which is always past half a turn."""
    neck, radius = joint.neck_width_mm, joint.head_diameter_mm / 2
    run = peg_run(width_mm=40.0, joint=joint, relief_radius_mm=0.0).segments
    back = polyline([run[-1].end, (-60.0, 20.0), (-60.0, -20.0), run[0].start])
    (line,) = drawn([("outline", Contour((*run, *back.segments), is_closed=True))])
    half_angle = math.asin(neck / 2 / radius)
    cap = radius**2 * (half_angle - math.sin(half_angle) * math.cos(half_angle))
    stem = joint.head_setback_mm + radius - radius * math.cos(half_angle)
    assert drawn_area_mm2(line) == pytest.approx(60 * 40 + neck * stem + math.pi * radius**2 - cap, abs=0.05)
