"""The shop's records and a card's readings as text."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fit.simulated_shop import Shop
from fit.test_correction import CARD, FIRST, RECORD
from platelayer.errors import JobError
from platelayer.fit.card import Feature
from platelayer.fit.correction import correct
from platelayer.job.measurements import (
    NEW_SHOP_FILE,
    read_readings,
    read_records,
    readings_template,
    record_of,
    with_record,
)

lengths = st.floats(-0.4, 0.4).map(lambda value: round(value, 4))
words = st.text(st.characters(min_codepoint=32, max_codepoint=126), min_size=1, max_size=20)


@given(words, lengths, lengths, st.floats(0.5, 12).map(lambda value: round(value, 4)))
def test_records_read_back_as_written(note, reach, slack, diameter):
    record = replace(RECORD, note=note, head_offset_mm=reach, slack_x_mm=slack, bit_diameter_mm=diameter, best_pips=2)
    assert read_records(with_record("", record)) == (record,)


def test_a_record_is_added_and_every_byte_stays():
    first = "# my shop, since 1998\n\n" + with_record("", RECORD) + "# that was a wet autumn"
    both = with_record(first, replace(RECORD, date="2026-12-01"))
    assert both.startswith(first + "\n")
    assert [record.date for record in read_records(both)] == ["2026-11-20", "2026-12-01"]
    assert with_record("", RECORD).startswith(NEW_SHOP_FILE)


def test_every_fault_of_a_shop_file_at_once():
    text = '[[record]]\ndate = "2026-11-20"\nbit = "flat"\nmaterial = "m"\nmachine = "x"\n'
    text += 'bit_diamter = 3\nlip_bias = "wide"\n'
    with pytest.raises(JobError) as caught:
        read_records(text, file="shop.toml")
    lines = str(caught.value).splitlines()
    assert lines[0] == "shop.toml:1 [[record]] 1 bit_diameter: missing. Cut a fit card, or take the record out."
    assert lines[1] == "shop.toml:1 [[record]] 1 reach_bias: missing. Cut a fit card, or take the record out."
    assert lines[2] == "shop.toml:6 [[record]] 1 bit_diamter: unknown key. Did you mean bit_diameter?"
    assert lines[3].startswith("shop.toml:7 [[record]] 1 lip_bias = wide: not a length.")


def test_template_is_a_readings_file_and_filled_in_it_gives_the_correction():
    empty = read_readings(readings_template(CARD))
    assert empty.sizes_mm == {}
    assert [peg.pips for peg in empty.pegs] == [1, 2, 3, 4]
    shop = Shop(5)
    read = shop.read_card(CARD, nominal_mm=3.175, assumed_mm=3.175)
    text = "best_peg = 2\n[sizes]\n"
    text += "".join(f"{feature.value} = {list(values)}\n" for feature, values in read.sizes_mm.items())
    for peg in read.pegs:
        text += (
            f"[[peg]]\npips = {peg.pips}\nspan_shut = {list(peg.span_shut_mm)}\nspan_open = {list(peg.span_open_mm)}\n"
        )
        text += f"over_left = {list(peg.over_left_mm)}\nover_right = {list(peg.over_right_mm)}\n"
    again = read_readings(text)
    assert dict(again.sizes_mm) == dict(read.sizes_mm)
    assert again.pegs == read.pegs
    found = correct(again, card=CARD, cutter=FIRST)
    record = record_of(found, date="2026-11-25", bit_id="flat", material_id="hard-maple", machine_id="mid")
    assert record.best_pips == 2
    (back,) = read_records(with_record("", record))
    assert back.bit_diameter_mm == pytest.approx(found.bit_diameter_mm.value_mm, abs=1e-4)


def test_faults_of_a_readings_file():
    text = '[sizes]\nbos_x = [50.0]\nslot_x = ["ten"]\n[[peg]]\nspan_shut = [50]\n'
    with pytest.raises(JobError) as caught:
        read_readings(text, file="readings.toml")
    assert str(caught.value).splitlines() == [
        "readings.toml:2 [sizes] bos_x: no such size on a fit card. Did you mean boss_x?",
        "readings.toml:3 [sizes] slot_x = ten: not a length."
        ' Write a length such as "1 9/16 in", "39.7 mm" or "0.25 in".',
        "readings.toml:4 [[peg]] 1 pips = 0: a peg of the card has at least one pip",
    ]
    inches = read_readings('[sizes]\nboss_x = ["2 in"]\n')
    assert inches.sizes_mm == {Feature.BOSS_X: (50.8,)}
    with pytest.raises(JobError, match="not TOML"):
        read_readings("[sizes", file="readings.toml")
