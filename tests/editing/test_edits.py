"""An edit changes the one value that it names and leaves every other line of the file as it was."""

import difflib
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from platelayer.editing.edits import Conflict, Edit, edited
from platelayer.errors import JobError
from platelayer.job import starter_job

ROOT = Path(__file__).resolve().parents[2]
HALLWAY = (ROOT / "examples" / "hallway" / "job.toml").read_text("utf-8")


def changed_lines(before: str, after: str) -> tuple[list[str], list[str]]:
    """Lines that went and lines that came."""
    rows = list(difflib.ndiff(before.splitlines(), after.splitlines()))
    return [row[2:] for row in rows if row[0] == "-"], [row[2:] for row in rows if row[0] == "+"]


def test_a_value_changes_and_its_remark_stays() -> None:
    after = edited(HALLWAY, [Edit(path=("job", "units"), old="in", new="mm")])
    gone, come = changed_lines(HALLWAY, after)
    assert gone == ['units = "in"                       # what a bare number means']
    assert come == ['units = "mm"                       # what a bare number means']


def test_a_key_that_goes_leaves_its_remark_where_it_stood() -> None:
    after = edited(HALLWAY, [Edit(path=("joint", "mouth"), old="ease", new=None)])
    gone, come = changed_lines(HALLWAY, after)
    assert gone == ['mouth = "ease"                     # round the mouth\'s outer corners']
    assert [line.strip() for line in come] == ["# round the mouth's outer corners"]


def test_a_piece_is_added_after_the_last() -> None:
    new = {"name": "bridge", "length": "6 in", "count": 2}
    after = edited(HALLWAY, [Edit(path=("piece", 4), new=new)])
    assert after.startswith(HALLWAY.rstrip("\n"))
    assert after[len(HALLWAY) :] == '\n[[piece]]\nname = "bridge"\nlength = "6 in"\ncount = 2\n'


def test_a_piece_is_taken_out_and_the_others_stay() -> None:
    old = tomllib.loads(HALLWAY)["piece"][1]
    after = edited(HALLWAY, [Edit(path=("piece", 1), old=old, new=None)])
    gone, come = changed_lines(HALLWAY, after)
    assert come == []
    assert {line for line in gone if line} == {"[[piece]]", 'name = "short"', 'length = "2 3/8"', "count = 4"}


def test_a_table_that_is_not_there_is_made() -> None:
    after = edited(HALLWAY, [Edit(path=("fit", "feel"), new="easy")])
    assert after.startswith(HALLWAY)
    assert tomllib.loads(after)["fit"] == {"feel": "easy"}


def test_a_knot_on_a_board_that_has_none() -> None:
    knot = {"title": "knot", "x": 3, "y": 2, "diameter": 1}
    after = edited(HALLWAY, [Edit(path=("board", 0, "no_go", 0), new=knot)])
    assert changed_lines(HALLWAY, after)[0] == []
    assert tomllib.loads(after)["board"][0]["no_go"] == [knot]


def test_a_list_in_brackets_stays_one() -> None:
    profile = (ROOT / "machine_profiles" / "mid-screw.toml").read_text("utf-8")
    old = tomllib.loads(profile)["spindle"]["dial"]
    new = [{"mark": "1", "rpm": 9000}, {"mark": "2", "rpm": 12000}]
    after = edited(profile, [Edit(path=("spindle", "dial"), old=old, new=new)])
    assert 'dial = [\n    {mark = "1", rpm = 9000},\n    {mark = "2", rpm = 12000},\n]\nspin_up = 4' in after
    assert tomllib.loads(after)["spindle"]["dial"] == new


@pytest.mark.parametrize(
    ("found", "seen"), [(12, 11), (True, 1), ("12", 12), (None, 12)], ids=["other", "truth", "text", "gone"]
)
def test_what_was_changed_meanwhile_is_told_and_not_written(found: object, seen: object) -> None:
    text = HALLWAY.replace("count = 12", "" if found is None else f"count = {'true' if found is True else repr(found)}")
    with pytest.raises(Conflict) as refused:
        edited(text, [Edit(path=("piece", 0, "count"), old=seen, new=4)])
    assert refused.value.found == found
    assert f"it was {seen} when you saw it, and you want 4" in str(refused.value)


def test_what_stands_there_already_is_no_conflict() -> None:
    assert edited(HALLWAY, [Edit(path=("piece", 0, "count"), old=11, new=12)]) == HALLWAY


