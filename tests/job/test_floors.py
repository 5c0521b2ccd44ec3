"""A floor height asked for: cut from the spoilboard or a measured board, else not promised."""

import re

import pytest

from cli.jobs import small_job
from platelayer.errors import JobError
from platelayer.job import load_job, load_profiles
from platelayer.units import worded
from proved import data_of, refusals, text_of, written

THICKNESS_MM = 13.1


def job_text(*, track='floor_height = "9.0 mm"', board=""):
    text = small_job().replace('thickness = "1/2 in"', f'thickness = "{THICKNESS_MM} mm"')
    return text.replace("[[board]]", f"[track]\n{track}\n[[board]]\n{board}")


def loaded(text):
    return load_job(text, file="job.toml", profiles=load_profiles(()))


def lowest_groove_z(contents):
    """The lowest z of the first cut of the file, which is a groove, in mm above the wood's underside or its top."""
    (name,) = [name for name in contents if name.endswith(".nc")]
    text = text_of(contents, name)
    start = text.index(" groove)")
    words = re.findall(r"Z(-?[0-9.]+)", text[start : text.index("(", start + 10)])
    return min(map(float, words)) * (25.4 if "G20" in text else 1.0)


def test_a_floor_is_cut_so_high_above_the_spoilboard_whatever_the_board_s_thickness():
    contents = written(job_text(board='zero = "spoilboard"'))
    assert refusals(contents) == []
    assert lowest_groove_z(contents) == pytest.approx(9.0, abs=0.002)
    assert loaded(job_text(board='zero = "spoilboard"')).warnings == ()


def test_from_the_top_of_a_measured_board_the_depth_is_its_thickness_less_the_floor():
    contents = written(job_text(board="thickness_measured = true"))
    assert lowest_groove_z(contents) == pytest.approx(9.0 - THICKNESS_MM, abs=0.002)
    groove = data_of(contents)["pieces"][0]["grooves"][0]
    assert groove["depth"] == pytest.approx(THICKNESS_MM - 9.0)
    assert not any("floor height" in words for words in data_of(contents).get("noticed", []))


def test_from_the_top_of_a_board_nobody_measured_it_is_not_promised():
    (words,) = [finding.text for finding in loaded(job_text()).warnings]
    assert worded(words, "in") == (
        "A floor height of ~23/64 in (9.000 mm) is not promised on board A: z is zeroed on its top and nobody measured "
        "its thickness, so that the floor lies up to 0.008 in (0.200 mm) higher or lower."
    )


@pytest.mark.parametrize(
    ("track", "said"),
    [
        ('floor_height = "9 mm"\ngroove_depth = "3 mm"', "says in another way what groove_depth says"),
        ('floor_height = "13 mm"', "leaves no groove in wood"),
        ('floor_height = "1 mm"', "leaves no groove in wood"),
    ],
)
def test_a_floor_that_cannot_be_is_refused_at_its_key(track, said):
    with pytest.raises(JobError) as caught:
        loaded(job_text(track=track))
    (fault,) = caught.value.faults
    assert fault.where == "[track] floor_height"
    assert said in fault.problem
    assert fault.line > 0
