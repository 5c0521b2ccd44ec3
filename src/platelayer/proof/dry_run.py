"""The dry run: the files read back, held against what was meant, and nobody believed.

Order of the findings: errors first, then warnings, then notes; within them reading, travel, cutting, shape, joint and
holding, then as the files and pieces stand in the manifest.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from platelayer.gcode.board_frame import board_of
from platelayer.gcode.motion import move_lengths_mm, move_times
from platelayer.gcode.moves import BoardMoves, moves_on
from platelayer.gcode.work_times import work_times
from platelayer.manifest.schema import Manifest, ManifestBoard, ManifestFile
from platelayer.proof.as_cut import PieceAsCut, piece_as_cut
from platelayer.proof.checks.cutting import check_feed, check_plunges, check_shank, check_spindle, check_steps
from platelayer.proof.checks.edges import check_edges
from platelayer.proof.checks.faces import check_faces, check_turning
from platelayer.proof.checks.feeds_and_speeds import check_pace, check_speed
from platelayer.proof.checks.fence import check_fence
from platelayer.proof.checks.finish_feeds import check_finish_feeds
from platelayer.proof.checks.holding import check_holding
from platelayer.proof.checks.joint import check_joints
from platelayer.proof.checks.reading import check_bits, check_units, check_whole, read_files
from platelayer.proof.checks.shape import check_shape
from platelayer.proof.checks.standing import check_board_held, check_standing
from platelayer.proof.checks.state import check_lifted, check_modes
from platelayer.proof.checks.stops import check_head, check_stops
from platelayer.proof.checks.travel import (
    check_depth,
    check_extents,
    check_holder,
    check_no_go,
    check_on_board,
    check_rapids,
)
from platelayer.proof.design import designs_of
from platelayer.proof.joints import Mated, cut_ends, mated_ends, on_this_machine
from platelayer.proof.slivers import Waste, ringed_blocks, waste_of
from platelayer.proof.tabs import tabs_as_cut
from platelayer.values.findings import BoardReport, Code, FileReport, Finding, PieceReport, Report, Severity
from platelayer.values.motion import EventKind, Motion, MotionTime, MoveKind

_FAMILIES: Final = ("reading", "travel", "cutting", "shape", "joint", "holding")
_SEVERITIES: Final = (Severity.ERROR, Severity.WARNING, Severity.NOTE)
_WHOLE: Final = frozenset({
    Code.READING_CUT_SHORT,
    Code.READING_UNITS,
    Code.READING_BITS,
    Code.READING_SYNTAX,
    Code.READING_ARC_RADII_DIFFER,
})
"""Faults of a file that make every question about shape idle: its pieces are wrong because the file is."""


def dry_run(
    manifest: Manifest,
    texts: Mapping[str, str],
    *,
    motions: Mapping[str, Motion] | None = None,
    times: Mapping[str, MotionTime] | None = None,
    is_ours: bool = True,
) -> Report:
    """Everything that can be said of the files, from their texts and the manifest alone.

    Args:
        manifest: what was meant.
        texts: the files' texts by name.
        motions: files already read from those very texts, so that they need not be read twice.
        times: of those motions on the manifest's machine, so that they need not be worked out twice.
        is_ours: the files name their bits as this program's do; others need not.
    """
    checked = check_files(manifest, texts, motions=motions, is_ours=is_ours)
    read, known = checked.read, times or {}
    times = {name: known.get(name) or move_times(motion, manifest.machine) for name, motion in read.items()}
    found = [*checked.findings]
    woods: list[PieceAsCut] = []
    boards: list[BoardReport] = []
    for moves in checked.moves:
        some, waste, more = _cut_board(manifest, moves)
        woods += some
        found += more
        boards.append(_board_report(moves.board, waste))
    mated: Sequence[Mated] = ()
    if manifest.joint is not None:
        ends = cut_ends(_in_order(manifest, woods), manifest.joint)
        mated = on_this_machine(mated_ends(ends, manifest.joint), manifest.tuning)
    found += check_joints(mated, {piece.id: piece.board for piece in manifest.pieces})
    return Report(
        files=tuple(
            file_report(file, read[file.name], manifest, time=times[file.name])
            for file in manifest.files
            if file.name in read
        ),
        pieces=tuple(_piece_report(wood) for wood in _in_order(manifest, woods)),
        joints=tuple(one.report for one in mated),
        findings=_in_rank(found, manifest),
        boards=tuple(boards),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """What the files say, before anybody asks what they leave.

    Attributes:
        read: the motion of every file that can be read.
        findings: of words, stops, travel, feeds and spindle.
        moves: of every board whose files are sound enough to ask for shapes, in the manifest's order.
    """

    read: Mapping[str, Motion]
    findings: tuple[Finding, ...]
    moves: tuple[BoardMoves, ...]


def check_files(
    manifest: Manifest, texts: Mapping[str, str], *, motions: Mapping[str, Motion] | None = None, is_ours: bool = True
) -> Checked:
    """All that can be said of the files without the pieces: the dry run's first and cheaper part."""
    read, findings = read_files(manifest, texts, motions)
    reading = [*findings]
    for file in manifest.files:
        if file.name in read:
            motion = read[file.name]
            reading += check_whole(motion, board=file.board)
            reading += [*check_bits(file, motion), *check_head(file, motion)] if is_ours else ()
            reading += check_units(manifest, file, motion)
    other: list[Finding] = []
    judged: list[BoardMoves] = []
    for board in manifest.boards:
        moves = moves_on(board, manifest.files, read)
        other += _travel(manifest, moves)
        other += [*check_spindle(moves, manifest.machine), *check_feed(moves), *check_shank(moves)]
        other += [*check_pace(moves, manifest.machine), *check_speed(moves, manifest.machine)]
        other += check_finish_feeds(moves, manifest.machine)
        other += [*check_modes(moves, manifest.machine), *check_stops(moves, manifest.machine)] if is_ours else ()
        if _is_judged(manifest, board, reading):
            other += check_lifted(moves, is_ours=is_ours)
            judged.append(moves)
    return Checked(read=read, findings=(*reading, *other), moves=tuple(judged))