def test_the_sentence_of_a_conflict() -> None:
    with pytest.raises(Conflict) as refused:
        edited(HALLWAY, [Edit(path=("piece", 0, "count"), old=11, new=4)], file="job.toml")
    assert str(refused.value) == (
        "job.toml [[piece]] 1 count = 12: was changed meanwhile; it was 11 when you saw it, and you want 4"
    )


def test_an_entry_that_moved_is_not_mistaken_for_its_neighbour() -> None:
    first = tomllib.loads(HALLWAY)["piece"][0]
    moved = edited(HALLWAY, [Edit(path=("piece", 0), old=first)])
    with pytest.raises(Conflict):
        edited(moved, [Edit(path=("piece", 2, "count"), old=2, new=3, beside={"name": "curve-left"})])
    assert edited(moved, [Edit(path=("piece", 2, "count"), old=2, new=3, beside={"name": "curve-right"})])


def test_a_number_is_itself_with_and_without_a_point() -> None:
    text = "[board]\nwidth = 36.0\n"
    assert edited(text, [Edit(path=("board", "width"), old=36, new=37)]) == "[board]\nwidth = 37\n"


def test_what_is_no_toml_is_changed_as_a_whole_or_not_at_all() -> None:
    broken = HALLWAY.replace('units = "in"', 'units = "in')
    with pytest.raises(JobError, match="Mend the text first"):
        edited(broken, [Edit(path=("job", "units"), old="in", new="mm")])
    with pytest.raises(Conflict):
        edited(broken, [Edit(path=(), old=HALLWAY, new="")])
    assert edited(broken, [Edit(path=(), old=broken, new=HALLWAY)]) == HALLWAY


def test_line_ends_and_the_mark_at_the_beginning_stay() -> None:
    text = "\ufeff" + HALLWAY.replace("\n", "\r\n")
    after = edited(text, [Edit(path=("piece", 4), new={"name": "more", "length": "3 in"})])
    assert after.startswith(text.rstrip())
    assert after.count("\n") == after.count("\r\n") == text.count("\n") + 4


@pytest.mark.parametrize("path", [("piece", 9, "count"), ("job", "units", "deeper"), ("piece", "count")])
def test_a_place_that_is_not_there_is_refused(path: tuple[str | int, ...]) -> None:
    with pytest.raises(JobError):
        edited(HALLWAY, [Edit(path=path, new=1)])


WORDS = st.text(alphabet="abc \"'#=[]\\é", max_size=12)
VALUES = st.one_of(WORDS, st.integers(-999, 999), st.booleans(), st.lists(st.integers(0, 9), max_size=3))


def leaves(data: object, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    if isinstance(data, dict):
        return [leaf for key, inner in data.items() for leaf in leaves(inner, (*path, key))]
    if isinstance(data, list) and all(isinstance(one, dict) for one in data) and data:
        return [leaf for index, inner in enumerate(data) for leaf in leaves(inner, (*path, index))]
    return [path]


def at(data: object, path: tuple[str | int, ...]) -> object:
    for part in path:
        data = data[part]
    return data


TEXTS = (HALLWAY, starter_job())


@given(text=st.sampled_from(TEXTS), pick=st.integers(0, 99), new=VALUES)
def test_any_value_anywhere_changes_one_line_and_changes_back(text: str, pick: int, new: object) -> None:
    data = tomllib.loads(text)
    places = leaves(data)
    path = places[pick % len(places)]
    old = at(data, path)
    there = edited(text, [Edit(path=path, old=old, new=new)])
    assert at(tomllib.loads(there), path) == new
    gone, come = changed_lines(text, there)
    assert len(gone) <= 1
    assert len(come) <= 1
    again = edited(there, [Edit(path=path, old=new, new=old)])
    assert tomllib.loads(again) == data
    assert [line for line in again.splitlines() if "#" in line] == [line for line in text.splitlines() if "#" in line]


@given(text=st.sampled_from(TEXTS), pick=st.integers(0, 99))
def test_any_key_taken_out_takes_no_remark_with_it(text: str, pick: int) -> None:
    data = tomllib.loads(text)
    places = leaves(data)
    path = places[pick % len(places)]
    without = edited(text, [Edit(path=path, old=at(data, path))])
    assert path not in leaves(tomllib.loads(without))
    assert without.count("#") == text.count("#")
