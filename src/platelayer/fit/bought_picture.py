"""Where the caliper goes on a bought piece: peg and socket drawn, every size with its letter and words.

SVG as text; lengths in the file are mm on an A4 page lying on its side, letters as in the readings file.
"""

from dataclasses import dataclass
from typing import Final

from platelayer.fit.bought import LETTERS, WORDS, BoughtSize
from platelayer.fit.contours import peg_contour, socket_contour
from platelayer.fit.picture import path_data
from platelayer.fit.shapes import JointShape
from platelayer.values.shapes import Point

_PAGE: Final = (297, 210)
_SCALE: Final = 2.6
_BODY_MM: Final = 22.0
_PEG_AT: Final = (75.0, 78.0)
_SOCKET_AT: Final = (262.0, 78.0)
_STYLE: Final = """
text{font-family:sans-serif;font-size:4px;fill:#222} .t{font-size:6px;font-weight:bold} .b{font-weight:bold}
.w{fill:#efe2cb;stroke:#5b4425;stroke-width:.2} .s{stroke:#b3261e;stroke-width:.3;fill:none}
.l{fill:#b3261e;font-size:5px;font-weight:bold;paint-order:stroke;stroke:#fff;stroke-width:1}
"""


@dataclass(frozen=True, slots=True)
class _Span:
    """A size: from one point to another in the end frame of the peg, or of the socket."""

    size: BoughtSize
    first: Point
    last: Point
    is_peg: bool


def bought_page(shape: JointShape) -> str:
    """The page for a joint of about that shape; the same input gives the same text."""
    width, height = _PAGE
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}">',
        f"<title>What to measure of a bought piece</title><style>{_STYLE}</style>",
        f'<rect width="{width}" height="{height}" fill="#fff"/>',
        '<text class="t" x="12" y="16">What to measure of a bought piece</text>',
        _wood(path_data(peg_contour(shape, body_mm=_BODY_MM)), _PEG_AT),
        _wood(path_data(socket_contour(shape, body_mm=_BODY_MM + 9)), _SOCKET_AT),
        *(_drawn(span) for span in _spans(shape)),
    ]
    for number, size in enumerate(BoughtSize):
        y = 148 + 7 * number
        parts += [
            f'<text class="b" x="12" y="{y}">{LETTERS[size]}</text>',
            f'<text x="20" y="{y}">{size.value}: {WORDS[size]}</text>',
        ]
    return "\n".join([*parts, "</svg>", ""])


def _wood(path: str, at: Point) -> str:
    return (
        f'<g transform="translate({at[0]:g} {at[1]:g}) scale({_SCALE} {-_SCALE})">'
        f'<path class="w" vector-effect="non-scaling-stroke" d="{path}"/></g>'
    )


def _spans(shape: JointShape) -> tuple[_Span, ...]:
    """The seven sizes where the caliper takes them."""
    sizes, half = shape.sizes, shape.width_mm / 2
    neck, head, mouth, hole = shape.half_neck_mm, shape.head_radius_mm, shape.half_mouth_mm, shape.hole_radius_mm
    on_neck, on_lip = sizes.head_setback_mm / 2, -shape.lip_mm / 2
    tip, bottom = shape.head_centre_mm + head, -shape.hole_centre_mm - hole
    below_head, below_hole = -head - 4, 0.0
    return (
        _Span(BoughtSize.NECK, (on_neck, -neck), (on_neck, neck), is_peg=True),
        _Span(BoughtSize.HEAD, (shape.head_centre_mm, -head), (shape.head_centre_mm, head), is_peg=True),
        _Span(BoughtSize.PEG_LENGTH, (0.0, below_head), (tip, below_head), is_peg=True),
        _Span(BoughtSize.MOUTH, (on_lip, -mouth), (on_lip, mouth), is_peg=False),
        _Span(BoughtSize.HOLE, (-shape.hole_centre_mm, -hole), (-shape.hole_centre_mm, hole), is_peg=False),
        _Span(BoughtSize.SOCKET_DEPTH, (bottom, below_hole), (0.0, below_hole), is_peg=False),
        _Span(BoughtSize.WIDTH, (-_BODY_MM / 2, -half), (-_BODY_MM / 2, half), is_peg=True),
    )


def _drawn(span: _Span) -> str:
    at = _PEG_AT if span.is_peg else _SOCKET_AT
    x0, y0 = at[0] + _SCALE * span.first[0], at[1] - _SCALE * span.first[1]
    x1, y1 = at[0] + _SCALE * span.last[0], at[1] - _SCALE * span.last[1]
    is_upright = x0 == x1
    tick = (2.0, 0.0) if is_upright else (0.0, 2.0)
    ends = "".join(
        f"M {x - tick[0]:.2f} {y - tick[1]:.2f} L {x + tick[0]:.2f} {y + tick[1]:.2f} " for x, y in ((x0, y0), (x1, y1))
    )
    share = _LETTER_SHARE.get(span.size, 1 / 2)
    x, y = x0 + share * (x1 - x0) + (1.5 if is_upright else -1.5), y0 + share * (y1 - y0) + (1.5 if is_upright else -2)
    return (
        f'<path class="s" d="{ends}M {x0:.2f} {y0:.2f} L {x1:.2f} {y1:.2f}"/>'
        f'<text class="l" x="{x:.2f}" y="{y:.2f}">{LETTERS[span.size]}</text>'
    )


_LETTER_SHARE: Final = {BoughtSize.HOLE: 3 / 4, BoughtSize.SOCKET_DEPTH: 1 / 4, BoughtSize.MOUTH: 3 / 4}
"""Where along its line a letter stands that the middle would lay over another."""
