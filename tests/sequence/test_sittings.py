"""Sittings: as few as keep to the most, as even as that many can be; all cuts in their old order."""

from itertools import combinations, groupby, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cli.jobs import small_job
from platelayer.job import load_job, load_profiles
from platelayer.road.planning import plan_job
from platelayer.sequence.sittings import groups_of, in_sittings


def longest_at_best(units, count):
    """The shortest that the longest of so many consecutive groups can be, every partition tried."""
    cuts = combinations(range(1, len(units)), count - 1)
    ways = [[0, *cut, len(units)] for cut in cuts]
    return min(max(sum(units[a:b]) for a, b in pairwise(way)) for way in ways)


@given(st.lists(st.integers(1, 60).map(float), min_size=1, max_size=9), st.integers(0, 120))
def test_groups_are_few_and_even(units, spare):
    most = max(units) + spare
    groups = groups_of(units, most)
    assert [number for group in groups for number in group] == list(range(len(units)))
    sums = [sum(units[number] for number in group) for group in groups]
    assert max(sums) <= most
    assert len(groups) == 1 or longest_at_best(units, len(groups) - 1) > most
    assert max(sums) == pytest.approx(longest_at_best(units, len(groups)), abs=1e-6)


def test_no_group_holds_a_unit_that_takes_longer():
    assert groups_of([], 60.0) == ()
    with pytest.raises(ValueError, match="longer"):
        groups_of([10.0, 61.0], 60.0)


def test_every_cut_keeps_its_turn_and_no_run_of_a_piece_is_parted():
    plan = plan_job(load_job(small_job(), file="job.toml", profiles=load_profiles(())))[0]
    (whole,) = plan.programs
    runs = [len(tuple(run)) for _, run in groupby(whole.sections[0].cuts, key=lambda cut: cut.piece_id)]
    half = len(runs) // 2
    first, second = in_sittings(plan, {whole.name: (range(half), range(half, len(runs)))}).programs
    assert (*first.sections[0].cuts, *second.sections[0].cuts) == whole.sections[0].cuts
    assert len(first.sections[0].cuts) == sum(runs[:half])
    assert [(one.name, one.sitting, one.sittings) for one in (first, second)] == [
        ("A-1-flat-3.175-long.nc", 1, 2),
        ("A-2-flat-3.175-long.nc", 2, 2),
    ]
    assert in_sittings(plan, {}) == plan
