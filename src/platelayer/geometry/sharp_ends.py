"""An outline with its ends drawn again with sharp corners, for hands that need none of a round bit's cures.

Glossary:
    corners of an end: the two points of the outline, level with the middle of its face and mirrored about it, between
    which the end lies; the widest such pair whose stretch of outline keeps between them.
"""

from collections.abc import Sequence

from platelayer.geometry.contours import inverse_pose, transform_point, transform_segment
from platelayer.geometry.joint import end_run
from platelayer.tolerances import PROGRAM_STEP_MM
from platelayer.values.pieces import CornerRadii, End, JointSizes
from platelayer.values.shapes import Contour, Point, Segment


def with_sharp_ends(outline: Contour, ends: Sequence[End], joint: JointSizes) -> Contour:
    """A closed outline whose ends are drawn with a joint's sizes and no cures; an end it does not show is left as is.

    Raises:
        ValueError: sizes that make no such end.
    """
    segments = list(outline.segments)
    for end in ends:
        found = _corners(segments, end)
        if found is None:
            continue
        first, count, half_mm = found
        run = end_run(end.kind, width_mm=2 * half_mm, joint=joint, corners=CornerRadii())
        turned = segments[first:] + segments[:first]
        segments = [*(transform_segment(segment, end.pose) for segment in run.segments), *turned[count:]]
    return Contour(tuple(segments), is_closed=True)


def _corners(segments: Sequence[Segment], end: End) -> tuple[int, int, float] | None:
    """Index of the end's first segment, how many it has, and half its width; None where the outline has no such end."""
    local = [transform_point(segment.start, inverse_pose(end.pose)) for segment in segments]
    level = [index for index, (x, _) in enumerate(local) if abs(x) <= PROGRAM_STEP_MM]
    pairs = [
        (-local[right][1], right, (left - right) % len(segments))
        for right in level
        for left in level
        if local[right][1] < 0 and abs(local[right][1] + local[left][1]) <= PROGRAM_STEP_MM
    ]
    for half_mm, first, count in sorted(pairs, reverse=True):
        if all(abs(y) <= half_mm + PROGRAM_STEP_MM for _, y in _stretch(local, first, count)):
            return first, count, half_mm
    return None


def _stretch(points: Sequence[Point], first: int, count: int) -> list[Point]:
    return [points[(first + step) % len(points)] for step in range(count + 1)]
