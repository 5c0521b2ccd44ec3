"""Where the minutes go, and about how many there will be before any path is made."""

from cli.jobs import small_job
from platelayer.job import load_job, load_profiles
from platelayer.road.minutes import about_minutes, laid_bound
from platelayer.road.planning import lay_job
from platelayer.road.proving import prove
from proved import written


def laid_of(text):
    return lay_job(load_job(text, file="job.toml", profiles=load_profiles(())))


def test_no_file_is_faster_than_its_bound_and_none_far_from_what_was_told():
    text = small_job()
    made_s = sum(file.seconds_s for file in prove(written(text)).report.files)
    laid = laid_of(text)
    assert sum(row.seconds_s for row in laid_bound(laid)) < made_s
    assert 0.6 < about_minutes(laid) * 60 / made_s < 1.6
