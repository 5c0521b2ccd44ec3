"""The summary a woodworker reads, from the manifest and the report alone."""

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import asdict
from typing import Final

from platelayer.manifest.schema import Manifest, ManifestBit
from platelayer.preview.report.between_words import spoilboard_words, words_before
from platelayer.preview.report.edge_words import edge_lines
from platelayer.preview.report.holding_words import holding_lines
from platelayer.preview.report.least_play import least_play
from platelayer.preview.report.minutes_words import AT_LEAST, minutes_pairs, minutes_rows
from platelayer.preview.report.naming import numbered
from platelayer.preview.report.strip_words import piece_count, runs_of, strip_lines
from platelayer.preview.report.wood_used import wood_used, wood_used_line
from platelayer.tolerances import SEAT_MM, SHORT_PIECE_MM
from platelayer.units import LengthUnit, minutes, show_length, show_range, show_small, worded
from platelayer.values.findings import Finding, Report, Seat, Severity

CAUTIONS: Final = (
    "Eye and ear protection on, dust drawn off, sleeves and hair tied back.",
    "Hands away until the bit stands still. Never leave it running alone.",
    "The machine's manual and local rules come before anything written here.",
)
SHORT_PIECE_CAUTION: Final = (
    f"Pieces under {SHORT_PIECE_MM:g} mm: lift nothing out before the bit stands still; saw the tabs by hand, "
    "away from the machine; keep loose pegs and offcuts from small children."
)


def summary_text(manifest: Manifest, report: Report) -> str:
    """Pieces, files with bit and minutes, worst figures, joints, findings and cautions, as plain lines."""
    count = piece_count(manifest)
    what = (
        f"{count} {'piece' if count == 1 else 'pieces'} in {manifest.material}"
        if manifest.pieces
        else "no pieces are known"
    )
    lines = [f"Job {manifest.heading}: {what}", ""]
    if manifest.pieces:
        lines += [*_pieces(manifest), ""]
    lines += [*_files(manifest, report), ""]
    if where := minutes_pairs(manifest, report):
        lines += ["Where the minutes go", *(f"  {does}: {took}" for does, took in where)]
        lines += [*((f"  {AT_LEAST}",) if manifest.bound else ()), ""]
    if holding := holding_lines(manifest):
        lines += ["Holding", *(f"  {line}" for line in holding), ""]
    if strips := strip_lines(manifest):
        lines += ["Strips", *(f"  {line}" for line in strips), ""]
    if manifest.pieces:
        lines += [*_figures(report), ""]
        lines += ["Edges", *(f"  {line}" for line in edge_lines(manifest)), ""]
    if tuned := manifest.tuned_words:
        lines += ["Fit, as tuned", *(f"  {line}" for line in tuned), ""]
    if report.told:
        lines += [*(numbered(line, manifest) for line in _findings(report.told)), ""]
    lines += ["Cautions", *(f"  {caution}" for caution in cautions(manifest))]
    lines += ["", verdict(report)]
    return worded("\n".join(lines) + "\n", manifest.units)


def cautions(manifest: Manifest) -> tuple[str, ...]:
    """The cautions that belong to these pieces."""
    has_short = any(piece.length_mm < SHORT_PIECE_MM for piece in manifest.pieces)
    return (*CAUTIONS, SHORT_PIECE_CAUTION) if has_short else CAUTIONS


def verdict(report: Report) -> str:
    """One line: passed, or refused with the number of errors."""
    errors = sum(finding.severity is Severity.ERROR for finding in report.findings)
    if not errors:
        return "Dry run passed."
    return f"Dry run refused: {errors} {'error' if errors == 1 else 'errors'}."


def _pieces(manifest: Manifest) -> Iterable[str]:
    yield "Pieces"
    runs = runs_of(manifest)
    for (board, title), count in sorted(Counter((piece.board, piece.title) for piece in manifest.pieces).items()):
        yield f"  {count * runs.get(board, 1):3d} x {title}, board {board}"


def _files(manifest: Manifest, report: Report) -> Iterable[str]:
    yield "Files, in the order they are cut"
    known, runs = {file.name: file for file in report.files}, runs_of(manifest)
    before = words_before(manifest)
    for file in manifest.files:
        yield from (f"  -- {words}" for words in before.get(file.name, ()))
        done = known.get(file.name)
        said = done.spindle_rpm if done and len(file.bits) == len(done.spindle_rpm) == 1 else ()
        bits = "; ".join(_bit(bit, said[0] if said else 0.0) for bit in file.bits)
        often = f"; run {runs[file.board]} times" if runs.get(file.board, 1) > 1 else ""
        yield f"  {file.name}: {bits}" + (f"; {minutes(done.seconds_s)}; {done.lines} lines" if done else "") + often
    yield f"  Together {minutes(whole_s(manifest, report))}, {how_sure(manifest)}, pauses not counted."
    yield from (f"  {words}" for words in spoilboard_words(manifest, report))
    if manifest.pieces:
        yield f"  {wood_used_line(wood_used(manifest, report))}"


