"""What the shop has learnt, put into a job: diameter into bits, biases into the outline."""

from dataclasses import replace

import pytest

from fit.hand_made import USUAL, WIDTH_MM
from fit.test_correction import RECORD, cutter_for
from platelayer.fit.applied import as_it_comes, with_drawn_joint, with_effective_bits
from platelayer.fit.in_line import in_line
from platelayer.fit.target_play import PRESETS, Part
from platelayer.job.load import load_job
from platelayer.job.profiles import load_profiles
from platelayer.units import worded
from platelayer.values.pieces import CornerRadii

CORNERS = CornerRadii(relief_radius_mm=1.6, ease_radius_mm=1.7)


@pytest.fixture(scope="module")
def job():
    from pathlib import Path

    text = (Path(__file__).parents[2] / "examples/hallway/job.toml").read_text()
    return load_job(text, file="hallway/job.toml", profiles=load_profiles(()))


@pytest.fixture
def record(job):
    return replace(RECORD, bit_id=job.joints_bit, material_id=job.material.id, machine_id=job.machine.id)


def test_only_the_bit_changes_first(job, record):
    found, words = with_effective_bits(job, (record,))
    assert found.bit(job.joints_bit).diameter_mm == record.bit_diameter_mm
    assert replace(found, bits=job.bits) == job
    assert len(words) == 2
    assert with_effective_bits(job, ()) == (job, ())


def test_of_a_bit_that_cuts_no_joints_nothing_is_said_of_heads(job, record):
    """Every bit with a card was once said to move heads and lips, and joints to be drawn for it."""
    other = replace(job.bits[0], id="flat-6.35-up", nominal_mm=6.35)
    both = replace(job, bits=(*job.bits, other))
    _, words = with_effective_bits(both, (replace(record, bit_id=other.id, bit_diameter_mm=6.3),))
    assert tuple(worded(one, "in") for one in words) == (
        "Bit flat-6.35-up: cuts 0.248 in (6.300 mm) wide, -0.002 in (-0.050 mm) from nominal, by the fit card of "
        f"{record.date} in hard-maple on {record.machine_id}.",
    )


@pytest.mark.parametrize("part", Part)
def test_then_only_the_joint(job, record, part):
    effective, _ = with_effective_bits(job, (record,))
    found = with_drawn_joint(
        effective, (record,), corners=CORNERS, target=PRESETS["loose"], part=part, widest_hole_mm=15.0
    )
    assert found.answer.is_met
    assert replace(found.job, joint=effective.joint) == effective
    assert found.job.joint != job.joint
    assert found.words[0].startswith("Joint: ")
    if part is Part.PEG:
        assert found.job.joint.mouth_width_mm == job.joint.mouth_width_mm
    if part is Part.SOCKET:
        assert found.job.joint.head_diameter_mm == job.joint.head_diameter_mm


def test_nothing_learnt_and_nothing_wished_changes_nothing(job):
    found = with_drawn_joint(job, (), corners=CORNERS)
    assert found.job == job
    assert found.words == ()


def test_drawn_joint_comes_out_as_wished(job, record):
    effective, _ = with_effective_bits(job, (record,))
    target = PRESETS["loose"]
    found = with_drawn_joint(effective, (record,), corners=CORNERS, target=target, part=Part.BOTH, widest_hole_mm=15.0)
    cutter = replace(cutter_for(record.bit_diameter_mm), corners=CORNERS, width_mm=WIDTH_MM)
    after = in_line(as_it_comes(found.job.joint, cutter=cutter, record=record, path_diameter_mm=record.bit_diameter_mm))
    assert (after.side_mm, after.play_mm) == pytest.approx((target.side_mm, target.pull_out_mm), abs=0.003)
    before = in_line(as_it_comes(USUAL, cutter=cutter_for(3.175), record=record, path_diameter_mm=3.175))
    assert abs(before.play_mm - target.pull_out_mm) > 0.02
