"""Sizes that cannot be: each refused in words, with the value and the limit, and what would do does."""

import math
from dataclasses import replace

import pytest
from hypothesis import given

import strategies_geometry as some
from geometry.usual import BEND, EIGHTH, JOINT, LONG, SHARP, TRACK, sized
from platelayer.errors import JobError
from platelayer.pieces import check_order, check_orders, check_sizes
from platelayer.pieces.kind import Making
from platelayer.values.pieces import CornerRadii, EndKind

PEG, SOCKET, PLAIN = EndKind.PEG, EndKind.SOCKET, EndKind.PLAIN


def test_the_usual_sizes_have_no_fault():
    assert check_sizes(JOINT, TRACK) == ()
    assert check_orders((LONG, BEND), Making(joint=JOINT, track=TRACK, corners=EIGHTH)) == ()


JOINT_FAULTS = {
    "mouth wider than head": (
        {"mouth_width_mm": 12.0},
        "[joint] mouth_width = ~15/32 in (12.000 mm): wider than the head, 7/16 in (11.113 mm), so a peg falls out. "
        "Use less than 7/16 in (11.113 mm), or a wider head.",
    ),
    "mouth as wide as head": (
        {"mouth_width_mm": 11.1125},
        "[joint] mouth_width = 7/16 in (11.113 mm): as wide as the head, 7/16 in (11.113 mm), so a peg falls out. "
        "Use less than 7/16 in (11.113 mm), or a wider head.",
    ),
    "neck wider than mouth": (
        {"neck_width_mm": 9.525},
        "[joint] neck_width = 3/8 in (9.525 mm): wider than the mouth, 5/16 in (7.938 mm), so a peg does not go in. "
        "Use no more than 5/16 in (7.938 mm), or a wider mouth.",
    ),
    "hole smaller than head": (
        {"hole_diameter_mm": 9.525},
        "[joint] hole_diameter = 3/8 in (9.525 mm): smaller than the head, 7/16 in (11.113 mm), so a peg does not go "
        "in. Use at least 7/16 in (11.113 mm), or a smaller head.",
    ),
    "head no wider than neck": (
        {"head_diameter_mm": 7.9375, "neck_width_mm": 7.9375, "mouth_width_mm": 7.9},
        "[joint] mouth_width = ~5/16 in (7.900 mm)|[joint] head_diameter = 5/16 in (7.938 mm): no wider than the neck, "
        "5/16 in (7.938 mm), so there is no head to hold. Use more than 5/16 in (7.938 mm), or a narrower neck.",
    ),
    "hole no wider than mouth": (
        {"hole_diameter_mm": 7.9375},
        "[joint] hole_diameter = 5/16 in (7.938 mm): no wider than the mouth, 5/16 in (7.938 mm), so there is no lip "
        "to hold a head. Use more than 5/16 in (7.938 mm), or a narrower mouth.",
    ),
    "nothing": (
        {"head_setback_mm": 0.0},
        "[joint] head_setback = 0 in (0.000 mm): must be more than nothing",
    ),
    "no number": (
        {"hole_setback_mm": math.nan},
        "[joint] hole_setback = nan: must be more than nothing",
    ),
    "hole too wide for the track": (
        {"hole_diameter_mm": 18.0},
        "[joint] hole_diameter = ~45/64 in (18.000 mm): too wide for the track: leaves 0.021 in (0.525 mm) of land "
        "beside the groove (limit ~1/16 in (1.500 mm)). Use at most ~5/8 in (16.050 mm), or move the grooves out.",
    ),
}


@pytest.mark.parametrize(("change", "words"), JOINT_FAULTS.values(), ids=JOINT_FAULTS.keys())
def test_joint_faults_in_words(change, words):
    said = [str(fault) for fault in check_sizes(replace(JOINT, **change), TRACK)]
    assert words.split("|")[-1] in said


