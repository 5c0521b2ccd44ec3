"""The outlines of a board's pieces run at safe height, spindle off: to see that board, clamps and zero are right.

Glossary:
    trace: the bit's middle over the board's edges and over each piece's own outline. Not a path: nothing is offset.
"""

from collections.abc import Iterator, Sequence

from platelayer.geometry.contours import rectangle
from platelayer.geometry.turning import turned_contour
from platelayer.manifest.schema import ManifestBoard, ManifestFile, ManifestPiece
from platelayer.post.rounding import Leg, Place, legs_of
from platelayer.post.words import comment_lines
from platelayer.rerun.written import Ways, bit_lines, fed_lines, go_line, head_of, lasting_head_of, lines_of, ways_of
from platelayer.units import to_inches
from platelayer.values.motion import Motion, MoveKind
from platelayer.values.shapes import Contour


def trace_text(
    text: str, motion: Motion, *, file: ManifestFile, board: ManifestBoard, pieces: Sequence[ManifestPiece]
) -> str:
    """A program that goes round the board and then round its pieces, in their order, at the safe height of a file.

    Args:
        text: the board's first file, whose zero, state, height and bit the trace takes over.
        motion: what it reads as.
        file: its entry; a file for the lower face has the trace turned over as it is.
        board: the board.
        pieces: those on it.
    """
    ways = ways_of(text, motion)
    lines = lines_of(text)
    bit_line = bit_lines(motion)[0]
    state = lines[len(head_of(lines)) : bit_line - 1]
    sentences = (
        f"TRACE of board {board.id}: round the board and each piece, {len(pieces)} in all",
        f"At safe height, spindle off, nothing is cut. Bit as for {file.name}",
    )
    said = [part for sentence in sentences for part in comment_lines(sentence, ways.comments)]
    out = [*said, *lasting_head_of(lines), *state, lines[bit_line - 1], go_line("G0", {"Z": ways.safe}, ways.grid)]
    loops = [(f"board {board.id}", board.outline or rectangle((0.0, 0.0), board.size_mm))]
    loops += [(piece.id, piece.outline) for piece in sorted(pieces, key=lambda piece: (piece.order, piece.id))]
    feed = _feed(file, motion, ways)
    for title, contour in loops:
        out += comment_lines(title, ways.comments)
        out += _loop_lines(contour if file.turn_y_mm is None else turned_contour(contour, file.turn_y_mm), ways, feed)
    x, y = (ways.grid.digits(float(value)) for value in motion.end[-1, :2])
    park = go_line("G0", {"X": x, "Y": y}, ways.grid)
    return "\n".join([*out, park, "M5", ways.end_word]) + "\n"


def _feed(file: ManifestFile, motion: Motion, ways: Ways) -> str:
    """The feed of the first bit's cuts, so that the trace goes as fast as the cut; else the fastest the file has."""
    feed = file.bits[0].feed_mm_min or float(motion.feed[motion.kind != MoveKind.RAPID].max(initial=1.0))
    return f"F{max(1, int(to_inches(feed)))}" if ways.grid.is_inch else f"F{max(1, int(feed))}"


def _loop_lines(contour: Contour, ways: Ways, feed: str) -> Iterator[str]:
    """Across to the contour's beginning and once round it."""
    grid, level = ways.grid, ways.safe
    x, y = contour.segments[0].start
    at: Place = (grid.digits(x), grid.digits(y), level)
    yield go_line("G0", {"X": at[0], "Y": at[1]}, grid)
    height_mm = grid.length_mm(level)
    is_first = True
    for segment in contour.segments:
        legs = legs_of(segment, z_start=height_mm, z_end=height_mm, start=at, grid=grid, has_arcs=ways.has_arcs)
        for leg in legs:
            line = _leg_line(leg, ways)
            yield from fed_lines(line, feed) if is_first else [line]
            is_first, at = False, leg.end


def _leg_line(leg: Leg, ways: Ways) -> str:
    name = "G1" if leg.offset is None else "G3" if leg.is_ccw else "G2"
    places = {"X": leg.end[0], "Y": leg.end[1]}
    if leg.offset is not None:
        places |= {"I": leg.offset[0], "J": leg.offset[1]}
    return go_line(name, places, ways.grid)
