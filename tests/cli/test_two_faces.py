"""A board cut on both faces from job file to dry run, as a person meets it."""

import pytest

from cli.jobs import made, make, small_job
from proved import refusals, spoilt, text_of, with_manifest, written
from two_faces import BOTH, BOTTOM, TOP, shifted

FENCE = BOTH.replace("[[board]]", '[turning]\nby = "fence"\n\n[[board]]\nheight_measured = true')


@pytest.fixture(scope="module")
def both(tmp_path_factory):
    folder = tmp_path_factory.mktemp("both")
    done = make(folder, BOTH)
    assert done.exit_code == 0, done.output
    return folder, done.output


def head(folder, name):
    """The comments at the head of a file as one text, and the lines up to its first dwell."""
    lines = (folder / "out" / name).read_text(encoding="ascii").splitlines()
    first = next(number for number, line in enumerate(lines) if not line.startswith("("))
    words = " ".join(line.strip("()") for line in lines[:first])
    return words, lines[first : next(number for number, line in enumerate(lines) if line.startswith("G4 "))]


def test_the_summary_says_between_the_files_how_to_turn_the_board(both):
    _, output = both
    lines = output.splitlines()
    (turn,) = [number for number, line in enumerate(lines) if "turn board" in line]
    assert lines[turn - 1].strip().startswith(f"{BOTTOM}:")
    assert lines[turn + 1].strip().startswith(f"{TOP}:")
    assert lines[turn] == (
        "  -- turn board A over about its long middle line, left stays left, on 2 dowels of 1/4 in (6.350 mm), none "
        "longer than ~43/64 in (17.000 mm), in the holes that go through into the spoilboard; zero z again on the face "
        "that lies up then, keep x and y"
    )
    assert "Dry run passed." in output


def test_the_files_say_which_face_lies_up_and_how_the_board_is_turned(both):
    folder, _ = both
    words, _ = head(folder, BOTTOM)
    assert (
        "Face: bottom. The face that is to be the lower one lies up, the board is turned over after these cuts" in words
    )
    assert "Holes for dowels of 1/4 in = 6.350 mm go ~11/64 in = 4.300 mm into the spoilboard" in words
    words, start = head(folder, TOP)
    assert (
        "Face: top TURN THE BOARD OVER about its long middle line, y = 2 1/2 in = 63.500 mm: left stays left, the far "
        "edge comes near Set it on its 2 dowels, none longer than ~43/64 in = 17.000 mm, in the spoilboard's holes "
        "Keep x and y, zero z again on the face that lies up now"
    ) in words
    asked = " ".join(line.strip("()") for line in start if line.startswith("("))
    assert "STOP: is the board turned over, on its dowels or against its fence, and zeroed as said above?" in asked
    assert start.index("M0") > next(number for number, line in enumerate(start) if line.startswith("(STOP"))


def test_plans_of_both_faces_are_drawn(both):
    folder, _ = both
    for name in ("A-plan.svg", "A-bottom-plan.svg"):
        text = (folder / "out" / name).read_text(encoding="utf-8")
        assert text.count(">dowel<") == 2


def test_half_a_millimetre_out_of_line_is_refused():
    good = written(BOTH)
    found = refusals(spoilt(good, BOTTOM, shifted(text_of(good, BOTTOM), 0.0, 0.5, only="groove")))
    said = "the lower face of board A is cut 0.020 in (0.500 mm) out of line with the upper one"
    assert any(said in one.text for one in found)


def test_a_turn_line_changed_in_the_manifest_is_refused():
    def turned_elsewhere(data):
        data["files"][0]["turn"]["at"] += 0.25

    said = "comes to lie 0.020 in (0.500 mm) out of line with the upper one"
    assert any(said in one.text for one in refusals(with_manifest(written(BOTH), turned_elsewhere)))


def test_against_a_fence_there_are_no_dowels(tmp_path):
    done = make(tmp_path, FENCE)
    assert done.exit_code == 0, done.output
    assert "left stays left, against the same fence and stop; zero z again" in done.output
    assert "dowel" not in (tmp_path / "out" / BOTTOM).read_text(encoding="ascii")
    words, _ = head(tmp_path, BOTTOM)
    assert "Near edge against the fence, left end against the stop" in words
    assert "Set it against the same fence and stop" in head(tmp_path, TOP)[0]


def test_a_fence_wants_a_measured_height(tmp_path):
    done = make(tmp_path, FENCE.replace("height_measured = true", ""))
    assert done.exit_code == 2
    assert "[turning] by = fence: against a fence the board's far edge takes the near one's place" in done.output


def test_zero_on_the_spoilboard_is_kept_when_the_board_is_turned(tmp_path):
    done = make(tmp_path, BOTH.replace("[[board]]", '[[board]]\nzero = "spoilboard"'))
    assert done.exit_code == 0, done.output
    assert "in the holes that go through into the spoilboard; keep every zero" in done.output
    assert "Keep x, y and z" in head(tmp_path, TOP)[0]


def test_a_job_cut_on_one_face_says_nothing_of_turning(tmp_path):
    done = made(tmp_path, small_job())
    assert "turn board" not in done.output
    assert not (tmp_path / "out" / "A-bottom-plan.svg").exists()
    assert "TURN" not in (tmp_path / "out" / "A-1-flat-3.175-long.nc").read_text(encoding="ascii")


def test_a_dowel_too_thin_for_the_bit_is_refused_with_its_line(tmp_path):
    done = make(tmp_path, BOTH.replace("[[board]]", '[turning]\ndowel_diameter = "4 mm"\n\n[[board]]'))
    assert done.exit_code == 1
    assert "[turning] dowel_diameter = ~5/32 in (4.000 mm): too narrow to be bored by a helix" in done.output
