"""The straight: any length, any two ends.

Glossary:
    length: between the end faces along the centre line; a peg stands out beyond it.
"""

from platelayer.geometry.track import track_piece
from platelayer.values.pieces import BoardFace, CornerRadii, EndKind, JointSizes, Piece, TrackSizes
from platelayer.values.shapes import Line


def centre_line(length_mm: float) -> Line:
    """From the origin along x."""
    return Line((0.0, 0.0), (length_mm, 0.0))


def straight(
    *,
    id: str,
    title: str,
    length_mm: float,
    ends: tuple[EndKind, EndKind],
    faces: tuple[BoardFace, ...],
    track: TrackSizes,
    joint: JointSizes,
    corners: CornerRadii,
) -> Piece:
    """A straight in its own frame: faces at x = 0 and x = length.

    Raises:
        ValueError: sizes that make no such piece; ``sizes`` says it in words first.
    """
    return track_piece(
        centre_line(length_mm),
        id=id,
        kind="straight",
        title=title,
        ends=ends,
        faces=faces,
        track=track,
        joint=joint,
        corners=corners,
    )
