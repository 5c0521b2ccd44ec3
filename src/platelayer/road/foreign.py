"""A dry run of anyone's G-code file: no manifest, so all that needs none."""

from dataclasses import replace
from pathlib import Path
from typing import Final

import numpy as np

from platelayer import files
from platelayer.errors import Fault, JobError
from platelayer.gcode.motion import move_times
from platelayer.gcode.reader import read_program
from platelayer.gcode.second_reader import second_reading
from platelayer.job.bits import shipped_bits
from platelayer.job.near_names import fix_for
from platelayer.manifest.build import bit_of
from platelayer.manifest.schema import Manifest, ManifestBit, ManifestBoard, ManifestFile, ManifestMachine
from platelayer.parsing import parse_length, parse_sizes, refuse_bare_fraction
from platelayer.proof.dry_run import dry_run
from platelayer.road.proving import Proof, ReadBack
from platelayer.road.working import work_findings
from platelayer.values.findings import Code, Finding, worded_findings
from platelayer.values.pieces import BoardFace
from platelayer.values.tooling import BitKind

_SIZES_HINT: Final = 'Write width x depth x thickness, as in "36 x 11 x 1/2 in" or "900 x 140 x 12.7 mm".'


def dry_run_file(place: Path, *, bit: str, board: str, zero: str) -> Proof:
    """One file dry-run with a bit and a board, from whatever hand it is.

    Args:
        place: the file.
        bit: id of a shipped bit, or the diameter of a flat one, as written.
        board: width, depth and thickness as written, ``900 x 140 x 12.7 mm``.
        zero: ``top`` or ``spoilboard``.

    Raises:
        JobError: no such file, bit, or not three lengths.
        ReadError: a word or line that cannot be read, with line and column.
    """
    text = files.read_text(place)
    motion = read_program(text, name=place.name)
    motion = replace(motion, bit=np.zeros(len(motion), np.int16))  # one bit is given, whatever comments say
    used = _bit(bit)
    (wide, deep, thick), shown = parse_sizes(board, count=3, unit=None, where="--board", fix=_SIZES_HINT)
    manifest = Manifest(
        job=place.stem,
        units=shown,
        material="wood",
        machine=ManifestMachine(id="unknown", travel_mm=(0.0, 0.0, 0.0)),
        boards=(ManifestBoard(id="A", size_mm=(wide, deep), thickness_mm=thick, zero=zero, no_go=()),),
        files=(
            ManifestFile(
                name=place.name,
                board="A",
                face=BoardFace.TOP,
                sha256=files.sha256(text.encode("utf-8")),
                bits=(used,),
            ),
        ),
        pieces=(),
    )
    times = {place.name: move_times(motion, manifest.machine)}
    read = ReadBack(manifest, {place.name: text}, {place.name: motion}, times)
    report = dry_run(manifest, read.texts, motions=read.motions, times=times, is_ours=False)
    found = tuple(map(_for_foreign_file, (*report.findings, *second_reading(text, motion), *_work(read, used))))
    return Proof(read, replace(report, findings=worded_findings(found, shown)), found)


def _work(read: ReadBack, bit: ManifestBit) -> tuple[Finding, ...]:
    """How hard the bit works; without its lengths nothing is said of its bend."""
    known = bit.cutting_length_mm > 0
    found = work_findings(read.manifest, read.motions, read.times)
    return tuple(one for one in found if known or one.code is not Code.CUTTING_BEND)


_ADVICE: Final = {
    Code.READING_SECOND_READER: "Do not run the file.",
    Code.READING_UNITS: "Put G21 or G20 before its first move.",
    Code.TRAVEL_LOW_RAPID: "Raise the safe height.",
    Code.TRAVEL_OFF_BOARD: "Use a larger board or wider margins.",
    Code.TRAVEL_TOO_DEEP: "Check thickness and zero of the board.",
    Code.CUTTING_SPINDLE_OFF: "The file must start the spindle and wait for it before it cuts.",
    Code.CUTTING_RUBS: "A lower spindle speed leaves fewer burn marks; look at corners first.",
    Code.CUTTING_NO_FEED: "Every cutting move needs an F word before or on it.",
}
"""What would do where no job is there to be made again: in place of a finding's own advice, which says so."""


def _for_foreign_file(finding: Finding) -> Finding:
    return replace(finding, advice=_ADVICE.get(finding.code, finding.advice))


def _bit(said: str) -> ManifestBit:
    known = shipped_bits()
    if said in known:
        return replace(bit_of(known[said]), reach_mm=0.0)  # nobody said how far it stands out of its holder
    refuse_bare_fraction(said, where="--bit")
    try:
        parse_length(said, unit="mm", where="--bit")
    except JobError:
        fix = f'{fix_for(said, known)} Or give a flat bit\'s diameter, as in "1/8 in".'
        raise JobError(Fault(where="--bit", found=said, problem="no bit of that id, and no length", fix=fix)) from None
    diameter_mm = parse_length(said, where="--bit")
    if diameter_mm <= 0:
        raise JobError(Fault(where="--bit", found=said, problem="a bit has a diameter above zero"))
    return ManifestBit(id="flat", kind=BitKind.FLAT, diameter_mm=diameter_mm, nominal_mm=diameter_mm, may_plunge=True)