def how_sure(manifest: Manifest) -> str:
    """How near a time comes to a real machine's."""
    if any(manifest.machine.accel_mm_s2):
        return "give or take 15 %"
    return "at the feeds alone since the machine is not known"


def _bit(bit: ManifestBit, said_rpm: float) -> str:
    """A bit in words; a speed that the job does not ask is the one that the file says."""
    measured = ", as measured" if bit.measured_mm is not None else ""
    dial = f", dial at {bit.dial}" if bit.dial else ""
    rpm = bit.spindle_rpm or said_rpm
    speed = f", {rpm:.0f} rev/min" if rpm else ""
    return f"bit {bit.id}, {show_length(bit.diameter_mm)}{measured}{speed}{dial}"


def whole_s(manifest: Manifest, report: Report) -> float:
    """Time of all files together, each as often as it is run."""
    runs = runs_of(manifest)
    return math.fsum(file.seconds_s * runs.get(file.board, 1) for file in report.files)


def _figures(report: Report) -> Iterable[str]:
    if not report.pieces and not report.joints:
        return
    yield "As cut, by the dry run"
    if report.pieces:
        gouge = max(report.pieces, key=lambda piece: piece.gouge_mm)
        left = max(report.pieces, key=lambda piece: piece.leftover_mm)
        yield f"  worst gouge {show_small(gouge.gouge_mm)} ({gouge.id})"
        yield f"  most wood left {show_small(left.leftover_mm)} ({left.id})"
    for board in report.boards:
        if board.blocks:
            yield (
                f"  blocks of waste with slots all round, board {board.id}: {board.blocks}, the smallest "
                f"{board.least_block_mm2 / 100:.1f} cm2"
            )
    by_mate: dict[str, list[Seat]] = {}
    for joint in report.joints:
        by_mate.setdefault(joint.mate, []).append(joint.seat)
    for mate, seats in by_mate.items():
        yield f"  joint with {mate}: {_seats(seats)}"
    if (least := least_play(report)) is not None:
        yield f"  least play of any joint: {least[0]} along the track, {least[1]} sideways each way"


def _seats(seats: Sequence[Seat]) -> str:
    """How all ends of one sort sit, as ranges where they differ by more than a thousandth."""
    failing = sum(not seat.couples for seat in seats)
    if failing:
        return "does not go together" + (f" ({failing} of {len(seats)} ends)" if failing < len(seats) else "")
    widest = max(seat.opening_mm for seat in seats)
    closed = "faces close" if widest <= SEAT_MM else f"faces up to {show_small(widest)} apart"
    pull_out = show_range([seat.pull_out_mm - max(seat.opening_mm, 0.0) for seat in seats])
    side = show_range([seat.side_mm for seat in seats])
    return f"{closed}, pull-out play {pull_out}, side play {side} each way"


def _findings(findings: Iterable[Finding]) -> Iterable[str]:
    yield "To note"
    for finding in sorted(findings, key=lambda one: list(Severity).index(one.severity)):
        yield f"  {show_finding(finding)}"


def show_finding(finding: Finding) -> str:
    """One finding as a line: severity, place, sentence, advice."""
    where = finding.where
    place = f"{where.file}:{where.line}" if where.file and where.line else where.file
    place = " ".join(part for part in (place, where.piece) if part)
    head = f"{finding.severity.value}: {place}: " if place else f"{finding.severity.value}: "
    return f"{head}{finding.text}{' ' + finding.advice if finding.advice else ''}"


def summary_data(manifest: Manifest, report: Report) -> dict[str, object]:
    """The same as plain data for JSON: no tuples of values, no infinities (null instead)."""
    data = {
        "job": manifest.job,
        "passed": report.passed,
        "pieces": [asdict(piece) for piece in report.pieces],
        "boards": [asdict(board) for board in report.boards],
        "files": [asdict(file) for file in report.files],
        "joints": [asdict(joint) for joint in report.joints],
        "findings": [asdict(finding) for finding in report.findings],
        "edges": edge_lines(manifest) if manifest.pieces else (),
        "cautions": cautions(manifest),
        "fit": manifest.tuned_words,
        "holding": holding_lines(manifest),
        "strips": strip_lines(manifest),
        "minutes": [asdict(row) for row in minutes_rows(manifest, report)],
        "wood": asdict(used := wood_used(manifest, report)) | {"yield_ratio": used.yield_ratio},
    }
    return {key: _plain(value, manifest.units) for key, value in data.items()}


def _plain(value: object, first: LengthUnit) -> object:
    if isinstance(value, dict):
        return {str(key): _plain(one, first) for key, one in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(one, first) for one in value]
    if isinstance(value, str):
        return worded(value, first)
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value
