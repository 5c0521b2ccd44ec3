"""The commands: thin, no arithmetic. Product on stdout or in the folder, people's text on stderr.

Exit codes: 0 good; 1 the job or file fails its checks; 2 wrong usage or unreadable input.
"""

import json
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, NoReturn, ParamSpec

import click

from platelayer.cli.progress import Progress

if TYPE_CHECKING:
    from platelayer.manifest.schema import Manifest
    from platelayer.values.findings import Report

GOOD: Final = 0
FAILS: Final = 1
UNREADABLE: Final = 2

LOOK_EVERY_S: Final = 0.1
"""How often a followed job file is looked at."""

P = ParamSpec("P")


def faults_to_exit(command: Callable[P, None]) -> Callable[P, None]:
    """A command whose faults become sentences on stderr and an exit code, never a traceback unless asked for."""

    @wraps(command)
    def wrapped(*args: P.args, **kwargs: P.kwargs) -> None:
        from platelayer.errors import CannotCut, PlatelayerError

        try:
            command(*args, **kwargs)
        except PlatelayerError as error:
            if click.get_current_context().find_root().params.get("traceback"):
                raise
            for fault in error.faults:
                click.echo(str(fault), err=True)
            sys.exit(FAILS if isinstance(error, CannotCut) else UNREADABLE)

    return wrapped


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="platelayer")
@click.option("--traceback", is_flag=True, help="Show where in the program a fault was raised (for its makers).")
def main(traceback: bool) -> None:
    """Wooden toy-railway track: from a job file to G-code for a hobby router, proved by a dry run.

    Routers and small parts hurt people: the machine's manual and local rules come first.
    """


def profile_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """The option that names a folder of the shop's own profiles."""
    return click.option(
        "--profiles",
        "profile_folder",
        type=click.Path(path_type=Path, file_okay=False, exists=True),
        help="Folder of your own machine profiles; it comes before the shipped ones.",
    )(command)


@main.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), required=True, help="Folder to write; made when missing.")
@click.option("--force", is_flag=True, help="Write over files you have edited.")
@click.option("--json", "as_json", is_flag=True, help="Summary as JSON on stdout.")
@click.option("--follow", is_flag=True, help="Make it again whenever the job file is saved; ends with Ctrl-C.")
@click.option(
    "--placement",
    type=click.Path(path_type=Path),
    help="Keep pieces where a placement.json of an earlier make says.",
)
@click.option("--shop", type=click.Path(path_type=Path), help="The shop's own measurements, as fit read wrote them.")
@profile_option
@faults_to_exit
def make(
    job: Path,
    out: Path,
    force: bool,
    as_json: bool,
    follow: bool,
    placement: Path | None,
    shop: Path | None,
    profile_folder: Path | None,
) -> None:
    """Make a job: G-code, pictures, page, manifest and summary, handed over only when the dry run passes."""
    asked = Asked(out=out, force=force, as_json=as_json, placement=placement, shop=shop, profile_folder=profile_folder)

    def once() -> int:
        return make_once(job, asked)

    if follow:
        follow_job(job, once)
    sys.exit(once())


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked of ``make`` beside the job."""

    out: Path
    force: bool
    as_json: bool
    placement: Path | None
    shop: Path | None
    profile_folder: Path | None


def make_once(job: Path, asked: Asked) -> int:
    """One make, its summary shown; the exit code it comes to."""
    from platelayer import files, road
    from platelayer.job import load_profiles

    profiles = load_profiles((asked.profile_folder,) if asked.profile_folder else ())
    text, out = files.read_text(job), asked.out
    with Progress("reading the job") as progress:
        made = road.make(
            text,
            file=str(job),
            out=out,
            profiles=profiles,
            force=asked.force,
            placement=asked.placement,
            shop=asked.shop,
            progress=progress,
        )
    show(made.manifest, made.report, as_json=asked.as_json)
    if made.report.passed:
        click.echo(f"Written to {out}. Preview to open: {out / road.PREVIEW}", err=asked.as_json)
    else:
        click.echo(f"Nothing written to {out}.", err=True)
    return GOOD if made.report.passed else FAILS


def follow_job(job: Path, make_again: Callable[[], int]) -> NoReturn:
    """Makes the job now and whenever its file is saved, faults shown and waited out, until Ctrl-C."""
    from platelayer.errors import PlatelayerError

    seen: int | None = None
    try:
        while True:
            saved = job.stat().st_mtime_ns if job.exists() else None
            if saved is not None and saved != seen:
                seen, since_s = saved, time.monotonic()
                try:
                    make_again()
                except PlatelayerError as error:
                    click.echo(str(error), err=True)
                click.echo(f"Made in {time.monotonic() - since_s:.2f} s. Waiting for {job} to be saved.", err=True)
            time.sleep(LOOK_EVERY_S)
    except KeyboardInterrupt:
        sys.exit(GOOD)


@main.command()
@click.argument("place", type=click.Path(path_type=Path))
@click.option("--bit", help="For a file without a manifest: a bit's id, or the diameter of a flat one.")
@click.option("--board", help="For a file without a manifest: its board, as in '36 x 11 x 1/2 in'.")
@click.option("--zero", type=click.Choice(["top", "spoilboard"]), default="top", help="Where that board's z is nought.")
@click.option("--page", type=click.Path(path_type=Path), help="Write the page to watch it on to this file.")
@click.option("--force", is_flag=True, help="Write over a page that exists.")
@click.option("--json", "as_json", is_flag=True, help="Report as JSON on stdout.")
@faults_to_exit
def dryrun(
    place: Path, bit: str | None, board: str | None, zero: str, page: Path | None, force: bool, as_json: bool
) -> None:
    """Dry-run a folder that make wrote, or anyone's G-code file, from the files alone."""
    from platelayer import files, road

    with Progress(f"dry run of {place}"):
        if place.is_dir():
            read, report = road.dry_run_folder(place)
        else:
            read, report = road.dry_run_stranger(place, bit=bit, board=board, zero=zero)
    show(read.manifest, report, as_json=as_json)
    if page:
        with Progress("page"):
            files.write_file(page, road.page_of(read, report), force=force)
        click.echo(f"Page to open: {page}", err=True)
    sys.exit(GOOD if report.passed else FAILS)


