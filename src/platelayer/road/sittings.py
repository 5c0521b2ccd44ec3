"""Files no longer than a person stands by: programs timed as they will be read, and ended where they take too long."""

from collections.abc import Sequence
from typing import Final

from platelayer.errors import CannotCut, Fault
from platelayer.gcode.motion import move_times
from platelayer.gcode.reader import read_program
from platelayer.gcode.work_times import piece_runs_s
from platelayer.manifest.build import machine_of
from platelayer.manifest.schema import ManifestMachine
from platelayer.post import program_text
from platelayer.sequence.sittings import groups_of, in_sittings
from platelayer.values.cuts import Plan, Program

_TRIES: Final = 4
"""A file's own start and way home are known only once it stands; each try allows for what was too long before."""


def with_sittings(plan: Plan, most_s: float) -> Plan:
    """The plan with every file that takes longer ended between pieces; files run for each feed of a strip stay whole.

    Raises:
        CannotCut: cuts of one piece that follow one another and take longer.
    """
    machine = machine_of(plan.machine)
    timed = {
        program.name: _timed(program, plan, machine)
        for program in plan.programs
        if not program.board.feeds and len(program.sections) == 1
    }
    spare_s = 0.0
    made = plan
    for _ in range(_TRIES):
        groups = {
            name: _groups(units, total_s, most_s - spare_s)
            for name, (units, total_s) in timed.items()
            if total_s > most_s
        }
        made = in_sittings(plan, groups)
        over_s = max((_timed(one, made, machine)[1] - most_s for one in made.programs if one.sittings > 1), default=0.0)
        if over_s <= 0:
            return made
        spare_s += over_s
    raise _too_short(most_s, most_s + spare_s)


def _timed(program: Program, plan: Plan, machine: ManifestMachine) -> tuple[Sequence[float], float]:
    """Seconds of each unit, and of the whole program."""
    motion = read_program(program_text(program, plan=plan), name=program.name)
    time = move_times(motion, machine)
    return [seconds for _, seconds in piece_runs_s(motion, time)], time.total_s


def _groups(units_s: Sequence[float], total_s: float, most_s: float) -> tuple[range, ...]:
    """Groups of units that keep to the most with a start like the whole file's."""
    own_s = total_s - sum(units_s)
    if max(units_s) + own_s > most_s:
        raise _too_short(most_s, max(units_s) + own_s)
    return groups_of(units_s, most_s - own_s)


def _too_short(most_s: float, needed_s: float) -> CannotCut:
    minutes = int(needed_s // 60) + 1
    return CannotCut(
        Fault(
            where="[cutting] sitting",
            found=f"{most_s / 60:g} min",
            problem="shorter than what one piece takes at one go",
            fix=f"Use {minutes} min or more, or leave it out.",
        )
    )