def _cut_board(manifest: Manifest, moves: BoardMoves) -> tuple[list[PieceAsCut], Waste, list[Finding]]:
    """A board's pieces and waste as its moves leave them, and all that is found; nothing else of the files is asked."""
    board = moves.board
    found = [*check_steps(moves), *check_plunges(moves)]
    pieces = [piece for piece in manifest.pieces if piece.board == board.id]
    designs = designs_of(pieces, board, bit_diameter_mm=2 * float(moves.radius.max(initial=0.0)))
    woods = [piece_as_cut(design, moves) for design in designs]
    found += check_fence(moves, pieces)
    found += [*check_turning(moves), *check_faces(woods, moves)]
    for wood in woods:
        found += [*check_shape(wood, moves), *check_edges(wood, moves)]
    tabs, waste = tabs_as_cut(moves, woods), waste_of(moves, woods)
    found += [*check_holding(moves, woods, tabs), *check_standing(moves, woods, tabs, waste)]
    found += check_board_held(manifest, board)
    return woods, waste, found


def _is_judged(manifest: Manifest, board: ManifestBoard, reading: Sequence[Finding]) -> bool:
    names = {file.name for file in manifest.files if file.board == board.id}
    return not any(finding.code in _WHOLE and finding.where.file in names for finding in reading)


def _travel(manifest: Manifest, moves: BoardMoves) -> list[Finding]:
    found = [*check_rapids(moves), *check_depth(moves), *check_on_board(moves)]
    found += check_holder(moves, manifest.machine)
    return [*found, *check_no_go(moves, manifest.machine), *check_extents(moves, manifest.machine)]


def file_report(file: ManifestFile, motion: Motion, manifest: Manifest, *, time: MotionTime) -> FileReport:
    """Lengths and time of one file on the manifest's machine, its bits and spindle speeds in order of use."""
    lengths = move_lengths_mm(motion)
    is_rapid = motion.kind == MoveKind.RAPID
    turned = {EventKind.SPEED, EventKind.SPINDLE_ON}
    speeds = tuple(dict.fromkeys(event.value for event in motion.events if event.kind in turned and event.value > 0))
    return FileReport(
        name=file.name,
        board=file.board,
        lines=motion.line_count,
        seconds_s=time.total_s,
        cutting_mm=float(lengths[~is_rapid].sum()),
        rapid_mm=float(lengths[is_rapid].sum()),
        bits=tuple(bit.id for bit in file.bits),
        spindle_rpm=speeds,
        dial=tuple(_dial_mark(manifest, speed) for speed in speeds) if manifest.machine.dial else (),
        below_mm=_below_mm(board_of(manifest, file.board), motion),
        work=work_times(motion, time, [bit.id for bit in file.bits]),
    )


def _below_mm(board: ManifestBoard, motion: Motion) -> float:
    """How far the tip goes below the board; in a dowel's hole, on the line about which it is turned, it may go on."""
    floor = -board.thickness_mm if board.zero == "top" else 0.0
    is_in_hole = np.zeros(len(motion), np.bool_)
    for dowel in board.turning.dowels if board.turning is not None else ():
        is_in_hole |= np.hypot(*(motion.end[:, :2] - dowel.at).T) <= dowel.diameter_mm / 2
    return max(0.0, floor - float(motion.end[~is_in_hole, 2].min(initial=floor)))


def _dial_mark(manifest: Manifest, speed_rpm: float) -> str:
    """The mark of the dial nearest to a speed."""
    return min(manifest.machine.dial, key=lambda mark: (abs(mark[1] - speed_rpm), mark[1]))[0]


def _board_report(board: ManifestBoard, waste: Waste) -> BoardReport:
    blocks = ringed_blocks(waste, board)
    least = min((block.area for block in blocks), default=0.0)
    return BoardReport(id=board.id, blocks=len(blocks), least_block_mm2=least)


def _piece_report(wood: PieceAsCut) -> PieceReport:
    piece = wood.design.piece
    return PieceReport(
        id=piece.id, kind=piece.kind, board=piece.board, gouge_mm=wood.gouge_mm, leftover_mm=wood.left_mm
    )


def _in_order(manifest: Manifest, woods: Sequence[PieceAsCut]) -> list[PieceAsCut]:
    by_id = {wood.design.piece.id: wood for wood in woods}
    return [by_id[piece.id] for piece in manifest.pieces if piece.id in by_id]


def _in_rank(found: Sequence[Finding], manifest: Manifest) -> tuple[Finding, ...]:
    boards = [board.id for board in manifest.boards]

    def rank(finding: Finding) -> tuple[int, int, int]:
        family, board = finding.code.value.split("-")[0], finding.where.board
        place = boards.index(board) if board in boards else 0
        return _SEVERITIES.index(finding.severity), _FAMILIES.index(family), place

    return tuple(sorted(found, key=rank))
