"""A bought piece by caliper: which sizes to measure, their mean and spread, and which of ours would not couple.

Glossary:
    bought piece: one of a set that somebody else made; measured at one peg and one socket.
    spread: standard deviation between pieces of a set, the caliper's own scatter in it.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

import numpy as np

from platelayer.fit.in_line import in_line
from platelayer.fit.shapes import JointShape
from platelayer.fit.target_play import Cutter, drawn_shape
from platelayer.geometry.joint import mixed
from platelayer.tolerances import CALIPER_MM, PLAY_MM, SEAT_MM, WISH_MET_MM
from platelayer.units import show_length, show_small
from platelayer.values.pieces import JointSizes


class BoughtSize(StrEnum):
    """What is measured of a bought piece, by the names used in a readings file."""

    NECK = "neck"
    HEAD = "head"
    PEG_LENGTH = "peg_length"
    MOUTH = "mouth"
    HOLE = "hole"
    SOCKET_DEPTH = "socket_depth"
    WIDTH = "width"
    THICKNESS = "thickness"
    FLOOR_HEIGHT = "floor_height"
    GROOVE_WIDTH = "groove_width"
    BETWEEN_GROOVES = "between_grooves"


WORDS = {
    BoughtSize.NECK: "width of the neck, half way between face and head, outside jaws",
    BoughtSize.HEAD: "widest place of the head across the peg, outside jaws",
    BoughtSize.PEG_LENGTH: "from the end face to the tip of the head: depth rod, body of the caliper on the head's tip",
    BoughtSize.MOUTH: "width between the lips, half way in, inside jaws",
    BoughtSize.HOLE: "widest place of the hole across the track, inside jaws spread behind the lips",
    BoughtSize.SOCKET_DEPTH: "from the end face to the bottom of the hole, depth rod, caliper's body on the face",
    BoughtSize.WIDTH: "width of the track beside the joint, outside jaws",
    BoughtSize.THICKNESS: "thickness of the track between its grooves, outside jaws",
    BoughtSize.FLOOR_HEIGHT: "wood left under a groove: thickness, less the groove's depth by the depth rod",
    BoughtSize.GROOVE_WIDTH: "width of a groove a finger's breadth from the end, inside jaws",
    BoughtSize.BETWEEN_GROOVES: "wood between the two grooves there, outside jaws",
}
"""How to measure each, in the order in which a hand does it."""

LETTERS = dict(zip(BoughtSize, "ABCDEFGHIJK", strict=True))
"""Letters of the drawing."""

JOINT_SIZES: Final = tuple(BoughtSize)[:6]
"""Those that a joint cannot do without; of the others as many are compared as somebody measured."""


@dataclass(frozen=True, slots=True)
class MeasuredSize:
    """Mean and spread over several pieces, and how many were read."""

    mean_mm: float
    spread_mm: float
    count: int


def measured(readings: Sequence[float]) -> MeasuredSize:
    """Mean and spread of one size over pieces; of a single reading the spread is taken as the caliper's.

    Raises:
        ValueError: no readings.
    """
    if not readings:
        raise ValueError("nothing was read")
    spread = float(np.std(readings, ddof=1)) if len(readings) > 1 else 2 * CALIPER_MM
    return MeasuredSize(float(np.mean(readings)), max(spread, CALIPER_MM), len(readings))


def sizes_from(measures: Mapping[BoughtSize, MeasuredSize]) -> JointSizes:
    """The joint of a bought set, from the six sizes of peg and socket.

    Raises:
        ValueError: a size that is missing, by name.
    """
    missing = [size.value for size in JOINT_SIZES if size not in measures]
    if missing:
        raise ValueError(f"not measured: {', '.join(missing)}")
    mean = {size: one.mean_mm for size, one in measures.items()}
    return JointSizes(
        neck_width_mm=mean[BoughtSize.NECK],
        head_diameter_mm=mean[BoughtSize.HEAD],
        head_setback_mm=mean[BoughtSize.PEG_LENGTH] - mean[BoughtSize.HEAD],
        mouth_width_mm=mean[BoughtSize.MOUTH],
        hole_diameter_mm=mean[BoughtSize.HOLE],
        hole_setback_mm=mean[BoughtSize.SOCKET_DEPTH] - mean[BoughtSize.HOLE],
    )


def in_their_socket(shape: JointShape, bought: JointSizes) -> JointShape:
    """Our peg, its root and crook as they are, in the bought set's socket; its mouth is taken as broken as ours is."""
    return replace(shape, sizes=mixed(peg=shape.sizes, socket=bought))


