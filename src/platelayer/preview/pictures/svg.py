"""A drawing written as SVG: the one place where y points down.

Glossary:
    path data: the ``d`` of an SVG path.
"""

import math
from collections.abc import Iterator
from html import escape
from itertools import count
from typing import Final

from platelayer.preview.pictures.drawing import Anchor, Drawing, Group, Ink, Part, Shape, Words
from platelayer.values.shapes import Arc, Contour, Line, Point, Segment

_SANS: Final = "'Liberation Sans', Arial, Helvetica, 'DejaVu Sans', sans-serif"
_SERIF: Final = "'Liberation Serif', Georgia, 'DejaVu Serif', serif"
_NEARLY_WHOLE_RAD: Final = math.pi * 1.9
"""Arcs beyond this are drawn as two halves, since a full circle's ends say nothing of its way."""


def svg_text(drawing: Drawing, *, scale_ratio: float = 1.0) -> str:
    """The drawing as the text of an SVG file, so many times its size; the same drawing gives the same text."""
    ids = (f"{drawing.id}-{number}" for number in count())
    width, height = drawing.width_mm, drawing.height_mm
    box = (drawing.low[0], -drawing.high[1], width, height)
    head = attributes(
        xmlns="http://www.w3.org/2000/svg",
        viewBox=" ".join(num(part) for part in box),
        width=f"{num(scale_ratio * width)}mm",
        height=f"{num(scale_ratio * height)}mm",
        font_family=_SANS,
    )
    body = [_part(part, ids) for part in drawing.parts]
    return "\n".join([f"<svg {head}>{tag('title', escape(drawing.title))}", *body, "</svg>\n"])


def _part(part: Part, ids: Iterator[str]) -> str:
    match part:
        case Shape():
            data = "".join(contour_data(each) for each in part.contours)
            return tag("path", "", d=data, **_ink(part.ink)) if data else ""
        case Words():
            return _words(part)
        case Group():
            return _group(part, ids)


def _ink(ink: Ink) -> dict[str, object]:
    given: dict[str, object] = {"fill": ink.fill or "none"}
    if ink.fill:
        given["fill_rule"] = "evenodd"
    if ink.fill and ink.fill_ratio < 1:
        given["fill_opacity"] = ink.fill_ratio
    if ink.stroke:
        given |= {"stroke": ink.stroke, "stroke_width": ink.width_mm}
    if ink.stroke and ink.stroke_ratio < 1:
        given["stroke_opacity"] = ink.stroke_ratio
    if ink.dash_mm:
        given["stroke_dasharray"] = " ".join(num(part) for part in ink.dash_mm)
    if ink.is_round:
        given |= {"stroke_linecap": "round", "stroke_linejoin": "round"}
    return given


def _words(words: Words) -> str:
    x, y = words.at
    given: dict[str, object] = {"x": x, "y": -y, "font_size": words.size_mm, "fill": words.colour}
    if words.anchor is not Anchor.START:
        given["text_anchor"] = words.anchor.value
    if words.is_bold:
        given["font_weight"] = "bold"
    if words.is_serif:
        given["font_family"] = _SERIF
    if words.halo:
        given |= {"paint_order": "stroke", "stroke": words.halo, "stroke_width": words.halo_mm}
    if words.turn_rad:
        given |= {"x": 0.0, "y": 0.0, "transform": _transform(words.at, words.turn_rad)}
    return tag("text", escape(words.text), **given)


def _group(group: Group, ids: Iterator[str]) -> str:
    given: dict[str, object] = {"id": group.name} if group.name else {}
    if group.at != (0.0, 0.0) or group.turn_rad or group.scale_ratio != 1:
        given["transform"] = _transform(group.at, group.turn_rad, group.scale_ratio)
    clip = ""
    if group.clip is not None:
        name = next(ids)
        clip = tag("clipPath", tag("path", d=contour_data(group.clip)), id=name)
        given["clip_path"] = f"url(#{name})"
    return tag("g", clip + "".join(_part(part, ids) for part in group.parts), **given)


def _transform(at: Point, turn_rad: float, scale_ratio: float = 1.0) -> str:
    turn = f" rotate({num(-math.degrees(turn_rad))})" if turn_rad else ""
    scale = f" scale({num(scale_ratio)})" if scale_ratio != 1 else ""
    return f"translate({num(at[0])} {num(-at[1])}){turn}{scale}"


def num(value_mm: float) -> str:
    """The number to a hundredth of a millimetre, as short as it can be written."""
    text = f"{value_mm:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def attributes(**given: object) -> str:
    """Attributes in the order given; ``_`` stands for ``-``."""
    parts = []
    for name, value in given.items():
        text = num(value) if isinstance(value, float) else escape(str(value), quote=True)
        parts.append(f'{name.rstrip("_").replace("_", "-")}="{text}"')
    return " ".join(parts)


def tag(name: str, inside: str = "", **given: object) -> str:
    """One element with its attributes and what stands inside it."""
    opening = f"{name} {attributes(**given)}" if given else name
    return f"<{opening}>{inside}</{name}>" if inside else f"<{opening}/>"


def contour_data(contour: Contour) -> str:
    """Path data of a contour."""
    start = contour.start
    body = "".join(_segment_data(segment) for segment in contour.segments)
    return f"M{num(start[0])} {num(-start[1])}{body}{'Z' if contour.is_closed else ''}"


def _segment_data(segment: Segment) -> str:
    """Path data of one segment from where the pen stands."""
    match segment:
        case Line():
            return f"L{num(segment.end[0])} {num(-segment.end[1])}"
        case Arc():
            return _arc_data(segment)


def _arc_data(arc: Arc) -> str:
    radius, sweep = num(arc.radius_mm), arc.sweep_rad
    flag = 0 if arc.is_ccw else 1
    last = f"{num(arc.end[0])} {num(-arc.end[1])}"
    if sweep < _NEARLY_WHOLE_RAD:
        return f"A{radius} {radius} 0 {int(sweep > math.pi)} {flag} {last}"
    (x, y), half = arc.centre, sweep / 2 if arc.is_ccw else -sweep / 2
    turn = math.atan2(arc.start[1] - y, arc.start[0] - x) + half
    first = f"{num(x + arc.radius_mm * math.cos(turn))} {num(-y - arc.radius_mm * math.sin(turn))}"
    return f"A{radius} {radius} 0 0 {flag} {first}A{radius} {radius} 0 0 {flag} {last}"
