"""Feed, speed, direction and stops held against what the job asked; each sentence once, and what is left in peace."""

from dataclasses import replace

import pytest

from broken_files.small_job import small_job
from gcode.motions import machine_of
from platelayer.proof.dry_run import dry_run
from platelayer.values.findings import Code, Severity

NAME = "A-1.nc"
ASKED = {"feed_mm_min": 1200.0, "plunge_mm_min": 300.0, "spindle_rpm": 18000.0}


@pytest.fixture(scope="module")
def job():
    return small_job(pieces=1)


def errors(job, text, *, bits=(None,), machine=None, **asked):
    """Code and whole sentence of every error of the job with another text."""
    changed = job.changed(text).manifest
    bit = replace(changed.files[0].bits[0], **asked)
    used = tuple(replace(bit, id=name or bit.id) for name in bits)
    changed = replace(changed, files=(replace(changed.files[0], bits=used),), machine=machine or changed.machine)
    report = dry_run(changed, {NAME: text})
    found = [one for one in report.findings if one.severity is Severity.ERROR]
    return {one.code: f"{one.text} {one.advice}" for one in found}


def fastest(text):
    return max(float(word[1:]) for line in text.splitlines() for word in line.split() if word[0] == "F")


def test_a_bit_that_goes_as_asked_has_no_finding(job):
    text = job.texts[NAME]
    assert errors(job, text, feed_mm_min=fastest(text), spindle_rpm=18000.0) == {}
    assert errors(job, text) == {}  # zero is not asked


def test_a_feed_beyond_what_was_asked(job):
    text = job.texts[NAME]
    asked = fastest(text) / 1.05
    (sentence,) = errors(job, text, feed_mm_min=asked).values()
    assert sentence == (
        f"bit flat goes through wood at {fastest(text):.0f} mm/min; the job asks for {asked:.0f} at most. "
        "Make the job again; the file was changed."
    )


def test_sinking_counts_what_goes_down_not_the_whole_feed(job):
    """A ramp down 3 over a length of 5 at 5000 mm/min sinks at 3000, worked by hand."""
    text = job.texts[NAME].replace("M5\n", "G1 X10 Y10 Z0 F500\nG1 X14 Y10 Z-3 F5000\nG0 Z5\nM5\n")
    assert Code.CUTTING_FEED not in errors(job, text, plunge_mm_min=3000.0)
    assert errors(job, text, plunge_mm_min=2500.0)[Code.CUTTING_FEED] == (
        "bit flat goes down at 3000 mm/min; the job asks for 2500 at most. Make the job again; the file was changed."
    )


def test_a_bit_that_comes_down_from_the_air_sinks_as_fast_as_it_comes(job):
    """Down 5.1, of which 0.1 is in the wood, over a length of 10.2 at 2000 mm/min: it meets the wood at 1000."""
    text = job.texts[NAME].replace("M5\n", "G0 X10 Y10\nG1 X18.8335 Y10 Z-0.1 F2000\nG0 Z5\nM5\n")
    assert Code.CUTTING_FEED not in errors(job, text, plunge_mm_min=1000.0)
    assert "goes down at 1000 mm/min" in errors(job, text, plunge_mm_min=900.0)[Code.CUTTING_FEED]


@pytest.mark.parametrize(
    ("beside_mm", "z", "is_clear"),
    [
        (0.3, -2.5, True),
        (0.3, -2.6, False),
        (0.15, -2.5, False),
        (0.0, -2.5, False),
        (0.0, 0.5, True),
        (0.0, 0.4, False),
    ],
)
def test_a_bit_sinks_faster_than_its_plunge_only_where_it_is_clear_all_round_and_above_the_floor(
    job, beside_mm, z, is_clear
):
    """Between two lanes so far apart, cut 3 deep: half of that is clear to either side, 0.1 is asked, 0.5 below."""
    far = job.manifest.boards[0].size_mm[0] - 12.0
    lanes = "".join(
        f"G0 Z5\nG0 X{far - 10} Y{y}\nG1 Z0 F300\nG1 X{far} Z-3 F500\nG1 X{far - 10}\n" for y in (20, 20 + beside_mm)
    )
    down = f"G0 Z5\nG0 X{far - 5} Y{20 + beside_mm / 2}\nG1 Z{z} F900\nG1 Z-2.8 F300\nG0 Z5\n"
    text = job.texts[NAME].replace("M5\n", lanes + down + "M5\n")
    found = errors(job, text, plunge_mm_min=300.0).get(Code.CUTTING_FEED, "")
    assert ("goes down at 900 mm/min; the job asks for 300" in found) != is_clear