TRACK_FAULTS = {
    "grooves the wrong way round": (
        {"groove_inner_mm": 3.175},
        "[track] groove_inner = 1/8 in (3.175 mm): no further from the edge than groove_outer, 11/64 in (4.366 mm). "
        "Both are measured from the same long edge; groove_inner is the larger.",
    ),
    "thin land at the edge": (
        {"groove_outer_mm": 1.0},
        "[track] groove_outer = ~3/64 in (1.000 mm): the land between groove and edge is too thin (limit ~1/16 in "
        "(1.500 mm); thinner chips off). Use at least ~1/16 in (1.500 mm).",
    ),
    "flare near the edge": (
        {"flare_extra_mm": 3.0},
        "[track] flare_extra = ~1/8 in (3.000 mm): the flare leaves ~3/64 in (1.366 mm) of land between groove and "
        "edge (limit ~1/16 in (1.500 mm); thinner chips off). Use at most ~7/64 in (2.860 mm).",
    ),
    "flare too steep": (
        {"flare_length_mm": 0.2, "flare_extra_mm": 0.4},
        "[track] flare_length = 0.008 in (0.200 mm): shorter than flare_extra, 0.016 in (0.400 mm): a bit that runs "
        "out along a flare steeper than 45 degrees would come back through the end face. Use at least 0.016 in (0.400 "
        "mm), or 0 for grooves without a flare.",
    ),
    "flare through the edge": (
        {"flare_extra_mm": 5.0},
        "[track] flare_extra = ~13/64 in (5.000 mm): the flare leaves no land between groove and edge (limit ~1/16 in "
        "(1.500 mm); thinner chips off). Use at most ~7/64 in (2.860 mm).",
    ),
    "grooves near each other": (
        {"groove_inner_mm": 19.05},
        "[track] groove_inner = 3/4 in (19.050 mm): the grooves of a track 1 9/16 in (39.688 mm) wide come too near "
        "each other (limit ~1/16 in (1.500 mm) of wood between them, flares counted). Use at most ~47/64 in (18.590 "
        "mm), or a wider track.",
    ),
    "groove through the board": (
        {"groove_depth_mm": 12.7},
        "[track] groove_depth = 1/2 in (12.700 mm): goes through the board, 1/2 in (12.700 mm) thick. Use at most "
        "~7/16 in (11.200 mm).",
    ),
    "thin floor": (
        {"groove_depth_mm": 11.5},
        "[track] groove_depth = ~29/64 in (11.500 mm): leaves a floor of ~3/64 in (1.200 mm) under the groove (limit "
        "~1/16 in (1.500 mm)). Use at most ~7/16 in (11.200 mm).",
    ),
    "negative flare": (
        {"flare_extra_mm": -1.0},
        "[track] flare_extra = ~-3/64 in (-1.000 mm): must not be less than nothing. Use 0 for grooves without a "
        "flare.",
    ),
    "mouth and track": (
        {"width_mm": 30.0},
        "[joint] mouth_width = 5/16 in (7.938 mm): too wide for the track: leaves 0.008 in (0.213 mm) of land beside "
        "the flared groove (limit ~1/16 in (1.500 mm)). Use at most ~7/32 in (5.360 mm), flare less, or move the "
        "grooves out.",
    ),
}


@pytest.mark.parametrize(("change", "words"), TRACK_FAULTS.values(), ids=TRACK_FAULTS.keys())
def test_track_faults_in_words(change, words):
    assert words in [str(fault) for fault in check_sizes(JOINT, replace(TRACK, **change))]


@pytest.mark.parametrize(
    ("corners", "words"),
    [
        (
            CornerRadii(ease_radius_mm=9.0),
            "[joint] hole_setback = 9/32 in (7.144 mm): an ease of ~23/64 in (9.000 mm) leaves nothing straight of the "
            "mouth's lip, ~11/32 in (8.537 mm) long. Set the hole further back, or use a smaller bit.",
        ),
        (
            CornerRadii(relief_radius_mm=12.0),
            "[joint] head_setback = 9/32 in (7.144 mm): a relief of radius ~15/32 in (12.000 mm) does not go between "
            "head and end face. Set the head further out, or use a smaller bit.",
        ),
    ],
    ids=["ease", "relief"],
)
def test_cures_without_room_in_words(corners, words):
    assert [str(fault) for fault in check_sizes(JOINT, TRACK, corners=corners)] == [words]


