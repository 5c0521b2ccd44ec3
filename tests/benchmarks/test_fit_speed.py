"""Time of one seat and of the free play: run with --benchmark-only."""

from fit.hand_made import peg_solid, socket_solid
from platelayer.fit.seat import seat


def test_seat_takes_about_a_millisecond(benchmark):
    peg, socket = peg_solid(root_radius=1.5875, chord=5e-4), socket_solid(chord=5e-4)
    benchmark(seat, peg, socket)
    assert benchmark.stats.stats.median < 0.004
