"""Placed pieces and their cuts put in order: by bit first, within a bit by purpose, outlines in rounds.

Glossary:
    stage: one bit and a kind of cut that it does. Not a pass.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import groupby
from types import MappingProxyType
from typing import Final

from platelayer.geometry.contours import transform_point, transform_segment
from platelayer.geometry.placing import place_piece
from platelayer.sequence.open_ways import with_open_ways
from platelayer.sequence.order import Visit, order_cuts
from platelayer.values.cuts import (
    Bore,
    Cut,
    CutKind,
    Dowel,
    Outlines,
    PieceCuts,
    PlacedPiece,
    Plan,
    Program,
    Section,
    Tab,
    UnreachedCorner,
)
from platelayer.values.pieces import BoardFace, Piece, Placement
from platelayer.values.shapes import Point, Pose
from platelayer.values.tooling import Board, Job

Stage = tuple[str, CutKind]

_STAGE_OF: Final = {
    CutKind.DOWEL: 0,
    CutKind.GROOVE: 1,
    CutKind.SOCKET: 2,
    CutKind.NOTCH: 2,
    CutKind.CORNER: 2,
    CutKind.EDGE: 3,
    CutKind.BREAK: 3,
    CutKind.WASTE: 4,
    CutKind.SLOT: 5,
    CutKind.OUTLINE: 6,
    CutKind.PARTING: 7,
}


def stages(job: Job, *, dowels_bit: str = "") -> tuple[Stage, ...]:
    """What is cut by which bit, in order; every wall stands before any piece is parted.

    Where the outlines bit opens joints for a smaller one, it comes back to part the pieces. On a strip joints are cut
    first, since an outline leaves bridges alone there. Edges that come before slots are broken in whole wood. A bit
    that cuts both joints and outlines comes twice where another one is needed in between.
    """
    grooves, corners = (job.grooves_bit, CutKind.GROOVE), (job.finish_bit, CutKind.CORNER)
    joints = ((job.joints_bit, CutKind.SOCKET), (job.joints_bit, CutKind.NOTCH))
    edges = ((job.edges.outer_bit, CutKind.EDGE), (job.edges.groove_bit, CutKind.BREAK))
    slots = tuple((job.outlines_bit, kind) for kind in (CutKind.WASTE, CutKind.SLOT, CutKind.OUTLINE))
    wanted: tuple[tuple[str, CutKind], ...] = (grooves, *joints, *edges, *slots, corners)
    if job.opens_joints:
        opening = ((job.outlines_bit, CutKind.SOCKET), *slots)
        first = (*opening, grooves) if job.grooves_bit == job.joints_bit else (grooves, *opening)
        wanted = (*first, *joints, corners, *edges)
    wanted = ((dowels_bit, CutKind.DOWEL), *wanted, (job.outlines_bit, CutKind.PARTING))
    return tuple(stage for stage in wanted if stage[0])


def plan_boards(
    job: Job,
    pieces: Sequence[Piece],
    cuts: Mapping[str, PieceCuts],
    placements: Sequence[Placement],
    *,
    bore: Bore | None = None,
    dowels: Mapping[str, tuple[Dowel, ...]] = MappingProxyType({}),
    outlines: Mapping[str, Outlines] = MappingProxyType({}),
) -> Plan:
    """The whole plan: pieces and cuts in board coordinates, one program for each board and bit.

    Args:
        job: bits, feeds, boards.
        pieces: in the order of the cut list.
        cuts: by ``Piece.shape``, in the piece's own frame.
        placements: where each piece lies.
        outlines: by board, the cuts round all of its pieces, in board coordinates, and the pieces' tabs.
        bore: of the dowels on which a board with grooves on both faces is turned; None where it is turned otherwise.
        dowels: by board, where that hole is bored if the board is turned.
    """
    boards = tuple(board for board in job.boards if any(placement.board_id == board.id for placement in placements))
    placed: list[PlacedPiece] = []
    programs: list[Program] = []
    turned: list[str] = []
    for board in boards:
        here = [placement for placement in placements if placement.board_id == board.id]
        here.sort(key=lambda placement: (round(placement.pose.y), placement.pose.x))
        around = outlines.get(board.id, Outlines(cuts=(), tabs={}))
        board_cuts = [*around.cuts]
        for number, placement in enumerate(here, start=1):
            piece = pieces[placement.index]
            own = cuts[piece.shape]
            placed.append(_placed(piece, own, placement, order=number, tabs=around.tabs.get(placement.index, ())))
            board_cuts.extend(_place_cut(cut, piece.id, placement.pose) for cut in own.cuts)
        if bore is not None and any(cut.face is BoardFace.BOTTOM for cut in board_cuts):
            turned.append(board.id)
            board_cuts.extend(_bored(bore, dowels[board.id]))
        programs.extend(_programs(job, board, board_cuts))
    return Plan(
        job_name=job.name,
        units=job.units,
        material=job.material.title,
        machine=job.machine,
        boards=boards,
        pieces=tuple(placed),
        programs=tuple(programs),
        turning=job.turning,
        dowels=tuple((board_id, dowels[board_id]) for board_id in turned),
    )


def _placed(piece: Piece, own: PieceCuts, placement: Placement, *, order: int, tabs: tuple[Tab, ...]) -> PlacedPiece:
    pose = placement.pose
    own_tabs = (Tab(transform_point(tab.at, pose), tab.width_mm, tab.height_mm) for tab in own.tabs)
    return PlacedPiece(
        piece=place_piece(piece, pose),
        pose=pose,
        board_id=placement.board_id,
        tabs=(*own_tabs, *tabs),
        skin_mm=own.skin_mm,
        unreached=tuple(
            UnreachedCorner(transform_point(corner.at, pose), corner.area_mm2, corner.depth_mm)
            for corner in own.unreached
        ),
        order=order,
        edges=own.edges,
    )


def _place_cut(cut: Cut, piece_id: str, pose: Pose) -> Cut:
    return replace(
        cut,
        piece_id=piece_id,
        passes=tuple(
            replace(
                one, steps=tuple(replace(step, segment=transform_segment(step.segment, pose)) for step in one.steps)
            )
            for one in cut.passes
        ),
    )


def _bored(bore: Bore, dowels: Sequence[Dowel]) -> Iterable[Cut]:
    """The holes of a board's dowels in board coordinates."""
    for number, dowel in enumerate(dowels, start=1):
        yield _place_cut(bore.cut, f"dowel-{number}", Pose(*dowel.at, 0.0))


