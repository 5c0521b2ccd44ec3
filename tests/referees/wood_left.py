"""What stands on a board once its files have run, swept here anew from the moves as read; rules of its own.

A level is a height above the board's underside. At a level, all is gone that a flat bit's circle passed over at or
below it; only files of the upper face cut right through, so no others are looked at. Arcs become chords, a bit a
polygon of 64 sides round it, both within CHORD_MM.
"""

import math

import numpy as np
import shapely
from shapely import LineString, Point, Polygon
from shapely.affinity import rotate, translate

from platelayer.values.motion import MoveKind
from platelayer.values.pieces import BoardFace, EndKind

CHORD_MM = 0.01
HAIR_MM = 5 * CHORD_MM
"""What is narrower is no part of what lacks: a sixtieth of what is thin, five times what chords leave along an edge."""
DUST_MM = 0.5
"""What is nowhere thicker comes off as a chip: common practice, no source."""
LEAST_MM = 3.0
"""Waste thinner than this, or than a quarter of its height, does not stand up to a bit: common practice, no source."""


def left_at(manifest, motions, board, level_mm):
    """The board's wood at a level."""
    return outline_of(board).difference(shapely.union_all([*swept_by(manifest, motions, board, level_mm).values()]))


def swept_by(manifest, motions, board, level_mm):
    """What bits of each diameter took away at a level."""
    gone = {}
    for file in manifest.files:
        if file.board == board.id and file.face is BoardFace.TOP:
            for diameter, area in _swept(motions[file.name], file, board, level_mm):
                gone.setdefault(diameter, []).append(area)
    return {diameter: shapely.union_all(areas) for diameter, areas in gone.items()}


def outline_of(board):
    return Polygon(_chords(board.outline)) if board.outline else shapely.box(0.0, 0.0, *board.size_mm)


def solid_of(piece):
    return Polygon(_chords(piece.outline), [_chords(inner) for inner in piece.inner])


def _swept(motion, file, board, level_mm):
    """Diameters and areas over which they pass at or below the level; sinking or rising, from where it is so low.

    Ways gone again, level by level, count once.
    """
    z_level = level_mm if board.zero == "spoilboard" else level_mm - board.thickness_mm
    found, ways = [], set()
    for i in range(len(motion)):
        bit = file.bits[motion.bit[i]]
        (*_, z0), (*_, z1) = motion.start[i], motion.end[i]
        if bit.kind.value != "flat" or min(z0, z1) > z_level:
            continue
        low, high = (0.0, 1.0) if max(z0, z1) <= z_level else _below(z0, z1, z_level)
        path = LineString(_places(motion, i, low, high))
        if (way := (bit.diameter_mm, path.wkb)) not in ways:
            ways.add(way)
            found.append((bit.diameter_mm, path.buffer(bit.diameter_mm / 2, quad_segs=16)))
    return found


def _below(z0, z1, level):
    """The shares of a move between which it is at or below a level."""
    at = (level - z0) / (z1 - z0)
    return (0.0, at) if z0 < z1 else (at, 1.0)


def _places(motion, i, low, high):
    start, end, kind = motion.start[i, :2], motion.end[i, :2], motion.kind[i]
    if kind in (MoveKind.RAPID, MoveKind.LINE):
        return [start + (end - start) * share for share in (low, high)]
    centre = motion.centre[i]
    radius, first = math.dist(start, centre), math.atan2(*(start - centre)[::-1])
    turn = math.atan2(*(end - centre)[::-1]) - first
    turn = turn % math.tau if kind == MoveKind.ARC_CCW else -(-turn % math.tau)
    if math.dist(start, end) < CHORD_MM / 100:
        turn = math.tau if kind == MoveKind.ARC_CCW else -math.tau
    count = max(2, math.ceil(abs(turn) / (2 * math.sqrt(2 * CHORD_MM / max(radius, CHORD_MM)))) + 1)
    angles = first + turn * np.linspace(low, high, count)
    return np.column_stack((centre[0] + radius * np.cos(angles), centre[1] + radius * np.sin(angles)))


def _chords(contour):
    points = []
    for segment in contour.segments:
        if not hasattr(segment, "centre"):
            points.append(segment.start)
            continue
        (cx, cy), radius = segment.centre, math.dist(segment.start, segment.centre)
        first = math.atan2(segment.start[1] - cy, segment.start[0] - cx)
        turn = segment.sweep_rad * (1 if segment.is_ccw else -1)
        count = max(2, math.ceil(abs(turn) / (2 * math.sqrt(2 * CHORD_MM / radius))))
        points += [
            (cx + radius * math.cos(first + turn * k / count), cy + radius * math.sin(first + turn * k / count))
            for k in range(count)
        ]
    return points


def slivers(manifest, motions, board):
    """Waste too thin to stand, longer than the narrowest bit is wide that passed it.

    Waste is looked at half-way down, so that every slot that is deeper counts; wood in corners that no bit reaches is
    their pieces' own.
    """
    least = max(LEAST_MM, board.thickness_mm / 4)
    gone = swept_by(manifest, motions, board, board.thickness_mm / 2)
    here = [piece for piece in manifest.pieces if piece.board == board.id]
    taken = [*gone.values(), *(solid_of(piece).buffer(2 * CHORD_MM) for piece in here)]
    corners = shapely.union_all([Point(x, y).buffer(least) for piece in here for x, y, _ in piece.unreached])
    parts = _parts(outline_of(board).difference(shapely.union_all(taken)))
    waste = shapely.union_all([part for part in parts if not part.within(corners)])
    found = []
    for part, out in thin_parts(waste, least):
        beside = [diameter for diameter, area in gone.items() if area.distance(part) < CHORD_MM]
        if beside and out > min(beside):
            found.append(part)
    return found


