"""One page on one joint: peg in socket, contacts marked, free play drawn to scale, before and after a correction.

Glossary:
    panel: one joint drawn in its socket's end frame, turned so that the track runs left to right; x right, y up.
    play map: openings (right) and shifts (up) that are free, pieces in line and kinked, to a scale of their own.

SVG as text; lengths in the file are mm on an A4 page lying on its side, so that it prints to the scale it states.
"""

import math
from dataclasses import dataclass
from typing import Final

from platelayer.fit.contacts import Contact, contacts
from platelayer.fit.contours import peg_contour, socket_contour
from platelayer.fit.free_play import FreePlay, Slice, free_play, play_region
from platelayer.fit.shapes import JointShape
from platelayer.fit.shown import show_small
from platelayer.tolerances import SEAT_MM
from platelayer.units import LengthUnit
from platelayer.values.shapes import Contour, Line

_PAGE: Final = (297, 210)
_SCALE: Final = 2.6
"""Joints are drawn this many times their size."""
_BODY_MM: Final = 8.0
_HALF_MM: Final = 13.0
"""So much of the joint is drawn each side of the track's centre line."""
_MAP_SCALE: Final = 50
_MOST_CONTACTS: Final = 3
_STYLE: Final = """
text{font-family:sans-serif;font-size:3.6px;fill:#222} .t{font-size:6px;font-weight:bold} .s{font-size:3px;fill:#555}
.peg{fill:#d9b98a;stroke:#5b4425;stroke-width:.12} .socket{fill:#efe2cb;stroke:#5b4425;stroke-width:.12}
.c{fill:none;stroke:#b3261e;stroke-width:.18} .l{stroke:#b3261e;stroke-width:.2} .a{stroke:#999;stroke-width:.2}
.in{fill:#5f8d5a;fill-opacity:.35;stroke:#2f5d2b;stroke-width:.3} .k{fill:none;stroke:#2f5d2b;stroke-width:.15}
"""


@dataclass(frozen=True, slots=True)
class Panel:
    """One half of the page: a title such as ``before the correction``, and the joint."""

    title: str
    shape: JointShape


def joint_page(title: str, panels: tuple[Panel, ...], *, unit: LengthUnit = "in") -> str:
    """The page as SVG text: one panel takes the left half, two take both; the same input gives the same text."""
    width, height = _PAGE
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}">',
        f"<title>{_escaped(title)}</title><style>{_STYLE}</style>",
        f'<rect width="{width}" height="{height}" fill="#fff"/>',
        f'<text class="t" x="12" y="16">{_escaped(title)}</text>',
        f'<text class="s" x="12" y="200">Joints drawn {_SCALE:g} times their size; red rings mark where peg and socket '
        "come nearest.</text>",
        f'<text class="s" x="12" y="204">Free play drawn {_MAP_SCALE} times: green where the pieces may stand in line, '
        "thin lines where kinked.</text>",
    ]
    step = (width - 24) / max(len(panels), 1) if len(panels) > 1 else (width - 24) / 2
    for number, panel in enumerate(panels[:2]):
        parts.append(f'<g transform="translate({_n(12 + number * step)} 24)">{_panel(panel, unit)}</g>')
    return "\n".join([*parts, "</svg>", ""])


def _panel(panel: Panel, unit: LengthUnit) -> str:
    found, shape = free_play(panel.shape), panel.shape
    opening = found.opening_mm if math.isfinite(found.opening_mm) else 0.0
    reach = shape.hole_centre_mm + shape.hole_radius_mm + _BODY_MM
    clip = f"clip-{abs(hash_of(panel.title))}"
    middle = (_n(reach * _SCALE), _n(8 + _HALF_MM * _SCALE))
    drawn = [
        f'<text x="0" y="4">{_escaped(panel.title)}</text>',
        f'<clipPath id="{clip}"><rect x="{_n(-reach)}" y="{-_HALF_MM}" width="{_n(reach + _BODY_MM + opening)}" '
        f'height="{2 * _HALF_MM}"/></clipPath>',
        f'<g transform="translate({middle[0]} {middle[1]}) scale({_SCALE} {-_SCALE})">',
        f'<g clip-path="url(#{clip})">',
        f'<path class="socket" d="{path_data(socket_contour(shape, body_mm=reach + 1))}"/>',
        f'<g transform="translate({_n(opening)} 0) rotate(180)">',
        f'<path class="peg" d="{path_data(peg_contour(shape, body_mm=_BODY_MM + 1))}"/></g></g>',
    ]
    near = contacts(shape, opening_mm=opening)[:_MOST_CONTACTS]
    drawn += [_ring(contact) for contact in near]
    drawn.append("</g>")
    below = 16 + 2 * _HALF_MM * _SCALE
    drawn += [_named(contact, number, below, unit) for number, contact in enumerate(near)]
    drawn += _numbers(found, below + 5 * len(near) + 3, unit)
    drawn.append(f'<g transform="translate(98 {_n(below + 46)})">{_play_map(shape)}</g>')
    return "\n".join(drawn)


