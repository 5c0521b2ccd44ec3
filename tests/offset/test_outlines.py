"""The outline: directions, entries, leads, tabs and skins."""

import math
from dataclasses import replace

import pytest

from geometry.usual import sized
from platelayer.errors import CannotCut
from platelayer.geometry.contours import distance_mm, inverse_pose, signed_area_mm2, transform_point
from platelayer.offset.depths import bend_mm, canyon_levels, finish_levels, levels
from platelayer.offset.outlines import LEAD_RADIUS_MM, LEADS_MM
from platelayer.offset.tabs import sides_of
from platelayer.tolerances import FINISH_ALLOWANCE_MM, LEAST_SKIN_MM
from platelayer.units import worded
from platelayer.values.cuts import CutKind
from platelayer.values.findings import Code
from platelayer.values.pieces import EndKind
from platelayer.values.shapes import Arc, Contour, Line
from strategies_offset import (
    AROUND,
    BOARD,
    CURVE,
    INCH,
    SKIN,
    STRAIGHT,
    TABS,
    bit_of,
    cut_alone,
    data_of,
    job_of,
    passes_of,
    piece_of,
)

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
    """A piece alone on a wide board, its cuts, those that go round it, and what was noticed."""
    room = more.pop("clearance_mm", None)
    job = job_of(joints=EIGHTH, outlines=bit, **more)
    piece = piece_of(job, order)
    made, findings = cut_alone(piece, job=job, clearance_mm=room)
    return piece, made, [cut for cut in made.cuts if cut.kind in AROUND], findings


def finish_of(cuts):
    """The finish passes that leave the walls above the floor."""
    return [one for one in passes_of(cuts, CutKind.OUTLINE) if one.is_finish]


def lowest(passes):
    return min(step.z_end for one in passes for step in one.steps)


def rough_of(cuts):
    """Passes that rough the outline down to the floor."""
    rough = [one for one in passes_of(cuts, CutKind.SLOT, CutKind.OUTLINE) if not one.is_finish]
    return [one for one in rough if lowest([one]) >= -BOARD.thickness_mm]


def past_pegs_of(cuts):
    """Passes round pegs that go right through before the last, for another bit to cut the pegs."""
    return [one for one in passes_of(cuts, CutKind.OUTLINE) if lowest([one]) < -BOARD.thickness_mm]


def leads_of(one):
    """The arcs by which a finish pass leaves the rough loop and comes back to it."""
    arcs = [step.segment for step in one.steps if isinstance(step.segment, Arc)]
    return [arc for arc in arcs if arc.radius_mm == pytest.approx(LEAD_RADIUS_MM, abs=1e-6)]


def floor_mm():
    """How deep a piece is roughed on a board clamped at its rim: all but the least skin and the scatter."""
    return BOARD.thickness_mm - LEAST_SKIN_MM - BOARD.scatter_mm


def turned_area(one):
    """Signed area that a pass goes round, counter-clockwise positive: chords and bulges of its steps."""
    segments = [step.segment for step in one.steps if step.segment.start != step.segment.end]
    segments.append(Line(segments[-1].end, segments[0].start))
    return signed_area_mm2(Contour(tuple(segments), is_closed=True))


@pytest.mark.parametrize(("bit", "order"), PIECES)
def test_roughing_and_finish_go_clockwise(bit, order):
    """Spindle M3: outside, clockwise is climb, and a full slot pushes the bit off the piece."""
    _, _, cuts, _ = outline_of(bit, order)
    passes = passes_of(cuts, *AROUND)
    assert all(turned_area(one) < 0 for one in passes if one not in past_pegs_of(cuts))
    assert passes[-1].is_finish


@pytest.mark.parametrize(("bit", "order"), PIECES)
def test_a_piece_is_roughed_and_finished_to_the_floor_and_parted_last(bit, order):
    _, _, cuts, _ = outline_of(bit, order)
    assert [cut.kind for cut in cuts] == [CutKind.SLOT, CutKind.OUTLINE, CutKind.PARTING]
    assert lowest(rough_of(cuts)) == lowest(finish_of(cuts)) == pytest.approx(-floor_mm())
    (parting,) = passes_of(cuts, CutKind.PARTING)
    assert parting.is_finish
    assert lowest([parting]) == -BOARD.thickness_mm - 0.3


