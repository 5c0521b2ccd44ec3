"""The proof: from bytes by name to all that is worked out from them, each once.

Glossary:
    read: manifest, texts, motions and their times, from bytes alone. Nothing here comes from the generator's memory.
    proof: what was read, and the report of the dry run on it.

Bytes are proved from wherever they come; what is handed over was read back from disk before it was proved.
"""

from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import chain

from platelayer import files
from platelayer.errors import Fault, JobError, ReadError
from platelayer.gcode.motion import move_times
from platelayer.gcode.reader import read_program
from platelayer.gcode.second_reader import second_readings
from platelayer.manifest.read import parse_manifest
from platelayer.manifest.schema import Manifest
from platelayer.proof.dry_run import dry_run
from platelayer.road.working import work_findings
from platelayer.values.findings import Finding, Report, worded_findings
from platelayer.values.motion import Motion, MotionTime


@dataclass(frozen=True, slots=True)
class ReadBack:
    """Files as read: a file that cannot be understood has a text, but neither motion nor times."""

    manifest: Manifest
    texts: Mapping[str, str]
    motions: Mapping[str, Motion]
    times: Mapping[str, MotionTime]


@dataclass(frozen=True, slots=True)
class Proof:
    """What was read, and what the dry run says of it; ``unworded`` has the findings with their lengths as marks."""

    read: ReadBack
    report: Report
    unworded: tuple[Finding, ...]

    @property
    def manifest(self) -> Manifest:
        """What was meant."""
        return self.read.manifest


def prove(contents: Mapping[str, bytes], *, noticed: Sequence[Finding] = ()) -> Proof:
    """Everything that can be said of files from their bytes.

    Args:
        contents: the manifest as ``manifest.json`` and every file that it names, by name.
        noticed: what was noticed before there were files; put first in the report.

    Raises:
        JobError: a file is missing or is no text.
        ReadError: the manifest is not what it should be.
    """
    return proof_of(read_back(contents), noticed=noticed)


def read_back(contents: Mapping[str, bytes]) -> ReadBack:
    """The manifest and every file that it names, read and timed; arguments and faults are those of ``prove``."""
    return read_of(parse_manifest(_text(contents, files.MANIFEST)), contents)


def read_of(manifest: Manifest, contents: Mapping[str, bytes]) -> ReadBack:
    """The files that a manifest names, read and timed, each once.

    Raises:
        JobError: a file is missing or is no text.
    """
    texts = {file.name: _text(contents, file.name) for file in manifest.files}
    motions: dict[str, Motion] = {}
    for name, text in texts.items():
        with suppress(ReadError):  # the dry run says what is wrong with it
            motions[name] = read_program(text, name=name)
    times = {name: move_times(motion, manifest.machine) for name, motion in motions.items()}
    return ReadBack(manifest, texts, motions, times)


def _text(contents: Mapping[str, bytes], name: str) -> str:
    if name not in contents:
        raise JobError(Fault(where=name, problem="no such file"))
    return files.as_text(contents[name], where=name)


def proof_of(read: ReadBack, *, noticed: Sequence[Finding] = ()) -> Proof:
    """The dry run on what was read, second reader and the bits' work included, what was noticed before put first.

    The second reader and the work run beside the dry run; each sees only the files, so the order changes nothing.
    """
    with ThreadPoolExecutor(max_workers=1) as beside:
        others = beside.submit(_beside_the_dry_run, read)
        report = dry_run(read.manifest, read.texts, motions=read.motions, times=read.times)
        found = (*noticed, *report.findings, *others.result())
    return Proof(read, replace(report, findings=worded_findings(found, read.manifest.units)), found)


def _beside_the_dry_run(read: ReadBack) -> tuple[Finding, ...]:
    second = second_readings({name: (read.texts[name], motion) for name, motion in read.motions.items()})
    return (*chain.from_iterable(second.values()), *work_findings(read.manifest, read.motions, read.times))
