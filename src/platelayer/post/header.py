"""What a person must know before the run, as the comments at the head of a file.

Glossary:
    caution: a sentence on eyes, ears, hands and the like. Not a warning: warnings are findings of this job.
"""

from typing import Final

from platelayer.tolerances import FLATTEN_CHORD_MM
from platelayer.units import minutes, show_fraction, show_mm
from platelayer.values.cuts import Plan, Program, Section
from platelayer.values.pieces import BoardFace

CAUTIONS: Final = (
    "CAUTION: wear eye and ear protection and keep the dust away.",
    "Hands away until the bit stands still. Never leave it running alone.",
    "The machine's manual and local rules come first.",
)


TURNED: Final = "STOP: is the board turned over, on its dowels or against its fence, and zeroed as said above?"
"""Stands before the first pause of a file that needs the board turned."""
UNTIMED: Final = "Time: not worked out"


def header_comments(program: Program, *, plan: Plan, safe_mm: float) -> list[str]:
    """Sentences for the head of a file: stock, zero, bits, speeds, time, safe start, cautions; a fixed number."""
    board = program.board
    wide, high = show_mm(board.width_mm, decimals=1), show_mm(board.height_mm, decimals=1)
    return [
        f"platelayer: {plan.job_name}, file {program.name}",
        f"Stock: {plan.material}, board {board.id}, {wide} x {high}",
        f"Thickness: {_length(board.thickness_mm, plan)}",
        *_face(program, plan),
        _zero(program),
        *_changed(program, plan),
        *_sitting(program, plan),
        *(_bit(section, plan) for section in program.sections),
        UNTIMED,
        *([] if plan.machine.dialect.arcs else [f"Arcs are written as chords within {FLATTEN_CHORD_MM:.4f} mm"]),
        f"START WITH THE BIT ABOVE SAFE HEIGHT, {_length(safe_mm, plan)} over the wood",
        *CAUTIONS,
    ]


def timed_text(text: str, *, duration_s: float) -> str:
    """A program's text with its time in the header, in as many lines."""
    return text.replace(f"({UNTIMED})", f"(Time: about {minutes(duration_s)})", 1)


def _length(length_mm: float, plan: Plan) -> str:
    """Both units without brackets, which a comment cannot hold."""
    shown = show_mm(length_mm), show_fraction(length_mm)
    return " = ".join(reversed(shown) if plan.units == "in" else shown)


def is_turned(program: Program, plan: Plan) -> bool:
    """The board lies the other way up than before: the first top file of a board that was cut from below."""
    same = [other for other in plan.programs if other.board.id == program.board.id]
    first = next((other for other in same if other.face is BoardFace.TOP), None)
    return first is not None and first.name == program.name and any(one.face is BoardFace.BOTTOM for one in same)


def _face(program: Program, plan: Plan) -> list[str]:
    """Which face is up, what is done about turning the board, and how."""
    if program.face is BoardFace.BOTTOM:
        return [
            "Face: bottom. The face that is to be the lower one lies up; the board is turned over after these cuts",
            *_before_turning(plan, program.board.id),
        ]
    if all(one.face is BoardFace.TOP for one in plan.programs if one.board.id == program.board.id):
        return ["Face: top, as the board was laid"]
    if not is_turned(program, plan):
        return ["Face: top, the board turned over as before"]
    return ["Face: top", *_turning(program, plan)]


def _before_turning(plan: Plan, board_id: str) -> list[str]:
    """What the person must know before the first face is cut."""
    for dowel in dict(plan.dowels).get(board_id, ())[:1]:
        deep, wide = _length(dowel.depth_mm, plan), _length(dowel.diameter_mm, plan)
        return [f"Holes for dowels of {wide} go {deep} into the spoilboard: let nothing of metal lie there"]
    return ["Near edge against the fence, left end against the stop"]


def _turning(program: Program, plan: Plan) -> list[str]:
    """How the board is turned over, one command a sentence."""
    board = program.board
    middle = _length(board.turn_y_mm, plan)
    sentences = [
        f"TURN THE BOARD OVER about its long middle line, y = {middle}: left stays left, the far edge comes near"
    ]
    dowels = dict(plan.dowels).get(board.id, ())
    if dowels:
        longest = _length(board.thickness_mm + dowels[0].depth_mm, plan)
        sentences.append(f"Set it on its {len(dowels)} dowels, none longer than {longest}, in the spoilboard's holes")
    else:
        sentences.append("Set it against the same fence and stop")
    zero = "Keep x and y, zero z again on the face that lies up now" if board.zero == "top" else "Keep x, y and z"
    return [*sentences, "Keep x and y" if is_changed(program, plan) else zero]


def is_changed(program: Program, plan: Plan) -> bool:
    """The board lies as the program before it left it, and that one ended with another bit; all strips lie alike."""
    lying = [
        one
        for one in plan.programs
        if one.board.id == program.board.id or (one.board.is_strip and program.board.is_strip)
    ]
    names = [one.name for one in lying]
    before = lying[: names.index(program.name)]
    return bool(before) and before[-1].sections[-1].bit.id != program.sections[0].bit.id


def _changed(program: Program, plan: Plan) -> list[str]:
    """What to do where the program begins with another bit than the one before it ended with."""
    if not is_changed(program, plan):
        return []
    level = "on the spoilboard, beside the wood" if program.board.zero == "spoilboard" else "where nothing is cut"
    return [f"CHANGED BIT: put in {program.sections[0].bit.id}, zero z again with this bit, {level}. Keep x and y"]


def _sitting(program: Program, plan: Plan) -> list[str]:
    """Which sitting it is, how it begins, and what is cut on this board by then."""
    if program.sittings < 2:
        return []
    first = [
        f"SITTING {program.sitting} of {program.sittings} with this bit; between two the board stays on the machine"
    ]
    if program.sitting > 1:
        first.append("Same bit, same zero as before; after the machine was off find zero again, and prove it")
    names = [one.name for one in plan.programs if one.board.id == program.board.id]
    before = [one for one in plan.programs if one.name in names[: names.index(program.name)]]
    done: dict[str, set[str]] = {}
    for cut in (cut for one in before for section in one.sections for cut in section.cuts):
        done.setdefault(cut.kind.value, set()).add(cut.piece_id)
    listed = ", ".join(f"{kind} of {len(pieces)}" for kind, pieces in done.items()) or "nothing"
    return [*first, f"Cut already, kinds of cut and pieces: {listed}"]


def _zero(program: Program) -> str:
    level = "on the spoilboard, under the wood" if program.board.zero == "spoilboard" else "on top of the wood"
    zero = f"Zero: x and y at the board's near left corner, z {level}"
    if program.board.fence_error_mm is None:
        return zero
    return f"{zero}. Before that the board is pushed against the fence along its front edge"


def _bit(section: Section, plan: Plan) -> str:
    bit, data = section.bit, section.data
    known = "" if bit.measured_mm is None else f", measured {show_mm(bit.measured_mm)}"
    dial = f", dial {data.dial_label}" if data.dial_label else ""
    size = _length(bit.nominal_mm, plan)
    kind = bit.kind.value.replace("_", "-")
    return f"Cutter {bit.id}: {kind}, {size}{known}, {round(data.spindle_rpm)} rev/min{dial}"
