"""The simulated shop: cut the card, read it, cut again."""

import math
from dataclasses import replace

import numpy as np
import pytest

from fit.hand_made import USUAL, WIDTH_MM
from fit.simulated_shop import Shop, end_of, hand_plays
from platelayer.fit.card import Feature, fit_card
from platelayer.fit.contours import peg_contour, socket_contour
from platelayer.fit.correction import CardReadings, PegReadings, correct, questions
from platelayer.fit.shop import ShopRecord, bias_words, change_words, corrected, effective_bit, record_for, record_words
from platelayer.fit.target_play import Cutter, Part, TargetPlay, drawn_shape, solve_target
from platelayer.units import worded
from platelayer.values.pieces import CornerRadii, TrackSizes
from platelayer.values.tooling import Bit, BitKind

NOMINAL_MM = 3.175
TRACK = TrackSizes(
    width_mm=WIDTH_MM, thickness_mm=12.7, groove_outer_mm=4.365625, groove_inner_mm=10.31875, groove_depth_mm=3.571875
)


def cutter_for(diameter_mm):
    radius = diameter_mm / 2
    corners = CornerRadii(relief_radius_mm=radius, ease_radius_mm=radius + 0.1)
    return Cutter(bit_radius_mm=radius, corners=corners, width_mm=WIDTH_MM, widest_hole_mm=15.0)


FIRST = cutter_for(NOMINAL_MM)
TARGET = TargetPlay(side_mm=0.35, pull_out_mm=0.45)
DESIGN = solve_target(TARGET, sizes=USUAL, part=Part.BOTH, cutter=FIRST).sizes
CARD = fit_card(sizes=DESIGN, track=TRACK, corners=FIRST.corners, bit_radius_mm=NOMINAL_MM / 2)


def learnt(shop):
    return correct(shop.read_card(CARD, nominal_mm=NOMINAL_MM, assumed_mm=NOMINAL_MM), card=CARD, cutter=FIRST)


def record_of(found):
    return ShopRecord(
        date="2026-11-25",
        bit_id="flat",
        material_id="hard-maple",
        machine_id="mid",
        bit_diameter_mm=found.bit_diameter_mm.value_mm,
        bit_spread_mm=found.bit_diameter_mm.spread_mm,
        head_offset_mm=found.head_offset_mm.value_mm,
        lip_bias_mm=found.lip_bias_mm.value_mm,
        bias_spread_mm=found.lip_bias_mm.spread_mm,
    )


def cut_again(shop, found, target):
    """Plays of a joint cut with what was learnt: paths for the effective bit, outline corrected."""
    cutter = cutter_for(found.bit_diameter_mm.value_mm)
    answer = corrected(DESIGN, record=record_of(found), cutter=cutter, target=target, part=Part.BOTH)
    assert answer.is_met, answer.reasons
    shape = drawn_shape(answer.sizes, cutter)
    parts = []
    for contour in (peg_contour(shape, body_mm=50.0), socket_contour(shape, body_mm=50.0)):
        cut = shop.cut(contour, nominal_mm=NOMINAL_MM, assumed_mm=found.bit_diameter_mm.value_mm)
        parts.append(end_of(cut, 1))
    shut, opened, side = hand_plays(*parts)
    return opened - shut, side


def some_shops(count):
    """Shops with their hidden errors, and what was learnt of each."""
    shops = [Shop(seed) for seed in range(count)]
    return shops, [learnt(shop) for shop in shops]


@pytest.fixture(scope="module")
def some():
    return some_shops(25)


def misses_mm(shops, found):
    """How far the plays of the joint that each shop cuts next are from those asked for."""
    plays = [cut_again(*pair, TARGET) for pair in zip(shops, found, strict=True)]
    return np.array([max(abs(pull_out - TARGET.pull_out_mm), abs(side - TARGET.side_mm)) for pull_out, side in plays])


def test_shops_get_the_play_they_asked_for_at_the_first_correction(some):
    assert misses_mm(*(each[:12] for each in some)).max() <= 0.03


@pytest.mark.fuzz
def test_fifty_shops_get_the_play_they_asked_for_at_the_first_correction():
    misses = misses_mm(*some_shops(50))
    assert (misses <= 0.03).sum() >= 49
    assert misses.max() <= 0.05


def test_without_the_correction_most_of_them_would_not(some):
    def miss(shop):
        shape = drawn_shape(DESIGN, FIRST)
        contours = (peg_contour(shape, body_mm=50.0), socket_contour(shape, body_mm=50.0))
        plays = hand_plays(*(end_of(shop.cut(c, nominal_mm=NOMINAL_MM, assumed_mm=NOMINAL_MM), 1) for c in contours))
        return math.inf if plays is None else abs(plays[1] - plays[0] - TARGET.pull_out_mm)

    assert sum(miss(shop) > 0.05 for shop in some[0][:20]) > 10


