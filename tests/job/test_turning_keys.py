"""The ``[turning]`` table: what it says when nothing is written, and every sentence said of one that cannot be."""

# ruff: noqa: E501 - whole sentences stand in one line

import pytest

from job.sample_jobs import JOB, changed, job_of, said_of
from platelayer.values.tooling import TurnBy, Turning

BOTH = f'{JOB}grooves = "both"\n'
MEASURED = changed(BOTH, ("height = 120", "height = 120\nheight_measured = true"))


def test_a_job_that_says_nothing_is_turned_on_two_quarter_inch_dowels():
    job = job_of(BOTH)
    assert job.turning == Turning()
    assert job.turning.by is TurnBy.DOWELS
    assert job.turning.dowel_diameter_mm == pytest.approx(6.35, abs=1e-12)
    assert not job.boards[0].height_is_measured
    assert job.orders[0].grooves_top
    assert job.orders[0].grooves_bottom


def test_all_keys_are_read_and_places_sorted():
    text = f'{BOTH}[turning]\ntolerance = 0.1\ndowel_diameter = "8 mm"\ndowel_depth = 5\ndowel_places = [390, 200, "10 mm"]\n'
    assert job_of(text).turning == Turning(
        tolerance_mm=0.1,
        dowel_diameter_mm=8.0,
        dowel_depth_mm=5.0,
        dowel_count=3,
        dowel_places_mm=(10.0, 200.0, 390.0),
    )


def test_a_fence_takes_a_measured_height():
    job = job_of(f'{MEASURED}[turning]\nby = "fence"\n')
    assert job.turning.by is TurnBy.FENCE
    assert job.boards[0].height_is_measured


def test_a_board_cut_on_one_face_needs_no_measured_height():
    assert job_of(f'{JOB}[turning]\nby = "fence"\n').turning.by is TurnBy.FENCE


FAULTS = {
    "fence without measured height": (
        f'{BOTH}[turning]\nby = "fence"\n',
        "job.toml:12 [turning] by = fence: against a fence the board's far edge takes the near one's place, so that an error "
        "in its height puts the faces as far apart, and board A has no measured height. Measure it across, write "
        'height_measured = true in [[board]], or turn it on dowels: by = "dowels".',
    ),
    "dowels with a fence": (
        f'{MEASURED}[turning]\nby = "fence"\ndowel_count = 2\n',
        'job.toml:14 [turning] dowel_count: of no use with by = "fence". Write by = "dowels", or leave it out.',
    ),
    "no such way": (f'{BOTH}[turning]\nby = "pins"\n', "job.toml:12 [turning] by = pins: must be dowels or fence"),
    "too slack": (
        f"{BOTH}[turning]\ntolerance = 1.5\n",
        "job.toml:12 [turning] tolerance = 1.500 mm (~1/16 in): a board so far out of line cannot be cut on both faces; the "
        "limit is 1.000 mm (~3/64 in). Turn it on tighter dowels, or measure it better.",
    ),
    "too thick": (
        f'{BOTH}[turning]\ndowel_diameter = "1 in"\n',
        "job.toml:12 [turning] dowel_diameter = 25.400 mm (1 in): too thin to hold a board or too thick for its end: the "
        "limits are 3.000 mm (~1/8 in) and 20.000 mm (~25/32 in)",
    ),
    "too shallow": (
        f"{BOTH}[turning]\ndowel_depth = 1\n",
        "job.toml:12 [turning] dowel_depth = 1.000 mm (~3/64 in): too shallow to hold the dowel upright; the limit is "
        "3.000 mm (~1/8 in). Leave it out, and the bit goes as deep as it reaches.",
    ),
    "one dowel": (
        f"{BOTH}[turning]\ndowel_count = 1\n",
        "job.toml:12 [turning] dowel_count = 1: a board is turned on 2 to 12 dowels; on one it swings",
    ),
    "one place": (
        f"{BOTH}[turning]\ndowel_places = [30]\n",
        "job.toml:12 [turning] dowel_places = 1: a board is turned on 2 to 12 dowels; on one it swings",
    ),
    "count against places": (
        f"{BOTH}[turning]\ndowel_count = 3\ndowel_places = [10, 390]\n",
        "job.toml:12 [turning] dowel_count = 3: but dowel_places names 2. Leave one of them out.",
    ),
    "place off the board": (
        f"{BOTH}[turning]\ndowel_places = [10, 399]\n",
        "job.toml:12 [turning] dowel_places = 399.000 mm (~15 45/64 in): its hole does not lie in board A, which is "
        "400.000 mm (~15 3/4 in) long",
    ),
    "places side by side": (
        f"{BOTH}[turning]\ndowel_places = [10, 20]\n",
        "job.toml:12 [turning] dowel_places = 20.000 mm (~25/32 in): nearer than 19.050 mm (3/4 in), three diameters, to the "
        "dowel before it. Spread them over the board's length.",
    ),
    "unknown key": (
        f"{BOTH}[turning]\ndowel_depht = 4\n",
        "job.toml:12 [turning] dowel_depht: unknown key. Did you mean dowel_depth?",
    ),
}


@pytest.mark.parametrize("name", FAULTS)
def test_every_fault_is_said_whole(name):
    text, sentence = FAULTS[name]
    assert said_of(text) == [sentence]
