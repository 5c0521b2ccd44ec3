"""Readings of a bought set as TOML text: written empty by the program, filled in by a person, one list a size."""

from collections.abc import Mapping

from platelayer.errors import Fault, JobError
from platelayer.fit.bought import JOINT_SIZES, LETTERS, WORDS, BoughtSize
from platelayer.job.near_names import fix_for
from platelayer.job.reading import placed, read_toml
from platelayer.parsing import parse_length


def bought_template() -> str:
    """A file to fill in: every size with its letter in the drawing and how to measure it."""
    lines = [
        '# Sizes of a bought set by caliper, in mm unless a unit is written, as in 8.1 or "5/16 in".',
        "# One reading a piece, several pieces: their mean and their spread are used. Three will do, ten are better.",
        f"# The first {len(JOINT_SIZES)} make the joint; measure the rest too, so that edges and wheels meet no step.",
        "",
    ]
    for size in BoughtSize:
        lines += [f"# {LETTERS[size]}: {WORDS[size]}", f"{size.value} = []"]
    return "\n".join(lines) + "\n"


def read_bought(text: str, *, file: str) -> Mapping[BoughtSize, tuple[float, ...]]:
    """The readings of each size, those left empty not among them; bare numbers are in mm.

    Raises:
        JobError: with every fault of the file.
    """
    faults: list[Fault] = []
    found: dict[BoughtSize, tuple[float, ...]] = {}
    known = [size.value for size in BoughtSize]
    for key, written in read_toml(text, file=file).items():
        if key not in known:
            faults.append(Fault(where=key, problem="no such size of a bought piece", fix=fix_for(key, known)))
            continue
        values = []
        for one in written if isinstance(written, list) else [written]:
            try:
                values.append(parse_length(one, unit="mm", where=key))
            except JobError as error:
                faults += error.faults
        if any(value <= 0 for value in values):
            faults.append(Fault(where=key, found=str(written), problem="a size is more than nothing"))
        elif values:
            found[BoughtSize(key)] = tuple(values)
    if faults:
        raise placed(JobError(*faults), text, file=file)
    return found
