"""Motion brought from a program's coordinates into the board's: z 0 at the face being cut, negative into the wood.

Glossary:
    up face: the face that lies up while a file is cut. Board coordinates are always seen from above the top face,
    so a bottom file's y is turned over about the line the board was turned on.
"""

from dataclasses import replace

import numpy as np

from platelayer.geometry.regions import Area, box, to_area
from platelayer.geometry.turning import turned_places
from platelayer.manifest.schema import Manifest, ManifestBoard, ManifestFile
from platelayer.tolerances import FLATTEN_CHORD_MM
from platelayer.values.motion import Motion, MoveKind
from platelayer.values.pieces import BoardFace


def board_of(manifest: Manifest, board_id: str) -> ManifestBoard:
    """The board of that id.

    Raises:
        KeyError: the manifest has no such board.
    """
    return {board.id: board for board in manifest.boards}[board_id]


def board_area(board: ManifestBoard) -> Area:
    """The wood of a board: within its outline, or all of its size."""
    if board.outline is not None:
        return to_area(board.outline, chord_mm=FLATTEN_CHORD_MM)
    return box((0.0, 0.0), board.size_mm)


def files_of(manifest: Manifest, board_id: str, face: BoardFace) -> tuple[ManifestFile, ...]:
    """The files that cut that face of that board, in order of use."""
    return tuple(file for file in manifest.files if file.board == board_id and file.face is face)


def on_board(motion: Motion, file: ManifestFile, board: ManifestBoard) -> Motion:
    """The same moves in board coordinates, z 0 at the up face; turning over changes the hand of arcs.

    Where the bit stands before its first move nobody knows; it is taken to stand on the wood, not in it.
    """
    drop = np.array((0.0, 0.0, board.top_mm))
    start, end, centre, kind = motion.start - drop, motion.end - drop, motion.centre, motion.kind
    start[:1, 2] = np.maximum(start[:1, 2], 0.0)
    if file.turn_y_mm is not None:
        start, end, centre = (turned_places(places, file.turn_y_mm) for places in (start, end, centre))
        kind = _OTHER_HAND[kind]
    return replace(motion, start=start, end=end, centre=centre, kind=kind)


_OTHER_HAND = np.array([MoveKind.RAPID, MoveKind.LINE, MoveKind.ARC_CCW, MoveKind.ARC_CW], np.int8)
"""Each kind of move as it runs on the board turned over."""
