"""What is taken to the shop, against things this project did not make.

SOURCE: NIOSH recommended exposure limit for noise (85 dBA over 8 h, 3 dB exchange), its published pairs of level and
time; ezdxf 1.4, a general-purpose DXF library, as an independent reader where it is installed.
"""

import math
from io import StringIO

import pytest

import preview_scene as scene
from platelayer.geometry.contours import area_mm2, circle
from platelayer.preview.paper.cautions import loudest_for_dba
from platelayer.preview.pictures.outlines import outlines_dxf, piece_layers
from platelayer.values.shapes import Arc
from referees.contours import polyline


@pytest.mark.parametrize(("dba", "minutes"), [(85, 480), (88, 240), (91, 120), (94, 60), (97, 30), (100, 15)])
def test_the_noise_limit_is_the_published_table(dba, minutes):
    # source: NIOSH recommended exposure limit for noise, 85 dBA, 3 dB exchange (published pairs)
    assert loudest_for_dba(60 * minutes) == dba


def test_dxf_read_by_an_independent_reader():
    """ezdxf (an outside library) finds the same areas and true arcs."""
    ezdxf = pytest.importorskip("ezdxf")
    ezdxf_math, ezdxf_path = pytest.importorskip("ezdxf.math"), pytest.importorskip("ezdxf.path")
    (piece,) = scene.board(1, columns=1)[0].pieces
    outline = piece.outline
    layers = (
        *piece_layers(piece),
        ("opening", circle((5.0, 5.0), 3.0)),
        ("groove", polyline([(0, 0), (1, 1)])),
    )
    document = ezdxf.read(StringIO(outlines_dxf(layers)))
    lines = list(document.modelspace().query("POLYLINE"))
    assert len(lines) == len(layers)
    assert not document.audit().errors
    virtual = list(lines[0].virtual_entities())
    radii = sorted(round(part.dxf.radius, 6) for part in virtual if part.dxftype() == "ARC")
    wanted = sorted(
        round(s.radius_mm, 6)
        for s in outline.segments
        if isinstance(s, Arc)
        for _ in range(1 + (s.sweep_rad > math.pi))
    )
    assert radii == wanted
    flat = [(p.x, p.y) for p in ezdxf_path.make_path(lines[0]).flattening(0.001)]
    assert abs(ezdxf_math.area([(*p, 0.0) for p in flat])) == pytest.approx(area_mm2(outline), abs=0.5)
