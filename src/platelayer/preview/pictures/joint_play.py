"""One page on one joint: peg in socket, contacts marked, free play drawn to scale, before and after a correction.

Glossary:
    panel: one joint drawn in its socket's end frame, turned so that the track runs left to right; x right, y up.
    play map: openings (right) and shifts (up) that are free, pieces in line and kinked, to a scale of their own.

The page is an A4 one lying on its side, or half of it for one joint alone, so that it prints to the scale it states.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from platelayer.fit.contacts import Contact, contacts
from platelayer.fit.contours import peg_contour, socket_contour
from platelayer.fit.free_play import FreePlay, Slice, free_play, play_region
from platelayer.fit.shapes import JointShape
from platelayer.geometry.contours import circle, polygon, rectangle
from platelayer.preview.pictures import palette
from platelayer.preview.pictures.drawing import Drawing, Group, Ink, Part, Shape, Words, polyline
from platelayer.preview.pictures.svg import svg_text
from platelayer.tolerances import SEAT_MM
from platelayer.units import show_small
from platelayer.values.shapes import Contour, Point

PAGE_MM: Final = (297.0, 210.0)
"""A4, lying on its side. Source: ISO 216."""
_SCALE: Final = 2.6
"""Joints are drawn this many times their size."""
_BODY_MM: Final = 8.0
_HALF_MM: Final = 13.0
"""So much of the joint is drawn each side of the track's centre line."""
_MAP_SCALE: Final = 50
_MOST_CONTACTS: Final = 3
_MARGIN_MM: Final = 12.0
_PRINT_MM: Final = 3.6
_SMALL_MM: Final = 3.0
_TITLE_MM: Final = 6.0
_LETTER_WIDTH: Final = 0.6
"""Width of a bold letter in heights of print, on the whole."""

_PEG: Final = Ink(fill=palette.MAPLE, stroke=palette.INK, width_mm=0.12)
_SOCKET: Final = Ink(fill=palette.WASTE, stroke=palette.INK, width_mm=0.12)
_RING: Final = Ink(stroke=palette.VERMILLION, width_mm=0.18)
_AXIS: Final = Ink(stroke=palette.FAINT_INK, width_mm=0.2)
_IN_LINE: Final = Ink(fill=palette.GREEN, fill_ratio=0.35, stroke=palette.GREEN, width_mm=0.3)
_KINKED: Final = Ink(stroke=palette.GREEN, width_mm=0.15)


@dataclass(frozen=True, slots=True)
class Panel:
    """One half of the page: a title such as ``before the correction``, and the joint."""

    title: str
    shape: JointShape


def joint_page(title: str, panels: tuple[Panel, ...]) -> str:
    """The page as SVG text, half as wide for one panel as for two; the same input gives the same text."""
    width, height = PAGE_MM[0] * len(panels[:2]) / 2, PAGE_MM[1]
    step = (PAGE_MM[0] - 2 * _MARGIN_MM) / 2
    print_mm = min(_TITLE_MM, (width - 2 * _MARGIN_MM) / (_LETTER_WIDTH * len(title)))
    notes = (
        f"Joints drawn {_SCALE:g} times their size; orange rings mark where peg and socket come nearest.",
        f"Free play drawn {_MAP_SCALE} times: green where the pieces may stand in line, thin lines where kinked.",
    )
    parts: tuple[Part, ...] = (
        Words(text=title, at=(_MARGIN_MM, height - 16.0), size_mm=print_mm, is_bold=True),
        *(_small(note, (_MARGIN_MM, 10.0 - 4.0 * row)) for row, note in enumerate(notes)),
        *(
            Group(parts=tuple(_panel(panel)), at=(_MARGIN_MM + number * step, height - 24.0))
            for number, panel in enumerate(panels[:2])
        ),
    )
    return page_svg(title, parts, name="joint-play", size_mm=(width, height))


def page_svg(title: str, parts: tuple[Part, ...], *, name: str, size_mm: Point = PAGE_MM) -> str:
    """Parts on a white page as SVG text."""
    ground = Shape((rectangle((0.0, 0.0), size_mm),), Ink(fill="#ffffff"))
    return svg_text(Drawing(id=name, title=title, low=(0.0, 0.0), high=size_mm, parts=(ground, *parts)))