def hash_of(text: str) -> int:
    """A small number for a text, the same on every run."""
    number = 7
    for character in text:
        number = (31 * number + ord(character)) % 1000003
    return number


def _ring(contact: Contact) -> str:
    x, y = contact.at
    both = (y, -y) if y else (y,)
    return "".join(f'<circle class="c" cx="{_n(x)}" cy="{_n(side)}" r="0.9"/>' for side in both)


def _named(contact: Contact, number: int, below: float, unit: LengthUnit) -> str:
    gap = show_small(contact.clearance_mm, first=unit)
    return f'<text class="s" x="0" y="{_n(below + 5 * number)}">{_escaped(contact.kind.value)}: {gap}</text>'


def _numbers(found: FreePlay, y: float, unit: LengthUnit) -> list[str]:
    if not found.couples:
        why = "nothing holds the peg" if not found.is_held else "the faces do not close"
        return [f'<text x="0" y="{_n(y)}">Does not go together: {why}.</text>']
    apart = f"The faces stay {show_small(found.opening_mm, first=unit)} apart"
    lines = (
        *((apart,) if found.opening_mm > SEAT_MM else ()),
        f"Pull-out play {show_small(found.play_mm, first=unit)}",
        f"Side play {show_small(found.side_mm[0], first=unit)} each way",
        f"Kink {math.degrees(found.kink_rad[0]):.2f} degrees each way",
        f"Held by {show_small(found.hold_mm, first=unit)}; lifts out, never pulls out",
    )
    return [f'<text x="0" y="{_n(y + 5 * number)}">{line}</text>' for number, line in enumerate(lines)]


def _play_map(shape: JointShape) -> str:
    """Slices of the free play, pieces in line filled and kinked ones as lines, with axes through closed and centred."""
    slices = play_region(shape, slices=9, count=41)
    half = len(slices) // 2
    parts = ['<line class="a" x1="-4" y1="0" x2="34" y2="0"/><line class="a" x1="0" y1="-26" x2="0" y2="26"/>']
    parts += [f'<path class="k" d="{_outline(one)}"/>' for one in slices if one is not slices[half]]
    if slices:
        parts.insert(1, f'<path class="in" d="{_outline(slices[half])}"/>')
    parts.append('<text class="s" x="22" y="-2">opening</text><text class="s" x="1" y="-23">shift</text>')
    parts.append(f'<path class="l" d="M 0 29 h {_n(_MAP_SCALE / 10)}"/><text class="s" x="7" y="30">0.1 mm</text>')
    return "".join(parts)


def _outline(one: Slice) -> str:
    pairs = [*zip(one.low_mm, one.shift_mm, strict=True), *reversed([*zip(one.high_mm, one.shift_mm, strict=True)])]
    points = " L ".join(f"{_n(x * _MAP_SCALE)} {_n(-y * _MAP_SCALE)}" for x, y in pairs)
    return f"M {points} Z" if pairs else ""


def path_data(contour: Contour) -> str:
    """The contour as an SVG path's data."""
    parts = [f"M {_n(contour.start[0])} {_n(contour.start[1])}"]
    for segment in contour.segments:
        x, y = segment.end
        if isinstance(segment, Line):
            parts.append(f"L {_n(x)} {_n(y)}")
        else:
            wide, turn = int(segment.sweep_rad > math.pi), int(segment.is_ccw)
            parts.append(f"A {_n(segment.radius_mm)} {_n(segment.radius_mm)} 0 {wide} {turn} {_n(x)} {_n(y)}")
    return " ".join([*parts, "Z"])


def _n(value: float) -> str:
    """A number as short as it may be, the same on every machine."""
    return f"{round(float(value), 4) + 0.0:g}" if abs(value) < 1e4 else f"{value:.1f}"


def _escaped(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
