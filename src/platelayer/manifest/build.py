"""The plan told as a manifest: what was meant, without paths.

Fields of one name are one thing and go over as they are.
"""

from collections.abc import Mapping
from dataclasses import fields, replace
from types import MappingProxyType
from typing import Any, TypeVar

from platelayer.manifest.schema import (
    Manifest,
    ManifestBit,
    ManifestBoard,
    ManifestFile,
    ManifestMachine,
    ManifestPiece,
    ManifestTurning,
    TurnLine,
)
from platelayer.pieces.rim import lines_on_near_edge
from platelayer.units import LengthUnit, worded
from platelayer.values.cuts import CutKind, PlacedPiece, Plan, Program, Section, Stop
from platelayer.values.minutes import OPERATION_OF, Operation
from platelayer.values.pieces import BoardFace, JointSizes
from platelayer.values.shapes import Contour
from platelayer.values.spin_up import wait_s
from platelayer.values.thin_cuts import FinishFeed
from platelayer.values.tooling import Bit, Board, CutData, HoldingKind, Job, Machine, StockBy
from platelayer.values.tuning import Tuning

T = TypeVar("T")


def manifest_of(
    plan: Plan,
    job: Job,
    sha256: Mapping[str, str],
    *,
    mate: JointSizes,
    heads: Mapping[str, tuple[str, ...]] = MappingProxyType({}),
    stops: Mapping[str, tuple[Stop, ...]] = MappingProxyType({}),
) -> Manifest:
    """The manifest of a plan whose files have these hashes by name; ``mate`` is the nominal sharp-cornered joint.

    ``heads`` and ``stops`` hold by name what each file has to tell a person and where it waits for one.
    """
    return _of(
        Manifest,
        plan,
        job=plan.job_name,
        machine=machine_of(plan.machine),
        boards=tuple(_board(board, plan, job) for board in plan.boards),
        files=tuple(
            _file(program, sha256[program.name], heads.get(program.name, ()), stops.get(program.name))
            for program in plan.programs
        ),
        pieces=tuple(
            _piece(placed, job.holding.kind, own_edge=_own_edge(placed, plan), first=plan.units)
            for placed in plan.pieces
        ),
        tuning=_tuning(job),
        title="" if job.title == plan.job_name else job.title,
        joint=mate,
    )


def _tuning(job: Job) -> Tuning | None:
    if job.tuning is None:
        return None
    return replace(job.tuning, words=tuple(worded(sentence, job.units) for sentence in job.tuning.words))


def machine_of(machine: Machine) -> ManifestMachine:
    """What a dry run and the motion model need to know of a machine."""
    return _of(
        ManifestMachine, machine, machine.dialect, spindle=machine.spindle.value, dwell_s=wait_s(machine.spin_up_s)
    )


def bit_of(bit: Bit, data: CutData | None = None) -> ManifestBit:
    """A bit with its feeds; zeros where it has none."""
    if data is None:
        return _of(ManifestBit, bit)
    return _of(ManifestBit, bit, data, dial=data.dial_label)


def finish_feeds_of(section: Section) -> tuple[FinishFeed, ...]:
    """Feeds of the finish passes of a bit's part of a program, in the order in which each first comes."""
    found = (
        _of(FinishFeed, one.thin, operation=Operation.FINISH if cut.kind is CutKind.OUTLINE else OPERATION_OF[cut.kind])
        for cut in section.cuts
        for one in cut.passes
        if one.thin is not None
    )
    return tuple(dict.fromkeys(found))


def _of(made: type[T], *sources: object, **said: Any) -> T:  # noqa: ANN401 whatever the fields hold
    """A value with each field as said, else as the first source has it that has a field of that name."""
    names = [one.name for one in fields(made)]  # type: ignore[arg-type]
    taken = {name: getattr(source, name) for source in reversed(sources) for name in names if hasattr(source, name)}
    return made(**taken | said)


def _turning(board: Board, plan: Plan) -> ManifestTurning | None:
    """How a board is turned; None when it is cut on one face."""
    if all(program.face is BoardFace.TOP for program in plan.programs if program.board.id == board.id):
        return None
    return _of(ManifestTurning, plan.turning, by=plan.turning.by.value, dowels=dict(plan.dowels).get(board.id, ()))


def _board(board: Board, plan: Plan, job: Job) -> ManifestBoard:
    return _of(
        ManifestBoard,
        board,
        size_mm=(board.width_mm, board.height_mm),
        allowance_mm=job.spoilboard_allowance_mm,
        held_by=job.holding.stock.value,
        span_mm=0.0 if job.holding.stock in (StockBy.TAPE, StockBy.VACUUM) else job.holding.span_mm,
        turning=_turning(board, plan),
    )


def _file(program: Program, sha256: str, head: tuple[str, ...], stops: tuple[Stop, ...] | None) -> ManifestFile:
    return _of(
        ManifestFile,
        program,
        board=program.board.id,
        sha256=sha256,
        turn=None if program.turn_y_mm is None else TurnLine(at_mm=program.turn_y_mm),
        bits=tuple(
            replace(bit_of(section.bit, section.data), finish_feeds=finish_feeds_of(section))
            for section in program.sections
        ),
        head=head,
        stops=stops,
    )


def _own_edge(placed: PlacedPiece, plan: Plan) -> Contour | None:
    """What of a piece's outline is its board's near edge, at a fence."""
    board = next(board for board in plan.boards if board.id == placed.board_id)
    lines = lines_on_near_edge(placed.piece) if board.fence_error_mm is not None else ()
    return Contour(lines, is_closed=False) if lines else None


def _piece(placed: PlacedPiece, held_by: HoldingKind, *, own_edge: Contour | None, first: LengthUnit) -> ManifestPiece:
    return _of(
        ManifestPiece,
        placed,
        placed.piece,
        title=worded(placed.piece.title, first),
        board=placed.board_id,
        own_edge=own_edge,
        held_by=held_by.value if held_by.is_from_below and not placed.tabs else "",
        unreached=tuple((corner.at[0], corner.at[1], corner.area_mm2) for corner in placed.unreached),
    )
