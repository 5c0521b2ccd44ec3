"""The manifest read from its text: what was meant, taken from the file alone.

Glossary:
    key path: where in the text a value stands, ``pieces[3].outline[7].arc``; every fault names one.

Keys that version 1 does not know are passed over, since keys may be added; a missing key, a wrong type or a shape
that cannot be is refused, all faults at once. Keys beyond the documented layout have defaults that mean unknown.
"""

import json
import math
from typing import Any, NoReturn

from platelayer.errors import Fault, ReadError
from platelayer.manifest.fields import Fields, Numbers
from platelayer.manifest.schema import (
    Manifest,
    ManifestBit,
    ManifestBoard,
    ManifestFile,
    ManifestMachine,
    ManifestPiece,
    ManifestTurning,
)
from platelayer.manifest.tuned import tuning_of
from platelayer.tolerances import ARC_RADII_MM, COINCIDENT_MM
from platelayer.values.cuts import Dowel, Tab
from platelayer.values.pieces import BoardFace, EdgeBreak, EdgePlace, End, EndKind, Flare, Groove
from platelayer.values.shapes import Arc, Contour, Line, Point, Pose, Segment
from platelayer.values.tooling import BitKind, NoGo, StripFeed

VERSION = 1


def parse_manifest(text: str) -> Manifest:
    """The manifest in the text.

    Raises:
        ReadError: not JSON, another version, or anything missing, of the wrong type or impossible; each fault names
            its key path, and all are listed.
    """
    try:
        data = json.loads(text, object_pairs_hook=_once, parse_constant=_no_constant)
    except json.JSONDecodeError as error:
        place = f"line {error.lineno}, column {error.colno}"
        raise ReadError(Fault(where="", problem=f"the manifest is not JSON: {place}: {error.msg}")) from error
    except (ValueError, RecursionError) as error:
        raise ReadError(Fault(where="", problem=f"the manifest is not JSON: {error}")) from error
    faults: list[Fault] = []
    top = Fields(data, "", faults)
    version = top.number("manifest")
    if not faults and version != VERSION:
        raise ReadError(
            Fault(
                where="manifest",
                found=f"{version:g}",
                problem=f"this program reads version {VERSION}",
                mend="Make the job again with this version of the program.",
            )
        )
    manifest = _manifest(top)
    _crosswise(manifest, faults)
    if faults:
        raise ReadError(*faults)
    return manifest


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise ValueError(f'the key "{key}" stands twice in one object')
        found[key] = value
    return found


def _no_constant(name: str) -> NoReturn:
    raise ValueError(f"{name} is no number")


def _manifest(top: Fields) -> Manifest:
    top.choice("units", ("mm",))
    return Manifest(
        job=top.text("job", ""),
        units="in" if top.choice("shown_units", ("mm", "in"), "mm") == "in" else "mm",
        material=top.text("material", ""),
        machine=_machine(top.inside("machine")),
        boards=tuple(_board(board) for board in top.objects("boards")),
        files=tuple(_file(file) for file in top.objects("files")),
        pieces=tuple(_piece(piece) for piece in top.objects("pieces")),
        joint=top.table("joint"),
        tuning=None if top.is_null("tuning") else tuning_of(top.inside("tuning")),
        title=top.text("title", ""),
        noticed=top.texts("noticed") if top.has("noticed") else (),
    )


def _machine(fields: Fields) -> ManifestMachine:
    unknown = (0.0, 0.0, 0.0)
    return ManifestMachine(
        id=fields.text("id"),
        travel_mm=_triple(fields.numbers("travel", 3, low=0)),
        zero_at=None if fields.is_null("zero_at") else _triple(fields.numbers("zero_at", 3)),
        feed_max_mm_min=_triple(fields.numbers("feed_max", 3, default=unknown, low=0)),
        rapid_mm_min=_triple(fields.numbers("rapid", 3, default=unknown, low=0)),
        accel_mm_s2=_triple(fields.numbers("accel", 3, default=unknown, low=0)),
        corner_deviation_mm=fields.number("corner_deviation", 0.0, low=0),
        corner_speed_mm_min=fields.number("corner_speed", 0.0, low=0),
        spindle=fields.choice("spindle", ("speed_word", "dial", "switch", ""), ""),
        dial=fields.dial("dial"),
        dwell_unit=fields.choice("dwell_unit", ("s", "ms"), "s"),
        holder_diameter_mm=fields.number("holder_diameter", 0.0, low=0),
    )


def _board(fields: Fields) -> ManifestBoard:
    width, height = fields.numbers("size", 2, low=0)
    return ManifestBoard(
        id=fields.text("id"),
        size_mm=(width, height),
        thickness_mm=fields.number("thickness", above=0),
        zero=fields.choice("zero", ("top", "spoilboard")),
        no_go=tuple(
            NoGo(
                outline=_contour(area, "outline", is_closed=True),
                height_mm=area.number("height"),
                title=area.text("title", ""),
            )
            for area in fields.objects("no_go")
        ),
        allowance_mm=fields.number("allowance", 0.5, low=0),
        scatter_mm=fields.number("scatter", 0.0, low=0),
        turning=None if fields.is_null("turning") else _turning(fields.inside("turning")),
        outline=None if fields.is_null("outline") else _outline(fields),
        is_strip=fields.truth("strip", default=False),
        grain_rad=math.radians(fields.number("grain", 0.0)),
        feeds=tuple(_feed(feed) for feed in fields.objects("feeds")) if fields.has("feeds") else (),
    )


