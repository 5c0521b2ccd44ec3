"""The shop sheet's words and figures, from the manifest, the files as read and the dry run's report alone.

Glossary:
    as read: feeds come from the files' own F words, minutes from their timed moves; nothing is taken from the plan.
"""

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from itertools import pairwise
from typing import Final

import numpy as np

from platelayer.manifest.schema import Manifest, ManifestBit, ManifestBoard, ManifestPiece
from platelayer.pieces.routes import routes_through
from platelayer.preview.paper.cautions import join_wood, shop_cautions, toy_cautions
from platelayer.preview.paper.parts import SheetSection, SheetTable, ShopSheet, worded_sheet
from platelayer.preview.report.between_words import spoilboard_words, words_before
from platelayer.preview.report.edge_words import edge_lines, has_broken_edges
from platelayer.preview.report.holding_words import holding_lines, middle, pieces_words
from platelayer.preview.report.least_play import least_play
from platelayer.preview.report.minutes_words import AT_LEAST, minutes_cells
from platelayer.preview.report.naming import numbered
from platelayer.preview.report.strip_words import piece_count, runs_of, strip_lines
from platelayer.preview.report.summary import how_sure, show_finding, verdict, whole_s
from platelayer.tolerances import COINCIDENT_MM, SEAT_MM
from platelayer.units import (
    LengthUnit,
    minutes,
    show_change,
    show_fraction,
    show_length,
    show_mm,
    show_place,
    show_small,
    to_inches,
    worded,
)
from platelayer.values.findings import FileReport, JointReport, Report, Severity
from platelayer.values.motion import EventKind, Motion, MoveKind

_JOINT_WORDS: Final = {
    "neck_width_mm": "peg: neck width",
    "head_diameter_mm": "peg: head diameter",
    "head_setback_mm": "peg: face to head",
    "mouth_width_mm": "socket: mouth width",
    "hole_diameter_mm": "socket: hole diameter",
    "hole_setback_mm": "socket: face to hole",
}


def shop_sheet(
    manifest: Manifest,
    report: Report,
    motions: Mapping[str, Motion],
) -> ShopSheet:
    """Everything the person carries to the shop, as words and figures.

    Args:
        manifest: what was meant.
        report: what the dry run of the files found.
        motions: the files as read, by name; a file that is missing shows no feeds.
    """
    total = whole_s(manifest, report)
    sheet = ShopSheet(
        title=manifest.heading,
        verdict=verdict(report),
        passed=report.passed,
        facts=_facts(manifest, total),
        first=(
            _warnings(manifest, report),
            _checklist(manifest, report),
            _files(manifest, report),
            _bits(manifest, report, motions),
        ),
        after=(
            _cut_list(manifest),
            _minutes(manifest, report),
            _holding(manifest),
            _joints(manifest, report),
            SheetSection(title="Edges", sentences=edge_lines(manifest)),
            SheetSection(
                title="At the machine",
                sentences=shop_cautions(
                    material=manifest.material,
                    total_s=total,
                    has_tabs=any(piece.tabs for piece in manifest.pieces),
                    has_skin=any(piece.skin_mm > 0 for piece in manifest.pieces),
                ),
                is_warning=True,
            ),
            SheetSection(
                title="Before a child has it",
                sentences=toy_cautions(edges_by_hand=not has_broken_edges(manifest)),
                is_warning=True,
            ),
        ),
    )
    return worded_sheet(sheet, manifest.units)


def _facts(manifest: Manifest, total_s: float) -> tuple[tuple[str, str], ...]:
    boards = "; ".join(
        f"{board.id}: {show_length(board.size_mm[0])} by {show_length(board.size_mm[1])}, "
        f"{show_length(board.thickness_mm)} thick"
        for board in manifest.boards
    )
    return (
        ("Pieces", str(piece_count(manifest))),
        ("Wood", manifest.material),
        ("Boards", boards),
        ("Machine", manifest.machine.id),
        ("Time", f"{minutes(total_s)}, {how_sure(manifest)}, pauses not counted"),
        ("Zero", _zeros(manifest)),
    )


