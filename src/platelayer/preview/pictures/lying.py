"""What lies on the machine while one face of a board is cut: a board turned over is drawn turned over.

Glossary:
    lying: in the frame of the board as it lies, its near left corner at (0, 0), seen from above. For the top face that
        is the board's own frame; for the bottom face everything is turned over about the board's middle line along x.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from platelayer.gcode.board_frame import files_of, on_board
from platelayer.geometry.contours import reversed_contour, segment_point
from platelayer.geometry.intersect import distances_mm
from platelayer.geometry.turning import turned_contour, turned_point, turned_y
from platelayer.manifest.schema import Manifest, ManifestBoard, ManifestPiece, TurnLine
from platelayer.preview.pictures.plan_swaths import CutFile, chains
from platelayer.tolerances import COINCIDENT_MM, PLAY_MM
from platelayer.values.motion import Motion, MoveKind
from platelayer.values.pieces import BoardFace
from platelayer.values.shapes import Contour, Point, Pose


@dataclass(frozen=True, slots=True, kw_only=True)
class Lying:
    """One face of a board up, on the machine; all in the lying frame.

    Attributes:
        cut: the files of that face with their moves, z 0 at the face that lies up.
        zero: where the files' x and y are zero.
    """

    board: ManifestBoard
    face: BoardFace
    pieces: tuple[ManifestPiece, ...]
    cut: tuple[CutFile, ...]
    zero: Point


Place = tuple[float, float, float]


def place_lying(point: Place, board: ManifestBoard, *, face: BoardFace) -> Place:
    """A place of the board, z 0 at its top face, as it lies: z 0 at the face that lies up."""
    if face is BoardFace.TOP:
        return point
    x, y = turned_point(point[:2], board.size_mm[1] / 2)
    return x, y, -board.thickness_mm - point[2]


def lying(manifest: Manifest, board: ManifestBoard, motions: Mapping[str, Motion], *, face: BoardFace) -> Lying:
    """The board with that face up, its pieces in the order of cutting, and what the files of that face do."""
    files = [file for file in files_of(manifest, board.id, face) if file.name in motions]
    shown = [on_board(motions[file.name], file, board) for file in files]
    pieces = sorted((p for p in manifest.pieces if p.board == board.id), key=lambda p: (p.order, p.id))
    zero = (0.0, 0.0)
    if face is BoardFace.BOTTOM:
        middle_y, flat = board.size_mm[1] / 2, replace(board, zero="top")
        turn = TurnLine(at_mm=middle_y)
        shown = [on_board(m, replace(file, turn=turn), flat) for m, file in zip(shown, files, strict=True)]
        zero = next(
            ((0.0, turned_y(turned_y(0.0, file.turn_y_mm), middle_y)) for file in files if file.turn_y_mm is not None),
            zero,
        )
        pieces = [_turned_piece(piece, middle_y) for piece in pieces]
        board = _turned_board(board, middle_y)
    return Lying(board=board, face=face, pieces=tuple(pieces), cut=tuple(zip(shown, files, strict=True)), zero=zero)


def _turned_board(board: ManifestBoard, middle_y: float) -> ManifestBoard:
    turning = board.turning and replace(
        board.turning,
        dowels=tuple(replace(dowel, at=turned_point(dowel.at, middle_y)) for dowel in board.turning.dowels),
    )
    return replace(
        board,
        outline=board.outline and _turned_ring(board.outline, middle_y),
        no_go=tuple(replace(area, outline=_turned_ring(area.outline, middle_y)) for area in board.no_go),
        grain_rad=-board.grain_rad,
        turning=turning,
    )


def _turned_piece(piece: ManifestPiece, middle_y: float) -> ManifestPiece:
    def pose(one: Pose) -> Pose:
        x, y = turned_point((one.x, one.y), middle_y)
        return replace(one, x=x, y=y, heading_rad=-one.heading_rad)

    return replace(
        piece,
        pose=pose(piece.pose),
        ends=tuple(replace(end, pose=pose(end.pose)) for end in piece.ends),
        outline=_turned_ring(piece.outline, middle_y),
        inner=tuple(_turned_ring(inner, middle_y) for inner in piece.inner),
        grooves=tuple(replace(groove, path=turned_contour(groove.path, middle_y)) for groove in piece.grooves),
        tabs=tuple(replace(tab, at=turned_point(tab.at, middle_y)) for tab in piece.tabs),
    )


def _turned_ring(contour: Contour, middle_y: float) -> Contour:
    """A closed contour turned over, the same way round as it was."""
    return reversed_contour(turned_contour(contour, middle_y))


def only_cut(scene: Lying) -> Lying:
    """What these files cut: the pieces they groove, edge or cut round, and of the tabs those they go over."""
    rounds = _cut_round(scene.pieces, scene.cut)
    return replace(
        scene,
        pieces=tuple(
            piece if piece.id in rounds else replace(piece, tabs=())
            for piece in scene.pieces
            if piece.id in rounds or scene.face in _faces(piece)
        ),
    )


def _faces(piece: ManifestPiece) -> set[BoardFace]:
    """The faces that are grooved or edged."""
    return {groove.face for groove in piece.grooves} | {edge.face for edge in piece.edges}


def _cut_round(pieces: Sequence[ManifestPiece], cut: Sequence[CutFile]) -> set[str]:
    """Ids of the pieces beside most of whose outline the bit runs, its radius off and what a hand feels."""
    runs = [segment for motion, _ in cut for chain in chains(motion, _wet(motion)) for segment in chain.segments]
    reach = max((bit.diameter_mm / 2 for _, file in cut for bit in file.bits), default=0.0) + PLAY_MM
    found = set()
    for piece in pieces if runs else ():
        middles = np.array([segment_point(segment, 0.5) for segment in piece.outline.segments])
        if np.mean(distances_mm(middles, runs).min(axis=1) <= reach) > 0.5:
            found.add(piece.id)
    return found


def _wet(motion: Motion) -> npt.NDArray[np.intp]:
    """Rows of the moves that cut."""
    lowest = np.minimum(motion.start[:, 2], motion.end[:, 2])
    return np.flatnonzero((motion.kind != MoveKind.RAPID) & (lowest < -COINCIDENT_MM))
