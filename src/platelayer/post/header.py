"""What a person must know before the run, as the comments at the head of a file.

Glossary:
    caution: a sentence on eyes, ears, hands and the like. Not a warning: warnings are findings of this job.
"""

import math
from typing import Final

from platelayer.tolerances import FLATTEN_CHORD_MM
from platelayer.units import show_fraction, show_mm
from platelayer.values.cuts import Plan, Program, Section
from platelayer.values.pieces import BoardFace

CAUTIONS: Final = (
    "CAUTION: wear eye and ear protection and keep the dust away.",
    "Hands away until the bit stands still. Never leave it running alone.",
    "The machine's manual and local rules come first.",
)


UNTIMED: Final = "Time: not worked out"


def header_comments(program: Program, *, plan: Plan, safe_mm: float, duration_s: float | None) -> list[str]:
    """Sentences for the head of a file: stock, zero, bits, speeds, time, safe start, cautions; a fixed number."""
    board = program.board
    wide, high = show_mm(board.width_mm, decimals=1), show_mm(board.height_mm, decimals=1)
    return [
        f"platelayer: {plan.job_name}, file {program.name}",
        f"Stock: {plan.material}, board {board.id}, {wide} x {high}",
        f"Thickness: {_length(board.thickness_mm, plan)}",
        _face(program),
        _zero(program),
        *(_bit(section, plan) for section in program.sections),
        UNTIMED if duration_s is None else _time(duration_s),
        *([] if plan.machine.dialect.arcs else [f"Arcs are written as chords within {FLATTEN_CHORD_MM:.4f} mm"]),
        f"START WITH THE BIT ABOVE SAFE HEIGHT, {_length(safe_mm, plan)} over the wood",
        *CAUTIONS,
    ]


def timed_text(text: str, *, duration_s: float) -> str:
    """A program's text with its time in the header, as ``program_text`` would write it with that duration."""
    return text.replace(f"({UNTIMED})", f"({_time(duration_s)})", 1)


def turn_y_mm(program: Program) -> float | None:
    """The line, parallel to x, about which the board is turned over for a bottom file; None for a top file."""
    return program.board.height_mm / 2 if program.face is BoardFace.BOTTOM else None


def _time(duration_s: float) -> str:
    return f"Time: about {max(1, math.ceil(duration_s / 60))} min"


def _length(length_mm: float, plan: Plan) -> str:
    """Both units without brackets, which a comment cannot hold."""
    shown = show_mm(length_mm), show_fraction(length_mm)
    return " = ".join(reversed(shown) if plan.units == "in" else shown)


def _face(program: Program) -> str:
    turn = turn_y_mm(program)
    if turn is None:
        return "Face: top, as the board was laid"
    return f"Face: bottom, the board turned over about its long middle line, y = {show_mm(turn)}, left stays left"


def _zero(program: Program) -> str:
    level = "on the spoilboard, under the wood" if program.board.zero == "spoilboard" else "on top of the wood"
    return f"Zero: x and y at the board's near left corner, z {level}"


def _bit(section: Section, plan: Plan) -> str:
    bit, data = section.bit, section.data
    known = "" if bit.measured_mm is None else f", measured {show_mm(bit.measured_mm)}"
    dial = f", dial {data.dial_label}" if data.dial_label else ""
    size = _length(bit.nominal_mm, plan)
    kind = bit.kind.value.replace("_", "-")
    return f"Cutter {bit.id}: {kind}, {size}{known}, {round(data.spindle_rpm)} rev/min{dial}"
