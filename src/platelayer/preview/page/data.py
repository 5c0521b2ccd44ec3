"""What the page is drawn from, as one block of bytes: columns of moves, texts of the files, shapes, problems.

Glossary:
    scene: one face of one board with all the files that cut it, in order. block: the bytes that travel in the page.
    column: one array of the block, named in its head with kind of number, place and count.

Layout of the block before it is deflated: 4 bytes length of the head (little endian), the head as JSON, then the
columns, each at a multiple of 8. Places are whole micrometres, each the difference from the one before, so that they
deflate well; z is 0 at the up face. A bottom face is shown as it lies on the machine: y is turned over for it.
"""

import base64
import json
import math
import zlib
from collections.abc import Mapping, Sequence
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from platelayer.gcode.board_frame import files_of
from platelayer.manifest.schema import Manifest, ManifestBit, ManifestBoard, ManifestFile, ManifestPiece
from platelayer.preview.pictures.lying import lying, place_lying
from platelayer.preview.pictures.middles import middle
from platelayer.preview.pictures.plan_marks import heading_beside
from platelayer.preview.report.between_words import words_before
from platelayer.preview.report.least_play import least_play
from platelayer.preview.report.minutes_words import minutes_pairs
from platelayer.preview.report.naming import numbered
from platelayer.preview.report.summary import how_sure, whole_s
from platelayer.units import inches, minutes, show_small, worded
from platelayer.values.findings import Report
from platelayer.values.motion import Floats, Motion, MotionTime, MoveKind
from platelayer.values.pieces import BoardFace
from platelayer.values.shapes import Arc, Contour

Data = dict[str, Any]
STEPS_PER_MM: Final = 1000
"""Places in the page are whole micrometres; finer than any screen, and a board of two kilometres still fits."""
DEFLATE_LEVEL: Final = 6
_TYPES: Final = {"u1": "u1", "i4": "<i4", "f4": "<f4"}


class Block:
    """Columns gathered one after another; not a value, it only lives while a page is being made."""

    def __init__(self) -> None:
        self._parts: list[bytes] = []
        self._size = 0

    def add(self, values: npt.ArrayLike, kind: str) -> list[Any]:
        """Adds a column and tells its entry for the head: [kind, byte, count]."""
        array = np.asarray(values).astype(_TYPES[kind])
        return self._add(array.tobytes(), kind, array.size)

    def add_text(self, text: str) -> list[Any]:
        """Adds a text as UTF-8."""
        data = text.encode("utf-8")
        return self._add(data, "text", len(data))

    def _add(self, data: bytes, kind: str, count: int) -> list[Any]:
        entry = [kind, self._size, count]
        padded = data + b"\0" * (-len(data) % 8)
        self._parts.append(padded)
        self._size += len(padded)
        return entry

    def deflated(self, head: Data) -> str:
        """Everything as base64 of a zlib stream."""
        text = json.dumps(head, ensure_ascii=False, separators=(",", ":"), allow_nan=False).encode("utf-8")
        text += b" " * (-(len(text) + 4) % 8)
        whole = len(text).to_bytes(4, "little") + text + b"".join(self._parts)
        return base64.b64encode(zlib.compress(whole, DEFLATE_LEVEL)).decode("ascii")


def page_block(
    manifest: Manifest,
    motions: Mapping[str, Motion],
    texts: Mapping[str, str],
    *,
    report: Report | None,
    times: Mapping[str, MotionTime],
) -> str:
    """The block of a page; a file without times is played at its feeds."""
    block = Block()
    scenes = [
        _scene(manifest, board, face, motions=motions, texts=texts, times=times, block=block)
        for board in manifest.boards
        for face in BoardFace
        if files_of(manifest, board.id, face) or face is BoardFace.TOP
    ]
    head = {
        "job": manifest.job,
        "material": manifest.material,
        "machine": manifest.machine.id,
        "units": manifest.units,
        "inch": inches(1.0),
        "scenes": scenes,
        "problems": _problems(manifest, report) if report else [],
        "summary": _summary(manifest, report) if report else [],
        "passed": report.passed if report else None,
    }
    return block.deflated(head)