def _programs(job: Job, board: Board, cuts: Sequence[Cut]) -> Iterable[Program]:
    """Files of one board in the order they are cut: what is cut from below first, while the board is whole."""
    number = 0
    for face in (BoardFace.BOTTOM, BoardFace.TOP):
        sections = tuple(_sections(job, [cut for cut in cuts if cut.face is face]))
        before: tuple[Section, ...] = ()
        for together in (sections,) if job.one_file and sections else ((section,) for section in sections):
            number += 1
            program = Program(name="", board=board, face=face, sections=with_open_ways(together, before=before))
            before = (*before, *program.sections)
            yield replace(program, name=program_name(program, number))


def program_name(program: Program, number: int) -> str:
    """Name of the file that a program becomes: its board, its number on it, a turned face, its bits."""
    bits = "+".join(dict.fromkeys(section.bit.id for section in program.sections))
    face = "bottom-" if program.face is BoardFace.BOTTOM else ""
    return f"{program.board.id}-{number}-{face}{bits}.nc"


def _sections(job: Job, cuts: Sequence[Cut]) -> Iterable[Section]:
    dowels_bit = next((cut.bit_id for cut in cuts if cut.kind is CutKind.DOWEL), "")
    made = {(cut.bit_id, cut.kind) for cut in cuts}
    wanted = (one for one in stages(job, dowels_bit=dowels_bit) if one in made)
    for bit_id, run in groupby(wanted, key=lambda one: one[0]):
        kinds = {kind for _, kind in run}
        ordered = in_order([cut for cut in cuts if cut.bit_id == bit_id and cut.kind in kinds], park=job.machine.park)
        yield Section(bit=job.bit(bit_id), data=job.cut_data(bit_id), cuts=ordered)


def in_order(cuts: Sequence[Cut], *, park: Point) -> tuple[Cut, ...]:
    """Grooves of all pieces, all sockets, notches and corners, then outlines round by round: short rapids in each."""
    visits = [Visit(entry=cut.passes[0].start, exit=cut.passes[-1].end, stage=_STAGE_OF[cut.kind]) for cut in cuts]
    return tuple(cuts[index] for index in order_cuts(visits, start=park, end=park))
