"""The manifest as plain data, ready to be dumped as JSON; lengths mm, angles in degrees, numbers unrounded.

The reading side lives in preview and shares nothing with this one. Nothing here touches the disk.
"""

import math
from dataclasses import asdict
from typing import Any

from platelayer.manifest.schema import (
    Manifest,
    ManifestBit,
    ManifestBoard,
    ManifestFile,
    ManifestMachine,
    ManifestPiece,
    ManifestTurning,
)
from platelayer.values.pieces import EdgeBreak, End, Groove
from platelayer.values.shapes import Contour, Line, Pose, Segment
from platelayer.values.tuning import Tuning

Data = dict[str, Any]


def manifest_data(manifest: Manifest) -> Data:
    """The manifest as dicts, lists, numbers and strings, in the documented order of keys (version 1)."""
    data: Data = {
        "manifest": 1,
        "units": "mm",
        "shown_units": manifest.units,
        "job": manifest.job,
        "material": manifest.material,
        "machine": _machine(manifest.machine),
        "joint": dict(manifest.joint),
        "boards": [_board(board) for board in manifest.boards],
        "files": [_file(file) for file in manifest.files],
        "pieces": [_piece(piece) for piece in manifest.pieces],
    }
    if manifest.title:
        data["title"] = manifest.title
    if manifest.noticed:
        data["noticed"] = list(manifest.noticed)
    return data if manifest.tuning is None else data | {"tuning": _tuning(manifest.tuning)}


def _tuning(tuning: Tuning) -> Data:
    changes = {"peg": tuning.peg_change_mm, "socket": tuning.socket_change_mm, "own": tuning.own_change_mm}
    return {
        "design": asdict(tuning.design),
        "drawn": asdict(tuning.drawn),
        "play_change": changes,
        "words": list(tuning.words),
    }


def _machine(machine: ManifestMachine) -> Data:
    return {
        "id": machine.id,
        "travel": list(machine.travel_mm),
        "zero_at": None if machine.zero_at is None else list(machine.zero_at),
        "feed_max": list(machine.feed_max_mm_min),
        "rapid": list(machine.rapid_mm_min),
        "accel": list(machine.accel_mm_s2),
        "corner_deviation": machine.corner_deviation_mm,
        "corner_speed": machine.corner_speed_mm_min,
        "spindle": machine.spindle,
        "dial": [[label, rpm] for label, rpm in machine.dial],
        "dwell_unit": machine.dwell_unit,
        "holder_diameter": machine.holder_diameter_mm,
    }


def _board(board: ManifestBoard) -> Data:
    data: Data = {
        "id": board.id,
        "size": list(board.size_mm),
        "thickness": board.thickness_mm,
        "zero": board.zero,
        "allowance": board.allowance_mm,
        "no_go": [
            {"outline": _contour(area.outline), "height": area.height_mm, "title": area.title} for area in board.no_go
        ],
        "scatter": board.scatter_mm,
    }
    if board.outline is not None:
        data["outline"] = _contour(board.outline)
    if board.grain_rad:
        data["grain"] = math.degrees(board.grain_rad)
    if board.is_strip:
        data["strip"] = True
    if board.feeds:
        data["feeds"] = [
            {
                "piece": feed.piece_id,
                "strip": feed.strip,
                "stop": feed.stop_mm,
                "used": feed.used_mm,
                "left": feed.left_mm,
            }
            for feed in board.feeds
        ]
    return data if board.turning is None else data | {"turning": _turning(board.turning)}


def _turning(turning: ManifestTurning) -> Data:
    return {
        "by": turning.by,
        "tolerance": turning.tolerance_mm,
        "dowels": [
            {"at": list(dowel.at), "diameter": dowel.diameter_mm, "depth": dowel.depth_mm} for dowel in turning.dowels
        ],
    }


def _file(file: ManifestFile) -> Data:
    data: Data = {"name": file.name, "board": file.board, "face": file.face.value, "sha256": file.sha256}
    if file.turn_y_mm is not None:
        data["turn"] = {"axis": "x", "at": file.turn_y_mm}
    return data | {"bits": [_bit(bit) for bit in file.bits]}


def _bit(bit: ManifestBit) -> Data:
    return {
        "id": bit.id,
        "kind": bit.kind.value,
        "diameter": bit.diameter_mm,
        "nominal": bit.nominal_mm,
        "measured": bit.measured_mm,
        "cutting_length": bit.cutting_length_mm,
        "reach": bit.reach_mm,
        "shank": bit.shank_mm,
        "may_plunge": bit.may_plunge,
        "stepdown": bit.stepdown_mm,
        "flutes": bit.flutes,
        "included": math.degrees(bit.included_rad),
        "corner_radius": bit.corner_radius_mm,
        "spindle": bit.spindle_rpm,
        "dial": bit.dial,
        "feed": bit.feed_mm_min,
        "plunge": bit.plunge_mm_min,
    }


def _piece(piece: ManifestPiece) -> Data:
    data: Data = {
        "id": piece.id,
        "kind": piece.kind,
        "title": piece.title,
        "board": piece.board,
        "order": piece.order,
        "length": piece.length_mm,
        "pose": _pose(piece.pose),
        "ends": [_end(end) for end in piece.ends],
        "outline": _contour(piece.outline),
        "inner": [_contour(contour) for contour in piece.inner],
        "grooves": [_groove(groove) for groove in piece.grooves],
        "holding": {
            "tabs": [[tab.at[0], tab.at[1], tab.width_mm, tab.height_mm] for tab in piece.tabs],
            "skin": piece.skin_mm,
            **({"by": piece.held_by} if piece.held_by else {}),
        },
        "unreached": [list(corner) for corner in piece.unreached],
    }
    return data | {"edges": [_edge(edge) for edge in piece.edges]} if piece.edges else data


def _edge(edge: EdgeBreak) -> Data:
    return {
        "place": edge.place.value,
        "face": edge.face.value,
        "width": edge.width_mm,
        "depth": edge.depth_mm,
        "radius": edge.radius_mm,
        "bit": edge.bit,
    }


def _groove(groove: Groove) -> Data:
    return {
        "face": groove.face.value,
        "width": groove.width_mm,
        "depth": groove.depth_mm,
        "path": _contour(groove.path),
        "flare": [{"length": flare.length_mm, "extra": flare.extra_mm} for flare in groove.flare],
    }


def _end(end: End) -> Data:
    return {"kind": end.kind.value, "pose": _pose(end.pose)}


def _pose(pose: Pose) -> list[float]:
    return [pose.x, pose.y, math.degrees(pose.heading_rad)]


def _contour(contour: Contour) -> list[Data]:
    return [_segment(segment) for segment in contour.segments]


def _segment(segment: Segment) -> Data:
    if isinstance(segment, Line):
        return {"line": [*segment.start, *segment.end]}
    turn = "ccw" if segment.is_ccw else "cw"
    return {"arc": [*segment.start, *segment.end, *segment.centre, turn]}
