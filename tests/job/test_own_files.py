"""Files of the bits a person owns and of woods of their own, and jobs that name them."""

# ruff: noqa: E501 - whole sentences stand in one line

import pytest

from job.sample_jobs import JOB, MACHINE, changed, thick
from platelayer.errors import JobError
from platelayer.job import describe_bits, describe_materials, load_job, profiles_for, starter_bits, starter_woods
from platelayer.job.own_files import read_own_bits, read_own_woods
from platelayer.job.profiles import read_profile
from platelayer.units import NEWTON_PER_LBF
from platelayer.values.tooling import BitKind

BITS = """\
units = "mm"
[[bit]]
id = "flat-3.175-long"
measured = 3.11
[[bit]]
id = "short"
kind = "flat"
diameter = 3.175
cutting_length = 15
may_plunge = true
"""
WOODS = """\
[[wood]]
id = "walnut"
title = "black walnut"
hardness = "1010 lbf"
group = "hardwood"
"""


def job_with(text, files, machine=MACHINE):
    return load_job(thick(text), file="job.toml", profiles={"test.toml": machine} | files)


def said_of(text, files, machine=MACHINE):
    with pytest.raises(JobError) as caught:
        job_with(text, files, machine)
    return str(caught.value).splitlines()


NAMES_BITS = changed(JOB, ('material = "hard-maple"', 'material = "hard-maple"\nbits = "bits.toml"'))
NAMES_WOODS = changed(JOB, ('material = "hard-maple"', 'material = "walnut"\nwoods = "woods.toml"'))


def test_both_starters_read_as_they_stand_and_so_does_each_of_their_remarks() -> None:
    def whole(text):
        return "\n".join(
            line.removeprefix("# ")
            if line.startswith("# ") and ("# [[" in line or line.split()[2:3] == ["="])
            else line
            for line in text.split("\n")
        )

    assert list(read_own_bits(starter_bits(), file="bits.toml")) == ["flat-3.175-long"]
    bits = read_own_bits(whole(starter_bits()), file="bits.toml")
    assert bits["flat-3.175-long"].measured_mm == 3.14
    assert (bits["quarter-short"].kind, bits["quarter-short"].nominal_mm) == (BitKind.FLAT, 6.35)
    assert read_own_woods(starter_woods(), file="w") == read_own_woods(whole(starter_woods()), file="w")


def test_a_person_owns_the_bits_of_the_file_and_no_other() -> None:
    assert list(read_own_bits(BITS, file="bits.toml")) == ["flat-3.175-long", "short"]


def test_a_job_cuts_with_own_bits_as_the_caliper_has_them() -> None:
    assert job_with(NAMES_BITS, {"bits.toml": BITS}).bit("flat-3.175-long").diameter_mm == 3.11
    job = job_with(f'{NAMES_BITS}[bits]\njoints = "short"\n', {"bits.toml": BITS})
    assert job.bit("short").cutting_length_mm == 15


def test_the_jobs_own_word_about_a_bit_is_the_last() -> None:
    text = f'{NAMES_BITS}[[bit]]\nid = "flat-3.175-long"\nmeasured = 3.2\n'
    assert job_with(text, {"bits.toml": BITS}).bit("flat-3.175-long").diameter_mm == 3.2


def test_a_wood_of_ones_own_is_cut_by_its_hardness() -> None:
    job = job_with(NAMES_WOODS, {"woods.toml": WOODS})
    assert job.material.title == "black walnut"
    assert job.material.hardness_n == pytest.approx(1010 * NEWTON_PER_LBF)
    assert job.feeds[0].feed_mm_min == 1200  # listed for hard maple, which is harder
    harder = changed(WOODS, ("1010 lbf", "3000 lbf"))
    slower = job_with(NAMES_WOODS, {"woods.toml": harder}).feeds[0].feed_mm_min
    assert slower == pytest.approx(1200 * 1450 / 3000, rel=1e-3)  # side hardness of hard maple: job/materials.py


