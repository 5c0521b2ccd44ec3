"""Units and names of paper: points, page sizes, and what reportlab's things are called here.

Glossary:
    point: 1/72 in, the PDF's unit. flowable: something reportlab sets one below the other.
"""

from typing import Any, Final, Literal, TypeAlias

from platelayer.manifest.schema import Manifest
from platelayer.units import MM_PER_INCH

Points: TypeAlias = float
"""Lengths on paper."""

Drawing: TypeAlias = Any
Canvas: TypeAlias = Any
Flowable: TypeAlias = Any
"""reportlab has no types of its own."""

Paper = Literal["a4", "letter"]

POINTS_PER_MM: Final = 72 / MM_PER_INCH


def paper_for(manifest: Manifest) -> Paper:
    """Letter for those who read inches first, A4 for the others."""
    return "letter" if manifest.units == "in" else "a4"


def page_size(paper: Paper) -> tuple[Points, Points]:
    """Width and height of the upright page."""
    from reportlab.lib import pagesizes

    width, height = {"a4": pagesizes.A4, "letter": pagesizes.letter}[paper]
    return float(width), float(height)
