"""A piece's rim: its outline with every mouth bridged, which is what goes round a piece from outside.

Glossary:
    bridged: a socket's run of outline replaced by the straight line of its face.
"""

from typing import Final

from platelayer.tolerances import COINCIDENT_MM
from platelayer.values.pieces import EdgeLabel, Piece, Role
from platelayer.values.shapes import Contour, Line, Segment

_SOCKET_ROLES: Final = (Role.SOCKET, Role.EASE)


def bridged(piece: Piece) -> tuple[Contour, tuple[EdgeLabel, ...]]:
    """The outline with mouths bridged by straight lines, counter-clockwise, and a label for each of its segments."""
    segments: list[Segment] = []
    labels: list[EdgeLabel] = []
    for segment, label in _bridged(piece):
        if segments and label == labels[-1] and _are_one_line(segments[-1], segment):
            segments[-1] = Line(segments[-1].start, segment.end)
        else:
            segments.append(segment)
            labels.append(label)
    return Contour(tuple(segments), is_closed=True), tuple(labels)


def _bridged(piece: Piece) -> list[tuple[Segment, EdgeLabel]]:
    """Segments begun at the start of a side, every socket's run one line of face."""
    found: list[tuple[Segment, EdgeLabel]] = []
    for segment, label in begun_at_side(piece):
        if label.role not in _SOCKET_ROLES:
            found.append((segment, label))
            continue
        face = EdgeLabel(Role.FACE, label.end)
        if found and found[-1][1] == face and isinstance(found[-1][0], Line):
            found[-1] = (Line(found[-1][0].start, segment.end), face)
        else:
            found.append((Line(segment.start, segment.end), face))
    return found


def begun_at_side(piece: Piece) -> list[tuple[Segment, EdgeLabel]]:
    """The outline's segments and labels, begun where a run of one role begins that is a side where there is one."""
    pairs = list(zip(piece.outline.segments, piece.labels, strict=True))
    for index, (_, label) in enumerate(pairs):
        if label.role is Role.SIDE and pairs[index - 1][1].role is not Role.SIDE:
            return pairs[index:] + pairs[:index]
    return pairs


def _are_one_line(first: Segment, second: Segment) -> bool:
    if not (isinstance(first, Line) and isinstance(second, Line)):
        return False
    (x0, y0), (x1, y1), (x2, y2) = first.start, first.end, second.end
    cross = (x1 - x0) * (y2 - y0) - (y1 - y0) * (x2 - x0)
    return abs(cross) <= COINCIDENT_MM * first.length_mm


def lines_on_near_edge(piece: Piece) -> tuple[Line, ...]:
    """The lines of a piece's sides that lie along y = 0, the near edge of the board it lies on."""
    return tuple(
        segment
        for segment, label in zip(piece.outline.segments, piece.labels, strict=True)
        if label.role is Role.SIDE
        and isinstance(segment, Line)
        and max(abs(segment.start[1]), abs(segment.end[1])) <= COINCIDENT_MM
    )
