"""Manifests drawn from the schema itself, so that a new key is drawn as soon as it stands there."""

import math
from dataclasses import MISSING, replace
from enum import StrEnum
from types import UnionType
from typing import Annotated, Literal, Union, get_args, get_origin

from hypothesis import strategies as st

from platelayer.manifest.keys import Limits, OneOf, Runs
from platelayer.manifest.schema import Manifest, ManifestFile, TurnLine, entries_of
from platelayer.values.cuts import Tab
from platelayer.values.pieces import BoardFace, EdgeBreak, Groove
from platelayer.values.shapes import Arc, Contour, Line, Pose
from strategies_geometry import arcs, closed_contours

numbers = st.floats(-1e6, 1e6) | st.integers(-100, 100).map(float)
# The text has degrees: an angle that does not come back from degrees as it went is not the reader's fault.
angles = st.floats(0.0, math.tau).filter(lambda angle: math.radians(math.degrees(angle)) == angle)
rings = st.builds(
    lambda x, y, radius, is_ccw: Contour((Arc((x + radius, y), (x + radius, y), (x, y), is_ccw),), True),
    st.integers(-300, 300).map(float),
    st.integers(-300, 300).map(float),
    st.integers(1, 300).map(float),
    st.booleans(),
)
contours = {
    Runs.OPEN: st.builds(Line, st.tuples(numbers, numbers), st.tuples(numbers, numbers)) | arcs(),
    Runs.CLOSED: rings | closed_contours(),
    Runs.CCW: rings.filter(lambda ring: ring.segments[0].is_ccw) | closed_contours(),
}


def values(hint):
    """Values of an annotated type of the schema."""
    hint, *marks = get_args(hint) if get_origin(hint) is Annotated else (hint,)
    kind, parts = get_origin(hint) or hint, get_args(hint)
    if kind in {Union, UnionType}:
        return st.none() | values(parts[0])
    if kind is tuple:
        return st.lists(values(parts[0]), max_size=2).map(tuple) if parts[-1] is ... else st.tuples(*map(values, parts))
    if kind is Contour:
        (runs,) = [mark for mark in marks if isinstance(mark, Runs)]
        return contours[runs].map(lambda one: one if isinstance(one, Contour) else Contour((one,), False))
    if kind in {float, int}:
        limits = next((mark for mark in marks if isinstance(mark, Limits)), Limits())
        sound = lambda n: (limits.low is None or n >= limits.low) and (limits.above is None or n > limits.above)  # noqa: E731
        return numbers.map(abs).filter(sound).map(kind) if limits != Limits() else numbers.map(kind)
    choices = [choice for mark in marks if isinstance(mark, OneOf) for choice in mark.choices]
    if choices or kind is Literal:
        return st.sampled_from(choices or parts)
    if kind in {bool, str}:
        return st.booleans() if kind is bool else st.text(max_size=6)
    if issubclass(kind, StrEnum):
        return st.sampled_from(kind)
    if kind is Pose:
        return st.builds(Pose, numbers, numbers, angles)
    if kind is Tab:
        return st.builds(Tab, st.tuples(numbers, numbers), numbers, numbers)
    return records(kind)


def records(cls):
    """Values of a class of the schema; fields with a default have it now and then."""
    drawn = {}
    for entry in entries_of(cls):
        some = angles if entry.is_angle else values(entry.hint)
        drawn[entry.field] = some if entry.default is MISSING else st.just(entry.default) | some
    return st.builds(cls, **drawn).map(_keeping_its_rule)


def _keeping_its_rule(value):
    if isinstance(value, ManifestFile):
        return replace(value, turn=None if value.face is BoardFace.TOP else value.turn or TurnLine(at_mm=3.5))
    if isinstance(value, EdgeBreak):
        return replace(value, radius_mm=value.radius_mm and value.radius_mm + value.depth_mm)
    if isinstance(value, Groove):
        low, high = value.flare[0].length_mm, value.path.length_mm - value.flare[1].length_mm
        if not value.widening_mm or high - low < 1:
            return replace(value, widening_mm=())
        return replace(value, widening_mm=((low, 0.0), ((low + high) / 2, value.widening_mm[0][1]), (high, 0.0)))
    if isinstance(value, Manifest):
        boards = [replace(board, id=f"b{index}") for index, board in enumerate(value.boards)]
        files = [replace(file, name=f"f{index}", board="b0") for index, file in enumerate(value.files) if boards]
        pieces = [replace(piece, id=f"p{index}", board="b0") for index, piece in enumerate(value.pieces) if boards]
        return replace(value, boards=tuple(boards), files=tuple(files), pieces=tuple(pieces))
    return value


manifests = records(Manifest)
