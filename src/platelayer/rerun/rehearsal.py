"""All that is run in the air before a job is cut: a trace of every board, an air pass of every file, by name."""

from collections.abc import Mapping
from typing import Final

from platelayer.manifest.schema import Manifest, ManifestFile
from platelayer.rerun.air import air_text
from platelayer.rerun.trace import trace_text
from platelayer.values.motion import Motion

TRACE: Final = "-trace.nc"
"""What the name of a trace ends with."""


def rehearsal(
    manifest: Manifest,
    texts: Mapping[str, str],
    motions: Mapping[str, Motion],
    times: Mapping[str, float],
    *,
    lift_mm: float | None,
    has_spindle_on: bool,
) -> dict[str, tuple[ManifestFile, str]]:
    """Text of every file of the rehearsal by its name, each with the entry of the file it was made from.

    A trace stands before the air passes of its board; a board cut from both faces has one for either.

    Args:
        manifest: of the job.
        texts: the job's files by name.
        motions: what they read as.
        times: seconds that each takes.
        lift_mm: by how much all is raised in the air passes; what each file needs when None.
        has_spindle_on: the spindle turns as in the cut.

    Raises:
        CannotCut: the lift leaves the bit too near the wood, or is more than the machine has.
    """
    boards = {board.id: board for board in manifest.boards}
    made: dict[str, tuple[ManifestFile, str]] = {}
    for file in manifest.files:
        text, motion, board = texts[file.name], motions[file.name], boards[file.board]
        trace = f"{board.id}{TRACE}" if file.turn_y_mm is None else f"{board.id}-{file.face.value}{TRACE}"
        if trace not in made:
            pieces = [piece for piece in manifest.pieces if piece.board == board.id]
            made[trace] = file, trace_text(text, motion, file=file, board=board, pieces=pieces)
        air = air_text(
            text,
            motion,
            top_mm=board.top_mm,
            travel_mm=manifest.machine.travel_mm[2],
            lift_mm=lift_mm,
            has_spindle_on=has_spindle_on,
            seconds_s=times[file.name],
        )
        made[f"{file.name.removesuffix('.nc')}-air.nc"] = file, air
    return made
