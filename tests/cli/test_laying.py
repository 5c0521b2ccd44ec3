"""Where pieces lie, by the whole road: kept places give the same bytes, offcuts are respected, grain is warned of."""

import json
import re

import pytest

from cli.jobs import made, make, run, small_job

OFFCUT = small_job().replace("width = 26\nheight = 5\n", "outline = [[0, 0], [26, 0], [23, 7], [0, 7]]\n")


@pytest.mark.parametrize("placing", ["rows", "nest"])
def test_kept_places_give_the_same_bytes(tmp_path, placing):
    text = small_job().replace("[bits]", f'placing = "{placing}"\n[bits]', 1)
    assert make(tmp_path, text).exit_code == 0
    kept = tmp_path / "out" / "placement.json"
    again = run("make", tmp_path / "job.toml", "--out", tmp_path / "again", "--placement", kept)
    assert again.exit_code == 0, again.output
    first, second = ({p.name: p.read_bytes() for p in (tmp_path / name).iterdir()} for name in ("out", "again"))
    assert first == second


def test_a_piece_moved_by_hand_is_cut_where_it_was_put(tmp_path):
    made(tmp_path, small_job())
    kept = tmp_path / "placement.json"
    data = json.loads((tmp_path / "out" / "placement.json").read_text())
    moved = max(data["pieces"], key=lambda piece: piece["pose"][0])
    moved["pose"][0] += 20.0
    kept.write_text(json.dumps(data))
    again = run("make", tmp_path / "job.toml", "--out", tmp_path / "again", "--placement", kept)
    assert again.exit_code == 0, again.output
    pieces = json.loads((tmp_path / "again" / "manifest.json").read_text())["pieces"]
    assert {tuple(p["pose"]) for p in pieces if p["id"] == moved["id"]} == {tuple(moved["pose"])}


def test_a_placement_that_does_not_fit_is_refused_with_its_name(tmp_path):
    made(tmp_path, small_job())
    kept = tmp_path / "out" / "placement.json"
    (tmp_path / "more.toml").write_text(small_job(count=2))
    result = run("make", tmp_path / "more.toml", "--out", tmp_path / "more", "--placement", kept)
    assert result.exit_code == 2
    assert result.stderr == (
        f"{kept} long-02: has no place in it. Leave --placement out to have all pieces laid anew, or give this one a"
        " place.\n"
    )


@pytest.mark.parametrize("placing", ["rows", "nest"])
def test_an_offcut_is_cut_and_the_dry_run_knows_its_edge(tmp_path, placing):
    done = make(tmp_path, OFFCUT.replace("[bits]", f'placing = "{placing}"\n[bits]', 1))
    assert done.exit_code == 0, done.output
    path = tmp_path / "out" / "manifest.json"
    data = json.loads(path.read_text())
    assert "outline" in data["boards"][0]
    data["boards"][0]["outline"] = [
        {"line": line} for line in ([0, 0, 90, 0], [90, 0, 90, 177.8], [90, 177.8, 0, 177.8], [0, 177.8, 0, 0])
    ]
    path.write_text(json.dumps(data))
    result = run("dryrun", tmp_path / "out")
    assert result.exit_code == 1
    assert "past the edge of board A while it is down" in result.stdout


@pytest.mark.parametrize("placing", ["rows", "nest", "fewest"])
def test_pieces_are_turned_along_the_grain_of_their_board(tmp_path, placing):
    text = small_job().replace("height = 5", 'height = 9\ngrain = "across"')
    done = make(tmp_path, text.replace("[bits]", f'placing = "{placing}"\n[bits]', 1))
    assert done.exit_code == 0, done.output
    assert "off the grain" not in done.stdout
    manifest = json.loads((tmp_path / "out" / "manifest.json").read_text())
    assert manifest["boards"][0]["grain"] == 90.0
    straight = next(piece for piece in manifest["pieces"] if piece["kind"] == "straight")
    assert straight["pose"][2] % 180 == pytest.approx(90.0)
    picture = (tmp_path / "out" / "A-plan.svg").read_text()
    arrow = re.search(r'd="M(\S+) (\S+)L(\S+) ([^"]+)" [^>]*/><path [^>]*/></g><text [^>]*>grain<', picture)
    assert arrow is not None
    x0, y0, x1, y1 = map(float, arrow.groups())
    assert abs(x1 - x0) < 1e-6 < abs(y1 - y0)


def upright(material, turns=""):
    """One straight on a board that takes it only across its grain."""
    text = small_job().replace("width = 26\nheight = 5", "width = 3\nheight = 9").split("[[piece]]")[0]
    text = text.replace('material = "hard-maple"', f'material = "{material}"\nplacing = "nest"')
    return text + f'[[piece]]\nname = "far"\nlength = 5\n{turns}'


@pytest.mark.parametrize(
    ("material", "turns", "is_warned"),
    [("hard-maple", 'turns = "quarters"\n', True), ("plywood", "", False), ("mdf", "", False)],
)
def test_a_piece_that_may_lies_across_where_it_fits_no_other_way(tmp_path, material, turns, is_warned):
    done = make(tmp_path, upright(material, turns))
    assert done.exit_code == 0, done.output
    assert ("a peg lies 90.0 degrees off the grain" in done.stdout) == is_warned


def test_a_piece_that_may_not_is_refused_there(tmp_path):
    refused = make(tmp_path, upright("hard-maple"))
    assert refused.exit_code == 1
    assert "needs" in refused.stderr + refused.stdout


def test_a_wrong_word_for_turns_is_told(tmp_path):
    refused = make(tmp_path, small_job() + 'turns = "any"\n')
    assert refused.exit_code == 2
    assert "[[piece]] curve turns = any: must be grain, quarters or eighths" in refused.stderr


def test_the_summary_tells_how_much_of_the_board_is_used(tmp_path):
    wood = json.loads(made(tmp_path, small_job(), "--json").stdout)["wood"]
    assert wood["boards_mm2"] == pytest.approx(26 * 5 * 645.16)
    assert 0.1 < wood["yield_ratio"] < 0.9
    assert wood["rapid_mm"] > 100.0


@pytest.mark.parametrize("apart_mm", [47.424774, 47.9, 48.6])
def test_thin_waste_between_two_curves_is_milled_without_their_tabs(tmp_path, apart_mm):
    """Between curves one in the other the slot widens to the middle; milling that took a quarter of a tab."""
    text = small_job().replace("width = 26\nheight = 5", "width = 10\nheight = 7")
    before, _, rest = text.partition('[[piece]]\nname = "long"')
    curve = rest[rest.index("[[piece]]") :]
    (tmp_path / "job.toml").write_text(before + curve + "count = 2\n", encoding="utf-8")
    poses = [(25.0, 52.0, 337.5), (25.0, 52.0 + apart_mm, 337.5)]
    pieces = [{"id": f"curve-{number}", "board": "A", "pose": pose} for number, pose in enumerate(poses, start=1)]
    kept = tmp_path / "kept.json"
    kept.write_text(json.dumps({"placement": 1, "units": "mm", "pieces": pieces}).replace("curve-", "curve-0"))
    done = run("make", tmp_path / "job.toml", "--out", tmp_path / "out", "--placement", kept)
    assert done.exit_code == 0, done.output
