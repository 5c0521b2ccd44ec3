"""Places kept: a small file that says where each piece lies, read back so that a job made again stays as it was.

Glossary:
    kept: places as read from such a file. settled: a place to the last digit that the file holds.

The file is JSON: ``{"placement": 1, "units": "mm", "pieces": [{"id": .., "board": .., "pose": [x, y, degrees]}]}``, a
pose being that of the piece's own frame (start end face at the origin, track leaving along x) on the board. A person
may move pieces in it by hand; nothing in it is trusted.
"""

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from platelayer.errors import Fault, JobError
from platelayer.geometry.contours import bounds, transform_contour
from platelayer.geometry.regions import distance_between_mm, near_pairs, to_area
from platelayer.pieces.rim import bridged
from platelayer.placing.rows import Apart, may_lie_on_edge, missing_wood
from platelayer.tolerances import FLATTEN_CHORD_MM, LEFTOVER_MM
from platelayer.units import show_length
from platelayer.values.cuts import PlacedPiece
from platelayer.values.pieces import Piece, Placement
from platelayer.values.shapes import Pose
from platelayer.values.tooling import Board

VERSION: Final = 1
_DECIMALS: Final = 6
"""Of millimetres and of degrees: a metre off, a millionth of a degree is under a program's last digit."""


@dataclass(frozen=True, slots=True)
class Kept:
    """Board and pose by piece, as a file of that name says."""

    file: str
    places: Mapping[str, tuple[str, Pose]]


def settled(pose: Pose) -> Pose:
    """The pose to the last digit that a placement file holds; no minus noughts."""
    degrees = round(math.degrees(pose.heading_rad) % 360.0, _DECIMALS) % 360.0
    return Pose(round(pose.x, _DECIMALS) + 0.0, round(pose.y, _DECIMALS) + 0.0, math.radians(degrees))


def kept_text(pieces: Sequence[PlacedPiece]) -> str:
    """The text of a placement file."""
    rows = []
    for placed in pieces:
        pose = placed.pose
        numbers = [pose.x, pose.y, round(math.degrees(pose.heading_rad), _DECIMALS)]
        rows.append(json.dumps({"id": placed.piece.id, "board": placed.board_id, "pose": numbers}))
    inner = ",\n  ".join(rows)
    return f'{{"placement": {VERSION}, "units": "mm", "pieces": [\n  {inner}\n]}}\n'


def read_kept(text: str, *, file: str) -> Kept:
    """The places in a text.

    Raises:
        JobError: not a placement file; all that is wrong with it.
    """
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise JobError(Fault(file=file, where="", problem=f"not JSON: {error}", fix=_AGAIN)) from error
    if not isinstance(data, dict) or data.get("placement") != VERSION or data.get("units") != "mm":
        problem = f'no placement file: it begins with "placement": {VERSION} and "units": "mm"'
        raise JobError(Fault(file=file, where="", problem=problem, fix=_AGAIN))
    faults: list[Fault] = []
    places: dict[str, tuple[str, Pose]] = {}
    entries = data.get("pieces")
    for number, entry in enumerate(entries if isinstance(entries, list) else [], start=1):
        place = _place(entry)
        if place is None:
            problem = "is an id, a board and a pose of three numbers: x, y and degrees"
            faults.append(Fault(file=file, where=f"pieces {number}", problem=problem, fix=_AGAIN))
        elif place[0] in places:
            faults.append(Fault(file=file, where=f"pieces {number}", found=place[0], problem="stands there twice"))
        else:
            places[place[0]] = place[1:]
    if faults:
        raise JobError(*faults)
    return Kept(file, places)


_AGAIN: Final = "Leave --placement out, or give the placement.json that make wrote."


def _place(entry: object) -> tuple[str, str, Pose] | None:
    if not isinstance(entry, dict):
        return None
    name, board, pose = entry.get("id"), entry.get("board"), entry.get("pose")
    if not (isinstance(name, str) and isinstance(board, str) and isinstance(pose, list) and len(pose) == 3):
        return None
    if not all(isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e6 for value in pose):
        return None
    x, y, degrees = (float(value) for value in pose)
    return name, board, settled(Pose(x, y, math.radians(degrees)))


def check_kept(
    kept: Kept,
    pieces: Sequence[Piece],
    boards: Sequence[Board],
    *,
    apart: Apart,
) -> tuple[Placement, ...]:
    """The places of a job's pieces as kept; those of pieces that the job no longer has are passed over.

    Promised: pieces lie inside their boards' margins, the room from no-go areas, and from each other the room or the
    gap, whichever is less.

    Raises:
        JobError: a piece without a place, a board that there is not, or pieces that lie too near to something.
    """
    known = {board.id: board for board in boards}
    faults: list[Fault] = []
    found: list[Placement] = []
    for index, piece in enumerate(pieces):
        board_id, pose = kept.places.get(piece.id, ("", Pose(0.0, 0.0)))
        if piece.id not in kept.places:
            fix = "Leave --placement out to have all pieces laid anew, or give this one a place."
            faults.append(Fault(file=kept.file, where=piece.id, problem="has no place in it", fix=fix))
        elif board_id not in known:
            problem = f"lies on board {board_id}, which the job has not"
            faults.append(Fault(file=kept.file, where=piece.id, problem=problem, fix=_AGAIN))
        else:
            found.append(Placement(index, board_id, pose))
    for board in boards:
        here = [placement for placement in found if placement.board_id == board.id]
        faults += _near_faults(kept.file, pieces, here, board, apart=apart)
    if faults:
        raise JobError(*faults)
    return tuple(found)


def _near_faults(
    file: str,
    pieces: Sequence[Piece],
    here: Sequence[Placement],
    board: Board,
    *,
    apart: Apart,
) -> list[Fault]:
    """Pieces too near to the board's edge, to a no-go area or to each other."""
    outlines = [transform_contour(bridged(pieces[placement.index])[0], placement.pose) for placement in here]
    areas = [to_area(outline, chord_mm=FLATTEN_CHORD_MM) for outline in outlines]
    names = [pieces[placement.index].id for placement in here]
    off = [(area.title or "a no-go area", to_area(area.outline, chord_mm=FLATTEN_CHORD_MM)) for area in board.no_go]
    edge, missing, slack = board.margin_mm + apart.clearance_mm, missing_wood(board), LEFTOVER_MM
    between = min(apart.gap_mm, apart.clearance_mm)
    found = []

    def fault(name: str, gap_mm: float, what: str, least_mm: float) -> None:
        gap, least = (show_length(length) for length in (max(gap_mm, 0.0), least_mm))
        problem = f"lies {gap} from {what}, and the bit and the margin take {least}"
        found.append(Fault(file=file, where=name, problem=problem, fix="Move it."))

    for name, outline, area, placement in zip(names, outlines, areas, here, strict=True):
        low_x, low_y, high_x, high_y = bounds(outline)
        is_own_edge = may_lie_on_edge(pieces[placement.index], placement.pose, board, apart)
        gap = min(low_x, edge if is_own_edge else low_y, board.width_mm - high_x, board.height_mm - high_y)
        gap = min(gap, distance_between_mm(area, missing)) if not missing.is_empty else gap
        if gap < edge - slack:
            fault(name, gap, f"the edge of board {board.id}", edge)
        for title, place in off:
            if (gap := distance_between_mm(area, place)) < apart.clearance_mm - slack:
                fault(name, gap, title, apart.clearance_mm)
    for first, second in near_pairs(areas, areas, between - slack).T.tolist() if areas else ():
        if first < second:
            fault(names[first], distance_between_mm(areas[first], areas[second]), names[second], between)
    return found
