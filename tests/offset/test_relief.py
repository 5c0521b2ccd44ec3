"""Relief, ease, land and finishing: the figures of the joint and the words of a refusal."""

import math
from dataclasses import replace

import pytest

from platelayer.errors import CannotCut
from platelayer.geometry.joint import mixed, seated_side_mm
from platelayer.offset.relief import corner_radii
from platelayer.pieces.sizes import relief_mm
from platelayer.units import worded
from platelayer.values.findings import Code, Severity
from platelayer.values.pieces import MouthCorner, PegRoot
from strategies_offset import INCH, JOINT, TRACK, bit_of, job_of

EIGHTH, QUARTER, SIXTEENTH = bit_of(INCH / 8), bit_of(INCH / 4), bit_of(INCH / 16)
WIDE = replace(TRACK, groove_outer_mm=2.5, groove_inner_mm=8.5, flare_extra_mm=1.2)


def test_relief_has_the_joints_bits_radius_and_ease_a_little_more():
    corners, track, findings = corner_radii(job_of(joints=EIGHTH))
    assert (corners.relief_radius_mm, corners.ease_radius_mm) == (INCH / 16, INCH / 16 + 0.1)
    assert (track, findings) == (TRACK, ())


def test_ease_of_a_quarter_inch_bit_is_the_published_figure():
    corners, _, _ = corner_radii(job_of(joints=QUARTER, grooves=EIGHTH, peg_root=PegRoot.NONE))
    assert corners.relief_radius_mm == 0.0
    assert corners.ease_radius_mm == pytest.approx(3.275)  # worked by hand: 1/8 in and 0.1 mm


def test_a_bit_no_larger_than_the_gap_needs_no_relief_but_for_side_play():
    assert corner_radii(job_of(joints=SIXTEENTH))[0].relief_radius_mm == SIXTEENTH.radius_mm
    assert corner_radii(job_of(joints=SIXTEENTH, relief_play_ratio=0.0))[0].relief_radius_mm == pytest.approx(0.0)


def test_none_leaves_both_corners():
    job = job_of(joints=EIGHTH, peg_root=PegRoot.NONE, mouth=MouthCorner.NONE)
    corners = corner_radii(job)[0]
    assert (corners.relief_radius_mm, corners.ease_radius_mm) == (0, 0)


def test_land_too_thin_without_any_flare_is_refused_in_those_words():
    with pytest.raises(CannotCut) as error:
        corner_radii(job_of(joints=QUARTER, grooves=EIGHTH))
    # worked by hand: 19.84375 - 10.31875 - (3.175 + 6.35 - 0.79375) = 0.79375
    assert str(error.value) == (
        "[joint] peg_root = relieve: even without a flare the land between the relief and the groove would be only "
        "1/32 in (0.794 mm); at least ~1/16 in (1.500 mm) stays, thinner chips off. Take a smaller bit for the joints, "
        "or leave this corner as it is. Or move the grooves out and give them the width of their bit: groove_outer = "
        "~9/64 in (3.600 mm) and groove_inner = ~3/8 in (9.600 mm) in [track] would do."
    )


def test_a_quarter_inch_bit_alone_is_led_to_grooves_that_it_can_cut():
    with pytest.raises(CannotCut) as error:
        corner_radii(job_of(joints=QUARTER, grooves=QUARTER))
    assert worded(error.value.faults[0].fix, "mm").endswith(
        "groove_outer = 3.200 mm (~1/8 in) and groove_inner = 9.600 mm (~3/8 in) in [track] would do."
    )
    led = replace(TRACK, groove_outer_mm=3.2, groove_inner_mm=9.6)
    assert corner_radii(job_of(joints=QUARTER, grooves=QUARTER, track=led))[0].relief_radius_mm == 3.175


