"""The commands that make files from files: a cut that goes on, and runs in the air."""

import sys
from pathlib import Path
from typing import Final

import click

from platelayer.cli.group import FAILS, faults_to_exit, main
from platelayer.cli.progress import Progress
from platelayer.cli.telling import show

ZERO_ASKED: Final = (
    "Was zero kept or lost? Lost when power failed, a motor stalled or slipped, the bit was changed, the board moved,"
    " or when you are not sure"
)


@main.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--from-line", "line", type=int, help="Line at which the file stopped: the last that was surely cut.")
@click.option("--piece", default="", help="Go on with the first pass of this piece.")
@click.option("--pass", "number", type=int, help="Go on with this pass of the file, or of the piece when one is named.")
@click.option("--zero", type=click.Choice(("kept", "lost")), help="Whether the machine still has its zero; asked else.")
@click.option("--out", type=click.Path(path_type=Path), required=True, help="File to write.")
@click.option("--force", is_flag=True, help="Write over an earlier one.")
@faults_to_exit
def recut(
    file: Path, line: int | None, piece: str, number: int | None, zero: str | None, out: Path, force: bool
) -> None:
    """Go on with a FILE that stopped: a safe file from the beginning of the pass that was interrupted.

    FILE stays in the folder that make wrote. The new file is dry-run together with what was cut before.
    """
    from platelayer.road import resuming

    if (line is None) == (not piece and number is None):
        click.get_current_context().fail("say where to go on: --from-line N, or --piece ID, --pass K or both.")
    resuming.stopped_file(file)  # what is wrong with it is said before anything is asked
    if zero is None:
        try:
            zero = click.prompt(ZERO_ASKED, type=click.Choice(("kept", "lost")), err=True)
        except click.Abort:
            click.echo(err=True)
            click.get_current_context().fail("say whether zero was kept or lost: --zero kept or --zero lost.")
    start = resuming.ResumeFrom(line=line, piece=piece, number=1 if number is None else number)
    with Progress("dry run together with what was cut before"):
        resumed = resuming.recut_file(file, start, zero_is_lost=zero == "lost", out=out, force=force)
    if not resumed.proof.report.passed:
        show(resumed.proof, as_json=False)
        click.echo(f"Nothing written to {out}.", err=True)
        sys.exit(FAILS)
    for sentence in resumed.recut.sentences:
        click.echo(sentence.rstrip(".") + ("" if sentence.endswith((",", ":", "?")) else "."), err=True)
    click.echo(f"Dry run together with what was cut before: passed. Written to {out}.", err=True)


@main.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), required=True, help="Folder to write; made when missing.")
@click.option("--lift", default="", help="Height by which all is raised; what each file needs when left out.")
@click.option(
    "--spindle", type=click.Choice(("off", "on")), default="off", show_default=True, help="During air passes."
)
@click.option("--force", is_flag=True, help="Write over files you have edited.")
@faults_to_exit
def rehearse(folder: Path, out: Path, lift: str, spindle: str, force: bool) -> None:
    """Write files to run in the air first: every file of FOLDER raised clear of the wood, and a trace of every board.

    A trace goes round the board and each piece's outline at safe height.
    """
    from platelayer.road.rehearsing import rehearse as write_rehearsal

    with Progress("raised files and their dry run"):
        made = write_rehearsal(folder, out=out, lift=lift, has_spindle_on=spindle == "on", force=force)
    for file in made.manifest.files:
        click.echo(f"Written {out / file.name}", err=True)
