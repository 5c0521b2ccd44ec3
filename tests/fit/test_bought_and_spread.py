"""A bought set by caliper, and what scatter does to many joints."""

import re
from dataclasses import replace

import numpy as np
import pytest

from fit.hand_made import USUAL, WIDTH_MM
from platelayer.fit.bought import (
    WORDS,
    BoughtSize,
    MeasuredSize,
    clashes,
    in_their_socket,
    measured,
    sharp_mouth_words,
    sizes_from,
)
from platelayer.fit.free_play import free_play
from platelayer.fit.in_line import in_line
from platelayer.fit.moisture import seat_moved
from platelayer.fit.shapes import as_designed, with_bias, with_bit_error
from platelayer.fit.spread import Scatter, Source, next_words, spread_of
from platelayer.fit.target_play import Cutter, TargetPlay, drawn_shape
from platelayer.geometry.joint import mixed
from platelayer.units import worded
from platelayer.values.pieces import CornerRadii

SHARP = Cutter(bit_radius_mm=0.0, corners=CornerRadii(), width_mm=WIDTH_MM)
SHAPE = as_designed(USUAL, width_mm=WIDTH_MM, corners=CornerRadii())
AS_DESIGNED = TargetPlay(side_mm=0.289, pull_out_mm=0.2747)


def test_mean_and_spread_over_pieces():
    # worked by hand: mean 11.1, squares 0.01 + 0 + 0.01 over two
    assert measured([11.0, 11.1, 11.2]) == MeasuredSize(pytest.approx(11.1), pytest.approx(0.1), 3)
    assert measured([11.0]).spread_mm == 0.02
    with pytest.raises(ValueError, match="nothing was read"):
        measured([])


def test_six_sizes_give_the_joint_and_a_missing_one_is_named():
    read = {
        BoughtSize.NECK: measured([6.35]),
        BoughtSize.HEAD: measured([11.1125]),
        BoughtSize.PEG_LENGTH: measured([18.25625]),
        BoughtSize.MOUTH: measured([7.9375]),
        BoughtSize.HOLE: measured([12.7]),
        BoughtSize.SOCKET_DEPTH: measured([19.84375]),
    }
    found = sizes_from(read)
    assert found == replace(USUAL, head_setback_mm=found.head_setback_mm, hole_setback_mm=found.hole_setback_mm)
    assert (found.head_setback_mm, found.hole_setback_mm) == pytest.approx((7.14375, 7.14375))
    del read[BoughtSize.HOLE]
    with pytest.raises(ValueError, match="not measured: hole"):
        sizes_from(read)
    assert set(WORDS) == set(BoughtSize)


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (
            {"mouth_width_mm": 6.2},
            "Our peg in their socket: the neck does not go between the lips, neck 1/4 in (6.350 mm) against mouth "
            "~1/4 in (6.200 mm).",
        ),
        (
            {"hole_diameter_mm": 11.0},
            "Our peg in their socket: the head does not go into the hole, head 7/16 in (11.113 mm) against hole "
            "~7/16 in (11.000 mm).",
        ),
        (
            {"hole_setback_mm": 7.35},
            "Our peg in their socket: it will jam, with 0.003 in (0.068 mm) of pull-out play, neck, up to where the "
            "head fills the mouth, ~11/32 in (8.811 mm) against lip ~11/32 in (8.743 mm).",
        ),
        (
            {"hole_setback_mm": 7.6},
            "Our peg in their socket: the faces do not close, by 0.007 in (0.182 mm), since the head meets the lips, "
            "neck, up to where the head fills the mouth, ~11/32 in (8.811 mm) against lip ~23/64 in (8.993 mm).",
        ),
        (
            {"hole_diameter_mm": 12.0, "hole_setback_mm": 6.0},
            "Our peg in their socket: the peg meets the bottom of the hole before the faces close, peg's length "
            "23/32 in (18.256 mm) against socket's depth ~45/64 in (18.000 mm).",
        ),
        (
            {"mouth_width_mm": 6.42},
            "Our peg in their socket: it will jam, with 0.001 in (0.035 mm) beside the neck, neck 1/4 in (6.350 mm) "
            "against mouth ~1/4 in (6.420 mm).",
        ),
        (
            {"head_diameter_mm": 7.5, "head_setback_mm": 9.0},
            "Their peg in our socket: nothing holds the head, head ~19/64 in (7.500 mm) against mouth "
            "5/16 in (7.938 mm).",
        ),
    ],
    ids=["narrow mouth", "small hole", "jams", "does not close", "shallow socket", "tight neck", "small head"],
)
def test_clashes_name_both_sizes(change, sentence):
    found = clashes(USUAL, replace(USUAL, **change), cutter=SHARP)
    assert [worded(one, "in") for one in found] == [sentence]