def test_flare_gives_way_to_the_land_with_a_warning():
    job = job_of(joints=QUARTER, grooves=EIGHTH, track=WIDE)
    _, track, (found,) = corner_radii(job)
    # worked by hand: wall at 19.84375 - 8.5 = 11.34375, relief to 9.02039, land 1.5: 0.82336 of flare may stay
    assert track.flare_extra_mm == pytest.approx(0.82336, abs=1e-5)
    assert (found.code, found.severity) == (Code.JOINT_LAND, Severity.WARNING)
    assert worded(found.text, "in") == (
        "The grooves flare by ~1/32 in (0.823 mm) on each wall instead of ~3/64 in (1.200 mm), so that the land "
        "between the relief and the flared groove stays ~1/16 in (1.500 mm)."
    )


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        (
            {"ease_radius_mm": 1.0},
            "[joint] ease_radius = ~3/64 in (1.000 mm): less than the radius of the joints bit flat-3.175, 1/16 in "
            "(1.588 mm), so that it would close only dead centre. Use ~1/16 in (1.688 mm), or leave it out.",
        ),
        (
            {"ease_radius_mm": 9.0},
            "[joint] ease_radius = ~23/64 in (9.000 mm): no straight lip stays of ~11/32 in (8.537 mm). "
            "Take a smaller bit for the joints, or a smaller ease.",
        ),
        (
            {"joint": replace(JOINT, head_setback_mm=0.3)},
            "[bits] joints = flat-3.175: 1/8 in (3.175 mm) wide, and a relief by it does not go between end face and "
            "head, ~3/64 in (1.297 mm). Take a smaller bit for the joints.",
        ),
    ],
)
def test_cures_that_do_not_go_are_refused_in_words(more, sentence):
    with pytest.raises(CannotCut) as error:
        corner_radii(job_of(joints=EIGHTH, **more))
    assert str(error.value) == sentence


def test_finishing_bit_must_be_smaller():
    with pytest.raises(CannotCut) as error:
        corner_radii(job_of(joints=EIGHTH, finish=QUARTER, peg_root=PegRoot.FINISH))
    assert str(error.value) == (
        "[bits] finish = flat-6.35: 1/4 in (6.350 mm) wide, no smaller than the joints bit, 1/8 in (3.175 mm). "
        "Use a smaller bit."
    )


def test_relief_suits_the_narrower_of_the_two_mouths():
    wide = replace(JOINT, mouth_width_mm=JOINT.mouth_width_mm + 0.3)
    reliefs = [
        relief_mm(joint, corner_radii(replace(job_of(joints=EIGHTH), joint=joint, mate=mate))[0])
        for joint, mate in ((JOINT, JOINT), (wide, JOINT), (JOINT, wide), (wide, wide))
    ]
    assert reliefs[0] == reliefs[1] == reliefs[2] > reliefs[3]


def depth_of(joints, **more):
    job = job_of(joints=joints, **more)
    corners, _, findings = corner_radii(job)
    return relief_mm(job.joint, corners), findings


@pytest.mark.parametrize(("share", "depth"), [(0.0, 0.212676), (0.5, 0.30699), (1.0, 0.42668)])
def test_a_relief_is_as_deep_as_the_side_play_asked_for_needs(share, depth):
    # worked by hand: r - sqrt(r^2 - (r - g + s)^2), r 1.5875, g 0.79375, s that share of 0.28914; see seated_side_mm
    found, findings = depth_of(EIGHTH, relief_play_ratio=share)
    assert found == pytest.approx(depth, abs=1e-3)
    assert findings == ()


def test_where_the_land_forbids_side_play_the_warning_says_by_how_much():
    track = replace(TRACK, groove_inner_mm=TRACK.width_mm / 2 - 3.175 - 6.35 + 0.6 - 1.5, flare_extra_mm=0.0)
    _, findings = depth_of(QUARTER, grooves=EIGHTH, track=track)
    assert [one.code for one in findings] == [Code.JOINT_LAND]
    # worked by hand: wall 10.425 from the middle, land 1.5, so n / 2 + 2 r - g + s is 8.925 and s 0.19375
    assert findings[0].measured == pytest.approx(0.19375, abs=1e-5)
    assert findings[0].limit == pytest.approx(0.28914, abs=1e-5)
    assert findings[0].severity is Severity.WARNING


@pytest.mark.parametrize("tuned", ["hole_diameter_mm", "hole_setback_mm", "mouth_width_mm", "head_diameter_mm"])
def test_a_relief_leaves_the_side_play_of_own_and_bought_socket_alike(tuned):
    """Own hole and bought mouth were once taken for one socket, which left 0.04 mm where each had 0.15 and more."""
    own = replace(JOINT, **{tuned: getattr(JOINT, tuned) + (-0.5 if tuned == "head_diameter_mm" else 0.3)})
    job = replace(job_of(joints=EIGHTH), joint=own, mate=JOINT)
    depth = relief_mm(own, corner_radii(job)[0])
    radius = EIGHTH.radius_mm
    for socket in (own, JOINT):
        met = mixed(peg=own, socket=socket)
        corner = (met.mouth_width_mm - met.neck_width_mm) / 2 - seated_side_mm(met)  # from the neck, pushed aside
        assert depth >= radius - math.sqrt(radius**2 - (radius - corner) ** 2) - 1e-9
