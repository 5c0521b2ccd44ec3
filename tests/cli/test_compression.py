"""A compression bit that leaves the upper edge to its up-cut tip is warned of, measured on the written file."""

import json
import re

import pytest

from cli.jobs import make, small_job

MINE = """
[[bit]]
id = "mine"
kind = "flat"
diameter = "1/8 in"
direction = "compression"
cutting_length = "17 mm"
flutes = 2
"""


def warnings(done):
    return [finding for finding in json.loads(done.stdout)["findings"] if finding["code"] == "cutting-upcut-tip"]


def first_depth(folder, kind):
    """How deep the bit stands where it first runs level in a cut of this kind, mm; z is zero on the wood."""
    (file,) = (folder / "out").glob("*.nc")
    lines = file.read_text("ascii").splitlines()
    begin = next(at for at, line in enumerate(lines) if re.fullmatch(rf"\(\S+ {kind}\)", line))
    level = None
    for at, line in enumerate(lines):
        z = re.search(r"Z(-?[0-9.]+)", line)
        level = float(z[1]) if z else level
        if at > begin and line.startswith("G1 X") and z is None and level is not None and level < 0:
            return -level
    raise AssertionError("nothing is cut")


@pytest.mark.parametrize("upcut_mm", [1.5, 3.0])
def test_a_groove_finished_by_the_up_cut_tip_alone_is_warned_of(tmp_path, upcut_mm):
    tip = MINE + f'upcut_length = "{upcut_mm} mm"\n'
    done = make(tmp_path, small_job(bit="mine", bits=tip), "--json")
    assert done.exit_code == 0
    depth = first_depth(tmp_path, "groove")
    # worked by hand: a groove of 9/64 in in steps of 2.2 mm at most is cut in two levels of 9/128 in
    assert depth == pytest.approx(25.4 * 9 / 128, abs=0.001)
    found = warnings(done)
    assert [one["measured"] for one in found] == ([] if depth > upcut_mm else [pytest.approx(depth, abs=0.001)])
    assert [one["text"] for one in found[:1]] == [
        "mine finishes the grooves ~1/16 in (1.786 mm) deep at first, with nothing but its up-cut tip of ~1/8 in "
        "(3.000 mm): it lifts the fibres of the upper edge, as an up-cut bit does."
    ][: len(found)]


def test_a_tip_of_unknown_length_is_asked_for(tmp_path):
    (found, *_) = warnings(make(tmp_path, small_job(bit="mine", bits=MINE), "--json"))
    assert (found["text"], found["advice"]) == (
        "the length of the up-cut tip of mine is not known; the first pass on the grooves goes ~1/16 in (1.786 mm)"
        " deep.",
        "Measure it and write upcut_length in [[bit]]; that pass has to go deeper, or the upper edge tears.",
    )


def test_a_quarter_inch_bit_that_finishes_in_one_pass_is_not_warned_of(tmp_path):
    done = make(tmp_path, small_job(bits='outlines = "flat-6.35-compression"'), "--json")
    assert (done.exit_code, warnings(done)) == (0, [])


@pytest.mark.parametrize("upcut_mm", [2.0, 14.0])
def test_an_outline_whose_first_finish_pass_stays_in_the_up_cut_tip_is_warned_of(tmp_path, upcut_mm):
    """Outlines are cut for a whole board, away from the piece's other cuts, and once nobody asked them."""
    tip = MINE + f'upcut_length = "{upcut_mm} mm"\n'
    done = make(tmp_path, small_job(bit="mine", bits=tip), "--json")
    assert done.exit_code == 0
    depth = first_depth(tmp_path, "outline finish")
    assert 2.0 < depth < 14.0
    said = [one for one in warnings(done) if one["text"].startswith("mine finishes the outline ")]
    assert [one["measured"] for one in said] == ([] if depth > upcut_mm else [pytest.approx(depth, abs=0.001)])
