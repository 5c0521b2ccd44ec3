"""What a drawing holds, however deep in its groups."""

import math

import numpy as np
import shapely
from reportlab.pdfbase.pdfmetrics import stringWidth

from platelayer.preview.pictures.drawing import Anchor, Group, Shape, Words


def words_of(parts):
    """All words of the parts, groups searched through."""
    found = []
    for part in parts:
        if isinstance(part, Words):
            found.append(part)
        elif isinstance(part, Group):
            found += words_of(part.parts)
    return tuple(found)


def shapes_of(parts):
    """All shapes of the parts, groups searched through."""
    found = []
    for part in parts:
        if isinstance(part, Shape):
            found.append(part)
        elif isinstance(part, Group):
            found += shapes_of(part.parts)
    return tuple(found)


def word_boxes(parts, matrix=None):
    """Every line of words with the box it takes on the drawing, from the widths of the paper's own letters."""
    matrix = np.eye(3) if matrix is None else matrix
    for part in parts:
        if isinstance(part, Group):
            yield from word_boxes(part.parts, matrix @ _frame(part.at, part.turn_rad, part.scale_ratio))
        elif isinstance(part, Words):
            family = ("Times-Roman", "Times-Bold") if part.is_serif else ("Helvetica", "Helvetica-Bold")
            wide = stringWidth(part.text, family[part.is_bold], part.size_mm)
            left = {Anchor.START: 0.0, Anchor.MIDDLE: -wide / 2, Anchor.END: -wide}[part.anchor]
            corners = [(left, 0.0), (left + wide, 0.0), (left + wide, 0.7), (left, 0.7)]
            local = np.array([(x, y * part.size_mm if y else 0.0, 1.0) for x, y in corners])
            placed = local @ (matrix @ _frame(part.at, part.turn_rad, 1.0)).T
            yield part.text, shapely.Polygon(placed[:, :2])


def _frame(at, turn_rad, scale):
    cos, sin = scale * math.cos(turn_rad), scale * math.sin(turn_rad)
    return np.array([[cos, -sin, at[0]], [sin, cos, at[1]], [0.0, 0.0, 1.0]])