def test_a_bit_that_leaves_pegs_to_another_goes_right_through_round_them_once_the_walls_stand():
    """The smaller bit then meets no floor there; nor does it on a skin, which stays whole but for its own cut."""
    peg_and_socket = outline_of(QUARTER, STRAIGHT)[2]
    (one,) = past_pegs_of(peg_and_socket)
    assert passes_of(peg_and_socket, CutKind.OUTLINE)[-1] == one
    assert lowest([one]) == -BOARD.thickness_mm - 0.3
    assert len(past_pegs_of(outline_of(QUARTER, replace(STRAIGHT, ends=(EndKind.PEG, EndKind.PEG)))[2])) == 2
    for none in (outline_of(QUARTER, PLAIN), outline_of(EIGHTH, STRAIGHT), outline_of(QUARTER, STRAIGHT, holding=SKIN)):
        assert not past_pegs_of(none[2])


@pytest.mark.parametrize(("bit", "order"), PIECES)
def test_all_passes_begin_at_the_heel(bit, order):
    """A pass that comes down through the open slot passes it while it still goes down."""
    _, _, cuts, _ = outline_of(bit, order)
    heel = leads_of(finish_of(cuts)[0])[0].start
    wide = passes_of(cuts, CutKind.SLOT)[1:]
    for one in (one for one in passes_of(cuts, *AROUND) if one not in past_pegs_of(cuts)):
        level = next(n for n, step in enumerate(one.steps) if step.z_end >= step.z_start)
        gap = min(math.dist(step.segment.start, heel) for step in one.steps[: level + 1])
        # the wide lane lies beside the near one, the finish loop, along which a piece is parted, a lead further on
        beside = LEADS_MM if one in wide or one in passes_of(cuts, CutKind.PARTING) else 0.0
        assert gap <= beside + 1e-6


def test_sockets_and_notches_are_finished_by_climb():
    """Inside, climb is counter-clockwise: the wall stands on the right of travel."""
    job = job_of(joints=EIGHTH, outlines=QUARTER)
    made, _ = cut_alone(piece_of(job, STRAIGHT), job=job)
    for kind in (CutKind.SOCKET, CutKind.NOTCH):
        (cut,) = (some for some in made.cuts if some.kind is kind and some.bit_id == EIGHTH.id)
        finish = cut.passes[-1]
        assert finish.is_finish
        hole = max((s.segment for s in finish.steps if isinstance(s.segment, Arc)), key=lambda arc: arc.length_mm)
        assert hole.is_ccw == (kind is CutKind.SOCKET)


@pytest.mark.parametrize(("bit", "order"), PIECES)
def test_finish_runs_at_the_bits_radius_and_roughing_leaves_its_allowance(bit, order):
    piece, _, cuts, _ = outline_of(bit, order)
    for one in passes_of(cuts, *AROUND):
        places = [step.segment.end for step in one.steps]
        assert min(distance_mm(piece.outline, place) for place in places) >= bit.radius_mm - 1e-6
        # into reliefs roughing dabs; from the walls that mates touch it keeps its allowance
        wanted = bit.radius_mm + (0.0 if one.is_finish else FINISH_ALLOWANCE_MM)
        for side in sides_of(piece):
            assert min(distance_mm(side, place) for place in places) >= wanted - 1e-6
    pegs = [s for s, label in zip(piece.outline.segments, piece.labels, strict=True) if label.role.value == "peg"]
    if pegs:
        peg = Contour(tuple(pegs), is_closed=False)
        gaps = [distance_mm(peg, step.segment.end) for one in passes_of(cuts, *AROUND) for step in one.steps]
        # the bit that cuts the joints goes round the peg as well; another one leaves it the allowance
        left_mm = FINISH_ALLOWANCE_MM if bit is QUARTER else 0.0
        assert min(gaps) == pytest.approx(bit.radius_mm + left_mm, abs=1e-6)


