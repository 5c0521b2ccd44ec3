"""Outlines for other hands: SVG and DXF at full size, lines and true arcs, nothing flattened.

Glossary:
    layer: a named group of contours, in plain words: outline, opening, groove.

The DXF is the plain text form, release 12 (AC1009): one POLYLINE a contour, arcs as bulges; a bulge is the tangent of
a quarter of the arc's angle, positive counter-clockwise. Lengths are millimetres.

Source:
    the published DXF reference: group codes 0, 8, 10, 20, 42, 62, 66, 70; from memory, and read back in the tests by an
    independent reader.
"""

import math
from collections.abc import Iterable, Sequence

from platelayer.geometry.contours import bounds, split_segment
from platelayer.manifest.schema import Manifest, ManifestPiece
from platelayer.preview.pictures.drawing import Drawing, Group, Ink, Shape
from platelayer.preview.pictures.svg import svg_text
from platelayer.values.shapes import Arc, Contour, Segment

Layer = tuple[str, Contour]


def board_layers(manifest: Manifest, board_id: str) -> tuple[Layer, ...]:
    """All contours of a board's pieces in board coordinates, pieces in the order of cutting."""
    pieces = sorted((piece for piece in manifest.pieces if piece.board == board_id), key=lambda piece: piece.order)
    return tuple(layer for piece in pieces for layer in piece_layers(piece))


def piece_layers(piece: ManifestPiece) -> tuple[Layer, ...]:
    """The contours of one piece: outline, openings, centre lines of grooves."""
    return (
        ("outline", piece.outline),
        *(("opening", hole) for hole in piece.inner),
        *(("groove", groove.path) for groove in piece.grooves),
    )


def outlines_svg(layers: Sequence[Layer], *, title: str) -> str:
    """Contours as an SVG file in millimetres, y upwards turned to the picture's y downwards, 5 mm of room around."""
    boxes = [bounds(contour) for _, contour in layers] or [(0.0, 0.0, 0.0, 0.0)]
    low = (min(box[0] for box in boxes) - 5, min(box[1] for box in boxes) - 5)
    high = (max(box[2] for box in boxes) + 5, max(box[3] for box in boxes) + 5)
    ink = Ink(stroke="#000000", width_mm=0.2)
    groups = tuple(
        Group(name=name, parts=(Shape(tuple(contour for layer, contour in layers if layer == name), ink),))
        for name in dict.fromkeys(name for name, _ in layers)
    )
    return svg_text(Drawing(id="outlines", title=title, low=low, high=high, parts=groups))


def outlines_dxf(layers: Sequence[Layer]) -> str:
    """Contours as a DXF file in millimetres."""
    names = list(dict.fromkeys(name for name, _ in layers))
    codes: list[tuple[int, object]] = [
        (999, "lengths in millimetres"),
        (0, "SECTION"), (2, "HEADER"), (9, "$ACADVER"), (1, "AC1009"), (0, "ENDSEC"),
        (0, "SECTION"), (2, "TABLES"), (0, "TABLE"), (2, "LAYER"), (70, len(names)),
    ]  # fmt: skip
    for name in names:
        codes += [(0, "LAYER"), (2, name.upper()), (70, 0), (62, 7), (6, "CONTINUOUS")]
    codes += [(0, "ENDTAB"), (0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES")]
    for name, contour in layers:
        codes += _polyline(name.upper(), contour)
    codes += [(0, "ENDSEC"), (0, "EOF")]
    return "".join(f"{code}\n{_value(value)}\n" for code, value in codes)


def _polyline(layer: str, contour: Contour) -> Iterable[tuple[int, object]]:
    yield from ((0, "POLYLINE"), (8, layer), (66, 1), (10, 0.0), (20, 0.0), (70, int(contour.is_closed)))
    segments = [part for segment in contour.segments for part in _halved(segment)]
    for segment in segments:
        yield from ((0, "VERTEX"), (8, layer), (10, segment.start[0]), (20, segment.start[1]), (42, bulge(segment)))
    if not contour.is_closed:
        yield from ((0, "VERTEX"), (8, layer), (10, contour.end[0]), (20, contour.end[1]), (42, 0.0))
    yield from ((0, "SEQEND"), (8, layer))


def _halved(segment: Segment) -> tuple[Segment, ...]:
    """Arcs past half a turn as two: a full circle has no bulge."""
    if isinstance(segment, Arc) and segment.sweep_rad > math.pi:
        return split_segment(segment, 0.5)
    return (segment,)


def bulge(segment: Segment) -> float:
    """Tangent of a quarter of the arc's angle, positive counter-clockwise; 0 for a line."""
    if not isinstance(segment, Arc):
        return 0.0
    return math.tan(segment.sweep_rad / 4) * (1 if segment.is_ccw else -1)


def _value(value: object) -> str:
    return (
        f"{value:.9f}".rstrip("0") + "0" * f"{value:.9f}".rstrip("0").endswith(".")
        if isinstance(value, float)
        else str(value)
    )