def _scene(
    manifest: Manifest,
    board: ManifestBoard,
    face: BoardFace,
    *,
    motions: Mapping[str, Motion],
    texts: Mapping[str, str],
    times: Mapping[str, MotionTime],
    block: Block,
) -> Data:
    scene = lying(manifest, board, motions, face=face)
    bits = sorted({bit for _, file in scene.cut for bit in file.bits}, key=lambda bit: bit.id)
    deepest = min((float(motion.end[:, 2].min(initial=0.0)) for motion, _ in scene.cut), default=0.0)
    return {
        "board": board.id,
        "face": face.value,
        "size": list(board.size_mm),
        "thickness": board.thickness_mm,
        "floor": max(board.thickness_mm + board.allowance_mm, -deepest) + 0.25,
        "bits": [bit_data(bit) for bit in bits],
        "files": [
            _file(file, motion, bits, text=texts.get(file.name, ""), time=times.get(file.name), block=block)
            for motion, file in scene.cut
        ],
        "pieces": [_piece(piece) for piece in scene.pieces],
        "noGo": [
            {
                "title": area.title,
                "height": area.height_mm,
                "outline": _contour(area.outline),
            }
            for area in scene.board.no_go
        ],
    }


def bit_data(bit: ManifestBit) -> Data:
    """A bit as the page is reported it; the page works out its shape as ``values.bit_shape`` does."""
    return {
        "id": bit.id,
        "kind": bit.kind.value,
        "diameter": bit.diameter_mm,
        "length": bit.cutting_length_mm,
        "shank": bit.shank_mm,
        "included": bit.included_rad,
        "corner": bit.corner_radius_mm,
    }


def _file(
    file: ManifestFile, motion: Motion, bits: Sequence[ManifestBit], *, text: str, time: MotionTime | None, block: Block
) -> Data:
    index = np.array([bits.index(bit) for bit in file.bits] or [0])
    gap_s, seconds = _times(motion, time)
    is_arc = motion.kind >= MoveKind.ARC_CW
    data: Data = {
        "name": file.name,
        "count": len(motion),
        "total": time.total_s if time else float(seconds.sum()),
        "kind": block.add(motion.kind, "u1"),
        "bit": block.add(index[np.clip(motion.bit, 0, len(index) - 1)], "u1"),
        "line": block.add(np.diff(motion.line, prepend=0), "i4"),
        "feed": block.add(motion.feed, "f4"),
        "gap": block.add(gap_s, "f4"),
        "seconds": block.add(seconds, "f4"),
        "text": block.add_text(text),
    }
    jump = np.zeros(len(motion), dtype=np.bool_)
    jump[:1] = True
    jump[1:] = (np.abs(motion.start[1:] - motion.end[:-1]) * STEPS_PER_MM > 1).any(axis=1)
    data["jump"] = block.add(np.flatnonzero(jump), "i4")
    for axis, name in enumerate("xyz"):
        data[name] = block.add(_steps(motion.end[:, axis]), "i4")
        data[f"from_{name}"] = block.add(_steps(motion.start[jump, axis]), "i4")
    for axis, name in enumerate(("cx", "cy")):
        data[name] = block.add(_steps(motion.centre[is_arc, axis]), "i4")
    return data


def _steps(places: Floats) -> npt.NDArray[np.int64]:
    steps = np.rint(places * STEPS_PER_MM).astype(np.int64)
    steps[1:] = steps[1:] - steps[:-1]
    return steps


