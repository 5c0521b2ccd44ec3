"""A program of the plan as G-code text, from its header to its end mark.

Glossary:
    program: one file. section: the part of it cut with one bit.
    park: lift, go to the park place, stop the spindle.
"""

from collections.abc import Sequence

from platelayer.errors import CannotCut, Fault
from platelayer.geometry.turning import turned_pass
from platelayer.post.blocks import Pen, heights_of, rapid_across, rapid_to_height, write_pass
from platelayer.post.dialect import bit_line, restate_lines, spindle_on_lines
from platelayer.post.header import UNTIMED, header_comments
from platelayer.post.rounding import Grid
from platelayer.post.stops import asking_lines_of, stops_of
from platelayer.post.words import comment_lines, comment_texts
from platelayer.values.cuts import Cut, CutKind, Plan, Program, Section, Stop, StopAsks
from platelayer.values.minutes import FINISH_WORD
from platelayer.values.tooling import Machine


def program_text(program: Program, *, plan: Plan) -> str:
    """The program in the machine's dialect, ready to be written to a file; same input, same bytes.

    ASCII, lines under 70 characters ended by LF, the last one M2 or M30. The header says that the time is not
    worked out: ``timed_text`` puts it there once the text was read.

    Raises:
        CannotCut: several bits in one file on a machine that cannot be zeroed during a pause, or without comments.
    """
    machine = plan.machine
    _check_bits(program, machine)
    dialect = machine.dialect
    heights = heights_of(machine, program.board)
    pen = Pen(machine=machine, grid=Grid(dialect.decimals, dialect.units == "in"), heights=heights)
    for sentence in header_comments(program, plan=plan, safe_mm=heights.safe_mm):
        pen.lines += comment_lines(sentence, dialect.comments)
    pen.lines += restate_lines(dialect)
    stops = stops_of(program, plan)
    turn = program.turn_y_mm
    for number, section in enumerate(program.sections, start=1):
        mine = [stop for stop in stops if stop.bit == number]
        _begin_section(pen, section, [stop for stop in mine if stop.asks is not StopAsks.OFF], number=number)
        for cut in section.cuts:
            _write_cut(pen, cut, section, turn)
        _park(pen, [stop for stop in mine if stop.asks is StopAsks.OFF])
    pen.lines.append(dialect.end_word)
    return "\n".join(pen.lines) + "\n"


def _check_bits(program: Program, machine: Machine) -> None:
    if len(program.sections) < 2:
        return
    names = ", ".join(section.bit.id for section in program.sections)
    if not machine.can_zero_in_pause:
        raise CannotCut(
            Fault(
                where=f"[machine] {machine.id}",
                problem=f"{program.name} uses {len(program.sections)} bits ({names}), and this machine cannot be"
                " zeroed during a pause (can_zero_in_pause = false)",
                fix="Use one file a bit.",
            )
        )


def head_texts(program: Program, plan: Plan) -> tuple[str, ...]:
    """What stands inside the comments at the head of a program, its name and its time left out."""
    safe_mm = heights_of(plan.machine, program.board).safe_mm
    sentences = header_comments(program, plan=plan, safe_mm=safe_mm)
    return tuple(text for sentence in sentences[1:] if sentence != UNTIMED for text in comment_texts(sentence))


def _begin_section(pen: Pen, section: Section, stops: Sequence[Stop], *, number: int) -> None:
    """Put the bit in and the spindle on, ending at safe height with everything stated."""
    dialect = pen.machine.dialect
    pen.lines += bit_line(number, section.bit.id, dialect)
    is_first = number == 1
    if is_first and not any(stop.asks is StopAsks.BIT for stop in stops):
        rapid_to_height(pen, pen.heights.safe_mm)
    for stop in stops:
        pen.lines += asking_lines_of(stop, dialect)
        if is_first and stop.asks is StopAsks.BIT:
            rapid_to_height(pen, pen.heights.safe_mm)
        pen.lines += [f"T{stop.tool}", "M6"] if stop.tool else ["M0"]
        pen.lines += restate_lines(dialect)
        pen.forget()
        rapid_to_height(pen, pen.heights.safe_mm)
    pen.lines += spindle_on_lines(pen.machine, section.data)


def _park(pen: Pen, stops: Sequence[Stop]) -> None:
    """Up, to the park place, spindle off; a router switched by hand gets a pause for it."""
    dialect = pen.machine.dialect
    rapid_to_height(pen, pen.heights.safe_mm)
    rapid_across(pen, *pen.machine.park)
    for stop in stops:
        pen.lines += [*asking_lines_of(stop, dialect), "M0", *restate_lines(dialect)]
    pen.lines.append("M5")


def _write_cut(pen: Pen, cut: Cut, section: Section, turn: float | None) -> None:
    """The passes of a cut under its name, and where an outline's walls are finished it says so."""
    said = ""
    for index, cut_pass in enumerate(cut.passes):
        does = f" {FINISH_WORD}" if cut.kind is CutKind.OUTLINE and cut_pass.is_finish else ""
        name = f"{cut.piece_id} {cut.kind.value}{does}"
        if name != said:
            pen.lines += comment_lines(name, pen.machine.dialect.comments)
            said = name
        turned = cut_pass if turn is None else turned_pass(cut_pass, turn)
        write_pass(pen, turned, section.data, may_continue=index > 0)
