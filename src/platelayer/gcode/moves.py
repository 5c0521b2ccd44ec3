"""All moves over one board, in the order they are cut, in board coordinates, whatever file or face they come from.

Glossary:
    move: one motion as the board sees it: its plan, and how deep the tip is at either end.
    depth: of the tip below the face that was up when it was cut, mm, negative above. Not z: z counts from the top.
    slice: a level at some depth below the top of the board; a move is at the slice where its tip is there or past it.
    plan: the move seen from above, as points; an arc's chords stray to both sides of it.
    shape: number of a plan and its bit; two moves with the same number sweep the same, whatever their depth.

A file cut with the board turned about a line along x has its y mirrored about that line, its arcs run the other way
round, and its depths count from the underside.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from platelayer.gcode.board_frame import on_board
from platelayer.gcode.motion import arc_sweeps_rad
from platelayer.manifest.schema import ManifestBit, ManifestBoard, ManifestFile
from platelayer.tolerances import COINCIDENT_MM, FLATTEN_CHORD_MM
from platelayer.values.motion import Floats, Motion, MoveKind
from platelayer.values.pieces import BoardFace

Rows = npt.NDArray[np.intp]
Bools = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardMoves:
    """Columns of n moves; ``points`` holds the plans one after the other, move i at ``first[i]:first[i + 1]``.

    Attributes:
        file: (n,) index into ``files``.
        row: (n,) index of the move in its file.
        kind: (n,) MoveKind as in the file.
        depth: (n, 2) depth at start and end, mm below the face that was up.
        is_top: (n,) cut from the top.
        bit: (n,) index into ``bits``.
        radius: (n,) of the bit at its widest, mm.
        feed: (n,) mm/min; spindle_on: (n,) bool.
        low, high: (n, 2) corners of the plan's box, mm, without the bit's radius.
        shape: (n,) number of plan and bit.
    """

    board: ManifestBoard
    files: tuple[ManifestFile, ...]
    motions: tuple[Motion, ...]
    bits: tuple[ManifestBit, ...]
    file: Rows
    row: Rows
    kind: npt.NDArray[np.int8]
    depth: Floats
    is_top: Bools
    bit: Rows
    radius: Floats
    feed: Floats
    spindle_on: Bools
    points: Floats
    first: Rows
    low: Floats
    high: Floats
    shape: Rows

    def __len__(self) -> int:
        return len(self.kind)

    def line_of(self, move: int) -> int:
        """Line in its file."""
        return int(self.motions[self.file[move]].line[self.row[move]])

    def plan(self, move: int) -> Floats:
        """(k, 2) points of one move."""
        return self.points[self.first[move] : self.first[move + 1]]

    def start(self, move: int) -> tuple[float, float, float]:
        """Where the tip stands at the start, z counted from the top of the board."""
        return self._place(self.plan(move)[0], float(self.depth[move, 0]), bool(self.is_top[move]))

    def end(self, move: int) -> tuple[float, float, float]:
        """Where the tip stands at the end, z counted from the top of the board."""
        return self._place(self.plan(move)[-1], float(self.depth[move, 1]), bool(self.is_top[move]))

    def _place(self, point: Floats, depth_mm: float, is_top: bool) -> tuple[float, float, float]:
        return float(point[0]), float(point[1]), -depth_mm if is_top else depth_mm - self.board.thickness_mm


def moves_on(board: ManifestBoard, files: Sequence[ManifestFile], motions: Mapping[str, Motion]) -> BoardMoves:
    """The moves of all files of a board that were read, in the order of the files; moves without a bit keep bit -1.

    A move whose bit is not in the manifest has no radius, so it sweeps nothing; the reading checks refuse it.
    """
    used = tuple(file for file in files if file.board == board.id and file.name in motions)
    read = tuple(motions[file.name] for file in used)
    bits: list[ManifestBit] = []
    columns = [_columns(board, file, motion, bits) for file, motion in zip(used, read, strict=True)]
    counts = [len(motion) for motion in read]

    def joined(name: str, width: int = 0) -> Floats:
        empty = np.zeros((0, width) if width else 0)
        return np.concatenate([empty, *(column[name].astype(np.float64) for column in columns)])

    start, end, centre = joined("start", 2), joined("end", 2), joined("centre", 2)
    kind = joined("plan_kind").astype(np.int8)
    points, first = _plans(start, end, centre, kind, joined("sweep"))
    radius = joined("radius")
    is_top = joined("is_top").astype(np.bool_)
    low, high = _boxes(points, first)
    return BoardMoves(
        board=board,
        files=used,
        motions=read,
        bits=tuple(bits),
        file=np.repeat(np.arange(len(read)), counts),
        row=np.concatenate([np.arange(0), *(np.arange(count) for count in counts)]),
        kind=joined("kind").astype(np.int8),
        depth=joined("depth", 2),
        is_top=is_top,
        bit=joined("bit").astype(np.intp),
        radius=radius,
        feed=joined("feed"),
        spindle_on=joined("spindle_on").astype(np.bool_),
        points=points,
        first=first,
        low=low,
        high=high,
        shape=_shapes(start, end, centre, kind, radius, is_top),
    )


def plan_lengths_mm(moves: BoardMoves) -> Floats:
    """(n,) lengths of the plans, chord by chord."""
    if not len(moves):
        return np.zeros(0)
    steps = np.hypot(*np.diff(moves.points, axis=0, append=moves.points[-1:]).T)
    steps[moves.first[1:] - 1] = 0.0
    return np.asarray(np.add.reduceat(steps, moves.first[:-1]))


def gathered(moves: BoardMoves, rows: Rows) -> tuple[Rows, Rows, Rows]:
    """Points of some rows one after the other: index of each point, which row it is of, its place in that row."""
    counts = moves.first[rows + 1] - moves.first[rows]
    owner = np.repeat(np.arange(len(rows)), counts)
    place = np.arange(int(counts.sum())) - np.repeat(np.cumsum(counts) - counts, counts)
    return moves.first[rows][owner] + place, owner, place


def _columns(
    board: ManifestBoard, file: ManifestFile, motion: Motion, bits: list[ManifestBit]
) -> dict[str, npt.NDArray[np.generic]]:
    """One file's moves turned into the board's frame; its bits are added to the board's list."""
    begin = len(bits)
    bits.extend(file.bits)
    radii = np.array([*(bit.diameter_mm / 2 for bit in file.bits), 0.0])
    is_known = (motion.bit >= 0) & (motion.bit < len(file.bits))
    local = np.where(is_known, motion.bit, len(file.bits))
    seen = on_board(motion, file, board)
    return {
        "start": seen.start[:, :2],
        "end": seen.end[:, :2],
        "centre": seen.centre,
        "kind": motion.kind,
        "plan_kind": seen.kind,
        "sweep": arc_sweeps_rad(motion),
        "depth": 0.0 - np.column_stack((seen.start[:, 2], seen.end[:, 2])),
        "is_top": np.full(len(motion), file.face is BoardFace.TOP),
        "bit": np.where(is_known, begin + local, -1),
        "radius": radii[local],
        "feed": motion.feed,
        "spindle_on": motion.spindle_on,
    }


