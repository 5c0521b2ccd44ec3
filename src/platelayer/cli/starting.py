"""The commands that begin: a starter job, a machine, bits and woods of one's own, and an axis timed by hand."""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from platelayer.cli.group import faults_to_exit, main
from platelayer.cli.telling import say

if TYPE_CHECKING:
    from platelayer.job.machine_form import FormField

USUAL: Final[Mapping[str, str]] = {
    "job": "job.toml",
    "machine": "machines/mine.toml",
    "bits": "bits.toml",
    "woods": "woods.toml",
}
"""What each file is called where nobody says."""


@main.command()
@click.argument("file", type=click.Path(path_type=Path), required=False)
@click.option("--machine", "what", flag_value="machine", help="A profile of your own machine, to fill in.")
@click.option("--bits", "what", flag_value="bits", help="A file of the bits you own.")
@click.option("--woods", "what", flag_value="woods", help="A file of woods of your own.")
@click.option("--ask", is_flag=True, help="Ask for every figure of the machine, one after another.")
@click.option("--force", is_flag=True, help="Write over a file that exists.")
@faults_to_exit
def new(file: Path | None, what: str | None, ask: bool, force: bool) -> None:
    """Write a commented starter job to edit; or a file of your own machine, bits or woods."""
    from platelayer import files
    from platelayer.job import starter_bits, starter_job, starter_woods
    from platelayer.job.machine_file import machine_text
    from platelayer.job.machine_form import beginnings

    what = what or "job"
    if ask and what != "machine":
        click.get_current_context().fail("--ask goes with --machine.")
    path = file or Path(USUAL[what])
    files.check_free(path, force=force)
    match what:
        case "machine":
            text = asked_machine(path) if ask else machine_text(beginnings())
        case "bits":
            text = starter_bits()
        case "woods":
            text = starter_woods()
        case _:
            text = starter_job()
    files.write_file(path, text, force=force)
    click.echo(f"Wrote {path}. {next_words(what, path, is_whole=ask)}", err=True)


def next_words(what: str, path: Path, *, is_whole: bool) -> str:
    """What to do with a file that was just written."""
    from platelayer.job.machine_form import beginnings, open_questions

    still = len(open_questions(beginnings()))
    fill = (
        "" if is_whole else f"Find out what its {still} questions ask, and write it in place of the # before each key. "
    )
    return {
        "job": f"Edit it, then: platelayer make {path} --out build",
        "machine": f'{fill}Then, under [job] of a job beside it: profiles = "{path.parent.name or "."}" and '
        f'machine = "{path.stem}".',
        "bits": f'Measure your bits and write them; then bits = "{path.name}" under [job] of a job beside it.',
        "woods": f'Write your woods; then woods = "{path.name}" under [job] of a job beside it.',
    }[what]


def asked_machine(path: Path) -> str:
    """The profile from answers that a person types, asked for again until nothing is wrong with them."""
    from platelayer.errors import JobError
    from platelayer.job.machine_file import field_at, form_keys, own_profile
    from platelayer.job.machine_form import FIELDS, beginnings

    answers, words = beginnings(), form_keys()
    ahead = list(FIELDS.values())
    while True:
        for field in ahead:
            if field.is_asked(answers):
                answers[field.name] = ask_field(field, words[field.name].limits, answers.get(field.name, ""))
        try:
            return own_profile(answers, file=str(path))
        except JobError as error:
            click.echo(f"\n{error}", err=True)
            wrong = [field_at(fault, answers) for fault in error.faults]
            ahead = list(dict.fromkeys(field for field in wrong if field is not None))
            if not ahead:
                raise


def ask_field(field: "FormField", limits: str, begins: str) -> str:
    """The answer to one question, with how to find it out and what happens where it is wrong."""
    told = ["", field.asks, f"  To find out: {field.find_out}", f"  If it is wrong: {field.if_wrong}"]
    say([*told, *([f"  {limits[:1].upper()}{limits[1:]}."] if limits else [])], "mm")
    may_skip = field.may_be_empty and not begins
    return str(click.prompt("Answer", default="" if may_skip else begins or None, show_default=bool(begins), err=True))


@main.command()
@click.argument("out", type=click.Path(path_type=Path), required=False)
@click.option("--axis", type=click.Choice(("x", "y", "z")), default="x", show_default=True, help="Axis to time.")
@click.option("--feed", default="3000 mm/min", show_default=True, help="Feed of the moves.")
@click.option("--length", default="20 mm", show_default=True, help="Length of each.")
@click.option(
    "--took", "took_s", type=float, help="Seconds that all of them took: tells the acceleration, writes nothing."
)
@click.option("--force", is_flag=True, help="Write over a file that exists.")
@faults_to_exit
def timing(out: Path | None, axis: str, feed: str, length: str, took_s: float | None, force: bool) -> None:
    """Find out how briskly an axis starts: write moves to time to OUT, and from the time work out its acceleration."""
    from platelayer.road.timing import asked_moves, timed_words, write_timed_moves

    moves = asked_moves(feed=feed, length=length)
    if took_s is not None:
        say([timed_words(moves, took_s=took_s)])
        return
    path = out or Path(f"timing-{axis}.nc")
    write_timed_moves(axis, moves, out=path, force=force)
    click.echo(f"Wrote {path}: {moves.count} moves of {length} along {axis}, up from where it stands.", err=True)
    click.echo("Spindle off, no bit; put it high in the middle, zero there, run it and stop the time. Then:", err=True)
    click.echo(f'platelayer timing --axis {axis} --feed "{feed}" --length "{length}" --took SECONDS', err=True)