@pytest.mark.parametrize(("bit", "order"), PIECES)
def test_leads_lie_on_a_long_edge_a_diameter_from_the_faces_and_overlap_the_start(bit, order):
    piece, _, cuts, _ = outline_of(bit, order)
    first, last = leads_of(finish_of(cuts)[0])
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
    _, _, cuts, _ = outline_of(bit, order)
    for one in passes_of(cuts, CutKind.SLOT)[:1]:  # what widens a slot begins in it
        assert one.steps[0].z_start == 0.0
        fall = one.steps[0].z_start - one.steps[0].z_end
        assert 0 < fall <= one.steps[0].segment.length_mm / 4
        deepest = min(step.z_end for step in one.steps)
        assert one.steps[-1].z_start == one.steps[-1].z_end == deepest
    for one in rough_of(cuts):
        deepest = min(step.z_end for step in one.steps)
        ramp = next(n for n, step in enumerate(one.steps) if step.z_end == deepest)
        again = [step for step in one.steps[ramp + 1 :] if step.z_start == step.z_end == deepest]
        wedge = one.steps[ramp].segment.start
        assert min(distance_mm(Contour((step.segment,), is_closed=False), wedge) for step in again) < 1e-6


@pytest.mark.parametrize(("bit", "order"), PIECES)
def test_tabs_stand_on_sides_only_and_every_pass_below_their_tops_goes_over_them(bit, order):
    piece, made, cuts, _ = outline_of(bit, order)
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
        for one in passes_of(cuts, *AROUND):
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
            _, one, cuts, _ = outline_of(EIGHTH, sized(PLAIN, length=tenths / 10))
        except CannotCut:
            continue
        made += 1
        first = leads_of(finish_of(cuts)[0])[0].start
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
            "[holding] tab_width: straight 2 3/8 in: each tab takes ~1 3/16 in (30.075 mm) with the bit and the "
            "ramps beside it, and away from ends and lead-in too few find room opposite wood that stands or a "
            "neighbour's side. "
            "Use narrower or lower tabs, a smaller bit for the outlines, or a skin.",
        ),
    ],
)
def test_holdings_that_cannot_be_are_refused_in_words(board, holding, sentence):
    with pytest.raises(CannotCut) as error:
        outline_of(EIGHTH, SHORT, boards=(board,), holding=holding)
    assert str(error.value) == sentence


def test_slot_deeper_than_three_diameters_is_widened_first_where_there_is_room():
    piece, _, cuts, findings = outline_of(EIGHTH, STRAIGHT)
    assert not [f for f in findings if f.code is Code.CUTTING_DEEP_SLOT]

    def deep(one):
        return -min(step.z_end for step in one.steps)

    def reach(one):
        return max(distance_mm(piece.outline, step.segment.end) for step in one.steps)

    near, *wide = passes_of(cuts, CutKind.SLOT)
    rest = rough_of(cuts)[-1]
    assert wide and all(reach(one) > reach(near) + EIGHTH.radius_mm / 2 and deep(one) <= deep(near) for one in wide)
    assert deep(wide[-1]) == deep(near)
    assert deep(near) <= 3 * EIGHTH.diameter_mm  # when it is widened
    assert deep(rest) == pytest.approx(floor_mm())
    assert deep(rest) - deep(near) <= 3 * EIGHTH.diameter_mm + 1e-9


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
    assert canyon_levels(levels(9.0, 1.5), EIGHTH, depth_mm=9.0) == ()
    assert canyon_levels(levels(13.0, 2.0), EIGHTH, depth_mm=13.0) == levels(13.0, 2.0)[:2]
    assert canyon_levels(levels(9.0, 1.5), EIGHTH, depth_mm=13.0) == levels(9.0, 1.5)[:3]  # 3.475 mm, worked by hand


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
