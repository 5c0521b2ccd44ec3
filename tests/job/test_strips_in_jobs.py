"""Strips of track width: what a job may ask of them."""

import pytest

from job.sample_jobs import JOB, changed, job_of, said_of

STRIPS = changed(JOB, ("width = 400\nheight = 120\n", 'kind = "strip"\nwidth = 2400\ncount = 2\n'))


def test_a_strip_is_as_wide_as_the_track_and_may_be_longer_than_the_machine():
    first, second = job_of(STRIPS).boards
    assert (first.id, second.id) == ("A", "B")
    assert (first.width_mm, first.height_mm, first.margin_mm) == (2400.0, 39.6875, 25.4)
    assert first.is_strip
    assert not job_of(JOB).boards[0].is_strip
    assert job_of(JOB).boards[0].margin_mm == 6.35
    assert job_of(changed(STRIPS, ("count", "margin = 40\ncount"))).boards[0].margin_mm == 40.0


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            changed(STRIPS, ("count", "height = 39\ncount")),
            "job.toml:8 [[board]] A height = 39.000 mm (~1 17/32 in): a strip is as wide as the track, and [track] "
            "width is "
            "39.688 mm (1 9/16 in). Write what the caliper says of the strip into [track] width.",
        ),
        (
            changed(STRIPS, ("width = 2400", "outline = [[0, 0], [900, 0], [900, 39.6875], [0, 39.6875]]")),
            "job.toml:7 [[board]] A outline: a strip has no outline but its width. Give its length as width.",
        ),
        (
            STRIPS.replace("[[piece]]", "[[board.no_go]]\nx = 3\ny = 3\ndiameter = 4\n[[piece]]"),
            "job.toml:9 [[board]] A no_go: a strip has no room beside a no-go area. Cut the strip there and make "
            "two of it.",
        ),
        (
            STRIPS + '[[piece]]\nkind = "curve"\nradius = 200\n',
            "job.toml:12 [[piece]] curve kind = curve: only straights come from strips of track width. Put it on a "
            "board.",
        ),
        (
            STRIPS + 'grooves = "both"\n',
            "job.toml:11 [[piece]] straight grooves = both: a strip is cut on one face. Leave grooves = \"both\" "
            "out, or use "
            "boards.",
        ),
        (
            STRIPS + '[holding]\nkind = "tape"\n',
            "job.toml:12 [holding] kind = tape: on a strip pieces hang together by bridges beside its long edges, "
            "which are "
            'tabs. Write kind = "tabs", or leave it out.',
        ),
        (
            STRIPS + '[bits]\nedges = "round-over-1.588"\n[edges]\nouter = "1/16 in"\n',
            "job.toml:14 [edges] outer = 1.588 mm (1/16 in): a strip comes with its long edges rounded over, and the "
            "bit would leave it there. Leave outer out of [edges], and round end faces and pegs by hand.",
        ),
        (
            STRIPS + '[holding]\nstock = "screws"\n',
            "job.toml:12 [holding] stock = screws: a strip has no waste for screws. Hold it by clamps at its ends: "
            'stock = "clamps".',
        ),
        (
            STRIPS + "[[board]]\nwidth = 400\nheight = 100\n",
            "job.toml:11 [[board]] C kind = board: stands beside strips, which are cut otherwise. Make two jobs of it.",
        ),
    ],
    ids=["other width", "outline", "no-go", "curve", "both faces", "tape", "outer edges", "screws", "a board besides"],
)  # fmt: skip
def test_what_a_strip_cannot_be_is_said(text, said):
    assert said in said_of(text)