def _times(motion: Motion, time: MotionTime | None) -> tuple[Floats, Floats]:
    """Rest before every move and its length in seconds; without times at the feed, rapids at 3 m/min."""
    if time is not None:
        before = np.concatenate(([0.0], (time.start_s + time.seconds_s)[:-1]))[: len(motion)]
        gap = time.start_s - before
        return np.where(gap > 1 / 1000, gap, 0.0), time.seconds_s
    length = np.sqrt(((motion.end - motion.start) ** 2).sum(axis=1))
    feed = np.where(motion.feed > 0, motion.feed, 3000.0)
    seconds: Floats = length / feed * 60
    return np.zeros_like(seconds), seconds


def _piece(piece: ManifestPiece) -> Data:
    place = middle(piece)
    tabs = []
    for tab in piece.tabs:
        along = min(heading_beside(segment, tab.at) for segment in piece.outline.segments)[1]
        tabs.append([*_point(tab.at), along, tab.width_mm, tab.height_mm])
    return {
        "id": piece.id,
        "title": piece.title,
        "order": piece.order,
        "length": piece.length_mm,
        "at": _point(place.at),
        "heading": place.heading_rad,
        "outline": _contour(piece.outline),
        "inner": [_contour(inner) for inner in piece.inner],
        "tabs": [[round(value, 4) for value in tab] for tab in tabs],
    }


def _point(point: tuple[float, ...]) -> list[float]:
    return [round(part, 4) for part in point]


def _contour(contour: Contour) -> list[list[float]]:
    """Start, then for every segment [x, y] or [x, y, cx, cy, 1 counter-clockwise or 0]."""
    out = [_point(contour.start)]
    for segment in contour.segments:
        row = _point(segment.end)
        if isinstance(segment, Arc):
            row += [*_point(segment.centre), int(segment.is_ccw)]
        out.append(row)
    return out


def _problems(manifest: Manifest, report: Report) -> list[Data]:
    faces = {file.name: file for file in manifest.files}
    boards = {board.id: board for board in manifest.boards}
    out = []
    for finding in report.told:
        where = finding.where
        file = faces.get(where.file)
        board = where.board or (file.board if file else "")
        face = file.face if file else BoardFace.TOP
        point = None
        if where.point is not None and board in boards and all(map(math.isfinite, where.point)):
            point = _point(place_lying(where.point, boards[board], face=face))
        out.append({
            "code": finding.code.value,
            "severity": finding.severity.value,
            "text": _in_units(numbered(finding.text, manifest)),
            "advice": _in_units(numbered(finding.advice, manifest)),
            "board": board,
            "face": face.value,
            "file": where.file,
            "line": where.line,
            "piece": numbered(where.piece, manifest),
            "at": where.piece,
            "point": point,
        })
    return out


def _summary(manifest: Manifest, report: Report) -> list[list[str]]:
    """Rows of words, each name with its value for a reader of mm and of inches: what a woodworker asks first."""
    rows = [
        ["Pieces", str(len(manifest.pieces))],
        ["Files", str(len(report.files))],
        ["Time", f"{minutes(whole_s(manifest, report))}, {how_sure(manifest)}"],
    ]
    rows += [[f"Minutes: {does}", took] for does, took in minutes_pairs(manifest, report)]
    before = ((name, words) for name, some in words_before(manifest).items() for words in some)
    rows += [[f"Before {name}", words] for name, words in before]
    if report.pieces:
        rows.append(["Deepest gouge", show_small(max(piece.gouge_mm for piece in report.pieces))])
        rows.append(["Most wood left", show_small(max(piece.leftover_mm for piece in report.pieces))])
    if report.joints:
        if (least := least_play(report)) is not None:
            rows.append(["Joints close to", show_small(max(joint.seat.opening_mm for joint in report.joints))])
            rows.append(["Least play along the track", least[0]])
            rows.append(["Least play sideways", f"{least[1]} each way"])
        else:
            rows.append(["Joint", "does not go together"])
    return [[name, *_in_units(value)] for name, value in rows]


def _in_units(sentence: str) -> list[str]:
    """The sentence for a reader of millimetres and for one of inches, whichever the page's switch is set to."""
    return [worded(sentence, "mm"), worded(sentence, "in")]
