"""Lengths, feeds, accelerations and angles, as written and as shown."""

import math
from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from platelayer.errors import JobError
from platelayer.parsing import parse_acceleration, parse_angle, parse_duration, parse_feed, parse_length
from platelayer.units import (
    inches,
    show_angle,
    show_change,
    show_chip,
    show_fraction,
    show_length,
    show_mm,
    show_place,
    show_range,
    show_short,
    show_small,
    show_unsure,
    to_inches,
    worded,
)
from strategies_job import spelt_inches

WRITE = 'Write a length such as "1 9/16 in", "39.7 mm" or "0.25 in".'


@pytest.mark.parametrize(
    ("text", "length_mm"),
    [
        ("1 9/16 in", 39.6875),
        ('1-9/16"', 39.6875),
        ("1½ in", 38.1),
        ("½″", 12.7),
        ("1⁄2 in", 12.7),
        ("39.7 mm", 39.7),
        ("39.7mm.", 39.7),
        (".25in", 6.35),
        ("3.5 cm", 35.0),
        ("0.3 m", 300.0),
        ("2 ft", 609.6),
        ("2'", 609.6),
        ("2' 3 1/2\"", 698.5),
        ("2 ft 3-1/2 in", 698.5),
        ("- 1/2 in", -12.7),
        ("+5 millimetres", 5.0),
    ],
)
def test_a_length_is_read_as_a_woodworker_means_it(text, length_mm):
    assert parse_length(text) == length_mm


@pytest.mark.parametrize(
    ("number", "unit", "length_mm"), [(2, "in", 50.8), (0.5, "in", 12.7), (12, "mm", 12.0), ("3/8", "in", 9.525)]
)
def test_a_bare_number_is_in_the_unit_stated(number, unit, length_mm):
    assert parse_length(number, unit=unit) == length_mm


def test_a_written_unit_goes_before_the_stated_one():
    assert parse_length("12 mm", unit="in") == 12.0


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("wide", f"[track] width = wide: not a length. {WRITE}"),
        ("", f'[track] width = "": not a length. {WRITE}'),
        ("12,7 mm", f"[track] width = 12,7 mm: not a length. {WRITE}"),
        ("1e3 mm", f"[track] width = 1e3 mm: not a length. {WRITE}"),
        ("2 ft 3 mm", f"[track] width = 2 ft 3 mm: not a length. {WRITE}"),
        ("2' 3", f"[track] width = 2' 3: not a length. {WRITE}"),
        ("1/0 in", f"[track] width = 1/0 in: a fraction over zero is no length. {WRITE}"),
        ("1 17/16 in", f"[track] width = 1 17/16 in: 17/16 beside a whole number is not less than one. {WRITE}"),
        ("9" * 50 + " mm", f"[track] width = {'9' * 40}...: not a length. {WRITE}"),
        ("5 15/16", '[track] width = 5 15/16: has no unit. Write mm or in, as in "5 15/16 in".'),
        (3, '[track] width = 3: has no unit. Write mm or in, as in "5 15/16 in".'),
        (True, f"[track] width = true: not a length. {WRITE}"),
        (math.nan, f"[track] width = a number past all measure: not a length. {WRITE}"),
        (10**400, f"[track] width = a number past all measure: not a length. {WRITE}"),
        ([1], f"[track] width = [1]: not a length. {WRITE}"),
    ],
)
def test_what_is_no_length_is_refused_in_a_sentence(text, sentence):
    with pytest.raises(JobError) as caught:
        parse_length(text, where="[track] width")
    assert str(caught.value) == sentence


@given(spelt_inches())
def test_equal_lengths_in_different_spellings_read_equal(spelt):
    length, text = spelt
    assert parse_length(text) == float(length * 254 / 10)


@given(st.text(alphabet="0123456789 /-.inmft'\"½⁄+,e", max_size=12))
def test_no_text_makes_the_reader_fail_in_any_other_way(text):
    try:
        assert math.isfinite(parse_length(text, unit="mm"))
    except JobError as error:
        assert error.faults


@given(st.integers(1, 64 * 36))
def test_a_fraction_shown_reads_back_as_itself(count):
    length = inches(count / 64)
    shown = show_fraction(length)
    assert not shown.startswith("~")
    assert parse_length(shown) == length


@given(st.floats(0.01, 5000))
def test_a_length_shown_reads_back_to_the_shown_precision(length):
    assert abs(parse_length(show_mm(length)) - length) <= 0.0005 + 1e-9
    assert abs(parse_length(show_fraction(length).lstrip("~")) - length) <= 25.4 / 128 + 1e-9


