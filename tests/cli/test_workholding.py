"""Tape, screws and the holder by the whole road: what holds is let pass, what does not is caught."""

import json
import re

import pytest

from cli.jobs import made, make, small_job
from proved import data_of, errors, refusals, spoilt, text_of, with_manifest, written


def held(words, *, bit="flat-3.175-long"):
    return small_job(bit=bit).replace("height = 5", "height = 7") + f"\n[holding]\n{words}\n"


@pytest.mark.parametrize("way", ["tape", "vacuum"])
def test_pieces_are_cut_free_at_the_very_last_pass_and_that_is_said(tmp_path, way):
    done = made(tmp_path, held(f'kind = "{way}"', bit="flat-3.175-down"))
    assert f"on board A 2 pieces are cut free at the very last pass and held by {way} alone." in done.stdout
    pieces = json.loads((tmp_path / "out" / "manifest.json").read_text())["pieces"]
    assert [piece["holding"] for piece in pieces] == [{"tabs": [], "skin": 0.0, "by": way}] * 2


def test_without_tape_under_it_the_same_cut_is_refused():
    taped = written(held('kind = "tape"', bit="flat-3.175-down"))

    def bare(data):
        for piece in data["pieces"]:
            piece["holding"]["by"] = ""

    assert any("comes loose while the bit is down" in one.text for one in refusals(with_manifest(taped, bare)))


def test_a_lift_after_a_piece_is_free_is_refused_even_on_tape():
    """The last pass of all, which frees the last piece, run once more."""
    taped = written(held('kind = "tape"', bit="flat-3.175-down"))
    (name,) = (name for name in taped if name.endswith(".nc"))
    lines = text_of(taped, name).splitlines()
    over = [n for n, line in enumerate(lines) if line.startswith("G0 X") and line != "G0 X0 Y0"]
    end = next(n for n in range(over[-1], len(lines)) if lines[n].startswith("G0 Z15"))
    again = [*lines[:end], "G0 Z4", *lines[over[-1] : end], *lines[end:]]
    found = refusals(spoilt(taped, name, "\n".join(again) + "\n"))
    assert any("comes loose while the bit is down" in one.text for one in found)


def test_a_short_piece_keeps_its_four_tabs_on_tape():
    text = held('kind = "tape"', bit="flat-3.175-down") + '[[piece]]\nname = "short"\nlength = "2 3/8"\n'
    assert errors(written(text)) == {}
    assert {piece["id"]: len(piece["holding"]["tabs"]) for piece in data_of(written(text))["pieces"]} == {
        "long-01": 0, "curve-01": 0, "short-01": 4,
    }  # fmt: skip


def test_screws_are_placed_and_the_dry_run_keeps_the_bit_off_them():
    screwed = written(held('stock = "screws"\nscrew_head = "3/8 in"'))
    titles = [area["title"] for area in data_of(screwed)["boards"][0]["no_go"]]
    assert titles == [f"screw {n}" for n in range(1, 9)]
    assert errors(screwed) == {}

    def screw_moved(data):
        x, y, _ = data["pieces"][0]["pose"]
        data["boards"][0]["no_go"][0]["outline"] = [{"arc": [x + 5, y, x + 5, y, x, y, "ccw"]}]

    found = refusals(with_manifest(screwed, screw_moved))
    assert any("the bit goes through screw 1" in one.text for one in found)


def test_a_holder_that_comes_down_on_the_wood_is_refused():
    text = small_job() + '\n[[bit]]\nid = "flat-3.175-long"\nstick_out = "13 mm"\n'
    said = (
        "bit flat-3.175-long goes 0.512 in (13.000 mm) deep, and only 0.512 in (13.000 mm) of it stands out of the "
        "holder: the holder comes down on the wood; 0.020 in (0.500 mm) stays between."
    )
    assert any(said in one.text for one in refusals(written(text)))
    assert errors(written(text.replace("13 mm", "16 mm"))) == {}


def test_pieces_keep_the_holder_off_a_clamp_and_one_that_is_moved_too_near_is_caught(tmp_path):
    """The clamp stands beside the last piece, out of the bit's way, higher than the holder comes down.

    Such jobs were laid as if the holder were no wider than the bit, and then refused.
    """
    clamp = '\n[[board.no_go]]\ntitle = "clamp"\nx = 0\ny = "3 in"\nwidth = "1 in"\nheight = "1 in"\nrise = "{}"\n'
    text = small_job().replace("height = 5\n", "height = 5\n" + clamp) + '\n[[bit]]\nid = "flat-3.175-long"\n'
    low = written((text + 'stick_out = "16 mm"\n').format("2 mm"))
    assert errors(low) == {}
    near = tmp_path / "near.json"
    near.write_bytes(low["placement.json"])
    assert errors(written((text + 'stick_out = "16 mm"\n').format("8 mm"))) == {}
    moved = make(tmp_path, (text + 'stick_out = "16 mm"\n').format("8 mm"), "--placement", near)
    assert moved.exit_code == 1
    assert "the holder goes through clamp" in moved.stdout


def test_a_half_circle_on_tape_is_known_as_a_piece():
    """Its centre of area lies outside it, so that it was taken for a scrap."""
    text = small_job().replace("height = 5", "height = 9").replace("radius = 8\nangle = 45", "radius = 3\nangle = 180")
    assert errors(written(text + '\n[holding]\nkind = "tape"\n')) == {}


@pytest.mark.parametrize("way", ["tape", "vacuum"])
def test_pieces_at_a_slant_are_held_from_below_as_well(tmp_path, way):
    """A neighbour's cuts in the box about a free piece were taken for cuts beside it."""
    text = small_job(count=2).replace("height = 5", "height = 12\ngrain = 30")
    done = make(tmp_path, text + f'\n[holding]\nkind = "{way}"\n')
    assert done.exit_code == 0, done.output
    assert "cut free at the very last pass" in done.stdout


def test_the_summary_says_what_holds_the_pieces(tmp_path):
    """It named what holds the board alone: whoever had no sheet did not know of a skin to be cut off."""
    made(tmp_path, small_job())
    summary = (tmp_path / "out" / "summary.txt").read_text(encoding="utf-8")
    assert re.search(r"\nHolding\n  Tabs hold 2 pieces at \d+ places, 1/4 in \(6\.350 mm\) along the edge", summary)
