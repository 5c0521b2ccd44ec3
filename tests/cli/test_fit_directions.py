"""Joints cut in more directions than one: cards that lie otherwise, ends drawn for how they lie, and laying them alike.

What the cards say is held against routers with hidden errors that run the very files.
"""

import json
import math
import re
from dataclasses import replace

import pytest

from cli.fit_jobs import HALLWAY, RECORD, tuned_job
from cli.jobs import make, run
from cli.read_card import write_down
from cli.simulated_router import cut_folder
from fit.simulated_shop import Shop
from platelayer.fit_road.readings import read_card
from platelayer.job.measurements import read_records, with_record
from platelayer.values.tuning import Lying

SCRAPS = {Lying.Y: "7 x 14 in", Lying.DIAGONAL: "14 x 14 in"}


@pytest.fixture(scope="module", params=SCRAPS)
def card(request, tmp_path_factory):
    out = tmp_path_factory.mktemp("card") / "card"
    lies = request.param
    done = run("fit", "card", HALLWAY, "--out", out, "--feel", "easy", "--board", SCRAPS[lies], "--along", lies)
    assert done.exit_code == 0, done.output
    way = "along the machine's y" if lies is Lying.Y else "at 45 degrees to the machine's x"
    assert f"alone, the sticks {way}: " in done.stdout
    return lies, out