ORDER_FAULTS = {
    "no length": (
        sized(LONG, length=0.0),
        "[[piece]] long length = 0.000 mm (0 in): must be more than nothing",
    ),
    "short for its socket": (
        sized(LONG, length=20.0),
        "[[piece]] long length = 20.000 mm (~25/32 in): too short for its ends, peg and socket (limit 21.556 mm "
        "(~27/32 in), 1.500 mm (~1/16 in) of wood between them included). Use at least 21.560 mm (~27/32 in), or other "
        "ends.",
    ),
    "two sockets back to back": (
        sized(LONG, length=40.0, ends=(SOCKET, SOCKET)),
        "[[piece]] long length = 40.000 mm (~1 37/64 in): too short for its ends, socket and socket (limit 41.188 mm "
        "(~1 5/8 in), 1.500 mm (~1/16 in) of wood between them included). Use at least 41.190 mm (~1 5/8 in), or other "
        "ends.",
    ),
    "shorter than its flares": (
        sized(LONG, length=15.0, ends=(PLAIN, PLAIN)),
        "[[piece]] long length = 15.000 mm (~19/32 in): the grooves are shorter than their two flares, 18.000 mm "
        "(~45/64 in) together. Use a longer piece, or a shorter flare_length in [track].",
    ),
    "tight": (
        sized(BEND, radius=30.0),
        "[[piece]] bend radius = 30.000 mm (~1 3/16 in): tighter than the track is wide, 39.688 mm (1 9/16 in) (the "
        "radius is that of the centre line). Use at least 39.688 mm (1 9/16 in).",
    ),
    "no angle": (
        sized(BEND, angle=0.0),
        "[[piece]] bend angle = 0 degrees: must be more than nothing",
    ),
    "full ring": (
        sized(BEND, angle=math.tau),
        "[[piece]] bend angle = 360 degrees: turns so far that its ends run into each other. Use at most 353 degrees.",
    ),
    "small angle": (
        sized(BEND, angle=math.radians(5)),
        "[[piece]] bend angle = 5 degrees: too short for its ends, peg and socket, at radius 182.000 mm (~7 11/64 in): "
        "no wood is left between them (limit 1.500 mm (~1/16 in)). Use a larger angle or radius, or other ends.",
    ),
    "curve shorter than its flares": (
        sized(BEND, angle=math.radians(5), ends=(PEG, PEG)),
        "[[piece]] bend angle = 5 degrees: the grooves are shorter than their two flares, 18.000 mm (~45/64 in) "
        "together. Use a longer piece, or a shorter flare_length in [track].",
    ),
    "tight for a socket": (
        sized(BEND, radius=42.0, angle=1.2),
        "[[piece]] bend radius = 42.000 mm (~1 21/32 in): too tight for a socket: 1.061 mm (~3/64 in) of wood is left "
        "between hole and groove (limit 1.500 mm (~1/16 in)). Use a larger radius, or pegs at both ends.",
    ),
}


@pytest.mark.parametrize(("order", "words"), ORDER_FAULTS.values(), ids=ORDER_FAULTS.keys())
def test_order_faults_in_words(order, words):
    faults = check_order(order, Making(joint=JOINT, track=TRACK, corners=EIGHTH))
    assert [str(fault) for fault in JobError(*faults).in_unit("mm").faults] == [words]


def test_a_thin_web_between_two_faces_in_words():
    order, track = replace(LONG, grooves_bottom=True), replace(TRACK, groove_depth_mm=5.8)
    faults = check_order(order, Making(joint=JOINT, track=track))
    assert [str(fault) for fault in JobError(*faults).in_unit("mm").faults] == [
        "[track] groove_depth = 5.800 mm (~15/64 in): leaves a web of 1.100 mm (~3/64 in) between the grooves on both "
        "faces of long (limit 1.500 mm (~1/16 in)). Use at most 5.600 mm (~7/32 in), or grooves on one face."
    ]
    (fault,) = check_order(order, Making(joint=JOINT, track=replace(TRACK, groove_depth_mm=7.0)))
    assert "leaves no wood between" in str(fault)


def test_pegs_need_no_length_of_their_own():
    assert check_order(sized(LONG, length=18.0, ends=(PEG, PEG)), Making(joint=JOINT, track=TRACK)) == ()


def test_all_faults_of_a_cut_list_come_at_once_and_once():
    short, tight = sized(LONG, length=5.0), sized(BEND, radius=20.0)
    faults = check_orders((short, tight, short), Making(joint=JOINT, track=TRACK))
    assert [fault.where for fault in faults] == ["[[piece]] long length", "[[piece]] bend radius"]
    wrong = check_orders((short,), Making(joint=replace(JOINT, mouth_width_mm=11.5, neck_width_mm=0.0), track=TRACK))
    assert [fault.where for fault in wrong] == ["[joint] neck_width"]
    several = check_sizes(replace(JOINT, mouth_width_mm=12.7), replace(TRACK, groove_depth_mm=20.0))
    assert [fault.where for fault in several] == [
        "[joint] mouth_width",
        "[joint] hole_diameter",
        "[track] groove_depth",
    ]


@pytest.mark.parametrize("limit", [21.55625, 41.1875])
def test_the_length_advised_passes(limit):
    ends = (PLAIN, SOCKET) if limit < 30 else (SOCKET, SOCKET)
    track = replace(TRACK, flare_extra_mm=0.0)
    for length, is_good in ((limit - 0.3, False), (limit, True)):
        order = sized(LONG, length=length, ends=ends)
        assert (check_order(order, Making(joint=JOINT, track=track, corners=SHARP)) == ()) == is_good


@given(some.makings())
def test_sizes_drawn_to_be_good_are_found_good(making):
    _, track, joint, _ = making
    assert check_sizes(joint, track) == ()
