"""Progress is for a person who waits: on a terminal, after a second, and gone when the work is done."""

import io
import subprocess
import sys
import time

import pytest

from platelayer.cli import progress as shown
from platelayer.cli.progress import Progress


class Terminal(io.StringIO):
    def isatty(self):
        return True


def a_terminal(monkeypatch):
    """In the test's own time: between a fixture and its test pytest puts its own stderr back."""
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("COLUMNS", "100")
    monkeypatch.setattr(sys, "stderr", Terminal())
    return sys.stderr


def until(is_so):
    """Waits for it, and no longer than a slow computer needs."""
    end_s = time.monotonic() + 20
    while not is_so() and time.monotonic() < end_s:
        time.sleep(0.01)
    return is_so()


def test_long_work_shows_its_latest_words_and_takes_them_away(monkeypatch):
    terminal = a_terminal(monkeypatch)
    monkeypatch.setattr(shown, "QUIET_S", 0.0)
    with Progress("working out cuts") as say:
        assert until(lambda: "working out cuts" in terminal.getvalue())
        say("7 files: dry run")
        assert until(lambda: "7 files: dry run" in terminal.getvalue())
    # source: ECMA-48, 8.3.41: EL with 2 erases the whole line
    assert terminal.getvalue().rstrip("\r").endswith("\x1b[2K")


def test_words_said_before_the_second_is_over_are_those_shown(monkeypatch):
    terminal = a_terminal(monkeypatch)
    monkeypatch.setattr(shown, "QUIET_S", 0.2)
    with Progress("first") as say:
        say("second")
        assert until(lambda: "second" in terminal.getvalue())
    assert "first" not in terminal.getvalue()


def test_short_work_shows_nothing(monkeypatch):
    terminal = a_terminal(monkeypatch)
    with Progress("short") as say:
        say("still short")
    assert terminal.getvalue() == ""


def test_nothing_is_shown_off_a_terminal(monkeypatch):
    monkeypatch.setattr(sys, "stderr", io.StringIO())
    monkeypatch.setattr(shown, "QUIET_S", 0.0)
    with Progress("long") as say:
        time.sleep(0.2)
        say("longer")
    assert sys.stderr.getvalue() == ""


def test_the_line_is_gone_before_a_fault_is_told(monkeypatch):
    terminal = a_terminal(monkeypatch)
    monkeypatch.setattr(shown, "QUIET_S", 0.0)
    with pytest.raises(ValueError, match="told"), Progress("long"):
        assert until(lambda: "long" in terminal.getvalue())
        raise ValueError("told")
    assert terminal.getvalue().rstrip("\r").endswith("\x1b[2K")


def test_help_waits_for_no_library_but_click():
    ask = (
        "import sys; from platelayer.cli import main; main(['--help'], standalone_mode=False); "
        "print(sorted({'rich', 'numpy', 'scipy', 'shapely', 'pydantic', 'reportlab'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", ask], capture_output=True, text=True, env={"PYTHONPATH": "src"})
    assert done.stdout.splitlines()[-1:] == ["[]"], done.stderr