def _plans(
    start: Floats, end: Floats, centre: Floats, kind: npt.NDArray[np.int8], sweep: Floats
) -> tuple[Floats, Rows]:
    """Points of all plans and where each begins; arcs as chords that stray from them by at most FLATTEN_CHORD_MM.

    Inner points lie half a chord's height outside the arc, so that chords stray to both sides alike.
    """
    is_arc = kind >= MoveKind.ARC_CW
    arm = np.where(is_arc[:, None], start - centre, 0.0)
    radius = np.hypot(arm[:, 0], arm[:, 1])
    safe = np.maximum(radius, FLATTEN_CHORD_MM)
    step = 2 * np.arccos(1 - FLATTEN_CHORD_MM / safe)
    chords = np.where(is_arc, np.maximum(np.ceil(sweep / np.minimum(step, math.pi / 4)), 1), 1).astype(np.intp)
    first = np.concatenate(([0], np.cumsum(chords + 1))).astype(np.intp)
    owner = np.repeat(np.arange(len(kind)), chords + 1)
    share = (np.arange(first[-1]) - first[owner]) / chords[owner]
    points = start[owner] + share[:, None] * (end - start)[owner]
    bent = np.flatnonzero(is_arc[owner] & (share > 0) & (share < 1))
    of = owner[bent]
    turn = np.where(kind[of] == MoveKind.ARC_CCW, 1.0, -1.0) * sweep[of] * share[bent]
    half = sweep[of] / chords[of] / 2
    out = (3 - np.cos(half)) / 2
    cos, sin = out * np.cos(turn), out * np.sin(turn)
    points[bent] = centre[of] + np.column_stack((
        arm[of, 0] * cos - arm[of, 1] * sin,
        arm[of, 0] * sin + arm[of, 1] * cos,
    ))
    return points, first


def _boxes(points: Floats, first: Rows) -> tuple[Floats, Floats]:
    if len(first) == 1:
        return np.zeros((0, 2)), np.zeros((0, 2))
    return np.minimum.reduceat(points, first[:-1]), np.maximum.reduceat(points, first[:-1])


def _shapes(
    start: Floats, end: Floats, centre: Floats, kind: npt.NDArray[np.int8], radius: Floats, is_top: Bools
) -> Rows:
    """(n,) the same number for moves of the same plan, bit radius and face."""
    bent = kind >= MoveKind.ARC_CW
    key = np.column_stack((
        np.where(bent, kind, 0),
        is_top,
        start / COINCIDENT_MM,
        end / COINCIDENT_MM,
        np.where(bent[:, None], centre, 0.0) / COINCIDENT_MM,
        radius / COINCIDENT_MM,
    ))
    whole = np.ascontiguousarray(np.rint(np.nan_to_num(key)).astype(np.int64))
    packed = whole.view(np.dtype((np.void, whole.dtype.itemsize * whole.shape[1]))).ravel()
    return np.unique(packed, return_inverse=True)[1].astype(np.intp)