def _feed(fields: Fields) -> StripFeed:
    return StripFeed(
        piece_id=fields.text("piece"),
        strip=fields.text("strip"),
        stop_mm=fields.number("stop", low=0),
        used_mm=fields.number("used", low=0),
        left_mm=fields.number("left", low=0),
    )


def _turning(fields: Fields) -> ManifestTurning:
    dowels = []
    for dowel in fields.objects("dowels"):
        x, y = dowel.numbers("at", 2)
        dowels.append(Dowel((x, y), dowel.number("diameter", above=0), dowel.number("depth", low=0)))
    return ManifestTurning(
        by=fields.choice("by", ("dowels", "fence")),
        tolerance_mm=fields.number("tolerance", low=0),
        dowels=tuple(dowels),
    )


def _file(fields: Fields) -> ManifestFile:
    turn_y_mm = None
    if not fields.is_null("turn"):
        turn = fields.inside("turn")
        turn.choice("axis", ("x",))
        turn_y_mm = turn.number("at")
    face = BoardFace(fields.choice("face", tuple(face.value for face in BoardFace)))
    if (face is BoardFace.BOTTOM) != (turn_y_mm is not None):
        fields.fault("turn", 'stands with a file of face "bottom" and only there')
    return ManifestFile(
        name=fields.text("name"),
        board=fields.text("board"),
        face=face,
        sha256=fields.text("sha256"),
        bits=tuple(_bit(bit) for bit in fields.objects("bits")),
        turn_y_mm=turn_y_mm,
    )


def _bit(fields: Fields) -> ManifestBit:
    diameter_mm = fields.number("diameter", above=0)
    return ManifestBit(
        id=fields.text("id"),
        kind=BitKind(fields.choice("kind", tuple(kind.value for kind in BitKind))),
        diameter_mm=diameter_mm,
        nominal_mm=fields.number("nominal", diameter_mm, above=0),
        measured_mm=None if fields.is_null("measured") else fields.number("measured", above=0),
        cutting_length_mm=fields.number("cutting_length", 0.0, low=0),
        shank_mm=fields.number("shank", 0.0, low=0),
        may_plunge=fields.truth("may_plunge", default=False),
        stepdown_mm=fields.number("stepdown", 0.0, low=0),
        flutes=int(fields.number("flutes", 0.0, low=0)),
        included_rad=math.radians(fields.number("included", 0.0, low=0)),
        corner_radius_mm=fields.number("corner_radius", 0.0, low=0),
        spindle_rpm=fields.number("spindle", 0.0, low=0),
        dial=fields.text("dial", ""),
        reach_mm=fields.number("reach", 0.0, low=0),
        feed_mm_min=fields.number("feed", 0.0, low=0),
        plunge_mm_min=fields.number("plunge", 0.0, low=0),
    )


def _piece(fields: Fields) -> ManifestPiece:
    holding = fields.inside("holding")
    tabs = (holding.numbers_at(f"tabs[{index}]", tab, 4) for index, tab in enumerate(holding.items("tabs")))
    return ManifestPiece(
        id=fields.text("id"),
        kind=fields.text("kind"),
        title=fields.text("title", ""),
        board=fields.text("board"),
        pose=_pose(fields),
        ends=tuple(_end(end) for end in fields.objects("ends")),
        outline=_outline(fields),
        inner=tuple(
            _chain(fields, f"inner[{index}]", inner, is_closed=True)
            for index, inner in enumerate(fields.items("inner"))
        ),
        grooves=tuple(_groove(groove) for groove in fields.objects("grooves")),
        tabs=tuple(Tab((x, y), width, height) for x, y, width, height in tabs),
        skin_mm=holding.number("skin", low=0),
        held_by=holding.choice("by", ("tape", "vacuum", ""), ""),
        order=int(fields.number("order", 0.0)),
        length_mm=fields.number("length", 0.0),
        unreached=tuple(
            _triple(fields.numbers_at(f"unreached[{index}]", corner, 3))
            for index, corner in enumerate(fields.items("unreached", optional=True))
        ),
        edges=tuple(_edge(edge) for edge in fields.objects("edges", optional=True)),
    )


def _edge(fields: Fields) -> EdgeBreak:
    depth_mm, radius_mm = fields.number("depth", above=0), fields.number("radius", 0.0, low=0)
    if 0 < radius_mm < depth_mm - COINCIDENT_MM:
        fields.fault("depth", "is deeper than the radius of the round", depth_mm)
    return EdgeBreak(
        place=EdgePlace(fields.choice("place", tuple(place.value for place in EdgePlace))),
        face=BoardFace(fields.choice("face", tuple(face.value for face in BoardFace))),
        width_mm=fields.number("width", above=0),
        depth_mm=depth_mm,
        radius_mm=radius_mm,
        bit=fields.text("bit", ""),
    )


