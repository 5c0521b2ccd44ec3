"""The outline: directions, entries, leads, tabs and skins."""

import math
from dataclasses import replace

import pytest

from geometry.usual import sized
from platelayer.errors import CannotCut
from platelayer.geometry.contours import distance_mm, inverse_pose, signed_area_mm2, transform_point
from platelayer.offset.cutting import cut_piece
from platelayer.offset.depths import bend_mm, canyon_levels, finish_levels, levels
from platelayer.offset.room import clearance_needed_mm
from platelayer.offset.tabs import sides_of
from platelayer.tolerances import FINISH_ALLOWANCE_MM, PEG_CLEAR_MM
from platelayer.units import worded
from platelayer.values.cuts import CutKind
from platelayer.values.findings import Code
from platelayer.values.pieces import EndKind
from platelayer.values.shapes import Arc, Contour, Line
from strategies_offset import BOARD, CURVE, INCH, SKIN, STRAIGHT, TABS, bit_of, data_of, job_of, piece_of

EIGHTH, QUARTER = bit_of(INCH / 8), bit_of(INCH / 4)
SHORT = sized(STRAIGHT, length=INCH * 19 / 8)
PLAIN = replace(STRAIGHT, ends=(EndKind.PLAIN, EndKind.PLAIN))
PIECES = [
    pytest.param(EIGHTH, STRAIGHT, id="long"),
    pytest.param(EIGHTH, SHORT, id="short"),
    pytest.param(QUARTER, STRAIGHT, id="long, quarter"),
    pytest.param(EIGHTH, CURVE, id="curve"),
    pytest.param(QUARTER, sized(CURVE, hand="right"), id="right curve, quarter"),
    pytest.param(QUARTER, PLAIN, id="plain ends"),
]


def outline_of(bit, order, **more):
    room = more.pop("clearance_mm", None)
    job = job_of(joints=EIGHTH, outlines=bit, **more)
    piece = piece_of(job, order)
    room = clearance_needed_mm(job, job.boards[0]) if room is None else room
    made, findings = cut_piece(piece, job=job, board=job.boards[0], clearance_mm=room)
    return piece, made, made.cuts[-1], findings


def turned_area(one):
    """Signed area that a pass goes round, counter-clockwise positive: chords and bulges of its steps."""
    segments = [step.segment for step in one.steps if step.segment.start != step.segment.end]
    segments.append(Line(segments[-1].end, segments[0].start))
    return signed_area_mm2(Contour(tuple(segments), is_closed=True))


@pytest.mark.parametrize(("bit", "order"), PIECES)
def test_roughing_and_finish_go_clockwise(bit, order):
    """Spindle M3: outside, clockwise is climb, and a full slot pushes the bit off the piece."""
    _, _, cut, _ = outline_of(bit, order)
    assert all(turned_area(one) < 0 for one in cut.passes)
    assert cut.passes[-1].is_finish


def test_sockets_and_notches_are_finished_by_climb():
    """Inside, climb is counter-clockwise: the wall stands on the right of travel."""
    job = job_of(joints=EIGHTH)
    piece = piece_of(job, STRAIGHT)
    made, _ = cut_piece(piece, job=job, board=BOARD, clearance_mm=6.0)
    for kind in (CutKind.SOCKET, CutKind.NOTCH):
        cut = next(some for some in made.cuts if some.kind is kind)
        finish = cut.passes[-1]
        assert finish.is_finish
        hole = max((s.segment for s in finish.steps if isinstance(s.segment, Arc)), key=lambda arc: arc.length_mm)
        assert hole.is_ccw == (kind is CutKind.SOCKET)


@pytest.mark.parametrize(("bit", "order"), PIECES)
def test_finish_runs_at_the_bits_radius_and_roughing_leaves_its_allowance(bit, order):
    piece, _, cut, _ = outline_of(bit, order)
    for one in cut.passes:
        nearest = min(distance_mm(piece.outline, step.segment.end) for step in one.steps)
        wanted = bit.radius_mm + (0.0 if one.is_finish else FINISH_ALLOWANCE_MM)
        assert nearest >= wanted - 1e-6
    pegs = [s for s, label in zip(piece.outline.segments, piece.labels, strict=True) if label.role.value == "peg"]
    if pegs:
        peg = Contour(tuple(pegs), is_closed=False)
        gaps = [distance_mm(peg, step.segment.end) for one in cut.passes for step in one.steps]
        assert min(gaps) >= bit.radius_mm + PEG_CLEAR_MM - 1e-6