def _zeros(manifest: Manifest) -> str:
    """Where zero is, board by board only where they differ."""
    words = [_zero(board) for board in manifest.boards]
    if len(set(words)) == 1:
        return words[0]
    return join_wood([f"{board.id}: {zero}" for board, zero in zip(manifest.boards, words, strict=True)])


def _zero(board: ManifestBoard) -> str:
    height = "top of the wood" if board.zero == "top" else "spoilboard, under the wood"
    if board.fence_error_mm is None:
        return f"x and y at the near left corner, z at the {height}"
    return f"y at the fence with the board's front edge pushed against it, x at its left end, z at the {height}"


def _warnings(manifest: Manifest, report: Report) -> SheetSection:
    """Errors and warnings, those first that were noticed while the files were made."""
    lines = [
        show_finding(finding) for finding in sorted(report.told, key=lambda one: list(Severity).index(one.severity))
    ]
    sentences = tuple(numbered(line, manifest) for line in dict.fromkeys((*manifest.noticed, *lines)))
    return SheetSection(title="To note", sentences=sentences, is_warning=True)


def _checklist(manifest: Manifest, report: Report) -> SheetSection:
    thick = join_wood([f"{board.id}: {show_length(board.thickness_mm)}" for board in manifest.boards])
    bits = {bit.id: bit.reach_mm for file in manifest.files for bit in file.bits if bit.reach_mm > 0}
    out = join_wood([f"{bit} {show_length(reach)}" for bit, reach in bits.items()])
    checks = [
        f"Wood measured with a caliper in four places ({thick}); more than a little off, and the job is made again.",
        "Board flat and held where the drawing shows no cut; no screw, staple or grit in the way of the bit.",
        "Zero set as in the drawing: near left corner, grain as the arrow shows.",
        "Bit clean, sharp, pushed well into the collet"
        + (f" and standing out of it as the dry run took it ({out})" if out else "")
        + "; collet tight, holder clear of clamps.",
        "Spindle set as in the table for the bit that is in.",
        "Each file run in the air first (platelayer rehearse writes these), watching board edges, clamps and cable.",
        "Extraction on; glasses and ear protection on; sleeves and hair tied back; gloves off.",
        "Hand near the stop, nobody else within reach of the machine.",
    ]
    checks[3:3] = [f"Before {name}: {words}." for name, some in words_before(manifest).items() for words in some]
    checks[2:2] = spoilboard_words(manifest, report)
    if any(board.fence_error_mm is not None for board in manifest.boards):
        checks[2:2] = [
            "Board pushed against the fence along its front edge before y is zeroed, and y zeroed on the fence."
        ]
    if any(board.is_strip for board in manifest.boards):
        checks[2:2] = [
            "Strip tight between the fence and a batten of scrap at its far edge, neither higher than the wood."
        ]
    return SheetSection(title="Before you start", checks=tuple(checks))


def _files(manifest: Manifest, report: Report) -> SheetSection:
    known, runs = {file.name: file for file in report.files}, runs_of(manifest)
    before = words_before(manifest)
    rows = []
    for number, file in enumerate(manifest.files, start=1):
        done = known.get(file.name)
        rows += [("", words, "", "", "", "", "") for words in before.get(file.name, ())]
        rows.append((
            str(number),
            file.name,
            f"{file.board}, {file.face.value}",
            "\n".join(bit.id for bit in file.bits),
            (f"{often} x " if (often := runs.get(file.board, 1)) > 1 else "") + minutes(done.seconds_s) if done else "",
            f"{done.cutting_mm / 1000:.1f} m" if done else "",
            file.sha256[:8],
        ))
    table = SheetTable(
        head=("", "File", "Board, face", "Bit", "Time", "Cut", "Mark"),
        rows=tuple(rows),
        shares=(4, 34, 13, 21, 11, 8, 9),
    )
    mark = "Mark: made from every character of a file. platelayer dryrun refuses a folder in which a file was changed."
    return SheetSection(title="Files, in the order they are cut", sentences=(mark,), table=table)