def test_a_set_like_ours_has_no_clash():
    assert clashes(USUAL, USUAL, cutter=SHARP) == ()


def test_a_root_without_relief_clashes_with_a_sharp_mouth_however_ours_are_eased():
    """Their mouth was once taken as eased by our bit, so that the fillet at our peg's root went unseen."""
    bit = Cutter(bit_radius_mm=1.5875, corners=CornerRadii(ease_radius_mm=1.6875), width_mm=WIDTH_MM)
    # source: derived here: fillet of 1/16 in at 1/32 in from the neck is 1/16 (1 - sqrt(3)/2) in = 0.213 mm high
    assert worded(clashes(USUAL, USUAL, cutter=bit)[0], "in") == (
        "Our peg in their socket: the peg's root holds the faces 0.008 in (0.213 mm) apart: relieve it, or break the "
        "mouth's corners."
    )
    relieved = replace(bit, corners=CornerRadii(relief_radius_mm=1.5875, ease_radius_mm=1.6875))
    assert clashes(USUAL, USUAL, cutter=relieved) == ()


def test_a_relief_wants_a_bought_mouth_s_corners_broken_for_side_play():
    bit = Cutter(
        bit_radius_mm=1.5875, corners=CornerRadii(relief_radius_mm=1.5875, ease_radius_mm=1.6875), width_mm=WIDTH_MM
    )
    wider = replace(USUAL, mouth_width_mm=USUAL.mouth_width_mm + 0.1, hole_setback_mm=6.9)
    shape = in_their_socket(drawn_shape(USUAL, bit), wider)
    words = worded(*sharp_mouth_words(shape), "in")
    # worked by hand: the relief crosses the face where our own mouth's corner comes, and theirs is 0.1 / 2 further out
    assert "side play pushed right home is 0.002 in (0.050 mm) each way" in words
    radius = float(re.findall(r"broken by \S+ in \((\S+) mm\)", words)[0])
    full, less = (free_play(replace(shape, ease_radius_mm=one)).side_mm[0] for one in (radius, radius - 0.15))
    assert full == pytest.approx(free_play(shape).side_mm[0], abs=0.003)
    assert less < full - 0.01
    roomy = replace(USUAL, mouth_width_mm=USUAL.mouth_width_mm + 0.8, hole_setback_mm=7.1)
    assert sharp_mouth_words(in_their_socket(drawn_shape(USUAL, bit), roomy)) == ()


def test_no_scatter_is_the_joint_itself():
    found = spread_of(SHAPE, scatter=Scatter(), target=AS_DESIGNED, seed=1, draws=50, whole=2)
    assert (found.seats_ratio, found.holds_ratio, found.as_wished_ratio) == (1.0, 1.0, 1.0)
    assert found.pull_out_mm == pytest.approx((0.2747, 0.2747, 0.2747), abs=5e-5)
    assert found.kink_rad[1] == pytest.approx(free_play(SHAPE).kink_rad[0])


def test_same_seed_same_answer_and_other_seed_nearly():
    scatter = Scatter(bit_mm=0.03, machine_mm=0.02, mate_mm=(0.05,) * 3, growth_ratio=0.005)
    one, same, other = (spread_of(SHAPE, scatter=scatter, target=AS_DESIGNED, seed=seed, whole=0) for seed in (3, 3, 4))
    assert one == same
    assert one != other
    assert one.pull_out_mm == pytest.approx(other.pull_out_mm, abs=0.03)
    assert one.pull_out_mm[0] < one.pull_out_mm[1] < one.pull_out_mm[2]


@pytest.mark.parametrize(
    ("scatter", "source"),
    [
        (Scatter(bit_mm=0.08, machine_mm=0.005, mate_mm=(0.005,) * 3), Source.BIT),
        (Scatter(bit_mm=0.005, machine_mm=0.05, mate_mm=(0.005,) * 3), Source.MACHINE),
        (Scatter(bit_mm=0.005, machine_mm=0.005, mate_mm=(0.1,) * 3), Source.MATE),
        (Scatter(bit_mm=0.002, growth_ratio=0.02), Source.MOISTURE),
    ],
    ids=["bit", "machine", "mate", "moisture"],
)
@pytest.mark.parametrize("mate_is_socket", [True, False], ids=["their socket", "their peg"])
def test_the_heaviest_source_is_named(scatter, source, mate_is_socket):
    found = spread_of(
        SHAPE, scatter=replace(scatter, mate_is_socket=mate_is_socket), target=AS_DESIGNED, seed=2, draws=400, whole=0
    )
    assert found.weights[0][0] is source
    assert sum(weight for _, weight in found.weights) == pytest.approx(1)
    assert next_words(found).endswith(f"comes from {source.value}: measure that next.")


