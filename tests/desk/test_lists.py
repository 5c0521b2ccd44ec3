"""What the page offers: what the person owns too, and the keys of a machine as the guided form asks for them."""

from pathlib import Path

from desk.served import HALLWAY
from platelayer.desk.lists import begin, lists
from platelayer.job import starter_bits, starter_woods
from platelayer.job.key_reference import key_files
from platelayer.job.own_files import read_own_bits, read_own_woods


def nobody(_: object) -> None:
    """Nobody is told what goes on."""


def offered(folder: Path, named: str) -> dict:
    (folder / "job.toml").write_text(HALLWAY.replace("[job]\n", f"[job]\n{named}"), encoding="utf-8")
    return lists(folder, nobody, job="job.toml")


def ids(rows: list[dict[str, str]]) -> list[str]:
    return [row["id"] for row in rows]


def test_ones_own_bits_and_woods_are_offered_and_are_no_machines(tmp_path: Path) -> None:
    bits = '[[bit]]\nid = "short"\nkind = "flat"\ndiameter = "1/8 in"\ncutting_length = "15 mm"\n'
    (tmp_path / "bits.toml").write_text(bits, encoding="utf-8")
    (tmp_path / "woods.toml").write_text(starter_woods(), encoding="utf-8")
    told = offered(tmp_path, 'bits = "bits.toml"\nwoods = "woods.toml"\n')
    assert "short" in ids(told["bits"])
    assert "walnut" in ids(told["woods"])
    assert not {"bits", "woods"} & set(ids(told["machines"]))


def test_a_file_that_cannot_be_read_takes_nothing_else_away(tmp_path: Path) -> None:
    (tmp_path / "bits.toml").write_text("[[bit]\n", encoding="utf-8")
    told = offered(tmp_path, 'bits = "bits.toml"\n')
    assert "flat-3.175-long" in ids(told["bits"])


def test_every_key_is_told_and_a_machines_with_how_to_find_it_out(tmp_path: Path) -> None:
    told = offered(tmp_path, "")["keys"]
    assert {file: set(tables) for file, tables in told.items()} == {
        file.name: {table.name for table in file.tables} for file in key_files()
    }
    assert "G4 P2" in told["machine profile"]["dialect"]["dwell_unit"]["meaning"]
    assert "If it is wrong" in told["machine profile"]["axis.x"]["travel"]["meaning"]
    assert told["job"]["track"]["width"]["meaning"] == "Width of the track from long edge to long edge."


def test_files_to_begin_with(tmp_path: Path) -> None:
    assert "# dwell_unit" in begin(tmp_path, nobody, kind="machine")["text"]
    assert 'title = "mid-sized screw router"' in begin(tmp_path, nobody, kind="machine", machine="mid-screw")["text"]
    assert read_own_bits(begin(tmp_path, nobody, kind="bits")["text"], file="b") == read_own_bits(
        starter_bits(), file="b"
    )
    assert list(read_own_woods(begin(tmp_path, nobody, kind="woods")["text"], file="w")) == ["walnut"]