@main.command()
@click.argument("folder", type=click.Path(path_type=Path))
@faults_to_exit
def sheet(folder: Path) -> None:
    """Write the shop sheet, full-size templates and drawings into a folder that make wrote."""
    from platelayer import road

    with Progress("dry run, sheet, templates and drawings"):
        names = road.sheet(folder)
    click.echo(f"Written to {folder}: {', '.join(names)}")


@main.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--kerf", default="1/8 in", show_default=True, help="Width of the cut your blade makes.")
@profile_option
@faults_to_exit
def saw(job: Path, kerf: str, profile_folder: Path | None) -> None:
    """Fence and blade settings to cut a job's grooves on a table saw."""
    from platelayer import road

    for line in road.saw_lines(job, kerf=kerf, own_profiles=(profile_folder,) if profile_folder else ()):
        click.echo(line)


@main.command()
@click.argument("job", type=click.Path(path_type=Path), default=Path("job.toml"))
@click.option("--force", is_flag=True, help="Write over a file that exists.")
@faults_to_exit
def new(job: Path, force: bool) -> None:
    """Write a commented starter job to edit."""
    from platelayer import files
    from platelayer.job import starter_job

    files.write_file(job, starter_job(), force=force)
    click.echo(f"Wrote {job}. Edit it, then: platelayer make {job} --out build", err=True)


@main.command()
@profile_option
@faults_to_exit
def machines(profile_folder: Path | None) -> None:
    """List the machines there is a profile for."""
    from platelayer.job import describe_machines, load_profiles

    listing = describe_machines(load_profiles((profile_folder,) if profile_folder else ()))
    list_rows(listing.head, listing.rows)


@main.command()
def bits() -> None:
    """List the shipped bits; a job may add its own and give measured sizes."""
    from platelayer.job import describe_bits

    listing = describe_bits()
    list_rows(listing.head, listing.rows)


@main.command()
def materials() -> None:
    """List the woods that feeds are known for."""
    from platelayer.job import describe_materials

    listing = describe_materials()
    list_rows(listing.head, listing.rows)


@main.command()
def pieces() -> None:
    """List the kinds of piece, and the keys of a job that size them."""
    from platelayer.pieces.catalogue import CATALOGUE

    list_rows(
        ("kind", "piece", "keys"),
        [(kind.name, kind.summary, ", ".join((*kind.own_keys, "turns"))) for kind in CATALOGUE],
    )


def list_rows(head: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    """Rows in columns under their head, on stdout."""
    widths = [max(len(row[column]) for row in (head, *rows)) for column in range(len(head))]
    for row in (head, *rows):
        click.echo("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip())


def show(manifest: "Manifest", report: "Report", *, as_json: bool) -> None:
    """The summary, as text or as data, on stdout."""
    from platelayer.preview.report.summary import summary_data, summary_text

    if as_json:
        click.echo(json.dumps(summary_data(manifest, report), indent=1))
    else:
        click.echo(summary_text(manifest, report), nl=False)


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
    from platelayer.road import recutting

    if (line is None) == (not piece and number is None):
        click.get_current_context().fail("say where to go on: --from-line N, or --piece ID, --pass K or both.")
    recutting.stopped_file(file)  # what is wrong with it is said before anything is asked
    if zero is None:
        try:
            zero = click.prompt(ZERO_ASKED, type=click.Choice(("kept", "lost")), err=True)
        except click.Abort:
            click.get_current_context().fail("say whether zero was kept or lost: --zero kept or --zero lost.")
    start = recutting.GoOnFrom(line=line, piece=piece, number=1 if number is None else number)
    with Progress("dry run together with what was cut before"):
        gone_on = recutting.recut_file(file, start, zero_is_lost=zero == "lost", out=out, force=force)
    if not gone_on.report.passed:
        show(gone_on.manifest, gone_on.report, as_json=False)
        click.echo(f"Nothing written to {out}.", err=True)
        sys.exit(FAILS)
    for sentence in gone_on.recut.sentences:
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


from platelayer.cli import fitting, joint_answers  # noqa: E402, F401 their commands stand on the group above
