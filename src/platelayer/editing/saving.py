"""Edits saved: read from disk, put in, and written whole, one save after another; the file as it stood before is kept.

A save that is killed leaves the old file or the new one, never a part of either.
"""

from collections.abc import Sequence
from pathlib import Path
from typing import Final

from platelayer import files
from platelayer.editing.edits import Edit, edited
from platelayer.errors import Fault, JobError

BEFORE: Final = ".before"
"""Folder beside a file in which the one before lies, under the file's own name."""
_TURN: Final = "turn"
"""What a save holds while it lasts; not BEFORE itself, which is held while a file is written into it."""


def save(file: Path, edits: Sequence[Edit]) -> str:
    """The file's text with the edits in it, as it stands on disk now; a file that changes leaves its text in BEFORE.

    Raises:
        Conflict: a value is not what the person saw; nothing is written then.
        JobError: no such file, no such place in it, or it cannot be written.
    """
    with files.taking_turns(file.parent / BEFORE / _TURN):
        text = files.read_text(file)
        after = edited(text, edits, file=str(file))
        if after != text:
            files.write_file(file.parent / BEFORE / file.name, text, force=True)
            files.write_file(file, after, force=True)
    return after


def put_back(file: Path, *, seen: str) -> str:
    """The file as it stood before the last save; what stands there now is kept in its place.

    Args:
        file: the file.
        seen: its text as the person saw it last.

    Raises:
        Conflict: the file is not what the person saw; nothing is written then.
        JobError: nothing was saved before, or it cannot be written.
    """
    before = file.parent / BEFORE / file.name
    if not before.is_file():
        raise JobError(Fault(where=file.name, problem="nothing was changed here yet, so there is nothing to put back"))
    return save(file, [Edit(path=(), old=seen, new=files.read_text(before))])


def create(file: Path, text: str) -> None:
    """A new file, where none stands yet.

    Raises:
        JobError: one stands there already, or the place cannot be written.
    """
    with files.taking_turns(file.parent / BEFORE / _TURN):
        files.write_file(file, text, force=False)