def test_feeds_may_be_listed_for_a_wood_of_ones_own() -> None:
    listed = changed(MACHINE, ('"hard-maple"', '"walnut"'), ("feed = 1200", "feed = 1300"))
    assert job_with(NAMES_WOODS, {"woods.toml": WOODS}, listed).feeds[0].feed_mm_min == 1300
    with pytest.raises(JobError):
        read_profile(listed, file="test.toml")  # to a job without that file there is no such wood
    assert read_profile(listed, file="test.toml", woods=None).feeds[0].material_id == "walnut"


def test_a_file_that_is_not_there_is_told_with_what_begins_it() -> None:
    assert said_of(f'{NAMES_BITS}[bits]\njoints = "short"\n', {}) == [
        "job.toml:5 [job] bits = bits.toml: no such file beside the job. Begin one: platelayer new --bits bits.toml. Or "
        "leave this out."
    ]
    assert said_of(NAMES_WOODS, {}) == [
        "job.toml:5 [job] woods = woods.toml: no such file beside the job. Begin one: platelayer new --woods woods.toml. "
        "Or leave this out."
    ]


def test_what_is_wrong_with_a_file_is_told_with_its_line_and_nothing_that_follows_from_it() -> None:
    bits = changed(BITS, ("measured = 3.11", "measured = 4"), ('kind = "flat"\n', ""))
    assert said_of(f'{NAMES_BITS}[bits]\njoints = "short"\n', {"bits.toml": bits}) == [
        "bits.toml:4 [[bit]] flat-3.175-long measured = 4.000 mm (~5/32 in): more than 0.500 mm (0.020 in) from the "
        "nominal 3.175 mm (1/8 in), so not the same bit. Give it an id of its own.",
        "bits.toml:5 [[bit]] short kind: missing; short is no shipped bit, so all of it must be said",
    ]
    woods = changed(WOODS, ('hardness = "1010 lbf"', "hardness = 1010"), ('group = "hardwood"\n', ""))
    assert said_of(NAMES_WOODS, {"woods.toml": woods}) == [
        "woods.toml:1 [[wood]] walnut group: missing. One of hardwood, softwood, MDF.",
        'woods.toml:4 [[wood]] walnut hardness = 1010: not a force. Write it with its unit, as in "1450 lbf" or "6450 N".',
    ]
    assert said_of(NAMES_WOODS, {"woods.toml": WOODS * 2}) == [
        "woods.toml:7 [[wood]] 2 id = walnut: there is another wood of this id. Give each its own."
    ]
    soft = changed(WOODS, ("1010 lbf", "10 lbf"))
    assert said_of(NAMES_WOODS, {"woods.toml": soft}) == [
        "woods.toml:4 [[wood]] walnut hardness = 44.4822 N: no wood is so soft or so hard: the limits are 100 and 30000 N. "
        "Look at the unit: is it lbf or N?"
    ]


def test_the_files_a_job_names_are_read_beside_it_and_are_no_machines(tmp_path) -> None:
    text = changed(NAMES_BITS, ('bits = "bits.toml"', 'bits = "bits.toml"\nwoods = "woods.toml"\nprofiles = "."'))
    for name, inside in (("bits.toml", BITS), ("woods.toml", WOODS), ("test.toml", MACHINE)):
        (tmp_path / name).write_text(inside, encoding="utf-8")
    file = str(tmp_path / "job.toml")
    profiles = profiles_for(text, file=file)
    assert load_job(thick(text), file=file, profiles=profiles).bit("flat-3.175-long").diameter_mm == 3.11
    text = changed(text, ('machine = "test"', 'machine = "bits"'))
    with pytest.raises(JobError) as caught:
        load_job(thick(text), file=file, profiles=profiles)
    assert "no such machine" in str(caught.value)
    (tmp_path / "bits.toml").unlink()
    with pytest.raises(JobError) as caught:
        profiles_for(text, file=file)
    assert str(caught.value) == (
        f"{file}:5 [job] bits = bits.toml: no such file beside the job. Begin one: platelayer new --bits bits.toml. Or "
        "leave this out."
    )


def test_lists_show_what_is_ones_own() -> None:
    bits = describe_bits(changed=read_own_bits(BITS, file="bits.toml"))
    assert [row[0] for row in bits.rows][-1] == "short"
    woods = [row[0] for row in describe_materials(read_own_woods(WOODS, file="woods.toml")).rows]
    assert woods.index("birch") < woods.index("walnut") < woods.index("cherry")
