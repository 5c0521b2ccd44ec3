"""A program longer than a person stands by a router ends between two pieces' cuts, and another one goes on there.

Glossary:
    sitting: what is run at one go, a file of its own. unit: cuts of one piece that follow one another; never parted.

The order of cuts stays what it is, so that a slot is roughed before walls are cut and pieces are parted last: whatever
the sitting ends with, all of the board is held as it is in the middle of the one long file.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import groupby
from typing import Final

from platelayer.sequence.open_ways import with_open_ways
from platelayer.sequence.plan import program_name
from platelayer.values.cuts import Cut, Plan, Program

_HALVINGS: Final = 40
"""How often the search for the shortest longest sitting is halved: to well below a microsecond of a day."""


def groups_of(units_s: Sequence[float], most_s: float) -> tuple[range, ...]:
    """Consecutive groups of units: as few as keep to the most, and the longest of them as short as that many can be.

    Args:
        units_s: seconds of each unit, in order.
        most_s: what no group may take longer than.

    Raises:
        ValueError: a unit that alone takes longer.
    """
    if max(units_s, default=0.0) > most_s:
        raise ValueError("a unit takes longer than a group may")
    fewest = _filled(units_s, most_s)
    low, high = max(units_s, default=0.0), most_s
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (low, middle) if len(_filled(units_s, middle)) <= len(fewest) else (middle, high)
    return _filled(units_s, high)


def _filled(units_s: Sequence[float], most_s: float) -> tuple[range, ...]:
    """Groups filled one after another."""
    found: list[range] = []
    begin, took = 0, 0.0
    for number, seconds in enumerate(units_s):
        if number > begin and took + seconds > most_s:
            found.append(range(begin, number))
            begin, took = number, 0.0
        took += seconds
    return (*found, range(begin, len(units_s))) if units_s else ()


def in_sittings(plan: Plan, groups: Mapping[str, Sequence[range]]) -> Plan:
    """The plan with programs of one bit each ended between groups of units; programs are numbered anew.

    Args:
        plan: whose programs are ended.
        groups: by the name of a program, groups of its units; a program that is not named stays whole.
    """
    programs: list[Program] = []
    for board in plan.boards:
        parts: list[Program] = []
        for program in (one for one in plan.programs if one.board.id == board.id):
            for part in _parts(program, groups.get(program.name, ())):
                before = [section for one in parts if one.face is part.face for section in one.sections]
                known = with_open_ways(part.sections, before=before) if part.sittings > 1 else part.sections
                parts.append(replace(part, sections=known))
        programs += [replace(part, name=program_name(part, number)) for number, part in enumerate(parts, start=1)]
    return replace(plan, programs=tuple(programs))


def _parts(program: Program, groups: Sequence[range]) -> Sequence[Program]:
    if len(groups) < 2:
        return [program]
    (section,) = program.sections
    units = [tuple(run) for _, run in groupby(section.cuts, key=lambda cut: cut.piece_id)]
    return [
        replace(
            program,
            sections=(replace(section, cuts=_joined(units[group.start : group.stop])),),
            sitting=number,
            sittings=len(groups),
        )
        for number, group in enumerate(groups, start=1)
    ]


def _joined(units: Sequence[tuple[Cut, ...]]) -> tuple[Cut, ...]:
    return tuple(cut for unit in units for cut in unit)
