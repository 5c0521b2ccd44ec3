"""Movement of wood against worked examples.

SOURCE: USDA Forest Products Laboratory, Wood Handbook FPL-GTR-190, table 13-5 and chapter 13 (formula); worked examples
named beside each number.
"""

import pytest

from fit.hand_made import USUAL, WIDTH_MM
from platelayer.fit.in_line import in_line
from platelayer.fit.moisture import (
    MOVEMENTS,
    SUMMER,
    WINTER,
    Movement,
    change_mm,
    equilibrium_moisture,
    growth_ratio,
    seasons,
    seat_moved,
)
from platelayer.fit.shapes import as_designed
from platelayer.values.pieces import CornerRadii

SHAPE = as_designed(USUAL, width_mm=WIDTH_MM, corners=CornerRadii())


@pytest.mark.parametrize(
    ("width_in", "coefficient", "points", "printed_in"),
    [
        # source: a woodworking magazine's chart page, 2021-09-01: 8 in of red alder
        (8.0, 0.0026, 6, 0.1248),
        # worked by hand from table 13-5: 11.25 in of flat-sawn red oak
        (11.25, 0.00369, 4, 0.16605),
        # source: a calculator's README: 24 in of flat-sawn red oak
        (24.0, 0.00369, 4, 0.354),
        # source: Missouri S&T course problem 4.34
        (13.25, 0.002, 9, 0.2385),
    ],
)
def test_worked_examples(width_in, coefficient, points, printed_in):
    found = change_mm(width_in, coefficient_ratio=coefficient, from_ratio=0.06, to_ratio=0.06 + points / 100)
    assert found == pytest.approx(printed_in, abs=3e-4)


def test_forty_millimetres_of_hard_maple():
    # worked by hand from table 13-5: 40 mm, 6 to 10 %, tangential and radial
    maple = MOVEMENTS["hard-maple"]
    asked = {"from_ratio": 0.06, "to_ratio": 0.10}
    assert change_mm(40, coefficient_ratio=maple.tangential_ratio, **asked) == pytest.approx(0.5648, abs=1e-9)
    assert change_mm(40, coefficient_ratio=maple.radial_ratio, **asked) == pytest.approx(0.2640, abs=1e-9)


def test_every_wood_moves_more_along_its_rings():
    assert all(0 < one.radial_ratio < one.tangential_ratio < 0.005 for one in MOVEMENTS.values())


def test_peg_and_socket_of_one_wood_keep_their_pull_out_play():
    """Stretching the whole joint across leaves the play along the track and stretches the play across."""
    before = in_line(SHAPE)
    for growth in (-0.02, 0.015):
        after = seat_moved(SHAPE, peg_growth_ratio=growth, socket_growth_ratio=growth)
        assert after.pull_out_mm == pytest.approx(before.pull_out_mm, abs=0.002)
        assert after.side_mm == pytest.approx(before.side_mm * (1 + growth), abs=0.002)


def test_a_wooden_peg_swells_in_a_socket_that_does_not():
    still = Movement(0.0, 0.0)
    winter, summer = seasons(
        SHAPE, peg=MOVEMENTS["hard-maple"], socket=still, is_flat_sawn=True, cut_moisture_ratio=0.08
    )
    assert (winter.climate, summer.climate) == (WINTER, SUMMER)
    assert summer.seat.side_mm < in_line(SHAPE).side_mm < winter.seat.side_mm
    # worked by hand: the head, 11.1 mm, grows by 0.00353 (12.0 - 8) % = 1.4 %, 0.08 mm a side, steeper at the lip
    growth = growth_ratio(MOVEMENTS["hard-maple"], is_flat_sawn=True, cut_moisture_ratio=0.08, climate=SUMMER)
    assert growth == pytest.approx(0.00353 * (equilibrium_moisture(SUMMER) - 8), rel=1e-9)
    assert in_line(SHAPE).side_mm - summer.seat.side_mm == pytest.approx(growth * 3.68, abs=0.01)


def test_quarter_sawn_moves_less():
    wood = MOVEMENTS["beech"]
    flat, quarter = (
        growth_ratio(wood, is_flat_sawn=is_flat, cut_moisture_ratio=0.08, climate=WINTER) for is_flat in (True, False)
    )
    assert flat < quarter < 0
