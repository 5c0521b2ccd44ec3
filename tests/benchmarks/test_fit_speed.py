"""Time of one seat and of the free play: run with --benchmark-only."""

from fit.hand_made import USUAL, WIDTH_MM, peg_solid, socket_solid
from platelayer.fit.free_play import play_region, play_slice
from platelayer.fit.in_line import in_line
from platelayer.fit.seat import seat
from platelayer.fit.shapes import as_cut
from platelayer.values.pieces import CornerRadii

SHAPE = as_cut(
    USUAL,
    width_mm=WIDTH_MM,
    corners=CornerRadii(relief_radius_mm=1.5875, ease_radius_mm=1.6875),
    bit_radius_mm=1.5875,
)


def test_seat_takes_about_a_millisecond(benchmark):
    peg, socket = peg_solid(root_radius=1.5875, chord=5e-4), socket_solid(chord=5e-4)
    benchmark(seat, peg, socket)


def test_one_slice_takes_less_than_five_milliseconds(benchmark):
    benchmark(play_slice, SHAPE, angle_rad=0.004)


def test_whole_region_takes_less_than_a_tenth_of_a_second(benchmark):
    benchmark(play_region, SHAPE)


def test_play_in_line_takes_far_less_than_a_millisecond(benchmark):
    benchmark(in_line, SHAPE)
