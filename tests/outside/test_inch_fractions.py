"""Inch fractions against published millimetre equivalents.

SOURCE: the international inch of 25.4 mm exactly (1959 agreement; NIST SP 811, B.8), and the customary decimal table
that follows from it: 1/64 in = 0.396875, 1/8 = 3.175, 1/4 = 6.35, 3/8 = 9.525, 1/2 = 12.7 mm.
"""

from decimal import Decimal

import pytest

from platelayer.parsing import parse_length
from platelayer.units import inches, show_fraction


@pytest.mark.parametrize(
    ("text", "length_mm"),
    # source: the table named above
    [("1/64 in", 0.396875), ("1/8 in", 3.175), ("1/4 in", 6.35), ("3/8 in", 9.525), ("1/2 in", 12.7), ("1 in", 25.4)],
)
def test_the_published_table(text, length_mm):
    assert parse_length(text) == length_mm


def test_every_sixty_fourth_up_to_a_yard_against_decimal_arithmetic():
    for count in range(1, 64 * 36 + 1):
        exact = float(Decimal(count) / 64 * Decimal("25.4"))  # worked by the decimal module, not by fractions
        whole, rest = divmod(count, 64)
        assert parse_length(f"{whole} {rest}/64 in") == exact
        assert parse_length(f'{whole}-{rest}/64"') == exact
        assert inches(count / 64) == exact
        assert parse_length(show_fraction(exact)) == exact


def test_feet_and_inches():
    # worked by hand: 2 ft 11 3/4 in is 35.75 in, times 25.4 is 908.05 mm
    assert parse_length("2' 11 3/4\"") == 908.05
