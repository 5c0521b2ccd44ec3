"""Strings of SVG: numbers, texts and paths with the picture's y pointing down.

Glossary:
    path data: the ``d`` of an SVG path. sheet: the whole picture, in mm, y downwards.
"""

import math
from html import escape

from platelayer.values.shapes import Arc, Contour, Line, Point, Segment


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
    return f"<{name} {attributes(**given)}>{inside}</{name}>" if inside else f"<{name} {attributes(**given)}/>"


def text(content: str, x: float, y: float, *, size_mm: float, **given: object) -> str:
    """One line of text, its baseline's start, middle or end at (x, y) of the sheet."""
    return tag("text", escape(content), x=x, y=y, font_size=size_mm, **given)


def segment_data(segment: Segment, *, height_mm: float) -> str:
    """Path data of one segment from where the pen stands; y is turned over about the board's height."""
    match segment:
        case Line():
            return f"L{num(segment.end[0])} {num(height_mm - segment.end[1])}"
        case Arc():
            return arc_data(segment.start, segment.end, segment.centre, is_ccw=segment.is_ccw, height_mm=height_mm)


def arc_data(start: Point, end: Point, centre: Point, *, is_ccw: bool, height_mm: float) -> str:
    """Path data of an arc; a full circle, and anything near it, is drawn as two halves."""
    arc = Arc(start, end, centre, is_ccw)
    radius, sweep = num(arc.radius_mm), arc.sweep_rad
    flag = 0 if is_ccw else 1
    last = f"{num(end[0])} {num(height_mm - end[1])}"
    if sweep < math.pi * 1.9:
        return f"A{radius} {radius} 0 {int(sweep > math.pi)} {flag} {last}"
    half = math.atan2(start[1] - centre[1], start[0] - centre[0]) + (sweep / 2 if is_ccw else -sweep / 2)
    mid = (centre[0] + arc.radius_mm * math.cos(half), centre[1] + arc.radius_mm * math.sin(half))
    first = f"A{radius} {radius} 0 0 {flag} {num(mid[0])} {num(height_mm - mid[1])}"
    return f"{first}A{radius} {radius} 0 0 {flag} {last}"


def contour_data(contour: Contour, *, height_mm: float) -> str:
    """Path data of a contour."""
    start = contour.start
    body = "".join(segment_data(segment, height_mm=height_mm) for segment in contour.segments)
    return f"M{num(start[0])} {num(height_mm - start[1])}{body}{'Z' if contour.is_closed else ''}"