def test_uncertainties_cover_the_hidden_errors(some):
    """Errors over stated uncertainties have a spread near one, so the uncertainties mean something."""
    shops, found = some
    pulls = [
        [
            (one.bit_diameter_mm.value_mm - NOMINAL_MM - shop.truth[0]) / one.bit_diameter_mm.spread_mm,
            (one.slack_x_mm.value_mm - shop.truth[1]) / one.slack_x_mm.spread_mm,
            (one.slack_y_mm.value_mm - shop.truth[2]) / one.slack_y_mm.spread_mm,
            (one.scale_x.value_ratio - shop.truth[3]) / one.scale_x.spread_ratio,
            (one.scale_y.value_ratio - shop.truth[4]) / one.scale_y.spread_ratio,
            (one.depth_error_mm.value_mm - shop.truth[5]) / one.depth_error_mm.spread_mm,
        ]
        for shop, one in zip(shops, found, strict=True)
    ]
    spread = np.sqrt(np.mean(np.square(pulls), axis=0))
    assert np.all((spread > 0.6) & (spread < 1.5)), spread


def test_bit_error_goes_into_the_diameter_only():
    """A machine whose only fault is its bit: the diameter takes all of it, the joint's outline none."""
    for error in (-0.08, 0.09):
        shop = Shop(1, bit=error, slack=(0, 0), scale=(0, 0), caliper=0.002)
        found = learnt(shop)
        assert found.bit_diameter_mm.value_mm == pytest.approx(NOMINAL_MM + error, abs=0.01)
        cutter = cutter_for(found.bit_diameter_mm.value_mm)
        sizes = corrected(DESIGN, record=record_of(found), cutter=cutter, target=TARGET, part=Part.PEG).sizes
        assert sizes.head_diameter_mm == pytest.approx(DESIGN.head_diameter_mm, abs=0.03)
        assert sizes.head_setback_mm == pytest.approx(DESIGN.head_setback_mm, abs=0.03)


def test_slack_goes_into_the_outline_only():
    """A machine whose only fault is slack: the bit's diameter stays, the joint's outline takes it."""
    shop = Shop(1, bit=0.0, slack=(0.12, 0.1), scale=(0, 0), caliper=0.002)
    found = learnt(shop)
    assert found.bit_diameter_mm.value_mm == pytest.approx(NOMINAL_MM, abs=0.01)
    cutter = cutter_for(found.bit_diameter_mm.value_mm)
    sizes = corrected(DESIGN, record=record_of(found), cutter=cutter, target=TARGET, part=Part.BOTH).sizes
    assert abs(sizes.head_diameter_mm - DESIGN.head_diameter_mm) > 0.05


def test_the_rule_in_data():
    """Bit error lives in the bit's diameter only, joint offsets in the outline only, never both."""
    record = replace(RECORD, bit_diameter_mm=3.1, head_offset_mm=0.0, lip_bias_mm=0.0)
    bit = Bit(id="flat", kind=BitKind.FLAT, nominal_mm=NOMINAL_MM, cutting_length_mm=15, shank_mm=3.175)
    assert effective_bit(bit, record).diameter_mm == 3.1
    assert effective_bit(bit, replace(record, head_offset_mm=0.2, lip_bias_mm=0.1)) == effective_bit(bit, record)
    thin, thick = (
        corrected(DESIGN, record=replace(record, bit_diameter_mm=d), cutter=FIRST, target=TARGET).sizes
        for d in (3.0, 3.3)
    )
    assert thin == thick
    biased = corrected(DESIGN, record=replace(record, head_offset_mm=0.05), cutter=FIRST, target=TARGET)
    assert biased.sizes.head_setback_mm < DESIGN.head_setback_mm


RECORD = ShopRecord(
    date="2026-11-20",
    bit_id="flat",
    material_id="hard-maple",
    machine_id="mid",
    bit_diameter_mm=3.2,
    bit_spread_mm=0.005,
    head_offset_mm=0.1,
    lip_bias_mm=0.02,
    bias_spread_mm=0.01,
)


def test_newest_record_of_that_bit_wood_and_machine_counts():
    newer, other = replace(RECORD, date="2026-11-25"), replace(RECORD, date="2026-12-01", material_id="pine")
    again = replace(newer, note="later the same day")
    asked = {"bit_id": "flat", "material_id": "hard-maple", "machine_id": "mid"}
    assert record_for((newer, RECORD, other), **asked) == newer
    assert record_for((newer, again, RECORD), **asked) == again
    assert record_for((other,), **asked) is None