def test_a_card_lies_as_it_was_asked_to(card):
    lies, out = card
    pieces = json.loads((out / "manifest.json").read_text(encoding="ascii"))["pieces"]
    assert {round(piece["pose"][2]) % 180 for piece in pieces} == {90 if lies is Lying.Y else 45}
    assert f'along = "{lies}"' in (out / "readings.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize(("seed", "is_pushed"), [(2, False), (2, True)])
def test_it_tells_of_bit_and_machine_what_a_card_along_x_does(seed, is_pushed, card, tmp_path):
    """Slack and scale belong to the machine's axes, however the sticks lay; askew the sizes tell of the bit alone."""
    lies, out = card
    shop = Shop(seed, is_pushed=is_pushed)
    readings = tmp_path / "readings.toml"
    readings.write_bytes((out / "readings.toml").read_bytes())
    _, sticks = cut_folder(shop, out, nominal_mm=3.175)
    write_down(shop.read_cut_card(read_card(readings).card, sticks, is_askew=lies is Lying.DIAGONAL), readings)
    done = run("fit", "read", readings, "--shop", tmp_path / "shop.toml")
    assert done.exit_code == 0, done.output
    (record,) = read_records((tmp_path / "shop.toml").read_text(encoding="utf-8"))
    assert record.lies is lies
    bit, slack_x, slack_y, _, scale_y, _ = shop.truth
    pushed = math.sqrt(2) * (slack_x + slack_y) / 2 if lies is Lying.DIAGONAL else (slack_x + slack_y) / 2
    assert record.bit_diameter_mm - read_card(readings).as_cut.path_diameter_mm == pytest.approx(
        bit - (pushed if is_pushed else 0), abs=0.025
    )
    if lies is Lying.DIAGONAL:
        assert (record.slack_x_mm, record.slack_y_mm, record.wider_y_mm) == (0, 0, 0)
        return
    assert record.scale_y_ratio == pytest.approx(scale_y, abs=0.0006)  # along the sticks, where sizes are long
    if is_pushed:
        assert record.wider_y_mm == pytest.approx(slack_x - slack_y, abs=0.03)
    else:
        assert record.slack_y_mm == pytest.approx(slack_y, abs=0.03)
        assert record.slack_x_mm == pytest.approx(slack_x, abs=0.06)  # across, where scale is hard to tell from it


@pytest.mark.parametrize("lies", SCRAPS)
def test_a_scrap_too_small_for_it_names_one_that_is_not(lies, tmp_path):
    said = run("fit", "card", HALLWAY, "--out", tmp_path / "card", "--board", "14 x 2.5 in", "--along", lies)
    assert said.exit_code == 1
    assert f'Name a larger scrap: --board "{SCRAPS[lies]}".' in said.stderr


def head_setbacks(folder, job):
    """By how far the head of every peg stands from its face, by the degrees of the end; and of holes likewise."""
    done = make(folder, job)
    assert done.exit_code == 0, done.output
    data = json.loads((folder / "out" / "manifest.json").read_text(encoding="ascii"))
    found = {}
    for piece in data["pieces"]:
        for end in piece["ends"]:
            x, y, degrees = end["pose"]
            out = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
            arcs = [one["arc"] for one in piece["outline"] if "arc" in one]
            far = [
                (math.hypot(cx - x0, cy - y0), (cx - x) * out[0] + (cy - y) * out[1])
                for x0, y0, _, _, cx, cy, _ in arcs
                if abs((cx - x) * out[1] - (cy - y) * out[0]) < 0.4
            ]
            near = [(radius, place) for radius, place in far if radius > 4 and abs(place) < 20]
            found[end["kind"], round(degrees) % 180] = round(abs(max(near)[1]), 6)
    return found


def shop_text(*records):
    text = ""
    for record in records:
        text = with_record(text, record)
    return text


def test_an_end_is_drawn_by_the_card_that_lay_as_it_does(tmp_path):
    """By a card along y heads come out 0.08 mm further: half of it is made up for at each end that lies along y."""
    along_y = replace(RECORD, lies=Lying.Y, head_offset_mm=RECORD.head_offset_mm + 0.08, date="2026-11-26")
    drawn = {}
    for grain in ("along", "across"):
        for name, records in {"x": (RECORD,), "x and y": (RECORD, along_y)}.items():
            folder = tmp_path / f"{grain} {name}"
            folder.mkdir()
            (folder / "shop.toml").write_text(shop_text(*records), encoding="utf-8")
            job = tuned_job('feel = "easy"\npart = "both"', shop='shop = "shop.toml"')
            job = job.replace("height = 5", f'height = 9\ngrain = "{grain}"')
            drawn[grain, name] = head_setbacks(folder, job)
    plain = drawn["along", "x"]
    assert drawn["along", "x and y"] == plain
    assert drawn["across", "x"] == {("peg", 90): plain["peg", 0], ("socket", 90): plain["socket", 0]}
    moved = drawn["across", "x and y"]
    assert plain["peg", 0] - moved["peg", 90] == pytest.approx(0.04, abs=0.003)
    assert moved["socket", 90] - plain["socket", 0] == pytest.approx(0.04, abs=0.003)


def test_a_card_of_which_no_peg_went_in_moves_nothing(tmp_path):
    """Nothing was read of joints then, and the biases of its record are a guess."""
    guess = replace(RECORD, lies=Lying.Y, head_offset_mm=0.3, bias_spread_mm=0.05)
    told = []
    for name, records in {"x": (RECORD,), "guess": (RECORD, guess)}.items():
        (tmp_path / name).mkdir()
        (tmp_path / name / "shop.toml").write_text(shop_text(*records), encoding="utf-8")
        job = tuned_job('feel = "easy"\npart = "both"', shop='shop = "shop.toml"', has_curve=True)
        told.append(head_setbacks(tmp_path / name, job.replace("height = 5", 'height = 9\ngrain = "across"')))
    assert told[0] == told[1]


LOOSE = replace(RECORD, slack_x_mm=0.08, slack_y_mm=0.05)
BOARD = "width = 9\nheight = 10\n"


def laid(folder, *, record, board=BOARD, count=4):
    """Degrees at which straights lie that may lie any way, nested; and what the summary says of directions."""
    folder.mkdir()
    job = tuned_job('feel = "easy"\npart = "both"').replace("width = 26\nheight = 5\n", board)
    job = job.replace('material = "hard-maple"', 'material = "plywood"\nplacing = "nest"')
    straight = f'[[piece]]\nname = "long"\nlength = "5 15/16"\ncount = {count}\n'
    job = job.split("[[piece]]")[0] + straight + '[fit]\nfeel = "easy"\npart = "both"\n'
    shop = folder / "shop.toml"
    shop.write_text(shop_text(replace(record, material_id="plywood")), encoding="utf-8")
    done = make(folder, job, "--shop", shop)
    assert done.exit_code == 0, done.output
    data = json.loads((folder / "out" / "manifest.json").read_text(encoding="ascii"))
    said = re.findall(r"(?:All ends are|Ends are) cut[^\n]*", done.stdout)
    return {round(piece["pose"][2]) % 180 for piece in data["pieces"]}, said


def test_a_shop_with_slack_gets_all_its_joints_one_way_where_that_needs_no_more_boards(tmp_path):
    assert laid(tmp_path / "no slack", record=RECORD) == ({0, 90}, [])
    ways, said = laid(tmp_path / "slack", record=LOOSE)
    assert ways == {0}
    assert said == ["All ends are cut along one direction, 0 degrees to x: slack does the same to each."]


def test_where_one_way_would_not_do_pieces_lie_as_they_may(tmp_path):
    """Four fit across a board that takes three along it."""
    ways, _ = laid(tmp_path / "slack", record=LOOSE, board="width = 9\nheight = 7.6\n")
    assert ways == {90}


def test_the_summary_tells_directions_and_the_cards_read(tmp_path):
    (tmp_path / "shop.toml").write_text(shop_text(LOOSE, replace(LOOSE, lies=Lying.Y)), encoding="utf-8")
    done = make(tmp_path, tuned_job('feel = "easy"\npart = "both"', shop='shop = "shop.toml"', has_curve=True))
    assert done.exit_code == 0, done.output
    said = "Ends are cut in 3 directions, 0, 22.5, 157.5 degrees to x; cards along 0 and 90 were read."
    assert said in (tmp_path / "out/summary.txt").read_text(encoding="utf-8")


def test_a_card_that_lies_in_no_such_way_is_told(tmp_path):
    (tmp_path / "shop.toml").write_text(shop_text(RECORD).replace('along = "x"', 'along = "z"'), encoding="utf-8")
    done = make(tmp_path, tuned_job("", shop='shop = "shop.toml"'))
    assert done.exit_code == 2
    assert re.search(r"shop.toml:\d+ \[\[record\]\] 1 along = z: no card lies so", done.stderr)