@pytest.mark.parametrize(("bit", "order"), PIECES)
def test_leads_lie_on_a_long_edge_a_diameter_from_the_faces_and_overlap_the_start(bit, order):
    piece, _, cut, _ = outline_of(bit, order)
    finish = cut.passes[-1]
    first, last = finish.steps[0].segment, finish.steps[-1].segment
    assert isinstance(first, Arc) and isinstance(last, Arc)
    for point in (first.start, first.end, last.start, last.end):
        for end in piece.ends:
            into, _ = transform_point(point, inverse_pose(end.pose))
            assert into <= -bit.diameter_mm + 1e-6 or abs(into) > 40
    assert distance_mm(piece.outline, first.start) == pytest.approx(bit.radius_mm + FINISH_ALLOWANCE_MM, abs=0.01)
    assert 1.0 <= math.dist(first.end, last.start) <= 2.0
    # tangent: the lead's centre, its end on the path and the piece lie on one line
    assert abs(math.dist(first.centre, first.end) + bit.radius_mm - distance_mm(piece.outline, first.centre)) < 1e-6


@pytest.mark.parametrize(("bit", "order"), PIECES)
def test_every_entry_is_a_ramp_begun_on_the_wood_and_recut(bit, order):
    _, _, cut, _ = outline_of(bit, order)
    rough = [one for one in cut.passes if not one.is_finish]
    assert rough[0].steps[0].z_start == 0.0
    for one in rough:
        fall = one.steps[0].z_start - one.steps[0].z_end
        assert 0 < fall <= one.steps[0].segment.length_mm / 4
        deepest = min(step.z_end for step in one.steps)
        assert one.steps[-1].z_start == one.steps[-1].z_end == deepest


@pytest.mark.parametrize(("bit", "order"), PIECES)
def test_tabs_stand_on_sides_only_and_every_pass_below_their_tops_goes_over_them(bit, order):
    piece, made, cut, _ = outline_of(bit, order)
    sides = sides_of(piece)
    assert len(made.tabs) >= 4
    for side in sides:
        mine = [tab for tab in made.tabs if distance_mm(side, tab.at) < 1e-6]
        assert len(mine) == len(made.tabs) // len(sides)
    top = -BOARD.thickness_mm + made.tabs[0].height_mm
    for tab in made.tabs:
        for end in piece.ends:
            into, aside = transform_point(tab.at, inverse_pose(end.pose))
            assert into < -(bit.diameter_mm + tab.width_mm / 2) or abs(aside) > 30
        for one in cut.passes:
            for step in one.steps:
                if min(step.z_start, step.z_end) < top - 1e-6 and step.segment.start != step.segment.end:
                    gap = distance_mm(Contour((step.segment,), is_closed=False), tab.at)
                    flat = max(step.z_start, step.z_end) < top - 1e-6
                    if flat:
                        # wood left: half the width beside the tab's middle, and the bit's round
                        assert gap >= math.hypot(tab.width_mm / 2 + bit.radius_mm, bit.radius_mm) - 0.05


def test_count_of_tabs_goes_with_the_length_and_short_pieces_get_four():
    assert len(outline_of(EIGHTH, SHORT, holding=replace(TABS, tab_count=2))[1].tabs) == 4
    assert len(outline_of(EIGHTH, STRAIGHT, holding=replace(TABS, tab_count=2))[1].tabs) == 2
    assert len(outline_of(EIGHTH, STRAIGHT)[1].tabs) == 4
    assert len(outline_of(EIGHTH, sized(STRAIGHT, length=500.0))[1].tabs) == 8


def test_a_tab_of_a_short_piece_reached_into_the_lead():
    """The finish loop of a piece too short for a place of its own was entered 0.75 mm too far from the side's end."""
    made = 0
    for tenths in range(400, 700, 7):
        try:
            _, one, cut, _ = outline_of(EIGHTH, sized(PLAIN, length=tenths / 10))
        except CannotCut:
            continue
        made += 1
        first = cut.passes[-1].steps[0].segment.start
        assert min(math.dist(first, tab.at) for tab in one.tabs) > (TABS.tab_width_mm + EIGHTH.diameter_mm) / 2
    assert made > 20


@pytest.mark.parametrize(
    ("board", "holding", "sentence"),
    [
        (
            BOARD,
            replace(TABS, tab_height_mm=1.6),
            "[holding] tab_height = ~1/16 in (1.600 mm): less than ~1/16 in (1.700 mm), which is 1.5 mm and the "
            "thickness scatter. Use ~1/16 in (1.700 mm) to 1/8 in (3.175 mm).",
        ),
        (
            BOARD,
            replace(TABS, tab_height_mm=4.0),
            "[holding] tab_height = ~5/32 in (4.000 mm): more than 1/8 in (3.175 mm), a quarter of the thickness. "
            "Use ~1/16 in (1.700 mm) to 1/8 in (3.175 mm).",
        ),
        (
            replace(BOARD, scatter_mm=2.0),
            TABS,
            "[[board]] A scatter = ~5/64 in (2.000 mm): a tab of at least ~9/64 in (3.500 mm) (1.5 mm and the scatter) "
            "would be higher than a quarter of the thickness, 1/8 in (3.175 mm). "
            "Measure the board and state a smaller scatter, or hold the pieces by a skin.",
        ),
        (
            replace(BOARD, thickness_is_measured=False),
            SKIN,
            "[holding] kind = skin: a skin needs zero on the spoilboard or a measured thickness, else it may be cut "
            'through. Set zero = "spoilboard", measure the thickness, or use tabs.',
        ),
        (
            BOARD,
            replace(SKIN, skin_mm=0.5),
            "[holding] skin = 0.020 in (0.500 mm): less than 0.024 in (0.600 mm), which is 0.4 mm and the thickness "
            "scatter. Use at least 0.024 in (0.600 mm).",
        ),
        (
            BOARD,
            replace(TABS, tab_width_mm=20.0),
            "[holding] tab_width: straight 2 3/8 in: 2 tabs on one side take ~2 3/8 in (60.150 mm) with the bit and "
            "the ramps beside them, and there is ~1 61/64 in (49.475 mm) away from ends and lead-in. "
            "Use narrower or lower tabs, a smaller bit for the outlines, or a skin.",
        ),
    ],
)
def test_holdings_that_cannot_be_are_refused_in_words(board, holding, sentence):
    with pytest.raises(CannotCut) as error:
        outline_of(EIGHTH, SHORT, boards=(board,), holding=holding)
    assert str(error.value) == sentence


