"""Levels and feeds of finish passes: whatever the wall, bit and feeds, there is a way that reaches its foot."""

from hypothesis import example, given
from hypothesis import strategies as st

from platelayer.offset.finish_ways import finish_way
from platelayer.values.thin_cuts import ChipBand
from platelayer.values.tooling import Bit, BitKind, CutData


@given(
    depth=st.floats(0.5, 17.0),
    stepdown=st.floats(0.5, 5.0),
    feed=st.floats(300.0, 4000.0),
    out=st.sampled_from([0.0, 17.0, 19.0, 25.0]),
)
@example(depth=6.634747755282809, stepdown=2.8, feed=2200.0, out=0.0)  # listed levels less deep than a stepdown
def test_a_finish_reaches_the_foot_of_its_wall_at_a_feed_that_the_machine_has(depth, stepdown, feed, out):
    bit = Bit(
        id="eighth",
        kind=BitKind.FLAT,
        nominal_mm=3.175,
        flutes=2,
        cutting_length_mm=17.0,
        shank_mm=3.175,
        overall_mm=45.0,
        stick_out_mm=out,
    )
    data = CutData(
        bit_id="eighth",
        spindle_rpm=13000,
        dial_label="",
        feed_mm_min=feed,
        plunge_mm_min=300,
        stepdown_mm=stepdown,
        stepover_ratio=0.4,
        thin=ChipBand(least_mm=0.076, most_mm=0.127),
        feed_most_mm_min=4000,
    )
    way = finish_way(depth, bit=bit, data=data, side_mm=0.2)
    assert way.levels[-1] == -depth
    assert list(way.levels) == sorted(set(way.levels), reverse=True)
    assert way.thin.feed_mm_min <= data.feed_most_mm_min
