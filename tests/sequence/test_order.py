"""The order of cuts: nothing before its time, and rapids as short as a long search finds."""

import itertools
import math

import pytest
from hypothesis import given, settings

import strategies_nesting as some
from platelayer.errors import JobError
from platelayer.sequence.order import Visit, order_cuts
from referees.order import keeps_precedence, rapids_mm


@settings(max_examples=60)
@given(some.visits())
def test_every_cut_is_made_once_and_in_its_time(visits):
    assert keeps_precedence(visits, order_cuts(visits, start=(0.0, 0.0), looks=5))


@settings(max_examples=40)
@given(some.visits(most=6))
def test_few_cuts_are_ordered_as_well_as_can_be(visits):
    """Against every order there is."""
    best = min(
        (
            rapids_mm(visits, order)
            for order in itertools.permutations(range(len(visits)))
            if keeps_precedence(visits, order)
        ),
        default=0.0,
    )
    found = rapids_mm(visits, order_cuts(visits))
    assert found >= best - 1e-9
    assert found <= best * 1.05 + 1e-9


@given(some.visits(most=15))
def test_more_search_is_never_worse_than_the_plain_repair(visits):
    assert rapids_mm(visits, order_cuts(visits)) <= rapids_mm(visits, order_cuts(visits, looks=0)) + 1e-6


def test_rapids_are_the_sum_of_exit_to_entry():
    visits = (Visit(entry=(3.0, 4.0), exit=(3.0, 0.0)), Visit(entry=(6.0, 4.0), exit=(0.0, 0.0)))
    # worked by hand: 5 to the first, 5 from its exit to the second, then 10 to the end
    assert rapids_mm(visits, (0, 1), end=(6.0, 8.0)) == 20.0
    assert rapids_mm(visits, (0, 1)) == 10.0
    assert rapids_mm((), ()) == 0.0


def test_a_row_is_cut_from_near_to_far_and_the_end_counts():
    row = [Visit(entry=(float(x), 0.0), exit=(float(x), 0.0)) for x in (40, 10, 30, 20)]
    assert order_cuts(row) == (1, 3, 2, 0)
    assert order_cuts(row, start=(50.0, 0.0), end=(0.0, 0.0)) == (0, 2, 3, 1)


def test_outlines_wait_for_everything_else():
    """Grooves and sockets of all pieces first, then outlines, though each outline is nearest to its own groove."""
    visits = []
    for x in (0.0, 100.0, 200.0):
        visits += [Visit(entry=(x, 1.0), exit=(x, 1.0)), Visit(entry=(x, 0.0), exit=(x, 0.0), stage=1)]
    order = order_cuts(visits)
    assert [visits[index].stage for index in order] == [0, 0, 0, 1, 1, 1]
    assert [visits[index].entry[0] for index in order] == [0, 100, 200, 200, 100, 0]


def test_an_inner_cut_comes_before_its_outer_one():
    near, far = (1.0, 0.0), (500.0, 0.0)
    visits = (Visit(entry=near, exit=near, after=(1,)), Visit(entry=far, exit=far))
    assert order_cuts(visits) == (1, 0)


def test_the_same_again_is_the_same():
    visits = [Visit(entry=(i * 37 % 101, i * 53 % 97), exit=(i * 17 % 89, i * 29 % 83)) for i in range(120)]
    assert order_cuts(visits) == order_cuts(list(visits))


def test_nothing_to_order():
    assert order_cuts(()) == ()
    assert order_cuts((Visit(entry=(1.0, 1.0), exit=(2.0, 2.0)),)) == (0,)


@pytest.mark.parametrize(
    ("after", "message"),
    [
        ((1,), "order of cuts: cuts wait for each other in a ring. This is our fault; send us the job file."),
        ((7,), "cut 0: waits for cut 7, which does not come before it. This is our fault; send us the job file."),
    ],
    ids=["ring", "no such cut"],
)
def test_waits_that_cannot_be_met_are_refused(after, message):
    spot = (1.0, 1.0)
    visits = (Visit(entry=spot, exit=spot, after=after), Visit(entry=spot, exit=spot, after=(0,)))
    with pytest.raises(JobError) as caught:
        order_cuts(visits)
    assert str(caught.value) == message


def test_a_circle_of_closed_cuts_is_walked_round():
    """Thirty stops on a circle: the best way round is the polygon less its longest side."""
    places = [(100 * math.cos(i * math.tau / 30), 100 * math.sin(i * math.tau / 30)) for i in range(30)]
    shuffled = [places[i * 7 % 30] for i in range(30)]
    visits = [Visit(entry=place, exit=place) for place in shuffled]
    walked = rapids_mm(visits, order_cuts(visits, start=places[0]), start=places[0])
    assert math.isclose(walked, 29 * 200 * math.sin(math.pi / 30), rel_tol=1e-9)