def _small(text: str, at: Point) -> Words:
    return Words(text=text, at=at, size_mm=_SMALL_MM, colour=palette.FAINT_INK)


def _panel(panel: Panel) -> Iterator[Part]:
    found, shape = free_play(panel.shape), panel.shape
    opening = found.opening_mm if math.isfinite(found.opening_mm) else 0.0
    reach = shape.hole_centre_mm + shape.hole_radius_mm + _BODY_MM
    peg = Group(parts=(Shape((peg_contour(shape, body_mm=_BODY_MM + 1),), _PEG),), at=(opening, 0.0), turn_rad=math.pi)
    near = contacts(shape, opening_mm=opening)[:_MOST_CONTACTS]
    both = Group(
        parts=(Shape((socket_contour(shape, body_mm=reach + 1),), _SOCKET), peg),
        clip=rectangle((-reach, -_HALF_MM), (_BODY_MM + opening, _HALF_MM)),
    )
    middle = (reach * _SCALE, -8 - _HALF_MM * _SCALE)
    yield Words(text=panel.title, at=(0.0, -4.0), size_mm=_PRINT_MM)
    yield Group(parts=(both, *(_ring(contact) for contact in near)), at=middle, scale_ratio=_SCALE)
    below = -16 - 2 * _HALF_MM * _SCALE
    for number, contact in enumerate(near):
        gap = show_small(contact.clearance_mm)
        yield _small(f"{contact.kind.value}: {gap}", (0.0, below - 5.0 * number))
    for number, line in enumerate(_numbers(found)):
        yield Words(text=line, at=(0.0, below - 5.0 * (len(near) + number) - 3.0), size_mm=_PRINT_MM)
    yield Group(parts=tuple(_play_map(shape)), at=(98.0, below - 46.0))


def _ring(contact: Contact) -> Shape:
    x, y = contact.at
    return Shape(tuple(circle((x, side), 0.9) for side in {y, -y}), _RING)


def _numbers(found: FreePlay) -> tuple[str, ...]:
    if not found.couples:
        why = "nothing holds the peg" if not found.is_held else "the faces do not close"
        return (f"Does not go together: {why}.",)
    apart = f"The faces stay {show_small(found.opening_mm)} apart"
    return (
        *((apart,) if found.opening_mm > SEAT_MM else ()),
        f"Pull-out play {show_small(found.play_mm)}",
        f"Side play {show_small(found.side_mm[0])} each way",
        f"Kink {math.degrees(found.kink_rad[0]):.2f} degrees each way",
        f"Held by {show_small(found.hold_mm)}; lifts out, never pulls out",
    )


def _play_map(shape: JointShape) -> Iterator[Part]:
    """Slices of the free play, pieces in line filled and kinked ones as lines, with axes through closed and centred."""
    slices = play_region(shape, slices=9, count=41)
    half = len(slices) // 2
    yield Shape((polyline((-4.0, 0.0), (34.0, 0.0)), polyline((0.0, -26.0), (0.0, 26.0))), _AXIS)
    if slices:
        yield Shape(_outline(slices[half]), _IN_LINE)
    yield Shape(tuple(one for index, each in enumerate(slices) if index != half for one in _outline(each)), _KINKED)
    yield _small("opening", (22.0, 2.0))
    yield _small("shift", (1.0, 23.0))
    yield Shape((polyline((0.0, -29.0), (_MAP_SCALE / 10, -29.0)),), Ink(stroke=palette.INK, width_mm=0.2))
    yield _small("0.1 mm", (7.0, -30.0))


def _outline(one: Slice) -> tuple[Contour, ...]:
    pairs = [*zip(one.low_mm, one.shift_mm, strict=True), *reversed([*zip(one.high_mm, one.shift_mm, strict=True)])]
    points = [(float(x) * _MAP_SCALE, float(y) * _MAP_SCALE) for x, y in pairs]
    return (polygon(points),) if points else ()