@pytest.mark.parametrize(
    ("mark", "first", "words"),
    [
        (show_length(39.6875), "in", "1 9/16 in (39.688 mm)"),
        (show_length(12.7), "mm", "12.700 mm (1/2 in)"),
        (show_length(39.7), "in", "~1 9/16 in (39.700 mm)"),
        (show_length(-6.35), "in", "-1/4 in (-6.350 mm)"),
        (show_length(0.0), "in", "0 in (0.000 mm)"),
        (show_length(inches(1 / 64)), "in", "1/64 in (0.397 mm)"),
        (show_length(0.1), "in", "0.004 in (0.100 mm)"),
        (show_length(0.75), "mm", "0.750 mm (0.030 in)"),
        (show_length(0.8), "mm", "0.800 mm (~1/32 in)"),
        (show_length(math.inf), "mm", "inf mm (inf in)"),
        (show_length(inches(1 / 16)), "mm", "1.588 mm (1/16 in)"),
        (show_small(-inches(1 / 16)), "mm", "-1.588 mm (-0.063 in)"),
        (show_short(150.8125), "mm", "150.813 mm"),
        (show_short(200.0), "mm", "200 mm"),
        (show_short(150.8125), "in", "5 15/16 in"),
        (show_short(150.0), "in", "5.9055 in"),
        (show_small(0.275), "in", "0.011 in (0.275 mm)"),
        (show_small(-0.0004), "mm", "0.000 mm (0.000 in)"),
        (show_small(0.005), "mm", "0.005 mm (0.0002 in)"),
        (show_small(-1e-12), "in", "0.000 in (0.000 mm)"),
        (show_chip(0.1016), "in", "4.0 thousandths of an inch (0.102 mm)"),
        (show_change(0.275), "in", "+0.011 in (+0.275 mm)"),
        (show_change(-0.275), "mm", "-0.275 mm (-0.011 in)"),
        (show_unsure(3.109, 0.008), "in", "0.122 in (3.109 +/- 0.008 mm)"),
        (show_range([0.48, 0.212, 0.3]), "in", "0.008 to 0.019 in (0.212 to 0.480 mm)"),
        (show_range([0.2121, 0.2123]), "mm", "0.212 mm (0.008 in)"),
        (show_range([0.288, 0.289]), "in", "0.011 in (0.288 to 0.289 mm)"),
        (show_place((12.7, -0.01)), "mm", "x 12.7 y 0.0 mm"),
        (show_place((12.7, 203.2)), "in", "x 0.50 y 8.00 in (x 12.7 y 203.2 mm)"),
    ],
)
def test_a_length_is_worded_in_both_units_the_readers_own_first(mark, first, words):
    assert worded(f"before {mark}, after", first) == f"before {words}, after"


@given(st.floats(-5000, 5000), st.sampled_from((show_length, show_small)))
def test_no_length_is_worded_as_about_nothing_or_minus_nothing(length, show):
    words = worded(show(length), "in")
    assert "~0 in" not in words
    assert not words.startswith("-0.000 ")
    assert "(-0.000 mm)" not in words


@given(st.integers(1, 64 * 36))
def test_halves_go_away_from_zero_whatever_a_float_makes_of_them(count):
    on_paper = Decimal(count) * Decimal("25.4") / 64
    wanted = on_paper.quantize(Decimal("0.001"), ROUND_HALF_UP)
    length = inches(count / 64)
    assert [show_mm(length), show_mm(-length)] == [f"{wanted} mm", f"-{wanted} mm"]
    assert worded(show_short(length), "mm") == f"{wanted.normalize():f} mm"


@given(st.floats(0.01, 5000))
def test_lengths_a_rounding_error_apart_make_the_same_sentence(length):
    assert show_length(length * 3 / 3) == show_length(length)


@pytest.mark.parametrize(
    "text", ["", "\ue000", "\ue000length 1.2.3 0\ue001", "\ue000length 1 \ue001", "\ue000x 1 2\ue001"]
)
def test_a_text_without_marks_stays_as_it_is(text):
    assert worded(text, "mm") == text


def test_inches_there_and_back():
    assert to_inches(inches(2.5)) == 2.5
    assert inches(7 / 16) == parse_length("7/16 in")


@pytest.mark.parametrize(
    ("text", "unit", "feed"),
    [
        ("1200 mm/min", None, 1200.0),
        ("45 in/min", None, 1143.0),
        ("45 in per minute", None, 1143.0),
        (60, "in", 1524.0),
    ],
)
def test_a_feed_is_a_length_a_minute(text, unit, feed):
    assert parse_feed(text, unit=unit) == feed


@pytest.mark.parametrize(
    ("text", "unit", "accel"),
    [("500 mm/s2", None, 500.0), ("20 in/s^2", None, 508.0), ("0.5 m/s²", None, 500.0), (20, "in", 508.0)],
)
def test_an_acceleration_is_a_length_a_second_every_second(text, unit, accel):
    assert parse_acceleration(text, unit=unit) == accel


@pytest.mark.parametrize("text", [45, 45.0, "45", "45 deg", "45°", "45 degrees"])
def test_an_angle_is_written_in_degrees(text):
    assert parse_angle(text) == math.pi / 4
    assert show_angle(parse_angle(text)) == "45 deg"


@pytest.mark.parametrize(
    ("text", "found"), [("steep", "steep"), (True, "true"), (math.inf, "inf"), ("45 rad", "45 rad")]
)
def test_what_is_no_angle_is_refused_in_a_sentence(text, found):
    with pytest.raises(JobError) as caught:
        parse_angle(text, where="[[piece]] bend angle")
    assert (
        str(caught.value) == f'[[piece]] bend angle = {found}: not an angle. Write degrees, such as 45 or "22.5 deg".'
    )


@pytest.mark.parametrize(
    ("text", "seconds"),
    [("45 min", 2700), ("1 h", 3600), ("1 h 30 min", 5400), ("1.5h", 5400), ("90 s", 90), (" 2min 5s", 125)],
)
def test_a_time_is_written_with_its_unit(text, seconds):
    assert parse_duration(text) == pytest.approx(seconds)


@pytest.mark.parametrize("text", ["45", "", "min", "3/4 h", "-5 min", "45 minimal", 45, True, None])
def test_what_is_no_time_is_refused_in_a_sentence(text):
    with pytest.raises(JobError, match=r'sitting( = .+)?: not a time[.] Write it with its unit, such as "45 min"'):
        parse_duration(text, where="[cutting] sitting")
