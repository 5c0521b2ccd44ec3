"""Where a program waits for a person, and what it asks there: the same list writes the file and fills the manifest."""

from typing import Final

from platelayer.post.dialect import asking_lines, start_reason, stop_reason
from platelayer.post.header import TURNED, is_turned
from platelayer.post.words import comment_line, comment_text, comment_texts
from platelayer.values.cuts import Plan, Program, Stop, StopAsks
from platelayer.values.dialect import Dialect
from platelayer.values.tooling import BitChange

_PAUSE: Final = "PAUSE "


def stops_of(program: Program, plan: Plan) -> tuple[Stop, ...]:
    """Every stop of a program, in order: for each bit the bit itself, the board turned over, router on, router off."""
    machine = plan.machine
    has_tool_word = (
        machine.bit_change is BitChange.TOOL_WORD and machine.dialect.tool_change_word and machine.can_zero_in_pause
    )
    tools = _tool_numbers(plan)
    off = stop_reason(machine)
    found: list[Stop] = []
    for number, section in enumerate(program.sections, start=1):
        bit_id = section.bit.id
        if has_tool_word or number > 1:
            says = comment_texts(f"Put in {bit_id}, zero z again, lift it, resume")
            tool = tools[bit_id] if has_tool_word else 0
            found.append(Stop(asks=StopAsks.BIT, bit=number, tool=tool, says=tuple(says)))
        on = start_reason(machine, section.data)
        turned = tuple(comment_texts(TURNED)) if number == 1 and is_turned(program, plan) else ()
        if turned or on:
            reason = comment_text(f"PAUSE {on or 'board turned over, zero checked; then resume'}")
            asks = StopAsks.ON if on else StopAsks.BOARD
            found.append(Stop(asks=asks, bit=number, says=(*turned, reason)))
        if off:
            found.append(Stop(asks=StopAsks.OFF, bit=number, says=(comment_text(f"PAUSE {off}"),)))
    return tuple(found)


def asking_lines_of(stop: Stop, dialect: Dialect) -> list[str]:
    """What a stop tells the person, as comments, and as messages too where the controller shows them."""
    told = [text for text in stop.says if not text.startswith(_PAUSE)]
    lines = [comment_line(text, dialect.comments) for text in told]
    lines += asking_lines(" ".join(told), dialect) if told else []
    for reason in (text for text in stop.says if text.startswith(_PAUSE)):
        lines += [*asking_lines(reason.removeprefix(_PAUSE), dialect), comment_line(reason, dialect.comments)]
    return lines


def _tool_numbers(plan: Plan) -> dict[str, int]:
    """Bits numbered from 1 in the order in which the plan first uses them."""
    ids = [section.bit.id for program in plan.programs for section in program.sections]
    return {bit_id: number for number, bit_id in enumerate(dict.fromkeys(ids), start=1)}
