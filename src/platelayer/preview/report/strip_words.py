"""What a woodworker must know to cut strips of track width: fence, clamps, bridges, and where the stop stands.

Glossary:
    run: one time that a file is run. A window's files are run once for each piece fed through it.
    stop: a block that the strip's end is pushed against before it is clamped.
    batten: scrap against the strip's far edge, as the fence is against its near one; the bit runs out into either.
"""

from collections.abc import Iterator
from itertools import groupby

from platelayer.geometry.contours import bounds
from platelayer.manifest.schema import Manifest, ManifestBoard
from platelayer.units import show_length
from platelayer.values.tooling import StripFeed


def runs_of(manifest: Manifest) -> dict[str, int]:
    """How often the files of each board are run."""
    return {board.id: max(1, len(board.feeds)) for board in manifest.boards}


def piece_count(manifest: Manifest) -> int:
    """Pieces made in all runs."""
    runs = runs_of(manifest)
    return sum(runs.get(piece.board, 1) for piece in manifest.pieces)


def strip_lines(manifest: Manifest) -> tuple[str, ...]:
    """What to do, sentence by sentence, and a line for every place of the stop; nothing for a job from boards."""
    strips = [board for board in manifest.boards if board.is_strip]
    if not strips:
        return ()
    return (*_setting_up(manifest, strips), *(_feeding(manifest, strips) if strips[0].feeds else ()))


def _setting_up(manifest: Manifest, strips: list[ManifestBoard]) -> Iterator[str]:
    wide = show_length(strips[0].size_mm[1])
    reach = show_length(max(bit.diameter_mm for file in manifest.files for bit in file.bits) / 2)
    heights = [tab.height_mm for piece in manifest.pieces for tab in piece.tabs]
    high = show_length(max(heights, default=0.0))
    yield f"Strips are {wide} wide as they come, edges rounded over beforehand; no long edge is cut."
    yield (
        "Lay the strip along x against a wooden fence at its near edge, no higher than the strip: in front of every end"
        f" face the bit cuts up to {reach} into it."
    )
    yield (
        "Press a batten of scrap, no higher than the strip, tight against the far edge: there the finish pass leaves "
        "the left end faces, and with nothing behind it the rounded edge would splinter. The bit cuts up to "
        f"{reach} into it too."
    )
    yield (
        f"Bridges {high} high beside the long edges hold pieces and waste together: saw them through off the machine, "
        "never snap them."
    )
    if not strips[0].feeds:
        yield f"Clamp each strip at both ends{_clamp_words(strips[0])}; nothing is cut there."


def _feeding(manifest: Manifest, strips: list[ManifestBoard]) -> Iterator[str]:
    """How a strip is fed, then the stops in the order of the runs."""
    yield (
        "The strip is longer than the machine travels and is fed: for each piece push its right end against the stop, "
        f"clamp it at zero on the left{_clamp_words(strips[0])}, hold its tail up level, run the file, saw "
        "the piece off through the bridges, and feed on. Zero and fence stay where they are; a stop right to 1/8 in "
        "(3 mm) will do, since the bit cuts both ends."
    )
    files = {board.id: ", ".join(file.name for file in manifest.files if file.board == board.id) for board in strips}
    for board in strips:
        for (strip, _), some in groupby(board.feeds, key=lambda feed: (feed.strip, round(feed.stop_mm, 3))):
            yield f"  {_stop(list(some), strip)}: {files[board.id]}"
    last = {feed.strip: feed for board in strips for feed in board.feeds}
    left = ", ".join(f"{strip} {show_length(feed.left_mm)}" for strip, feed in last.items())
    yield f"  Left of the strips: {left}."


def _stop(feeds: list[StripFeed], strip: str) -> str:
    names = feeds[0].piece_id if len(feeds) == 1 else f"{feeds[0].piece_id} to {feeds[-1].piece_id}"
    times = f" ({len(feeds)} runs)" if len(feeds) > 1 else ""
    return f"stop at x {show_length(feeds[0].stop_mm)}, strip {strip}, {names}{times}"


def _clamp_words(board: ManifestBoard) -> str:
    """How much of the strip the clamp may take and how high it may stand, from the no-go area that keeps it clear."""
    area = next((area for area in board.no_go if area.title == "clamp"), None)
    if area is None:
        return ""
    low_x, _, high_x, _ = bounds(area.outline)
    wide, high = (show_length(length) for length in (high_x - low_x, area.height_mm))
    return f", within {wide} and no higher than {high} above the wood"
