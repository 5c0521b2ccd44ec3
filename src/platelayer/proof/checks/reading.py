"""Can the files be read, are they the ones that were made, are they whole, and in the units they seem to be?"""

import hashlib
import math
import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Final

import numpy as np

from platelayer.errors import Fault, ReadError
from platelayer.gcode.reader import read_program
from platelayer.geometry.contours import bounds
from platelayer.geometry.turning import turned_places
from platelayer.manifest.schema import Manifest, ManifestFile
from platelayer.units import MM_PER_INCH
from platelayer.values.findings import Code, Finding, Where
from platelayer.values.motion import EventKind, Motion

_SWAPPED_WITHIN: Final = 1.3
"""Sizes of file and pieces may differ by this factor, run-outs and lead-ins included, and still be the same."""

_NEAR_SWAPPED: Final = 2 * math.log(_SWAPPED_WITHIN)
"""How near the logarithm of a ratio of sizes must come to that of 25.4 for units to have been swapped."""


def read_files(
    manifest: Manifest, texts: Mapping[str, str], motions: Mapping[str, Motion] | None = None
) -> tuple[dict[str, Motion], tuple[Finding, ...]]:
    """The motion of every file that can be read, in the manifest's order, and what is wrong with the reading.

    Args:
        manifest: what was meant.
        texts: the files' texts by name.
        motions: files already read from those very texts, so that they need not be read twice.
    """
    read: dict[str, Motion] = {}
    findings: list[Finding] = []
    for file in manifest.files:
        text = texts.get(file.name)
        if text is None:
            findings.append(_missing(file))
            continue
        findings += check_hash(file, text)
        known = None if motions is None else motions.get(file.name)
        try:
            read[file.name] = known if known is not None else read_program(text, name=file.name)
        except ReadError as error:
            known_fault = _swapped(manifest, file, text) or _relative(file, text)
            findings += [known_fault] if known_fault else [_unreadable(file.name, fault) for fault in error.faults]
    return read, tuple(findings)


def check_hash(file: ManifestFile, text: str) -> tuple[Finding, ...]:
    """The file's bytes are the ones that the manifest was made with."""
    digest = hashlib.sha256(text.encode("utf-8")).hexdigest()
    if digest == file.sha256.lower():
        return ()
    return (
        Finding(
            code=Code.READING_HASH,
            text=f"{file.name} is not the file that was made for this job: it was changed since, or is another.",
            advice="Make the job again and cut the new files.",
            where=Where(file=file.name, board=file.board),
        ),
    )


def check_whole(motion: Motion, *, board: str = "") -> tuple[Finding, ...]:
    """The file ends with M2 or M30."""
    if motion.is_ended:
        return ()
    end = next((event for event in motion.events if event.kind is EventKind.END), None)
    if end is not None:
        return (
            Finding(
                code=Code.READING_CUT_SHORT,
                text=f"{motion.name} goes on after {end.text} in line {end.line}, which ends the program: what follows "
                "is never run.",
                advice="Take the rest out, or make the file again.",
                where=Where(file=motion.name, line=end.line, board=board),
            ),
        )
    return (
        Finding(
            code=Code.READING_CUT_SHORT,
            text=f"{motion.name} ends after line {motion.line_count} without M2 or M30: the file was cut short.",
            advice="Copy or make the file again.",
            where=Where(file=motion.name, line=motion.line_count, board=board),
        ),
    )


def check_bits(file: ManifestFile, motion: Motion) -> tuple[Finding, ...]:
    """The file announces the manifest's bits, each once and in their order, before it cuts."""
    said = [(round(event.value), event.text, event.line) for event in motion.events if event.kind is EventKind.BIT]
    wanted = [(index + 1, bit.id) for index, bit in enumerate(file.bits)]
    problem, line = "", 0
    if [entry[:2] for entry in said] != wanted:
        line = said[0][2] if said else 0
        found = ", ".join(f"{number} {name}" for number, name, _ in said) or "none"
        listed = ", ".join(f"{number} {name}" for number, name in wanted) or "none"
        problem = f"the (BIT k id) lines name {found}, the manifest lists {listed}"
    elif len(motion) and int(motion.bit[0]) < 0 and bool((motion.bit[motion.kind > 0] < 0).any()):
        first = int(np.flatnonzero((motion.kind > 0) & (motion.bit < 0))[0])
        line = int(motion.line[first])
        problem = "it cuts before the first (BIT k id) line"
    if not problem:
        return ()
    return (
        Finding(
            code=Code.READING_BITS,
            text=f"{file.name} does not say which bit cuts what: {problem}.",
            advice="Make the job again.",
            where=Where(file=file.name, line=line, board=file.board),
        ),
    )


