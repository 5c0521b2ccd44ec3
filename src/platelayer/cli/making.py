"""The command from a job to a folder: its making, again whenever it is saved."""

import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Final, NoReturn

import click

from platelayer.cli.group import FAILS, GOOD, faults_to_exit, main, own_folders, profile_option
from platelayer.cli.progress import Progress
from platelayer.cli.telling import show

LOOK_EVERY_S: Final = 0.1
"""How often a followed job file is looked at."""


@main.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), help="Folder to write; named after the job, beside it, else.")
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
    out: Path | None,
    force: bool,
    as_json: bool,
    follow: bool,
    placement: Path | None,
    shop: Path | None,
    profile_folder: Path | None,
) -> None:
    """Make a job: G-code, pictures, page, manifest and summary, handed over only when the dry run passes."""
    if out is None:
        from platelayer.files import beside

        out = beside(job)
        if job.is_file():
            click.echo(f"No --out given: the folder is {out}.", err=True)
    asked = MakeOptions(
        out=out, force=force, as_json=as_json, placement=placement, shop=shop, profile_folder=profile_folder
    )

    def once() -> int:
        return make_once(job, asked)

    if follow:
        follow_job(job, once, out=out)
    sys.exit(once())


@dataclass(frozen=True, slots=True, kw_only=True)
class MakeOptions:
    """What was asked of ``make`` beside the job."""

    out: Path
    force: bool
    as_json: bool
    placement: Path | None
    shop: Path | None
    profile_folder: Path | None


def make_once(job: Path, asked: MakeOptions) -> int:
    """One make, its summary shown; the exit code it comes to."""
    from platelayer import files
    from platelayer.errors import Refused
    from platelayer.job import profiles_for
    from platelayer.road.making import make as road_make
    from platelayer.road.outputs import PREVIEW

    text, out = files.read_text(job), asked.out
    profiles = profiles_for(text, file=str(job), own=own_folders(asked.profile_folder))
    try:
        with Progress("reading the job") as progress:
            made = road_make(
                text,
                file=str(job),
                out=out,
                profiles=profiles,
                force=asked.force,
                placement=asked.placement,
                shop=asked.shop,
                progress=progress,
            )
    except Refused as refusal:
        click.echo(str(refusal), err=True)
        click.echo(no_gcode_words(out, refusal.page), err=True)
        return FAILS
    show(made.proof, as_json=asked.as_json)
    if made.proof.report.passed:
        if made.quicker:
            click.echo(made.quicker, err=True)
        click.echo(f"Written to {out}. Preview to open: {out / PREVIEW}", err=asked.as_json)
        click.echo(f"To change it on a page in your browser: {open_words(job)}", err=asked.as_json)
        return GOOD
    click.echo(no_gcode_words(out, made.refused_page), err=True)
    return FAILS


def open_words(job: Path) -> str:
    """The command that opens the page on the folder of a job, by the program as it was called just now."""
    called = Path(sys.argv[0])
    return f"{called if called.stem == 'platelayer' else 'platelayer'} open {job.parent}"


def no_gcode_words(out: Path, page: Path | None) -> str:
    """What a refused job left in its folder, and whose files else are there."""
    from platelayer.files import MANIFEST

    drawn = f" To see what does not fit, open {page}." if page else ""
    earlier = f" The G-code in {out} is that of an earlier job, as it was." if (out / MANIFEST).exists() else ""
    return f"No G-code written to {out}.{drawn}{earlier}"


def follow_job(job: Path, make_again: Callable[[], int], *, out: Path) -> NoReturn:
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
                    click.echo(no_gcode_words(out, None), err=True)
                click.echo(f"Made in {time.monotonic() - since_s:.2f} s. Waiting for {job} to be saved.", err=True)
            time.sleep(LOOK_EVERY_S)
    except KeyboardInterrupt:
        sys.exit(GOOD)
