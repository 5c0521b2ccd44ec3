"""The only writer: whole or nothing, and a person's file stays what it was in all but its content."""

from pathlib import Path

import pytest

from platelayer import files
from platelayer.errors import JobError


def test_line_ends_come_through_reading_and_writing(tmp_path: Path) -> None:
    file = tmp_path / "shop.toml"
    file.write_bytes(b"# mine\r\n")
    files.write_file(file, files.read_text(file) + "a = 1\r\n", force=True)
    assert file.read_bytes() == b"# mine\r\na = 1\r\n"


def test_permissions_and_links_stay(tmp_path: Path) -> None:
    file, link = tmp_path / "real.toml", tmp_path / "link.toml"
    file.write_text("a = 1\n", encoding="utf-8")
    file.chmod(0o640)
    link.symlink_to(file)
    files.write_file(link, "a = 2\n", force=True)
    assert link.is_symlink()
    assert file.read_text(encoding="utf-8") == "a = 2\n"
    assert file.stat().st_mode & 0o777 == 0o640
    assert sorted(path.name for path in tmp_path.iterdir()) == ["link.toml", "real.toml"]


def test_a_new_file_may_be_read_by_others(tmp_path: Path) -> None:
    files.write_file(tmp_path / "new.toml", "", force=False)
    assert (tmp_path / "new.toml").stat().st_mode & 0o777 == 0o644


def test_a_file_set_read_only_is_left_alone(tmp_path: Path) -> None:
    file = tmp_path / "shop.toml"
    file.write_text("a = 1\n", encoding="utf-8")
    file.chmod(0o444)
    with pytest.raises(JobError) as caught:
        files.write_file(file, "a = 2\n", force=True)
    assert str(caught.value) == f"{file}: read-only. Make it writable, or name another."
    assert file.read_text(encoding="utf-8") == "a = 1\n"
    assert [path.name for path in tmp_path.iterdir()] == ["shop.toml"]
