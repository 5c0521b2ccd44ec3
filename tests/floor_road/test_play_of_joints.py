"""Which play a joint of a floor has: by who made its peg and its socket, and by what was measured."""

import math
from dataclasses import replace

import pytest

from platelayer.fit.free_play import free_play
from platelayer.fit_road.fitting import load
from platelayer.floor_road.ground import play_in
from platelayer.values.layout import PlayMeasured, Stock

OURS = Stock(name="ours", ends=(), routes=(), is_made=True)
BOUGHT = Stock(name="bought", ends=(), routes=())


def of(peg, socket, *, job=None, usual=None):
    job = job or load(None)
    return play_in(job, (), usual or PlayMeasured())(peg, socket)


def test_without_a_bought_mate_every_joint_is_as_this_bit_cuts_it():
    shapes = {of(peg, socket).shape for peg in (OURS, BOUGHT) for socket in (OURS, BOUGHT)}
    assert len(shapes) == 1
    assert shapes.pop().root_radius_mm > 0


def test_with_a_bought_mate_it_matters_whose_peg_is_in_whose_socket():
    job = load(None)
    wide = replace(job.joint, mouth_width_mm=job.joint.mouth_width_mm + 0.5, head_diameter_mm=10.5)
    job = replace(job, mate=wide, has_bought_mate=True)
    heads = {
        (peg.name, socket.name): of(peg, socket, job=job).shape for peg in (OURS, BOUGHT) for socket in (OURS, BOUGHT)
    }
    assert [shape.sizes.head_diameter_mm for shape in heads.values()] == [11.1125, 11.1125, 10.5, 10.5]
    mouths = [shape.sizes.mouth_width_mm for shape in heads.values()]
    assert mouths == pytest.approx([7.9375, 8.4375, 7.9375, 8.4375])
    assert heads["bought", "bought"].root_radius_mm == 0


def test_what_was_measured_stretches_the_region_and_the_tighter_side_counts():
    drawn = free_play(of(OURS, OURS).shape)
    loose = replace(BOUGHT, play=PlayMeasured(pull_mm=0.9, side_mm=0.6, kink_rad=math.radians(2)))
    tight = replace(BOUGHT, play=PlayMeasured(pull_mm=0.5))
    along, across, turn = of(loose, tight).stretch_ratio
    assert along == pytest.approx(0.5 / drawn.play_mm)
    assert across == pytest.approx(0.6 / drawn.side_mm[0])
    assert turn == pytest.approx(math.radians(2) / drawn.kink_rad[0])


def test_a_play_that_nobody_measured_follows_those_that_were():
    usual = PlayMeasured(pull_mm=0.6)
    along, across, turn = of(BOUGHT, BOUGHT, usual=usual).stretch_ratio
    assert across == turn == along
