"""The plan told as a manifest: what was meant, without paths."""

from collections.abc import Mapping
from dataclasses import fields

from platelayer.manifest.schema import (
    Manifest,
    ManifestBit,
    ManifestBoard,
    ManifestFile,
    ManifestMachine,
    ManifestPiece,
    ManifestTurning,
)
from platelayer.values.cuts import PlacedPiece, Plan, Program, Section
from platelayer.values.pieces import BoardFace, JointSizes
from platelayer.values.tooling import Board, HoldingKind, Job, Machine


def manifest_of(plan: Plan, job: Job, sha256: Mapping[str, str], *, mate: JointSizes) -> Manifest:
    """The manifest of a plan whose files have these hashes by name; ``mate`` is the nominal sharp-cornered joint."""
    return Manifest(
        job=plan.job_name,
        units=plan.units,
        material=plan.material,
        machine=machine_of(plan.machine),
        boards=tuple(_board(board, job.spoilboard_allowance_mm, _turning(plan, board)) for board in plan.boards),
        files=tuple(_file(program, sha256[program.name]) for program in plan.programs),
        pieces=tuple(_piece(placed, job.holding.kind) for placed in plan.pieces),
        tuning=job.tuning,
        title="" if job.title == plan.job_name else job.title,
        joint=tuple((field.name, getattr(mate, field.name)) for field in fields(JointSizes)),
    )


def machine_of(machine: Machine) -> ManifestMachine:
    """What a dry run and the motion model need to know of a machine."""
    return ManifestMachine(
        id=machine.id,
        travel_mm=machine.travel_mm,
        zero_at=machine.zero_at,
        feed_max_mm_min=machine.feed_max_mm_min,
        rapid_mm_min=machine.rapid_mm_min,
        accel_mm_s2=machine.accel_mm_s2,
        corner_deviation_mm=machine.corner_deviation_mm,
        corner_speed_mm_min=machine.corner_speed_mm_min,
        spindle=machine.spindle.value,
        dial=machine.dial,
        dwell_unit=machine.dialect.dwell_unit,
        holder_diameter_mm=machine.holder_diameter_mm,
    )


def _turning(plan: Plan, board: Board) -> ManifestTurning | None:
    """How a board is turned; None when it is cut on one face."""
    if all(program.face is BoardFace.TOP for program in plan.programs if program.board.id == board.id):
        return None
    return ManifestTurning(
        by=plan.turning.by.value,
        tolerance_mm=plan.turning.tolerance_mm,
        dowels=dict(plan.dowels).get(board.id, ()),
    )


def _board(board: Board, allowance_mm: float, turning: ManifestTurning | None) -> ManifestBoard:
    return ManifestBoard(
        id=board.id,
        size_mm=(board.width_mm, board.height_mm),
        thickness_mm=board.thickness_mm,
        zero=board.zero,
        no_go=board.no_go,
        allowance_mm=allowance_mm,
        scatter_mm=board.scatter_mm,
        outline=board.outline,
        is_strip=board.is_strip,
        grain_rad=board.grain_rad,
        feeds=board.feeds,
        turning=turning,
    )


def _file(program: Program, sha256: str) -> ManifestFile:
    return ManifestFile(
        name=program.name,
        board=program.board.id,
        face=program.face,
        sha256=sha256,
        bits=tuple(_bit(section) for section in program.sections),
        turn_y_mm=program.turn_y_mm,
    )


def _bit(section: Section) -> ManifestBit:
    bit = section.bit
    return ManifestBit(
        id=bit.id,
        kind=bit.kind,
        diameter_mm=bit.diameter_mm,
        nominal_mm=bit.nominal_mm,
        measured_mm=bit.measured_mm,
        cutting_length_mm=bit.cutting_length_mm,
        reach_mm=bit.reach_mm,
        shank_mm=bit.shank_mm,
        may_plunge=bit.may_plunge,
        stepdown_mm=section.data.stepdown_mm,
        flutes=bit.flutes,
        included_rad=bit.included_rad,
        corner_radius_mm=bit.corner_radius_mm,
        spindle_rpm=section.data.spindle_rpm,
        dial=section.data.dial_label,
        feed_mm_min=section.data.feed_mm_min,
        plunge_mm_min=section.data.plunge_mm_min,
    )


def _piece(placed: PlacedPiece, held_by: HoldingKind) -> ManifestPiece:
    piece = placed.piece
    return ManifestPiece(
        id=piece.id,
        kind=piece.kind,
        title=piece.title,
        board=placed.board_id,
        pose=placed.pose,
        ends=piece.ends,
        outline=piece.outline,
        inner=piece.inner,
        grooves=piece.grooves,
        tabs=placed.tabs,
        skin_mm=placed.skin_mm,
        order=placed.order,
        length_mm=piece.length_mm,
        held_by=held_by.value if held_by.is_from_below and not placed.tabs else "",
        unreached=tuple((corner.at[0], corner.at[1], corner.area_mm2) for corner in placed.unreached),
        edges=placed.edges,
    )
