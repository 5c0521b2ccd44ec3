"""The fit card: pieces that any road can cut, features where the caliper's list says they are."""

import math

import pytest
from shapely.geometry import LineString

from fit.hand_made import USUAL
from fit.test_correction import CARD, TRACK
from platelayer.fit.card import GAUGE_STICK_MM, PEG_STICK_MM, Feature, fit_card, rung_sizes
from platelayer.geometry.discs import corners_left, solid
from platelayer.values.pieces import CornerRadii, EndKind, Role
from platelayer.values.shapes import Arc
from referees.contours import is_chained

SHARP = CornerRadii()


def test_sticks_are_long_enough_never_to_be_loose():
    assert all(piece.length_mm >= 100 for piece in CARD.pieces)
    assert [piece.length_mm for piece in CARD.pieces] == [PEG_STICK_MM, PEG_STICK_MM, GAUGE_STICK_MM]


def test_outlines_are_sound_and_the_bit_reaches_every_notch():
    for piece in CARD.pieces:
        assert is_chained(piece.outline)
        assert len(piece.labels) == len(piece.outline.segments)
        area = solid(piece, chord_mm=1e-3)
        assert area.is_valid
        assert area.exterior.is_ccw
        left = corners_left(piece, 1.5875, chord_mm=5e-4)
        # only the crooks, where a neck meets its head, beyond the end faces
        assert all(not 0 <= corner.at[0] <= piece.length_mm for corner in left)


def test_each_feature_stands_where_the_list_says():
    pieces = {piece.id: solid(piece, chord_mm=1e-3) for piece in CARD.pieces}
    for feature in CARD.features:
        if feature.feature is Feature.GROOVE_DEPTH:
            assert feature.designed_mm == TRACK.groove_depth_mm
            continue
        line = LineString(feature.between)
        wood = pieces[feature.piece_id].intersection(line).length
        assert line.length == pytest.approx(feature.designed_mm)
        assert wood == pytest.approx(0 if feature.is_slot else feature.designed_mm, abs=1e-6)
        # and no further: a hair beyond either jaw it is the other way round
        (x0, y0), (x1, y1) = feature.between
        dx, dy = (x1 - x0) / line.length / 2, (y1 - y0) / line.length / 2
        longer = LineString([(x0 - dx, y0 - dy), (x1 + dx, y1 + dy)])
        beyond = pieces[feature.piece_id].intersection(longer).length - wood
        assert beyond == pytest.approx(1.0 if feature.is_slot else 0.0, abs=1e-6)


def test_each_stick_has_a_free_side_on_either_edge():
    for piece in CARD.pieces:
        pairs = zip(piece.outline.segments, piece.labels, strict=True)
        sides = [segment for segment, label in pairs if label.role is Role.SIDE]
        assert len(sides) == 2
        assert min(side.length_mm for side in sides) >= 45
        assert {side.start[1] for side in sides} == {-TRACK.width_mm / 2, TRACK.width_mm / 2}


def test_rungs_are_told_by_their_pips():
    for rung in CARD.rungs:
        (piece,) = [piece for piece in CARD.pieces if piece.id == rung.piece_id]
        assert piece.ends[rung.end].kind is EndKind.PEG
        pips = [
            segment
            for segment in piece.outline.segments
            if isinstance(segment, Arc) and math.isclose(segment.sweep_rad, math.pi, abs_tol=1e-9)
        ]
        near = [pip for pip in pips if (pip.centre[0] < PEG_STICK_MM / 2) is (rung.end == 0)]
        assert len(near) == rung.pips
    assert [rung.pips for rung in CARD.rungs] == [1, 2, 3, 4]


def test_a_rung_changes_the_head_only():
    loose = rung_sizes(USUAL, offset_mm=0.1)
    assert loose.head_diameter_mm == pytest.approx(USUAL.head_diameter_mm - 0.2)
    assert loose.head_setback_mm == pytest.approx(USUAL.head_setback_mm + 0.1)
    assert loose.neck_width_mm == USUAL.neck_width_mm


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"rungs_mm": (0.0,)}, "an even number of offsets"),
        ({"bit_radius_mm": 4.7}, "the bit is too large for the card's slots"),
    ],
)
def test_cards_that_cannot_be(change, words):
    asked = {"sizes": USUAL, "track": TRACK, "corners": SHARP, "bit_radius_mm": 1.5} | change
    with pytest.raises(ValueError, match=words):
        fit_card(**asked)
