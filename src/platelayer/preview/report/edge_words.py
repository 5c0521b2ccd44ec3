"""What is said of a job's edges: which the machine broke, and which are left to hand."""

from collections.abc import Sequence

from platelayer.manifest.schema import Manifest
from platelayer.units import show_length
from platelayer.values.pieces import BoardFace, EdgeBreak, EdgePlace

ALL_BY_HAND = (
    "Edges left to hand: round the outer edges, upper and lower, to about 1/16 in (1.5 mm), break the edges of the "
    "grooves with fine paper; no edge may feel sharp."
)


STRIPS_BY_HAND = (
    "Edges left to hand: the long edges came rounded over; round those of end faces, pegs and sockets, upper and "
    "lower, to about 1/16 in (1.5 mm), break the edges of the grooves with fine paper; no edge may feel sharp."
)


def has_broken_edges(manifest: Manifest) -> bool:
    """The machine breaks some edge of some piece."""
    return any(piece.edges for piece in manifest.pieces)


def edge_lines(manifest: Manifest) -> tuple[str, ...]:
    """Sentences on the edges: that all are left to hand, or what is broken by which bit and what stays for the hand."""
    edges = tuple(dict.fromkeys(edge for piece in manifest.pieces for edge in piece.edges))
    if not edges:
        return (STRIPS_BY_HAND if any(board.is_strip for board in manifest.boards) else ALL_BY_HAND,)
    done = [_done(edge) for edge in edges]
    return (*done, f"Left to hand: {_rest(edges, manifest)}; no edge may feel sharp.")


def _done(edge: EdgeBreak) -> str:
    size = show_length(edge.width_mm)
    if edge.place is EdgePlace.OUTER:
        side = "Upper" if edge.face is BoardFace.TOP else "Lower"
        return f"{side} outer edges, end faces, pegs and sockets too: rounded over to {size} by {edge.bit}."
    side = "the top" if edge.face is BoardFace.TOP else "the underside"
    form = "rounded over" if edge.radius_mm else "chamfered"
    deep = show_length(edge.depth_mm)
    return f"Edges of the grooves in {side}: {form} by {size}, by {edge.bit}, {deep} down the wall."


def _rest(edges: Sequence[EdgeBreak], manifest: Manifest) -> str:
    """What no bit breaks: lower edges, inside corners, and whatever the job did not ask for."""
    rest = []
    if any(edge.place is EdgePlace.OUTER for edge in edges):
        rest += [
            "the lower edges, rounded to about 1/16 in (1.5 mm)",
            "inside corners that the bit does not reach, such as those between neck and head",
        ]
    else:
        rest.append("the outer edges, upper and lower, rounded to about 1/16 in (1.5 mm)")
    broken = {edge.face for edge in edges if edge.place is EdgePlace.GROOVE}
    if any(groove.face not in broken for piece in manifest.pieces for groove in piece.grooves):
        rest.append("the edges of the grooves, broken with fine paper")
    return "; ".join(rest)