def _bits(manifest: Manifest, report: Report, motions: Mapping[str, Motion]) -> SheetSection:
    known = {file.name: file for file in report.files}
    rows: dict[tuple[str, ...], None] = {}
    for file in manifest.files:
        for index, bit in enumerate(file.bits):
            feed, plunge = (_feed(one, manifest.units) for one in _feeds(motions.get(file.name), bit, index))
            rows[
                bit.id,
                _bit_size(bit),
                _spindle(manifest, bit, known.get(file.name), motions.get(file.name), index),
                feed,
                plunge,
                show_length(bit.stepdown_mm),
                _kind(bit),
            ] = None
    table = SheetTable(
        head=("Bit, in the order of use", "Diameter", "Spindle", "Feed", "Plunge", "A pass", "Kind"),
        rows=tuple(rows),
        shares=(21, 21, 15, 12, 11, 9, 11),
    )
    return SheetSection(title="Bits", table=table)


def _bit_size(bit: ManifestBit) -> str:
    if bit.measured_mm is None:
        return f"{show_length(bit.nominal_mm)}\nnot measured"
    return f"{show_length(bit.nominal_mm)}\nmeasured {show_length(bit.measured_mm)}"


def _kind(bit: ManifestBit) -> str:
    return f"{bit.kind.value.replace('_', '-')}, {bit.flutes} flute{'s' if bit.flutes != 1 else ''}"


def _spindle(manifest: Manifest, bit: ManifestBit, done: FileReport | None, motion: Motion | None, index: int) -> str:
    """The dial's mark and the speed of a bit: from the speed words, the file's pauses, or else the manifest."""
    marks = dict(manifest.machine.dial)
    mark = _mark_in_pauses(motion, index, tuple(marks)) or bit.dial
    speed = marks.get(mark, bit.spindle_rpm or math.nan)
    if done is not None and index < len(done.spindle_rpm):
        speed = done.spindle_rpm[index]
        mark = done.dial[index] if index < len(done.dial) else mark
    parts = ([f"dial at {mark}"] if mark else []) + ([f"{speed:.0f} rev/min"] if math.isfinite(speed) else [])
    return "\n".join(parts) or "set by hand"


def _mark_in_pauses(motion: Motion | None, index: int, marks: Sequence[str]) -> str:
    """The mark of the dial that a pause of this bit names; empty when none does."""
    bit = -1
    for event in motion.events if motion else ():
        bit += event.kind is EventKind.BIT
        if event.kind is EventKind.PAUSE and bit == index:
            words = re.split(r"[\s,]+", event.text)
            after = next((b for a, b in pairwise(words) if a.lower() == "dial" and b in marks), "")
            if after:
                return after
    return ""


def _feeds(motion: Motion | None, bit: ManifestBit, index: int) -> tuple[float, float]:
    """Greatest feed in the plane and straight down, mm/min: as the file has them, else as the manifest says.

    What is faster than the bit may cut goes through air, which the dry run sees to; it is no feed for this wood.
    """
    if motion is None:
        return bit.feed_mm_min, bit.plunge_mm_min
    cutting = (motion.kind != MoveKind.RAPID) & (motion.bit == index)
    flat = np.hypot(*(motion.end - motion.start)[:, :2].T) > COINCIDENT_MM
    down = motion.end[:, 2] < motion.start[:, 2] - COINCIDENT_MM
    feed, plunge = (
        float(motion.feed[chosen & (motion.feed < (most or math.inf) + _SHOWN_MM_MIN)].max(initial=0.0))
        for chosen, most in ((cutting & flat & ~down, bit.feed_mm_min), (cutting & ~flat & down, bit.plunge_mm_min))
    )
    return feed, plunge


_SHOWN_MM_MIN: Final = 1.0
"""Feeds are shown to so much; a file's own digits stray less."""


def _feed(feed_mm_min: float, first: LengthUnit) -> str:
    said = (f"{feed_mm_min:.0f} mm/min", f"{to_inches(feed_mm_min):.0f} in/min")
    return "" if not feed_mm_min else "\n".join(said if first == "mm" else said[::-1])