def test_without_record_and_wish_the_design_stays():
    answer = corrected(USUAL, record=None, cutter=FIRST)
    assert answer.is_met
    assert answer.sizes == USUAL
    assert answer.pull_out_mm == pytest.approx(0.2747, abs=5e-5)
    with pytest.raises(ValueError, match="the design does not go together"):
        corrected(replace(USUAL, head_setback_mm=6.0), record=None, cutter=FIRST)


def in_words(said):
    return worded(said, "in") if isinstance(said, str) else tuple(worded(one, "in") for one in said)


def test_words_say_where_the_change_came_from():
    assert in_words(record_words(RECORD, nominal_mm=NOMINAL_MM)) == (
        "Bit flat: cuts 0.126 in (3.200 mm) wide, +0.001 in (+0.025 mm) from nominal, by the fit card of 2026-11-20 in "
        "hard-maple on mid.",
    )
    assert in_words(bias_words(RECORD)) == (
        "Beyond that, heads came out +0.004 in (+0.100 mm) from their face and lips +0.001 in (+0.020 mm) from the "
        "middle; joints are drawn to make up for it."
    )
    both = record_words(RECORD, nominal_mm=NOMINAL_MM, measured_mm=3.14)
    assert in_words(both)[1] == "Its measured = 0.124 in (3.140 mm) in the job gives way to the card."
    assert record_words(RECORD, nominal_mm=NOMINAL_MM, measured_mm=3.2) == record_words(RECORD, nominal_mm=NOMINAL_MM)
    thinner = replace(USUAL, head_diameter_mm=USUAL.head_diameter_mm - 0.08)
    assert in_words(change_words(USUAL, thinner)) == ("head -0.003 in (-0.080 mm), drawn 0.434 in (11.033 mm)",)


def test_outliers_are_asked_about_and_not_dropped():
    readings = CardReadings(
        sizes_mm={Feature.SLOT_X: (10.02, 10.01, 10.21), Feature.BOSS_X: (49.98, 49.99, 50.0)},
        pegs=(PegReadings(pips=2, span_shut_mm=(50.0, 50.31, 50.01)),),
    )
    assert [str(question) for question in questions(readings)] == [
        "slot_x, reading 3: 10.210 mm, but the others say 10.020 mm. Read it again, or leave it out.",
        "peg 2 span_shut, reading 2: 50.310 mm, but the others say 50.010 mm. Read it again, or leave it out.",
    ]


def test_two_readings_that_disagree_are_both_asked_about():
    readings = CardReadings(
        sizes_mm={Feature.SLOT_X: (9.92, 10.50), Feature.BOSS_X: (50.0, 50.02), Feature.SLOT_Y: (9,)}
    )
    assert [(one.where, one.index, one.others_mm) for one in questions(readings)] == [
        ("slot_x", 0, 10.50),
        ("slot_x", 1, 9.92),
    ]


def test_what_nobody_read_is_not_taken_for_nought():
    """Slack that no reading feels once came out as nothing, give or take nothing."""
    found = correct(
        CardReadings(sizes_mm={Feature.SLOT_X: (9.94,) * 3, Feature.BOSS_X: (50.06,) * 3}), card=CARD, cutter=FIRST
    )
    assert found.bit_diameter_mm.spread_mm < 0.02
    assert math.isfinite(found.scale_x.spread_ratio)
    unread = (found.slack_x_mm.spread_mm, found.slack_y_mm.spread_mm, found.scale_y.spread_ratio)
    assert unread == (math.inf, math.inf, math.inf)


@pytest.mark.parametrize(
    "wood", [Feature.BOSS_X, Feature.PRONG_X, Feature.LENGTH_X, Feature.PRONG_Y, Feature.WIDTH_PEG_Y]
)
@pytest.mark.parametrize("slot", [Feature.SLOT_X, Feature.SLOT_Y])
def test_any_slot_and_any_wood_give_finite_uncertainties_of_the_bit(slot, wood):
    """Columns that nothing fills once made roots of numbers just below zero, and a warning on the person's screen."""
    sizes = {one.feature: (one.designed_mm,) * 2 for one in CARD.features if one.feature in (slot, wood)}
    with np.errstate(all="raise"):
        found = correct(CardReadings(sizes_mm=sizes), card=CARD, cutter=FIRST)
    assert found.bit_diameter_mm.value_mm == pytest.approx(NOMINAL_MM, abs=1e-6)
    assert 0 < found.bit_diameter_mm.spread_mm < 0.1


def test_a_card_without_slots_cannot_tell_bit_from_slack():
    with pytest.raises(ValueError, match="a boss and a slot must both be read"):
        correct(CardReadings(sizes_mm={Feature.BOSS_X: (50.0,)}), card=CARD, cutter=FIRST)
