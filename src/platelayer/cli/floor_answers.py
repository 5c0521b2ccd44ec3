"""The commands of ``platelayer floor`` that say what to make: close and count."""

import sys
import time
from collections.abc import Callable
from pathlib import Path

import click

from platelayer.cli.floors import floor, floor_argument, put_picture, show_data
from platelayer.cli.group import FAILS, GOOD, faults_to_exit, own_folders, profile_option
from platelayer.cli.progress import Progress
from platelayer.cli.telling import list_rows, say


@floor.command()
@floor_argument
@click.argument("gap", required=False, default="")
@click.option("--show", "wanted", type=click.IntRange(1, 20), default=4, show_default=True, help="Answers at the most.")
@click.option(
    "--seconds",
    "limit_s",
    type=click.FloatRange(0, 3600),
    default=4.0,
    show_default=True,
    help="Time to search; then the best is told.",
)
@click.option("--pick", type=click.IntRange(1, 20), default=1, show_default=True, help="Answer that is drawn and made.")
@click.option("--draw", type=click.Path(path_type=Path), help="Draw the floor with that answer: SVG or PNG.")
@click.option("--job", type=click.Path(path_type=Path), help="Write a job of what that answer wants made.")
@click.option("--add", type=click.Path(path_type=Path), help="Put it at the end of this job's cut list.")
@click.option("--json", "as_json", is_flag=True, help="The answers as JSON, each with its drawing.")
@click.option("--force", is_flag=True, help="Write over files that exist.")
@profile_option
@faults_to_exit
def close(
    floor_file: Path,
    gap: str,
    wanted: int,
    limit_s: float,
    pick: int,
    draw: Path | None,
    job: Path | None,
    add: Path | None,
    as_json: bool,
    force: bool,
    profile_folder: Path | None,
) -> None:
    """Say what closes a gap: owned pieces alone, else the fewest new ones, then the least wood.

    GAP is the name of a stretch that does not meet its goal, or of a gap that was measured.
    """
    from platelayer.floor_road import answers as road
    from platelayer.floor_road import checking, closing, looking
    from platelayer.floor_road.ground import read_ground

    with Progress("the play of every joint") as progress:
        ground = read_ground(floor_file, own_profiles=own_folders(profile_folder))
        checked = checking.check(ground)
        asked = closing.asked_gap(checked, gap)
        is_over = after(limit_s)
        found = closing.answer(checked, asked, wanted=max(wanted, pick), is_over=is_over, progress=progress)
    if as_json:
        show_data(looking.closing_view(ground, found))
        sys.exit(GOOD if found.answers else FAILS)
    say(road.answer_lines(found), ground.floor.units)
    if draw is None and job is None and add is None:
        sys.exit(GOOD if found.answers else FAILS)
    one = road.picked(found, pick)
    if draw is not None:
        put_picture(draw, road.answer_svg(ground, found, one), force=force)
    if job is not None:
        road.new_job(ground, one.orders, job, title=f"{ground.floor.title}: {asked.gap.name}", force=force)
        say([f"Written to {job}. Then: platelayer make {job}"])
    if add is not None:
        road.add_to_job(ground, one.orders, add)
        say([f"Added to {add}. Then: platelayer make {add}"])


def after(seconds_s: float) -> Callable[[], bool]:
    """Whether so long has passed since it was first asked."""
    began_s: list[float] = []

    def _is_over() -> bool:
        now_s = time.monotonic()
        if not began_s:
            began_s.append(now_s)
        return not now_s <= began_s[0] + seconds_s  # so that what is no number ends it

    return _is_over


@floor.command()
@floor_argument
@click.option("--job", type=click.Path(path_type=Path), help="Write a job of what is to be made.")
@click.option("--force", is_flag=True, help="Write over a file that exists.")
@profile_option
@faults_to_exit
def count(floor_file: Path, job: Path | None, force: bool, profile_folder: Path | None) -> None:
    """Count what the floor wants of each piece, what is owned, and what is to be made."""
    from platelayer.floor_road import answers as road
    from platelayer.floor_road import counting
    from platelayer.floor_road.ground import read_ground

    with Progress("what can be made"):
        ground = read_ground(floor_file, own_profiles=own_folders(profile_folder))
        counted = counting.count_pieces(ground)
    list_rows(counting.HEAD, counted.rows, ground.floor.units)
    say(counting.count_lines(counted), ground.floor.units)
    if job is not None:
        road.new_job(ground, counted.orders, job, title=ground.floor.title, force=force)
        say([f"Written to {job}. Then: platelayer make {job}"])