def _cut_list(manifest: Manifest) -> SheetSection:
    groups: dict[tuple[str, str], list[ManifestPiece]] = {}
    for piece in manifest.pieces:
        groups.setdefault((piece.title, piece.board), []).append(piece)
    rows, runs = [], runs_of(manifest)
    for (title, board), pieces in sorted(groups.items(), key=lambda item: (item[0][1], item[1][0].order)):
        length = pieces[0].length_mm
        numbers = ", ".join(str(piece.order) for piece in sorted(pieces, key=lambda piece: piece.order))
        ends = ", ".join(end.kind.value for end in pieces[0].ends) or "none"
        count = str(len(pieces) * runs.get(board, 1))
        rows.append((count, title, show_mm(length), show_fraction(length), ends, board, numbers))
    table = SheetTable(
        head=("Count", "Piece", "Along the middle", "in inches", "Ends", "Board", "Numbers in the drawing"),
        rows=tuple(rows),
        shares=(7, 28, 14, 13, 13, 7, 18),
    )
    total = math.fsum(
        route.length_mm * runs.get(piece.board, 1)
        for piece in manifest.pieces
        for route in routes_through(piece.ends, piece.grooves)
    )
    track = f", {show_length(total)} of track along the middle" if total else ""
    said = f"{pieces_words(piece_count(manifest))}{track}."
    return SheetSection(title="Cut list", sentences=(said,), table=table)


def _minutes(manifest: Manifest, report: Report) -> SheetSection:
    table = SheetTable(
        head=("Operation", "Bit", "Minutes", "At the least"),
        rows=minutes_cells(manifest, report),
        shares=(30, 36, 17, 17),
    )
    return SheetSection(title="Where the minutes go", sentences=(AT_LEAST,) if manifest.bound else (), table=table)


def _holding(manifest: Manifest) -> SheetSection:
    said = [*holding_lines(manifest)]
    said += [
        f"Board {board.id}: the bit keeps off {area.title or 'a no-go area'} at {show_place(middle(area))}."
        for board in manifest.boards
        for area in board.no_go
        if not area.height_mm
    ]
    said += strip_lines(manifest)
    return SheetSection(title="Holding", sentences=tuple(said))


def _joints(manifest: Manifest, report: Report) -> SheetSection:
    plain = drawn = asdict(manifest.joint) if manifest.joint else {}
    if manifest.tuning is not None:
        plain, drawn = asdict(manifest.tuning.design), asdict(manifest.tuning.drawn)
    rows = []
    for name, words in _JOINT_WORDS.items():
        if name not in plain:
            continue
        cut = drawn[name]
        off = cut - plain[name]
        rows.append((
            words,
            show_length(plain[name]),
            show_length(cut),
            show_change(off) if abs(off) > COINCIDENT_MM else "none",
        ))
    table = SheetTable(
        head=("Joint", "Plain size", "In these files", "The shop's own offset"),
        rows=tuple(rows),
        shares=(28, 28, 28, 16),
    )
    seats = dict.fromkeys(_seat(joint, report, manifest.units) for joint in report.joints)
    least = least_play(report)
    said = () if least is None else (f"Least play: {least[0]} along the track, {least[1]} sideways each way.",)
    return SheetSection(title="Joints", sentences=(*manifest.tuned_words, *seats, *said), table=table)


def _seat(joint: JointReport, report: Report, first: LengthUnit) -> str:
    play = worded(_play(joint), first)
    same = sum(1 for other in report.joints if other.mate == joint.mate and worded(_play(other), first) == play)
    return f"{same} end{'s' if same != 1 else ''} with {joint.mate}: {play}."


def _play(joint: JointReport) -> str:
    seat = joint.seat
    if not seat.couples:
        return "does not go together"
    faces = "faces close" if seat.opening_mm <= SEAT_MM else f"faces {show_small(seat.opening_mm)} apart"
    pull_out = show_small(seat.pull_out_mm - seat.opening_mm)
    return f"{faces}, {pull_out} of pull-out play, {show_small(seat.side_mm)} to each side"