def test_slot_deeper_than_three_diameters_is_widened_first_where_there_is_room():
    piece, _, cut, findings = outline_of(EIGHTH, STRAIGHT)
    assert not [f for f in findings if f.code is Code.CUTTING_DEEP_SLOT]
    rough = [one for one in cut.passes if not one.is_finish]
    reach = [max(distance_mm(piece.outline, step.segment.end) for step in one.steps[:3]) for one in rough]
    depth = [-min(step.z_end for step in one.steps) for one in rough]
    widened = max(range(len(rough)), key=lambda index: reach[index])
    assert 0 < widened < len(rough) - 1
    assert depth[-1] - depth[widened] <= 3 * EIGHTH.diameter_mm + 1e-9
    assert depth[widened - 1] <= 3 * EIGHTH.diameter_mm


def test_slot_without_room_for_widening_warns_of_burning():
    _, _, _, findings = outline_of(EIGHTH, STRAIGHT, clearance_mm=4.0)
    (found,) = [f for f in findings if f.code is Code.CUTTING_DEEP_SLOT]
    assert worded(found.text, "in") == (
        "straight 5 15/16 in: the outline's slot is ~33/64 in (13.000 mm) deep, more than three diameters of "
        "flat-3.175, and there is no room to widen it: chips pack and the wood burns."
    )
    assert (found.measured, found.limit) == (13.0, 3 * EIGHTH.diameter_mm)


def test_levels_are_even_no_deeper_than_the_stepdown_and_end_at_the_depth():
    assert levels(13.0, 4.0) == pytest.approx((-3.25, -6.5, -9.75, -13.0))
    assert levels(3.0, 3.0) == (-3.0,)
    assert levels(3.002, 3.0) == (-3.002,)
    with pytest.raises(ValueError, match="stepdown must be positive"):
        levels(3.0, 0.0)
    assert canyon_levels(levels(9.0, 1.5), EIGHTH) == ()
    assert canyon_levels(levels(13.0, 2.0), EIGHTH) == levels(13.0, 2.0)[:2]


def test_bending_follows_the_cantilever_and_steps_the_finish_of_a_thin_bit():
    """Twice the diameter is a sixteenth, and with the thinner chip less; a longer bit bends by about the cube."""
    thick, thin = (replace(bit_of(wide), stick_out_mm=15.0) for wide in (6.0, 3.0))  # all flutes
    ratio = bend_mm(bit=thin, data=data_of(thin), side_mm=0.2, deep_mm=12.0) / bend_mm(
        bit=thick, data=data_of(thick), side_mm=0.2, deep_mm=12.0
    )
    # worked by hand: 16 by stiffness, times sqrt((1/15)(14/15) / ((1/30)(29/30))) by the chip
    assert ratio == pytest.approx(16 * math.sqrt((14 / 225) / (29 / 900)), rel=1e-9)
    # textbook ends of the case: whole length loaded F l^3 / 8 EI, tip alone F l^3 / 3 EI
    whole = bend_mm(bit=thin, data=data_of(thin), side_mm=0.2, deep_mm=15.0) / 15.0
    tip = bend_mm(bit=thin, data=data_of(thin), side_mm=0.2, deep_mm=1e-6) / 1e-6
    assert tip / whole == pytest.approx(8 / 3, rel=1e-5)
    assert len(finish_levels(13.0, bit=EIGHTH, data=data_of(EIGHTH), side_mm=0.2)) == 1
    sixteenth = bit_of(INCH / 16)
    assert len(finish_levels(13.0, bit=sixteenth, data=data_of(sixteenth), side_mm=0.2)) > 4


def test_piece_without_a_long_edge_is_refused():
    with pytest.raises(CannotCut) as error:
        outline_of(bit_of(12.0, cutting_length_mm=20.0), sized(PLAIN, length=25.0))
    assert "has no long edge on which this bit could be led in a diameter away from both ends" in str(error.value)
