"""A dry run of anyone's G-code file: no manifest, so all that needs none."""

import re
from dataclasses import replace
from pathlib import Path

import numpy as np

from platelayer import files
from platelayer.errors import Fault, JobError
from platelayer.gcode.motion import move_times
from platelayer.gcode.reader import read_program
from platelayer.gcode.second_reader import second_reading
from platelayer.job.bits import shipped_bits
from platelayer.job.near_names import mend_for
from platelayer.manifest.build import bit_of
from platelayer.manifest.schema import Manifest, ManifestBit, ManifestBoard, ManifestFile, ManifestMachine
from platelayer.proof.dry_run import dry_run
from platelayer.road.proving import Proof, ReadBack
from platelayer.road.working import work_findings
from platelayer.units import LengthUnit, parse_length
from platelayer.values.findings import Code, Finding
from platelayer.values.pieces import BoardFace
from platelayer.values.tooling import BitKind


def dry_run_file(place: Path, *, bit: str, board: str, zero: str, unit: LengthUnit = "mm") -> Proof:
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
    motion = read_program(text, name=place.name)
    motion = replace(motion, bit=np.zeros(len(motion), np.int16))  # one bit is given, whatever comments say
    used = _bit(bit, unit)
    size, shown = _board_mm(board, unit)
    manifest = Manifest(
        job=place.stem,
        units=shown,
        material="wood",
        machine=ManifestMachine(id="unknown", travel_mm=(0.0, 0.0, 0.0)),
        boards=(ManifestBoard(id="A", size_mm=size[:2], thickness_mm=size[2], zero=zero, no_go=()),),
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
    found = (*report.findings, *second_reading(text, motion), *_work(read, used))
    return Proof(read, replace(report, findings=tuple(replace(one, advice=_for_anyone(one.advice)) for one in found)))


def _work(read: ReadBack, bit: ManifestBit) -> tuple[Finding, ...]:
    """How hard the bit works; without its lengths nothing is said of its bend."""
    known = bit.cutting_length_mm > 0
    found = work_findings(read.manifest, read.motions, read.times)
    return tuple(one for one in found if known or one.code is Code.CUTTING_DWELL)


def _for_anyone(advice: str) -> str:
    """The advice without what only helps with a file that this program made: no job is there to be made again."""
    rest = re.sub(r",? or make the job again if the file was changed|Make the job again[;.] ?", "", advice)
    rest = rest.replace("; report it with the job that made it", "")
    return rest[:1].upper() + rest[1:]


def _bit(said: str, unit: LengthUnit) -> ManifestBit:
    known = shipped_bits()
    if said in known:
        return replace(bit_of(known[said]), reach_mm=0.0)  # nobody said how far it stands out of its holder
    _refuse_bare_fraction(said, where="--bit")
    try:
        diameter_mm = parse_length(said, unit=unit, where="--bit")
    except JobError:
        mend = f'{mend_for(said, known)} Or give a flat bit\'s diameter, as in "1/8 in".'
        raise JobError(
            Fault(where="--bit", found=said, problem="no bit of that id, and no length", mend=mend)
        ) from None
    if diameter_mm <= 0:
        raise JobError(Fault(where="--bit", found=said, problem="a bit has a diameter above nought"))
    return ManifestBit(id="flat", kind=BitKind.FLAT, diameter_mm=diameter_mm, nominal_mm=diameter_mm, may_plunge=True)


def _board_mm(said: str, unit: LengthUnit) -> tuple[tuple[float, float, float], LengthUnit]:
    """Three lengths parted by ``x``, and the unit after the last one, which counts for all that have none."""
    parts = [part.strip() for part in said.lower().replace("×", "x").split("x")]
    mend = 'Write width x depth x thickness, as in "36 x 11 x 1/2 in" or "900 x 140 x 12.7 mm".'
    if len(parts) != 3:
        raise JobError(Fault(where="--board", found=said, problem="not three lengths", mend=mend))
    last: LengthUnit = "in" if parts[2].endswith(("in", '"')) else "mm" if parts[2].endswith("mm") else unit
    if last == unit and not parts[2].endswith(unit):
        for part in parts:
            _refuse_bare_fraction(part, where="--board")
    wide, deep, thick = (parse_length(part, unit=last, where="--board") for part in parts)
    if min(wide, deep, thick) <= 0:
        raise JobError(Fault(where="--board", found=said, problem="lengths of a board are above nought", mend=mend))
    return (wide, deep, thick), last


def _refuse_bare_fraction(said: str, *, where: str) -> None:
    """A fraction is meant in inches, and would be read as millimetres."""
    if re.fullmatch(r"[0-9 ]*[0-9]/[0-9]+", said.strip()):
        mend = f'Write "{said.strip()} in".'
        raise JobError(Fault(where=where, found=said, problem="a fraction without its unit", mend=mend))
