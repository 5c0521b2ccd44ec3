"""The floor on the page: drawn as its file says, and what closes its gaps."""

import time
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import Any, Final

from platelayer.desk.folder import inside
from platelayer.desk.reading import job_text, profiles_of, told_faults
from platelayer.desk.saving import check_leads
from platelayer.errors import PlatelayerError
from platelayer.floor_road.checking import check
from platelayer.floor_road.closing import answer, asked_gap
from platelayer.floor_road.ground import Ground, ground_of
from platelayer.floor_road.looking import closing_view, view_of

Tell = Callable[[Any], None]
WANTED: Final = 3
"""Answers to a gap that are shown."""
MOST_S: Final = 30.0
"""Longest that a gap is searched for."""


def floor(root: Path, _: Tell, *, file: str) -> dict[str, Any]:
    """A floor drawn and in sentences, the names of its gaps, and its text.

    Raises:
        JobError: no such file, or a name that leads outside.
    """
    said = job_text(root, file)
    try:
        return asdict(view_of(check(_ground(root, file)))) | {"text": said.text}
    except PlatelayerError as error:
        return {"text": said.text, "faults": told_faults(error, said)}


def close(root: Path, tell: Tell, *, file: str, gap: str) -> dict[str, Any]:
    """What closes a gap of a floor, best first.

    Raises:
        JobError: what is wrong with the floor or its job, or no such gap.
        CannotCut: joints that do not go together.
    """
    ground = _ground(root, file)
    checked = check(ground)
    until_s = time.monotonic() + MOST_S
    found = answer(
        checked,
        asked_gap(checked, gap),
        wanted=WANTED,
        is_over=lambda: time.monotonic() > until_s,
        progress=lambda words: tell({"event": "working", "words": words}),
    )
    return asdict(closing_view(ground, found))


def _ground(root: Path, file: str) -> Ground:
    """The floor with its job, neither of which leads out of the folder.

    Raises:
        JobError: a key that leads outside, or what is wrong with either file.
        CannotCut: joints that cannot be made.
    """
    said = job_text(root, file)
    table = said.data().get("floor")
    check_leads(root, said.file, said.data())
    if isinstance(table, dict) and table.get("job"):
        named = (said.file.parent / str(table["job"])).relative_to(root).as_posix()
        profiles_of(root, job_text(root, inside(root, named).relative_to(root).as_posix()))
    return ground_of(said.text, file=str(said.file))