def check_units(manifest: Manifest, file: ManifestFile, motion: Motion) -> tuple[Finding, ...]:
    """The file names its units, and its cuts are not 25.4 times too large or too small for the pieces."""
    stated = [event for event in motion.events if event.kind is EventKind.UNITS]
    where = Where(file=file.name, line=stated[0].line if stated else 0, board=file.board)
    if len(motion) and (not stated or stated[0].before > 0):
        return (
            Finding(
                code=Code.READING_UNITS,
                text=f"{file.name} moves before it says G21 or G20: the machine would take whatever was set before.",
                advice="Make the job again.",
                where=where,
            ),
        )
    ratio = _size_ratio(manifest, file, motion)
    is_near = ratio and min(abs(math.log(ratio / one)) for one in (MM_PER_INCH, 1 / MM_PER_INCH)) < _NEAR_SWAPPED
    if is_near and not _is_beside_a_piece(manifest, file, motion):
        return (_units_finding(file, ratio, where.line),)
    return ()


def _is_beside_a_piece(manifest: Manifest, file: ManifestFile, motion: Motion) -> bool:
    """All cuts lie within one piece's box or a bit's breadth of it: a bit that does little, not another unit."""
    cuts = motion.kind > 0
    ends = np.vstack((motion.start[cuts, :2], motion.end[cuts, :2]))
    if file.turn_y_mm is not None:
        ends = turned_places(ends, file.turn_y_mm)
    room = max((bit.diameter_mm for bit in file.bits), default=0.0)
    low, high = ends.min(axis=0) + room, ends.max(axis=0) - room
    boxes = np.array([bounds(piece.outline) for piece in manifest.pieces if piece.board == file.board])
    return bool(((boxes[:, :2] <= low) & (high <= boxes[:, 2:])).all(axis=1).any())


def _swapped(manifest: Manifest, file: ManifestFile, text: str) -> Finding | None:
    """The finding that units were swapped, when the text reads well and fits its pieces with the other units word.

    Millimetres taken for inches spoil arcs first: what four decimals round off grows 25.4 times.
    """
    words = {"G20": "G21", "G21": "G20"}
    turned = re.sub(r"\bG2[01]\b", lambda found: words[found[0]], text)
    try:
        motion = read_program(turned, name=file.name)
    except ReadError:
        return None
    ratio = _size_ratio(manifest, file, motion)
    if turned == text or not ratio or abs(math.log(ratio)) > math.log(_SWAPPED_WITHIN):
        return None
    stated = next(event for event in motion.events if event.kind is EventKind.UNITS)
    is_large = words[stated.text] == "G20" if stated.text in words else stated.value == 1.0
    return _units_finding(file, MM_PER_INCH if is_large else 1 / MM_PER_INCH, stated.line)


def _relative(file: ManifestFile, text: str) -> Finding | None:
    """The finding that places count from where the bit stands, when the text reads well without that word."""
    turned = re.sub(r"\bG91\b(?!\.)", "G90", text)
    try:
        read_program(turned, name=file.name)
    except ReadError:
        return None
    line = next((number for number, one in enumerate(text.split("\n"), start=1) if re.search(r"\bG91\b(?!\.)", one)), 0)
    if not line:
        return None
    return Finding(
        code=Code.READING_STATE,
        text="G91 has every place count from where the bit stands; this file's places count from the board's corner, "
        "which is G90.",
        advice="Make the job again; the file was changed.",
        where=Where(file=file.name, line=line, board=file.board),
    )


def _units_finding(file: ManifestFile, ratio: float, line: int) -> Finding:
    return Finding(
        code=Code.READING_UNITS,
        text=f"{file.name} cuts about {MM_PER_INCH:g} times too {'large' if ratio > 1 else 'small'} "
        f"for its pieces: inches and millimetres were swapped (G20 and G21).",
        advice="Make the job again; never change the units word by hand.",
        where=Where(file=file.name, line=line, board=file.board),
        measured=ratio,
        limit=1.0,
        unit="ratio",
    )


def _size_ratio(manifest: Manifest, file: ManifestFile, motion: Motion) -> float:
    """Longest side of what the file cuts over that of its pieces' boxes; 0 when there is nothing to compare."""
    boxes = np.array([bounds(piece.outline) for piece in manifest.pieces if piece.board == file.board])
    cuts = motion.kind > 0
    if not len(boxes) or not cuts.any():
        return 0.0
    sides = (boxes[:, 2:].max(axis=0) - boxes[:, :2].min(axis=0)).max()
    ends = np.vstack((motion.start[cuts, :2], motion.end[cuts, :2]))
    return float((ends.max(axis=0) - ends.min(axis=0)).max() / sides)


def _missing(file: ManifestFile) -> Finding:
    return Finding(
        code=Code.READING_CUT_SHORT,
        text=f"{file.name} is not there.",
        advice="Make the job again.",
        where=Where(file=file.name, board=file.board),
    )


def _unreadable(name: str, fault: Fault) -> Finding:
    code = Code(fault.code) if fault.code else Code.READING_SYNTAX
    return Finding(
        code=code,
        text=f"{replace(fault, fix='', file='', line=0, column=0)}.",
        advice=fault.fix,
        where=Where(file=fault.file or name, line=fault.line),
        measured=fault.measured_mm,
        limit=fault.limit_mm,
    )
