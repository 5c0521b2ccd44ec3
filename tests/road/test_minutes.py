"""Where the minutes go, and about how many there will be before any path is made."""

import pytest

from cli.jobs import small_job
from platelayer.job import load_job, load_profiles
from platelayer.preview.page.data import _summary
from platelayer.preview.paper.content import shop_sheet
from platelayer.preview.report.minutes_words import minutes_cells, minutes_rows
from platelayer.preview.report.summary import summary_text
from platelayer.road.minutes import about_minutes, bound_with_s
from platelayer.road.planning import lay_job
from platelayer.road.proving import prove
from platelayer.values.minutes import Operation
from proved import written


def laid_of(text):
    return lay_job(load_job(text, file="job.toml", profiles=load_profiles(())))


def test_no_file_is_faster_than_its_bound_and_none_far_from_what_was_told():
    text = small_job()
    made_s = sum(file.seconds_s for file in prove(written(text)).report.files)
    laid = laid_of(text)
    assert bound_with_s(laid, laid.job) < made_s
    assert 0.6 < about_minutes(laid) * 60 / made_s < 1.6


def test_rows_add_up_to_the_files_and_none_goes_below_what_it_takes_at_the_least():
    proof = prove(written(small_job()))
    rows = minutes_rows(proof.manifest, proof.report)
    assert sum(row.seconds_s for row in rows) == pytest.approx(sum(file.seconds_s for file in proof.report.files))
    assert {row.operation for row in rows} > {Operation.GROOVES, Operation.SOCKETS, Operation.SLOTS, Operation.FINISH}
    assert not [row for row in rows if row.operation is Operation.OTHER]  # every cut of ours is named
    both = (Operation.FINISH, Operation.PARTING)  # walls are gone along by one and the other
    for some in ([row for row in rows if row.operation in both], *([row] for row in rows if row.operation not in both)):
        assert sum(row.bound_s for row in some) <= sum(row.seconds_s for row in some)


def test_the_same_minutes_stand_in_summary_sheet_and_page():
    proof = prove(written(small_job()))
    manifest, report = proof.manifest, proof.report
    cells = minutes_cells(manifest, report)
    *_, (name, _, took, least) = cells
    assert (name, took) == ("together", f"{sum(file.seconds_s for file in report.files) / 60:.1f}")
    line = f"together: {took} min, {least} at the least"
    assert f"  {line}\n" in summary_text(manifest, report)
    (section,) = [one for one in shop_sheet(manifest, report, proof.read.motions).after if "minutes" in one.title]
    assert section.table.rows == cells
    on_the_page = {said: words for said, *words in _summary(manifest, report)}
    assert on_the_page["Minutes: together"] == [f"{took} min, {least} at the least"] * 2


def test_the_plan_told_before_any_path_is_the_one_of_the_files():
    text = small_job()
    told = bound_with_s(laid_of(text), laid_of(text).job)
    assert told == pytest.approx(sum(row.seconds_s for row in prove(written(text)).manifest.bound))
