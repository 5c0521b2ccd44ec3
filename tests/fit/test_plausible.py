"""Readings that no machine can have made: recognised, named, and none of the sound ones with them."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fit.hand_made import WIDTH_MM
from fit.simulated_shop import Shop
from fit.test_correction import CARD, FIRST, NOMINAL_MM
from platelayer.fit.card import Feature
from platelayer.fit.correction import CardReadings, PegReadings, correct
from platelayer.fit.plausible import doubts
from platelayer.units import worded


def read(seed):
    return Shop(seed).read_card(CARD, nominal_mm=NOMINAL_MM, assumed_mm=NOMINAL_MM)


def doubted(readings):
    return doubts(readings, correct(readings, card=CARD, cutter=FIRST), card=CARD, cutter=FIRST)


def off(values, by_mm):
    return tuple(value + by_mm for value in values)


@pytest.fixture(scope="module")
def sound():
    return [read(seed) for seed in range(12)]


def test_sound_readings_raise_no_doubt(sound):
    assert [str(doubt) for readings in sound for doubt in doubted(readings)] == []


def test_readings_of_a_bit_pushed_through_a_small_slack_raise_no_doubt():
    """A slack of -0.05 +- 0.023 mm was refused: chance does that with slacks so small."""
    pushed = Shop(29, is_pushed=True).read_card(CARD, nominal_mm=NOMINAL_MM, assumed_mm=NOMINAL_MM)
    assert [str(doubt) for doubt in doubted(pushed)] == []


def test_a_caliper_s_scatter_alone_refuses_no_card():
    """Of machines that cut every size as drawn one in twenty was refused for a slack below nothing."""
    caliper = Shop(0)
    for _ in range(200):
        as_drawn = {feature: caliper.read(size) for feature, size in SIZES.items()}
        assert [str(doubt) for doubt in doubted(CardReadings(sizes_mm=as_drawn))] == []


@pytest.mark.parametrize("by_mm", [-1.0, -0.3, 0.65])
@pytest.mark.parametrize("feature", [one for one in Feature if one is not Feature.GROOVE_DEPTH])
def test_a_size_that_was_misread_is_named(feature, by_mm, sound):
    for readings in sound[:6]:
        misread = {**readings.sizes_mm, feature: off(readings.sizes_mm[feature], by_mm)}
        named = [place for doubt in doubted(replace(readings, sizes_mm=misread)) for place in doubt.places]
        assert feature.value in named


def test_a_peg_s_span_that_was_misread_is_named(sound):
    for readings in sound[:6]:
        first, *others = readings.pegs
        misread = replace(first, span_open_mm=off(first.span_open_mm, 0.5))
        (doubt,) = doubted(replace(readings, pegs=(misread, *others)))
        assert doubt.places == (f"peg {first.pips} span_shut", f"peg {first.pips} span_open")
        assert doubt.may_be


def test_pegs_told_backwards_are_recognised(sound):
    for readings in sound:
        if len(readings.pegs) == 4:
            backwards = tuple(replace(peg, pips=5 - peg.pips) for peg in readings.pegs)
            (doubt,) = doubted(replace(readings, pegs=backwards))
            assert str(doubt) == (
                "the plays grow from peg to peg in the wrong order, as if pips had been told backwards. "
                "Count the pips of each peg again: the peg with 1 has the largest head."
            )
            assert not doubt.may_be


def test_a_best_peg_that_nobody_read_is_asked_about(sound):
    readings = replace(sound[0], best_pips=2, pegs=tuple(peg for peg in sound[0].pegs if peg.pips != 2))
    (doubt,) = doubted(readings)
    assert str(doubt) == (
        "best_peg = 2: nothing was read of that peg. Read the spans of the peg with 2 pips, or write best_peg = 0."
    )


def test_two_sizes_that_agree_on_what_cannot_be_are_held_against_what_machines_do():
    """Prong and length both a millimetre short agree with each other, but no axis has so much slack."""
    sound = {one.feature: (one.designed_mm,) * 3 for one in CARD.features}
    for by_mm, said in ((-1.0, "slack along x comes out as +0.039 in (+1.000 mm)"), (0.0, "")):
        short = {feature: off(sound[feature], by_mm) for feature in (Feature.PRONG_X, Feature.LENGTH_X)}
        told = doubted(CardReadings(sizes_mm={**sound, **short}))
        assert [worded(doubt.text, "in") for doubt in told] == ([said] if said else [])


SIZES = {one.feature: one.designed_mm for one in CARD.features}
MISREAD = st.floats(-2, 2)


@given(st.lists(MISREAD, min_size=9, max_size=9), st.lists(MISREAD, min_size=16, max_size=16), st.integers(0, 4))
@settings(max_examples=60)
def test_whatever_is_read_gives_errors_and_doubts_and_no_fault_of_ours(sizes, pegs, best):
    """First guesses beyond the bounds of the search once ended in words of the library that searches."""
    keys = ("span_shut_mm", "span_open_mm", "over_left_mm", "over_right_mm")
    drawn = (CARD.span_mm, CARD.span_mm, WIDTH_MM, WIDTH_MM)
    readings = CardReadings(
        sizes_mm={feature: (one + by,) for (feature, one), by in zip(SIZES.items(), sizes, strict=True)},
        pegs=tuple(
            PegReadings(
                pips=pips,
                **{
                    key: (one + pegs[4 * pips - 4 + at],) for at, (key, one) in enumerate(zip(keys, drawn, strict=True))
                },
            )
            for pips in range(1, 5)
        ),
        best_pips=best,
    )
    doubted(readings)