def round_their_peg(shape: JointShape, bought: JointSizes) -> JointShape:
    """Our socket round the bought set's peg, which is taken as sharp in all its corners."""
    sizes = mixed(peg=bought, socket=shape.sizes)
    return replace(shape, sizes=sizes, root_radius_mm=0.0, overcut_mm=0.0, crook_radius_mm=0.0)


def sharp_mouth_words(shape: JointShape) -> tuple[str, ...]:
    """How much less side play our peg has in a bought mouth whose corners nobody broke; none where no hand feels it.

    A root's relief keeps the share of side play that the job asks for; one without, for a corner straight home alone.
    """
    broken, sharp = in_line(shape), in_line(replace(shape, ease_radius_mm=0.0))
    if sharp.opening_mm > SEAT_MM or broken.side_mm - sharp.side_mm < PLAY_MM / 2:
        return ()
    radii = (number * _BREAK_STEP_MM for number in range(1, math.ceil(shape.root_radius_mm / _BREAK_STEP_MM) + 1))
    enough = next(
        one
        for one in radii
        if in_line(replace(shape, ease_radius_mm=one)).side_mm >= broken.side_mm - WISH_MET_MM
        or one >= shape.root_radius_mm
    )
    return (
        "In a bought mouth with sharp corners, as the dry run takes it, side play pushed right home is "
        f"{show_small(sharp.side_mm)} each way and grows as the joint opens; corners broken by "
        f"{show_small(enough)} give all of it.",
    )


_BREAK_STEP_MM: Final = 0.1


def clashes(ours: JointSizes, bought: JointSizes, *, cutter: Cutter) -> tuple[str, ...]:
    """Which of our sizes would not couple with the bought set, both ways round, as sentences; none when all go.

    Our peg is cut by the cutter's bit; bought corners are taken as sharp, which is the harder case.

    Raises:
        ValueError: as ``drawn_shape``.
    """
    shape = drawn_shape(ours, cutter)
    found = []
    pairs = (
        ("Our peg in their socket", replace(in_their_socket(shape, bought), ease_radius_mm=0.0)),
        ("Their peg in our socket", round_their_peg(shape, bought)),
    )
    for title, pair in pairs:
        found += [f"{title}: {why}" for why in _reasons(pair)]
    return tuple(found)


def _reasons(shape: JointShape) -> list[str]:
    """What stops a pair, or makes it jam or fall apart, with both sizes."""
    sizes = shape.sizes

    def against(first: str, first_mm: float, second: str, second_mm: float) -> str:
        return f"{first} {show_length(first_mm)} against {second} {show_length(second_mm)}"

    neck, mouth, head, hole = (
        sizes.neck_width_mm,
        sizes.mouth_width_mm,
        sizes.head_diameter_mm,
        sizes.hole_diameter_mm,
    )
    reasons = []
    if neck >= mouth:
        reasons.append(f"the neck does not go between the lips, {against('neck', neck, 'mouth', mouth)}.")
    if head >= hole:
        reasons.append(f"the head does not go into the hole, {against('head', head, 'hole', hole)}.")
    if head <= mouth:
        reasons.append(f"nothing holds the head, {against('head', head, 'mouth', mouth)}.")
    if reasons or mouth >= hole or neck >= head:
        return reasons
    plays = in_line(shape)
    length, depth = sizes.head_setback_mm + head, sizes.hole_setback_mm + hole
    if length - depth > SEAT_MM:
        lengths = against("peg's length", length, "socket's depth", depth)
        reasons.append(f"the peg meets the bottom of the hole before the faces close, {lengths}.")
    elif plays.opening_mm > SEAT_MM:
        apart = show_small(plays.opening_mm)
        reasons.append(f"the peg's root holds the faces {apart} apart: relieve it, or break the mouth's corners.")
    room = shape.head_centre_mm - math.sqrt((head**2 - mouth**2) / 4)
    lips = against("neck, up to where the head fills the mouth,", room, "lip", shape.lip_mm)
    if plays.opening_mm > plays.pull_out_mm:
        by = show_small(plays.opening_mm - plays.pull_out_mm)
        reasons.append(f"the faces do not close, by {by}, since the head meets the lips, {lips}.")
    elif math.isfinite(plays.play_mm) and plays.play_mm < PLAY_MM:
        reasons.append(f"it will jam, with {show_small(plays.play_mm)} of pull-out play, {lips}.")
    if mouth - neck < PLAY_MM:
        each = show_small((mouth - neck) / 2)
        reasons.append(f"it will jam, with {each} beside the neck, {against('neck', neck, 'mouth', mouth)}.")
    return reasons
