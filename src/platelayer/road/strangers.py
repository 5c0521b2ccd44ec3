"""A dry run of anyone's G-code file: no manifest, so all that needs none."""

from dataclasses import replace
from pathlib import Path
from typing import Final

import numpy as np

from platelayer import files
from platelayer.errors import Fault, JobError
from platelayer.job.bits import shipped_bits
from platelayer.job.near_names import mend_for
from platelayer.preview.dry_run import dry_run
from platelayer.preview.reader import read_program
from platelayer.preview.second_reader import second_reading
from platelayer.road.papers import ReadBack
from platelayer.units import LengthUnit, parse_length
from platelayer.values.findings import Report
from platelayer.values.manifest import Manifest, ManifestBit, ManifestBoard, ManifestFile, ManifestMachine
from platelayer.values.motion import EventKind, Motion
from platelayer.values.pieces import BoardFace
from platelayer.values.tooling import BitKind

_ALLOWANCE_MM: Final = 0.5
"""How far a strange file may go into the spoilboard before that is said; common practice, no source."""

_UNKNOWN: Final = (0.0, 0.0, 0.0)


def dry_run_file(place: Path, *, bit: str, board: str, zero: str, unit: LengthUnit = "mm") -> tuple[ReadBack, Report]:
    """One file dry-run with a bit and a board, from whatever hand it is.

    Args:
        place: the file.
        bit: id of a shipped bit, or the diameter of a flat one, as written.
        board: width, depth and thickness as written, ``900 x 140 x 12.7 mm``.
        zero: ``top`` or ``spoilboard``.
        unit: what bare numbers mean.

    Raises:
        JobError: no such file, bit, or not three lengths.
        ReadError: a word or line that cannot be read, with line and column.
    """
    text = files.read_text(place)
    motion = _with_bit(read_program(text, name=place.name))
    used = _bit(bit, unit)
    size = _board_mm(board, unit)
    names = [event.text for event in motion.events if event.kind is EventKind.BIT] or [used.id]
    manifest = Manifest(
        job=place.stem,
        units=unit,
        material="wood",
        machine=_unknown_machine(),
        boards=(
            ManifestBoard(
                id="A", size_mm=size[:2], thickness_mm=size[2], zero=zero, no_go=(), allowance_mm=_ALLOWANCE_MM
            ),
        ),
        files=(
            ManifestFile(
                name=place.name,
                board="A",
                face=BoardFace.TOP,
                sha256=files.sha256(text.encode("utf-8")),
                bits=tuple(replace(used, id=name) for name in names),
            ),
        ),
        pieces=(),
        joint=(),
    )
    read = ReadBack(manifest, {place.name: text}, {place.name: motion})
    report = dry_run(manifest, read.texts, motions=read.motions, is_ours=False)
    return read, replace(report, findings=(*report.findings, *second_reading(text, motion)))


def _with_bit(motion: Motion) -> Motion:
    """The motion with its first bit in from the start, when the file never says which bit it is."""
    if any(event.kind is EventKind.BIT for event in motion.events):
        return motion
    return replace(motion, bit=np.zeros(len(motion), np.int16))


def _bit(said: str, unit: LengthUnit) -> ManifestBit:
    known = shipped_bits()
    if said in known:
        bit = known[said]
        return ManifestBit(
            id=bit.id, kind=bit.kind, diameter_mm=bit.diameter_mm, nominal_mm=bit.nominal_mm, measured_mm=None,
            cutting_length_mm=bit.cutting_length_mm, shank_mm=bit.shank_mm, may_plunge=bit.may_plunge,
            stepdown_mm=0.0, flutes=bit.flutes, included_rad=bit.included_rad, corner_radius_mm=bit.corner_radius_mm,
        )  # fmt: skip
    try:
        diameter_mm = parse_length(said, unit=unit, where="--bit")
    except JobError:
        mend = f'{mend_for(said, known)} Or give a flat bit\'s diameter, as in "1/8 in".'
        raise JobError(
            Fault(where="--bit", found=said, problem="no bit of that id, and no length", mend=mend)
        ) from None
    if diameter_mm <= 0:
        raise JobError(Fault(where="--bit", found=said, problem="a bit has a diameter above nought"))
    return ManifestBit(
        id="flat", kind=BitKind.FLAT, diameter_mm=diameter_mm, nominal_mm=diameter_mm, measured_mm=None,
        cutting_length_mm=0.0, shank_mm=0.0, may_plunge=True, stepdown_mm=0.0, flutes=0,
    )  # fmt: skip


def _board_mm(said: str, unit: LengthUnit) -> tuple[float, float, float]:
    """Three lengths parted by ``x``; a unit after the last one counts for all that have none."""
    parts = [part.strip() for part in said.lower().replace("×", "x").split("x")]
    mend = 'Write width x depth x thickness, as in "36 x 11 x 1/2 in" or "900 x 140 x 12.7 mm".'
    if len(parts) != 3:
        raise JobError(Fault(where="--board", found=said, problem="not three lengths", mend=mend))
    last: LengthUnit = "in" if parts[2].endswith(("in", '"')) else "mm" if parts[2].endswith("mm") else unit
    wide, deep, thick = (parse_length(part, unit=last, where="--board") for part in parts)
    if min(wide, deep, thick) <= 0:
        raise JobError(Fault(where="--board", found=said, problem="lengths of a board are above nought", mend=mend))
    return wide, deep, thick


def _unknown_machine() -> ManifestMachine:
    return ManifestMachine(
        id="unknown", travel_mm=_UNKNOWN, zero_at=None, feed_max_mm_min=_UNKNOWN, rapid_mm_min=_UNKNOWN,
        accel_mm_s2=_UNKNOWN, corner_deviation_mm=0.0, corner_speed_mm_min=0.0, spindle="", dial=(), dwell_unit="s",
        holder_diameter_mm=0.0,
    )  # fmt: skip
