"""Grooves: full width from face to face, both walls by climb, nothing outside, run-out past the faces."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from geometry.usual import sized
from platelayer.errors import CannotCut
from platelayer.geometry.contours import segment_point
from platelayer.geometry.discs import solid
from platelayer.geometry.grooves import groove_contour
from platelayer.geometry.intersect import direction_at
from platelayer.geometry.regions import (
    buffered,
    difference,
    distances_mm,
    intersection,
    parts,
    thickest_mm,
    to_area,
    union_all,
)
from platelayer.offset.groove_passes import cut_groove
from platelayer.tolerances import GROOVE_RUN_OUT_MM, LEFTOVER_MM
from platelayer.values.pieces import BoardFace
from platelayer.values.shapes import Contour
from platelayer.values.tooling import BitKind
from strategies_offset import CURVE, INCH, STRAIGHT, TRACK, bit_of, data_of, job_of, piece_of

EIGHTH = bit_of(INCH / 8)
CHORD = 2e-4
NO_FLARE = replace(TRACK, flare_length_mm=0.0)
WIDE_FLARE = replace(TRACK, flare_length_mm=9.0, flare_extra_mm=1.5)
WIDENED = replace(CURVE, name="widened")
CASES = [
    pytest.param(STRAIGHT, TRACK, EIGHTH, id="straight"),
    pytest.param(STRAIGHT, NO_FLARE, EIGHTH, id="no flare"),
    pytest.param(STRAIGHT, WIDE_FLARE, EIGHTH, id="wide flare"),
    pytest.param(CURVE, TRACK, EIGHTH, id="curve"),
    pytest.param(sized(CURVE, hand="right"), TRACK, bit_of(4.0), id="right curve, wider bit"),
    pytest.param(STRAIGHT, NO_FLARE, bit_of(TRACK.groove_width_mm), id="bit as wide as the groove"),
    pytest.param(STRAIGHT, TRACK, bit_of(INCH / 16), id="sixteenth"),
    pytest.param(WIDENED, TRACK, EIGHTH, id="widened for a wheel"),
    pytest.param(WIDENED, TRACK, bit_of(INCH / 16), id="widened, sixteenth"),
    pytest.param(WIDENED, NO_FLARE, bit_of(TRACK.groove_width_mm), id="widened, bit as wide as the groove"),
    pytest.param(replace(STRAIGHT, grooves_top=False, grooves_bottom=True), TRACK, EIGHTH, id="bottom"),
]


def grooves_of(order, track):
    piece = piece_of(job_of(joints=EIGHTH, track=track), order)
    if order is WIDENED:
        knots = [((8.0, 0.0), (18.0, 1.0), (high - 18.0, 1.0), (high - 8.0, 0.0)) for high in _lengths(piece)]
        pairs = zip(piece.grooves, knots, strict=True)
        piece = replace(piece, grooves=tuple(replace(groove, widening_mm=knot) for groove, knot in pairs))
    return piece, piece.grooves


def _lengths(piece):
    return [groove.path.length_mm for groove in piece.grooves]


def swept(steps, radius, depth):
    lines = [
        buffered(to_area(Contour((step.segment,), is_closed=False), chord_mm=CHORD), radius, chord_mm=CHORD)
        for step in steps
        if step.segment.start != step.segment.end and max(step.z_start, step.z_end) <= -depth + 1e-9
    ]
    return union_all(lines)


@pytest.mark.parametrize(("order", "track", "bit"), CASES)
def test_floor_is_the_groove_from_face_to_face_and_nothing_more(order, track, bit):
    piece, grooves = grooves_of(order, track)
    design = solid(piece, chord_mm=CHORD)
    for groove in grooves:
        made = cut_groove(groove, piece_id="p", bit=bit, data=data_of(bit))
        floor = intersection(swept(made.passes[0].steps, bit.radius_mm, groove.depth_mm), design)
        wanted = to_area(groove_contour(groove), chord_mm=CHORD)
        assert thickest_mm(difference(floor, wanted), chord_mm=1e-4) < 0.003
        missing = buffered(difference(wanted, floor), -LEFTOVER_MM / 8, chord_mm=1e-3)
        assert [part.bounds for part in parts(missing)] == []


@pytest.mark.parametrize(("order", "track", "bit"), CASES)
def test_centre_runs_out_past_each_face_and_no_further_than_needed(order, track, bit):
    piece, grooves = grooves_of(order, track)
    design = solid(piece, chord_mm=CHORD)
    for groove in grooves:
        made = cut_groove(groove, piece_id="p", bit=bit, data=data_of(bit))
        ends = [step.segment.end for step in made.passes[0].steps]
        beyond = distances_mm(design, ends)
        assert beyond.max() >= GROOVE_RUN_OUT_MM - 1e-6
        assert beyond.max() <= GROOVE_RUN_OUT_MM + 0.15
        assert made.passes[0].steps[0].z_start == 0.0
        assert min(step.z_end for step in made.passes[0].steps) == -groove.depth_mm
        assert made.face is groove.face


@pytest.mark.parametrize("order", [STRAIGHT, CURVE])
@pytest.mark.parametrize("face", list(BoardFace))
def test_walls_are_cut_by_climb(order, face):
    """With the spindle clockwise the wall stands on the right of travel; on the left where the board lies turned."""
    order = replace(order, grooves_top=face is BoardFace.TOP, grooves_bottom=face is BoardFace.BOTTOM)
    _, grooves = grooves_of(order, NO_FLARE)
    for groove in grooves:
        made = cut_groove(groove, piece_id="p", bit=EIGHTH, data=data_of(EIGHTH))
        wood = to_area(groove_contour(groove), chord_mm=CHORD)
        walls = 0
        for step in made.passes[0].steps:
            if step.segment.length_mm < 20 or step.z_end > -groove.depth_mm + 1e-9:
                continue
            x, y = np.mean([step.segment.start, step.segment.end], axis=0)
            if step.segment.__class__.__name__ == "Arc":
                x, y = segment_point(step.segment, 0.5)
            ux, uy = direction_at(step.segment, 0.5)
            beside = [(x + s * uy * (EIGHTH.radius_mm + 0.05), y - s * ux * (EIGHTH.radius_mm + 0.05)) for s in (1, -1)]
            right, left = (gap > 0 for gap in distances_mm(wood, beside))
            if right != left:
                walls += 1
                assert right == (face is BoardFace.TOP)
        assert walls == 2


def lanes_of(made):
    return sorted({round(s.segment.start[1], 6) for s in made.passes[0].steps if s.segment.length_mm > 100})


def test_lanes_stand_no_further_apart_than_the_stepover():
    _, grooves = grooves_of(STRAIGHT, NO_FLARE)
    bit = bit_of(INCH / 16)
    heights = lanes_of(cut_groove(grooves[0], piece_id="p", bit=bit, data=data_of(bit, stepover_ratio=0.3)))
    assert max(b - a for a, b in pairwise(heights)) <= 0.3 * bit.diameter_mm + 1e-9


@pytest.mark.parametrize("track", [TRACK, NO_FLARE], ids=["flared", "plain"])
def test_a_groove_narrower_than_two_bits_is_cut_along_its_walls_alone(track):
    _, grooves = grooves_of(STRAIGHT, track)
    made = cut_groove(grooves[0], piece_id="p", bit=EIGHTH, data=data_of(EIGHTH, stepover_ratio=0.3))
    low, high = lanes_of(made)
    assert high - low == pytest.approx(grooves[0].width_mm - EIGHTH.diameter_mm, abs=1e-6)


def test_no_level_is_deeper_than_the_stepdown():
    _, grooves = grooves_of(STRAIGHT, TRACK)
    made = cut_groove(grooves[0], piece_id="p", bit=EIGHTH, data=data_of(EIGHTH, stepdown_mm=1.0))
    levels = sorted({step.z_end for step in made.passes[0].steps if step.z_end == step.z_start}, reverse=True)
    assert len(levels) == 4
    assert all(a - b <= 1.0 for a, b in zip([0.0, *levels], levels, strict=False))


@pytest.mark.parametrize(
    ("bit", "sentence"),
    [
        (
            bit_of(INCH / 4),
            "[bits] grooves = flat-6.35: 1/4 in (6.350 mm) wide, wider than the groove, 15/64 in (5.953 mm). "
            "The largest bit that goes is 15/64 in (5.953 mm). Or widen the groove: put groove_outer and groove_inner "
            "in [track] 1/4 in (6.350 mm) apart or more.",
        ),
        (
            bit_of(3.0, id="vee", kind=BitKind.VEE, included_rad=math.pi / 2),
            "[bits] grooves = vee: a vee bit leaves no flat floor and no square wall in a groove. Use a flat bit.",
        ),
        (
            bit_of(INCH / 8, cutting_length_mm=3.0),
            "[bits] grooves = flat-3.175: cuts ~1/8 in (3.000 mm) deep at most, the groove is 9/64 in (3.572 mm) deep. "
            "Use a bit with a longer cutting edge, or a shallower groove.",
        ),
    ],
)
def test_bits_that_do_not_go_are_refused_in_words(bit, sentence):
    _, grooves = grooves_of(STRAIGHT, TRACK)
    with pytest.raises(CannotCut) as error:
        cut_groove(grooves[0], piece_id="p", bit=bit, data=data_of(bit))
    assert str(error.value) == sentence