def thin_parts(area, least_mm):
    """The parts of an area that its opening by a disc of half a least thickness lacks, and how long each is.

    That is how far it stands out from what the disc reaches, or where it spans two places of that, from one to the
    other; what hangs on nothing is as long as its box. Across it may be as wide as it likes. Left out are hairs, that
    chords leave along an edge, dust, and corners of a right angle and more: these lack something too, yet nothing of
    them is thin: from the middle of the last disc it is no further than half a diagonal of the square round it.
    """
    cores = area.buffer(-least_mm / 2)
    stout = cores.buffer(least_mm / 2 + CHORD_MM)
    lacking = area.difference(stout).buffer(-HAIR_MM / 2).buffer(HAIR_MM / 2)
    blunt = cores.buffer(least_mm / math.sqrt(2) + CHORD_MM)
    return [
        (part, _out_mm(part, stout))
        for part in _parts(lacking)
        if not part.within(blunt) and not part.buffer(-DUST_MM / 2).is_empty
    ]


def _out_mm(part, stout):
    places = _parts(part.intersection(stout.buffer(HAIR_MM)))
    if not places:
        return length_mm(part)
    rim = part.exterior.segmentize(DUST_MM).coords
    return max(stout.distance(Point(at)) for at in rim) * min(len(places), 2)


def _parts(area):
    return [part for part in getattr(area, "geoms", [area]) if part.area > CHORD_MM]


def length_mm(part):
    (a, b, c, *_) = shapely.minimum_rotated_rectangle(part).exterior.coords
    return max(math.dist(a, b), math.dist(b, c))


def loose(manifest, motions, board):
    """Pieces that nothing holds: no tape or vacuum, and at no level wood between them and what else stands."""
    found = []
    pieces = [piece for piece in manifest.pieces if piece.board == board.id and not piece.held_by]
    low = {max([piece.skin_mm / 2, *(tab.height_mm / 2 for tab in piece.tabs)]) for piece in pieces}
    wood = {level: left_at(manifest, motions, board, level) for level in low}
    for piece in pieces:
        area = wood[max([piece.skin_mm / 2, *(tab.height_mm / 2 for tab in piece.tabs)])]
        solid = solid_of(piece)
        mine = [part for part in _parts(area) if part.intersection(solid).area > solid.area / 2]
        if not mine or mine[0].area < solid.area + 4 * LEAST_MM**2:
            found.append(piece.id)
    return found


def side_play_mm(peg, socket, *, most_mm=0.5):
    """Sideways play of a peg in a socket as they were cut, pushed together as far as they go; None where they do not.

    Both are areas with their end faces on the y axis: the socket's wood lies left of it, the peg stands out to the
    left, its own piece to the right. Searched to a thousandth of a millimetre with polygons 64 to the circle.
    """

    def overlap(opening, aside):
        return translate(peg, opening, aside).intersection(socket).area > CHORD_MM**2

    closed, opened = -0.05, 4.0
    if overlap(opened, 0.0):
        steps = np.arange(closed, opened, 0.05)
        opened = next((at for at in steps if not overlap(at, 0.0)), None)
        if opened is None:
            return None
    while opened - closed > 0.002:
        middle = (opened + closed) / 2
        closed, opened = (middle, opened) if overlap(middle, 0.0) else (closed, middle)
    least, most = 0.0, most_mm
    while most - least > 0.001:
        middle = (least + most) / 2
        free = not overlap(opened, middle) and not overlap(opened, -middle)
        least, most = (middle, most) if free else (least, middle)
    return least


def sharp_socket(joint):
    """The socket of a mate with sharp corners, by its sizes, as ``side_play_mm`` wants it."""
    radius = joint.hole_diameter_mm / 2
    middle = joint.hole_setback_mm + radius
    mouth = shapely.box(-middle, -joint.mouth_width_mm / 2, 0.0, joint.mouth_width_mm / 2)
    return shapely.box(-25, -15, 0, 15).difference(mouth.union(Point(-middle, 0.0).buffer(radius, quad_segs=64)))


def ends_as_cut(manifest, motions, board):
    """Pegs and sockets of a board's pieces as cut half-way down, each turned so that its joint is at the origin."""
    wood = left_at(manifest, motions, board, board.thickness_mm / 2)
    found = {EndKind.PEG: [], EndKind.SOCKET: []}
    for piece in (piece for piece in manifest.pieces if piece.board == board.id):
        near = wood.intersection(solid_of(piece).buffer(2.0))
        for end in piece.ends:
            if end.kind in found:
                x, y, heading = end.pose.x, end.pose.y, end.pose.heading_rad
                # a peg's heading turned to the left, a socket's to the right: so they face each other
                turn = (math.pi if end.kind is EndKind.PEG else 0.0) - heading
                home = rotate(translate(near, -x, -y), turn, origin=(0, 0), use_radians=True)
                area = home.intersection(shapely.box(-25, -15, 25, 15))
                found[end.kind].append(max(_parts(area), key=lambda part: part.area))
    return found