@pytest.mark.parametrize("mate_is_socket", [True, False], ids=["their socket", "their peg"])
def test_a_scatter_past_all_measure_is_answered(mate_is_socket):
    """Draws whose mouth is wider than the hole, or whose head is thinner than the neck, once ended the program."""
    wild = Scatter(bit_mm=1.0, machine_mm=3.0, mate_mm=(5.0, 5.0, 5.0), mate_is_socket=mate_is_socket)
    found = spread_of(SHAPE, scatter=wild, target=AS_DESIGNED, seed=1, draws=500, whole=10)
    assert found.seats_ratio < 0.5
    assert found.holds_ratio < 0.9
    assert sum(weight for _, weight in found.weights) == pytest.approx(1)


def test_more_scatter_seats_fewer():
    shares = [
        spread_of(
            SHAPE, scatter=Scatter(mate_mm=(mate,) * 3), target=AS_DESIGNED, seed=1, draws=500, whole=0
        ).seats_ratio
        for mate in (0.02, 0.1, 0.3)
    ]
    assert shares[0] > shares[1] > shares[2]


ONE_DRAW = np.random.default_rng(5).normal(size=(1, 7))[0]
"""What the first joint of seed 5 draws: bit, reach, lip, the mate's three sizes, growth."""


def one_joint(scatter):
    """Plays of the first joint of seed 5."""
    found = spread_of(SHAPE, scatter=scatter, target=AS_DESIGNED, seed=5, draws=1, whole=0)
    return found.pull_out_mm[1], found.side_mm[1]


@pytest.mark.parametrize("mate_is_socket", [True, False], ids=["our peg swells", "our socket swells"])
def test_wood_swells_across_the_grain_only(mate_is_socket):
    """Heads once swelled along the track too, and moisture weighed four times too much."""
    growth = 0.01
    got = one_joint(Scatter(growth_ratio=growth / ONE_DRAW[6], mate_is_socket=mate_is_socket))
    grown = {"peg_growth_ratio": growth * mate_is_socket, "socket_growth_ratio": growth * (not mate_is_socket)}
    seat = seat_moved(SHAPE, **grown)
    assert got == pytest.approx((seat.pull_out_mm - seat.opening_mm, seat.side_mm), abs=0.006)
    still = in_line(SHAPE)
    assert abs(got[0] - still.play_mm) > 0.02


def test_a_bought_mate_is_not_cut_by_our_bit_nor_moved_by_our_machine():
    bit, machine = 0.05 / ONE_DRAW[0], 0.05 / ONE_DRAW[1]
    for is_socket in (True, False):
        got = one_joint(Scatter(bit_mm=bit, machine_mm=machine, mate_is_socket=is_socket, mate_is_bought=True))
        cut = with_bit_error(SHAPE, bit_error_mm=0.05).sizes
        peg, socket = (cut, SHAPE.sizes) if is_socket else (SHAPE.sizes, cut)
        moved = {"reach_mm": 0.05, "lip_mm": 0.0} if is_socket else {"reach_mm": 0.0, "lip_mm": machine * ONE_DRAW[2]}
        wanted = in_line(with_bias(replace(SHAPE, sizes=mixed(peg=peg, socket=socket)), **moved))
        assert got == pytest.approx((wanted.play_mm, wanted.side_mm), abs=1e-9)


def test_each_size_of_a_mate_scatters_by_itself():
    """A hole read wider between the same face and bottom has its lips further in: more than its depth alone does."""
    across, round_, along = (
        spread_of(SHAPE, scatter=Scatter(mate_mm=one), target=AS_DESIGNED, seed=1, draws=4000, whole=0).pull_out_mm
        for one in ((0.05, 0.0, 0.0), (0.0, 0.05, 0.0), (0.0, 0.0, 0.05))
    )
    # worked by hand: lip = depth - Q - sqrt(Q^2 - m^2), so 1 a mm of depth, and 0.5 + 0.64 a mm of hole's diameter
    assert along[2] - along[0] == pytest.approx(2 * 1.645 * 0.05, rel=0.08)
    assert round_[2] - round_[0] == pytest.approx(2 * 1.645 * 0.05 * 1.14, rel=0.08)
    # and of the mouth: the head sinks deeper, 0.51 a mm, behind a lip that is 0.40 longer
    assert across[2] - across[0] == pytest.approx(2 * 1.645 * 0.05 * 0.11, abs=0.004)
