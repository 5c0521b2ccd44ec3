"""A stack: one outline round straights side by side, made of their own outlines and the kerfs between."""

import math
from dataclasses import replace

import pytest

from geometry.usual import LONG, made
from platelayer.geometry.contours import signed_area_mm2
from platelayer.geometry.placing import place_piece
from platelayer.geometry.regions import difference, to_area
from platelayer.pieces.stacks import lain_in_stack, stack_of
from platelayer.values.pieces import EndKind, Role
from referees.contours import is_chained

WIDTH, KERF = 39.6875, 3.175
PIECE = made(LONG)
PITCH = WIDTH + KERF
CHORD = 1e-3


@pytest.mark.parametrize("turned", [(False,), (False, False), (False, True, False), (True, False, False, True)])
def test_a_stack_is_its_pieces_and_the_kerfs_between_them(turned):
    stack = stack_of([(PIECE, is_turned) for is_turned in turned], pitch_mm=PITCH)
    around, length, count = stack.around, PIECE.length_mm, len(turned)
    assert is_chained(around.outline)
    assert len(around.labels) == len(around.outline.segments)
    own = signed_area_mm2(PIECE.outline)
    assert signed_area_mm2(around.outline) == pytest.approx(count * own + (count - 1) * length * KERF)
    whole = to_area(around.outline, chord_mm=CHORD)
    assert whole.is_valid
    for number, is_turned in enumerate(turned):
        pose = lain_in_stack(number, length_mm=length, pitch_mm=PITCH, is_turned=is_turned)
        assert difference(to_area(place_piece(PIECE, pose).outline, chord_mm=CHORD), whole).area < 0.01
    assert [kerf.start[1] for kerf in stack.kerfs] == pytest.approx([(n + 0.5) * PITCH for n in range(count - 1)])
    assert all(math.isclose(kerf.length_mm, length) for kerf in stack.kerfs)


def test_only_the_outermost_long_edges_are_sides_and_every_end_keeps_its_joint():
    pegs = replace(made(replace(LONG, ends=(EndKind.PEG, EndKind.PEG))), id="pegs")
    stack = stack_of([(PIECE, False), (pegs, False)], pitch_mm=PITCH)
    pairs = list(zip(stack.around.outline.segments, stack.around.labels, strict=True))
    sides = sorted(round(segment.start[1], 6) for segment, label in pairs if label.role is Role.SIDE)
    assert sides == [round(-WIDTH / 2, 6), round(PITCH + WIDTH / 2, 6)]
    kinds = [end.kind for end in stack.around.ends]
    assert kinds == [EndKind.PEG, EndKind.SOCKET, EndKind.PEG, EndKind.PEG]
    for index, kind in enumerate(kinds):
        roles = {label.role for label in stack.around.labels if label.end == index}
        assert (Role.PEG if kind is EndKind.PEG else Role.SOCKET) in roles
    assert stack.around.id == f"{PIECE.id} to pegs"