def test_a_speed_that_is_not_the_one_asked(job):
    text = job.texts[NAME].replace("S18000", "S1800")
    assert errors(job, text, spindle_rpm=18000.0) == {
        Code.CUTTING_SPEED: "bit flat turns at 1800 rev/min; the job asks for 18000. "
        "Make the job again; the file was changed."
    }
    assert errors(job, text, spindle_rpm=18000.0, machine=machine_of(spindle="dial")) == {}


def test_a_spindle_that_turns_backwards(job):
    assert errors(job, job.texts[NAME].replace("M3 ", "M4 ")) == {
        Code.CUTTING_SPEED: "the spindle turns backwards (M4): the bit rubs, burns and may come loose. "
        "Start the spindle with M3."
    }


def test_a_pause_that_is_announced_and_not_there(job):
    assert errors(job, job.texts[NAME].replace("M0\n", "")) == {
        Code.READING_STOP: 'no M0 stands where the file says "PAUSE load bit". '
        "Make the job again; the file was changed."
    }


def test_a_pause_does_not_count_for_another(job):
    text = job.texts[NAME].replace("(PAUSE load bit)\n", "(PAUSE look)\n(PAUSE load bit)\n")
    assert 'says "PAUSE look"' in errors(job, text)[Code.READING_STOP]


def test_a_second_bit_that_nobody_puts_in(job):
    head, tail = job.texts[NAME].split("(piece 1 outline)", 1)
    bits = (None, "other")
    change = "G0 Z5\nM5\n(BIT 2 other)\nM0\nM3 S18000\nG4 P4\nG0 Z5\n"
    assert errors(job, f"{head}{change}(piece 1 outline){tail}", bits=bits) == {}
    assert errors(job, f"{head}{change.replace('M0', 'G4 P1')}(piece 1 outline){tail}", bits=bits) == {
        Code.READING_STOP: "nothing stops the machine for bit other to be put in. "
        "Make the job again; the file was changed."
    }


def test_a_tool_that_is_named_and_not_changed(job):
    text = job.texts[NAME].replace("M0\n", "M0\nT2\nM6\n")
    assert errors(job, text) == {}
    assert errors(job, text.replace("M6\n", "")) == {
        Code.READING_STOP: "T2 has no M6 after it, so the bit is not changed. Make the job again; the file was changed."
    }


@pytest.mark.parametrize("kind", ["switch", "dial"])
def test_a_router_switched_by_hand_is_off_until_a_pause(job, kind):
    text = job.texts[NAME].replace("(PAUSE load bit)\nM0\n", "")
    assert Code.CUTTING_SPINDLE_OFF in errors(job, text, machine=machine_of(spindle=kind))
    assert errors(job, job.texts[NAME], machine=machine_of(spindle=kind)) == {}


def test_a_speed_of_nought_is_off_on_a_machine_that_is_not_known(job):
    text = job.texts[NAME].replace("S18000", "S0")
    assert Code.CUTTING_SPINDLE_OFF in errors(job, text, machine=machine_of(spindle=""))
    assert errors(job, text.replace(" S0", ""), machine=machine_of(spindle="")) == {}


def test_a_spindle_that_is_given_no_time(job):
    text = job.texts[NAME]
    dwell = next(line for line in text.splitlines() if line.startswith("G4"))
    assert errors(job, text.replace(f"{dwell}\n", "")) == {
        Code.READING_STOP: "the spindle is switched on, and the bit cuts before it is at speed. "
        "Make the job again; the file was changed."
    }
    assert errors(job, text.replace(dwell, "(PAUSE wait for the router)\nM0")) == {}
