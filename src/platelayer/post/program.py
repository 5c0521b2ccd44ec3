"""A program of the plan as G-code text, from its header to its end mark.

Glossary:
    program: one file. section: the part of it cut with one bit.
    park: lift, go to the park place, stop the spindle.
"""

from platelayer.errors import CannotCut, Fault
from platelayer.geometry.turning import turned_segment
from platelayer.post.blocks import Pen, heights_of, rapid_across, rapid_to_height, write_pass
from platelayer.post.dialect import (
    asking_lines,
    bit_line,
    pause_lines,
    restate_lines,
    spindle_on_lines,
    start_reason,
    stop_reason,
)
from platelayer.post.header import TURNED, header_comments, is_turned
from platelayer.post.rounding import Grid
from platelayer.post.words import comment_lines
from platelayer.values.cuts import Cut, Pass, Plan, Program, Section, Step
from platelayer.values.tooling import BitChange, Machine


def program_text(program: Program, *, plan: Plan, duration_s: float | None = None) -> str:
    """The program in the machine's dialect, ready to be written to a file; same input, same bytes.

    ASCII, lines under 70 characters ended by LF, the last one M2 or M30. ``duration_s`` only fills in the header's
    time, so that the text can be timed first and written again with as many lines.

    Raises:
        CannotCut: several bits in one file on a machine that cannot be zeroed during a pause, or without comments.
    """
    machine = plan.machine
    _check_bits(program, machine)
    dialect = machine.dialect
    heights = heights_of(machine, program.board)
    pen = Pen(machine=machine, grid=Grid(dialect.decimals, dialect.units == "in"), heights=heights)
    for sentence in header_comments(program, plan=plan, safe_mm=heights.safe_mm, duration_s=duration_s):
        pen.lines += comment_lines(sentence, dialect.comments)
    pen.lines += restate_lines(dialect)
    tools = _tool_numbers(plan)
    turn = program.turn_y_mm
    for index, section in enumerate(program.sections):
        turned = index == 0 and is_turned(program, plan)
        _begin_section(pen, section, number=index + 1, tool=tools[section.bit.id], is_turned=turned)
        for cut in section.cuts:
            _write_cut(pen, cut, section, turn)
    _park(pen)
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
                mend="Use one file a bit.",
            )
        )


def _tool_numbers(plan: Plan) -> dict[str, int]:
    """Bits numbered from 1 in the order in which the plan first uses them."""
    ids = [section.bit.id for program in plan.programs for section in program.sections]
    return {bit_id: number for number, bit_id in enumerate(dict.fromkeys(ids), start=1)}


def _begin_section(pen: Pen, section: Section, *, number: int, tool: int, is_turned: bool) -> None:
    """Put the bit in and the spindle on, ending at safe height with everything stated."""
    machine, dialect = pen.machine, pen.machine.dialect
    safe_mm = pen.heights.safe_mm
    is_first = number == 1
    has_tool_word = machine.bit_change is BitChange.TOOL_WORD and dialect.tool_change_word and machine.can_zero_in_pause
    if not is_first:
        _park(pen)
    pen.lines += bit_line(number, section.bit.id, dialect)
    is_changed = has_tool_word or not is_first
    if is_changed:
        ask = f"Put in {section.bit.id}, zero z again, lift the bit, resume"
        pen.lines += [*comment_lines(ask, dialect.comments), *asking_lines(ask, dialect)]
    if is_first:
        rapid_to_height(pen, safe_mm)
    if is_changed:
        pen.lines += [f"T{tool}", "M6"] if has_tool_word else ["M0"]
        _restate(pen)
    reason = start_reason(machine, section.data)
    if is_turned:
        pen.lines += [*comment_lines(TURNED, dialect.comments), *asking_lines(TURNED, dialect)]
        reason = reason or "board turned over, zero checked; then resume"
    if reason:
        pen.lines += pause_lines(reason, dialect)
        _restate(pen)
    pen.lines += spindle_on_lines(machine, section.data)


def _restate(pen: Pen) -> None:
    """After a pause: state everything again, then Z alone up to safe height."""
    pen.lines += restate_lines(pen.machine.dialect)
    pen.forget()
    rapid_to_height(pen, pen.heights.safe_mm)


def _park(pen: Pen) -> None:
    """Up, to the park place, spindle off; a router switched by hand gets a pause for it."""
    rapid_to_height(pen, pen.heights.safe_mm)
    rapid_across(pen, *pen.machine.park)
    reason = stop_reason(pen.machine)
    if reason:
        pen.lines += [*pause_lines(reason, pen.machine.dialect), *restate_lines(pen.machine.dialect)]
    pen.lines.append("M5")


def _write_cut(pen: Pen, cut: Cut, section: Section, turn: float | None) -> None:
    pen.lines += comment_lines(f"{cut.piece_id} {cut.kind.value}", pen.machine.dialect.comments)
    for index, cut_pass in enumerate(cut.passes):
        turned = cut_pass if turn is None else _turned_pass(cut_pass, turn)
        write_pass(pen, turned, section.data, may_continue=index > 0)


def _turned_pass(cut_pass: Pass, turn: float) -> Pass:
    """The pass as the machine sees it with the board turned over: y mirrored in the turning line, arcs reversed."""
    steps = (Step(turned_segment(step.segment, turn), step.z_start, step.z_end, step.feed) for step in cut_pass.steps)
    return Pass(tuple(steps), is_finish=cut_pass.is_finish)