def _groove(fields: Fields) -> Groove:
    flares = [Flare(flare.number("length", low=0), flare.number("extra", low=0)) for flare in fields.objects("flare")]
    if len(flares) != 2:
        fields.fault("flare", "has one entry for either end, so two")
        flares = [Flare(0.0, 0.0)] * 2
    return Groove(
        face=BoardFace(fields.choice("face", tuple(face.value for face in BoardFace))),
        width_mm=fields.number("width", above=0),
        depth_mm=fields.number("depth", above=0),
        path=_contour(fields, "path", is_closed=False),
        flare=(flares[0], flares[1]),
    )


def _end(fields: Fields) -> End:
    return End(EndKind(fields.choice("kind", tuple(kind.value for kind in EndKind))), _pose(fields))


def _pose(fields: Fields) -> Pose:
    x, y, degrees = fields.numbers("pose", 3)
    return Pose(x, y, math.radians(degrees))


def _triple(numbers: Numbers) -> tuple[float, float, float]:
    return numbers[0], numbers[1], numbers[2]


def _outline(fields: Fields) -> Contour:
    contour = _contour(fields, "outline", is_closed=True)
    if contour.segments and _twice_area(contour) <= 0:
        fields.fault("outline", "runs clockwise or encloses nothing; an outline runs counter-clockwise")
    return contour


def _twice_area(contour: Contour) -> float:
    total = 0.0
    for segment in contour.segments:
        (x0, y0), (x1, y1) = segment.start, segment.end
        total += x0 * y1 - x1 * y0
        if isinstance(segment, Arc):
            sweep = segment.sweep_rad
            bulge = segment.radius_mm**2 * (sweep - math.sin(sweep))
            total += bulge if segment.is_ccw else -bulge
    return total


def _contour(fields: Fields, key: str, *, is_closed: bool) -> Contour:
    return _chain(fields, key, fields.items(key), is_closed=is_closed)


def _chain(fields: Fields, path: str, items: object, *, is_closed: bool) -> Contour:
    """The contour of a list of segments; faults are noted when they do not chain, or close, or are arcs untrue."""
    if not isinstance(items, list) or not items:
        fields.fault(path, "is a list of one segment or more")
        return Contour((), is_closed)
    read = [_segment(fields, f"{path}[{index}]", item) for index, item in enumerate(items)]
    segments = [segment for segment in read if segment is not None]
    if len(segments) < len(read):
        return Contour(tuple(segments), is_closed)
    follows = [*segments[1:], segments[0]] if is_closed else segments[1:]
    for index, (segment, following) in enumerate(zip(segments, follows, strict=False)):
        gap_mm = math.dist(segment.end, following.start)
        if gap_mm > COINCIDENT_MM:
            after = (index + 1) % len(segments)
            fields.fault(
                f"{path}[{after}]",
                f"begins {gap_mm:.6f} mm from where segment {index} ends; the limit is {COINCIDENT_MM:g} mm",
            )
    return Contour(tuple(segments), is_closed)


def _segment(fields: Fields, path: str, item: object) -> Segment | None:
    if not isinstance(item, dict) or len(item.keys() & {"line", "arc"}) != 1:
        fields.fault(path, 'is an object with either "line" or "arc"')
        return None
    if "line" in item:
        x0, y0, x1, y1 = fields.numbers_at(f"{path}.line", item["line"], 4)
        return Line((x0, y0), (x1, y1))
    words = item["arc"]
    if not isinstance(words, list) or len(words) != 7 or words[6] not in ("ccw", "cw"):
        fields.fault(f"{path}.arc", 'is a list of six numbers and "ccw" or "cw"')
        return None
    x0, y0, x1, y1, cx, cy = fields.numbers_at(f"{path}.arc", words[:6], 6)
    start: Point = (x0, y0)
    end: Point = (x1, y1)
    if math.dist(start, end) <= COINCIDENT_MM:
        end = start
    differ_mm = abs(math.dist(start, (cx, cy)) - math.dist(end, (cx, cy)))
    if differ_mm > ARC_RADII_MM:
        fields.fault(
            f"{path}.arc",
            f"its two radii differ by {differ_mm:.4f} mm; the limit is {ARC_RADII_MM:g} mm (RS274/NGC)",
        )
    return Arc(start, end, (cx, cy), words[6] == "ccw")


def _crosswise(manifest: Manifest, faults: list[Fault]) -> None:
    boards = [board.id for board in manifest.boards]
    for kind, names in (
        ("boards", boards),
        ("files", [file.name for file in manifest.files]),
        ("pieces", [piece.id for piece in manifest.pieces]),
    ):
        for name in sorted({name for name in names if names.count(name) > 1}):
            faults.append(Fault(where=kind, found=name, problem="stands more than once"))
    for index, file in enumerate(manifest.files):
        if file.board not in boards:
            faults.append(Fault(where=f"files[{index}].board", found=file.board, problem="no such board"))
    for index, piece in enumerate(manifest.pieces):
        if piece.board not in boards:
            faults.append(Fault(where=f"pieces[{index}].board", found=piece.board, problem="no such board"))
