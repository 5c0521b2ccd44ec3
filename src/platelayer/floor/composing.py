"""Where every piece of a floor lies, by exact composition, and what each stretch misses.

Glossary:
    open end: one that is joined to no other.

Joints are closed, centred and in line here; what they can give is asked afterwards.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from platelayer.errors import Fault, JobError
from platelayer.geometry.contours import (
    inverse_pose,
    transform_contour,
    transform_point,
    transform_pose,
    wrapped,
)
from platelayer.geometry.placing import facing, pose_to_join
from platelayer.geometry.turning import turned_contour
from platelayer.units import show_length
from platelayer.values.layout import (
    Ahead,
    Asked,
    EndName,
    Floor,
    LaidFloor,
    LaidPiece,
    Miss,
    Stock,
    Stretch,
    WallName,
)
from platelayer.values.pieces import EndKind, Route
from platelayer.values.shapes import Pose

MATE = {EndKind.PEG: EndKind.SOCKET, EndKind.SOCKET: EndKind.PEG}
START, END = "start", "end"
"""The two ends of a stretch, when it is named as a whole."""


def lay_floor(floor: Floor, *, peg_mm: float = 0.0) -> LaidFloor:
    """The floor with every piece where it lies; where a wall is to be met, a peg stands so far out before it.

    Raises:
        JobError: pieces that do not go together so, ends that are not there or taken, a wall that is not ahead, a gap
            that begins at an end of another kind than it says.
    """
    laying = _Laying(floor, peg_mm)
    waiting = list(floor.stretches)
    while waiting:
        ready = [one for one in waiting if laying.begins_of(one) is not None]
        for stretch in ready or waiting:
            laying.lay(stretch)
        waiting = [one for one in waiting if one not in ready] if ready else []
    laying.check_gaps()
    misses = tuple(miss for stretch in floor.stretches if (miss := laying.miss_of(stretch)) is not None)
    if laying.faults:
        raise JobError(*laying.faults)
    joined = frozenset(laying.joined)
    return LaidFloor(floor=floor, pieces=tuple(laying.pieces), misses=misses, joined=joined)


def turned_over(stock: Stock) -> Stock:
    """The same pieces with their underside up: mirrored about the x axis of their frame."""
    ends = tuple(replace(end, pose=Pose(end.pose.x, -end.pose.y, wrapped(-end.pose.heading_rad))) for end in stock.ends)
    routes = tuple(Route(turned_contour(route.path, 0.0), route.ends) for route in stock.routes)
    return replace(stock, ends=ends, routes=routes)


@dataclass(frozen=True, slots=True)
class Way:
    """A way through a piece: from end to end, as it lies or turned over."""

    entry: int
    leaves_by: int
    is_turned: bool


def ways_of(stock: Stock) -> tuple[Way, ...]:
    """Every way through a piece, each route both ways, turned over where it may be: the usual way round comes first."""
    faces = (False, True) if stock.may_turn_over else (False,)
    pairs = [pair for route in stock.routes for pair in (route.ends, route.ends[::-1])]
    return tuple(Way(entry, leaves_by, turned) for entry, leaves_by in pairs for turned in faces)


def through(stock: Stock, way: Way) -> Pose:
    """The pose in which one leaves, seen from where one enters and looks in: what the way does to a heading."""
    ends = (turned_over(stock) if way.is_turned else stock).ends
    return transform_pose(ends[way.leaves_by].pose, inverse_pose(facing(ends[way.entry].pose)))


def hand_of(stock: Stock, way: Way) -> str:
    """``left`` or ``right`` as that way turns; empty for one that ends in the heading it began in."""
    step = through(stock, way)
    if abs(step.heading_rad) > math.radians(0.5):
        return "left" if step.heading_rad > 0 else "right"
    return ""


def end_named(pieces: Sequence[LaidPiece], name: EndName) -> tuple[int, int] | None:
    """Index of the piece, and of its end, that a name means: of a piece or a stretch. None where none is laid so."""
    mine = [index for index, piece in enumerate(pieces) if piece.stretch == name.of]
    if mine and name.end in (START, END):
        at, side = (mine[0], 0) if name.end == START else (mine[-1], 1)
        return at, pieces[at].way[side]
    for index, piece in enumerate(pieces):
        names = [end.name for end in piece.ends]
        if piece.id == name.of and name.end in names:
            return index, names.index(name.end)
    return None


@dataclass(slots=True)
class _Laying:
    """Pieces as far as they are laid, and what was wrong on the way."""

    floor: Floor
    peg_mm: float
    pieces: list[LaidPiece] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    joined: set[tuple[int, int]] = field(default_factory=set)

    def begins_of(self, stretch: Stretch) -> Pose | None:
        """The pose in which a stretch begins, looking ahead; None where its end is not laid yet."""
        if isinstance(stretch.begins, Pose):
            return stretch.begins
        found = end_named(self.pieces, stretch.begins)
        return None if found is None else self.pieces[found[0]].ends[found[1]].pose

    def lay(self, stretch: Stretch) -> None:
        """The pieces of a stretch, as far as they go together."""
        where = f"[[stretch]] {stretch.name}"
        before: tuple[int, int] | None = None
        at = stretch.begins
        if isinstance(at, EndName):
            before = self._open_end(at, where)
            if before is None:
                return
            at = self.pieces[before[0]].ends[before[1]].pose
        for number, asked in enumerate(stretch.asked, start=1):
            piece = self._laid(asked, stretch.name, number, at, before)
            if piece is None:
                break
            self.pieces.append(piece)
            last = len(self.pieces) - 1
            if before is not None:
                self.joined |= {before, (last, piece.way[0])}
            before, at = (last, piece.way[1]), piece.exit.pose

    def _open_end(self, name: EndName, where: str) -> tuple[int, int] | None:
        """Index of a piece and of an end of it that is open; where it is not, None and a fault."""
        found = end_named(self.pieces, name)
        if found is not None and found not in self.joined:
            return found
        problem, fix = "this end is joined to another already", "Begin at an end that is open."
        if found is None:
            problem, fix = "no such end is laid", f"Ends are named by piece and end: {self._some_ends()}."
        self.faults.append(Fault(where=f"{where} begins", found=str(name), problem=problem, fix=fix))
        return None

    def check_gaps(self) -> None:
        """Gaps by tape that begin at an end: it is laid, open, and of the kind that stands on this side of the gap."""
        for gap in self.floor.gaps:
            where = f"[[gap]] {gap.name}"
            at = None if gap.begins is None else self._open_end(gap.begins, where)
            kind = gap.here if at is None else self.pieces[at[0]].ends[at[1]].kind
            if kind is not gap.here:
                problem = f"{gap.begins} is a {kind.value}"
                fix = f'Write here = "{kind.value}", or begin at another end.'
                if kind is EndKind.PLAIN:
                    problem, fix = f"{gap.begins} is plain, and couples with nothing", "Begin at another end."
                self.faults.append(Fault(where=f"{where} here", found=gap.here.value, problem=problem, fix=fix))

    def _some_ends(self) -> str:
        named = [f"{piece.id}.{end.name}" for piece in self.pieces for end in piece.ends]
        open_ends = [
            f"{piece.id}.{end.name}"
            for index, piece in enumerate(self.pieces)
            for number, end in enumerate(piece.ends)
            if (index, number) not in self.joined
        ]
        return ", ".join((open_ends or named)[:4]) or "none is laid yet"

    def _laid(
        self, asked: Asked, stretch: str, number: int, at: Pose, before: tuple[int, int] | None
    ) -> LaidPiece | None:
        where = f"[[stretch]] {stretch} pieces {asked.number}"
        stock = next(one for one in self.floor.stock if one.name == asked.stock)
        here = None if before is None else self.pieces[before[0]].ends[before[1]].kind
        way = self._way(stock, asked, here, where)
        if way is None:
            return None
        name = asked.called or f"{stretch}-{number}"
        if name in {piece.id for piece in self.pieces}:
            fix = "Give each its own."
            self.faults.append(Fault(where=where, found=name, problem="another piece is called so", fix=fix))
            return None
        return _placed(stock, way, at, name, stretch, before, asked.number)

    def _way(self, stock: Stock, asked: Asked, here: EndKind | None, where: str) -> Way | None:
        """The first way through a piece that is as asked and goes on from what stands here."""
        names = [end.name for end in stock.ends]
        ways = [
            way
            for way in ways_of(stock)
            if asked.entry in ("", names[way.entry]) and asked.leaves_by in ("", names[way.leaves_by])
        ]
        if not ways:
            fix = f"Its ends are {', '.join(names)}."
            self.faults.append(Fault(where=where, found=stock.name, problem="no route goes that way", fix=fix))
            return None
        going = [way for way in ways if here is None or stock.ends[way.entry].kind is MATE.get(here)]
        if not going:
            theirs = " or ".join(dict.fromkeys(stock.ends[way.entry].kind.value for way in ways))
            problem = f"its {theirs} would meet a {here.value if here else ''}; a peg goes into a socket only"
            fix = "Lay it the other way round, or another piece before it."
            self.faults.append(Fault(where=where, found=stock.name, problem=problem, fix=fix))
            return None
        if asked.is_turned and not stock.may_turn_over:
            problem, fix = "has grooves on one face only", 'Write grooves = "both" where it has them on both.'
            self.faults.append(Fault(where=where, found=stock.name, problem=problem, fix=fix))
            return None
        facing_up = [way for way in going if way.is_turned or not asked.is_turned]
        turning = [way for way in facing_up if asked.hand in ("", hand_of(stock, way))]
        if not turning:
            problem = f"does not turn {asked.hand} from here"
            fix = "A curve turns to the other hand only turned over, with grooves on both faces, or by other ends."
            self.faults.append(Fault(where=where, found=stock.name, problem=problem, fix=fix))
            return None
        return turning[0]

    def miss_of(self, stretch: Stretch) -> Miss | None:
        """What the last end of a stretch misses; None where it has nothing to meet or could not be laid."""
        goal, begins = stretch.goal, self.begins_of(stretch)
        end = end_named(self.pieces, EndName(stretch.name, END))
        if goal is None or begins is None or (stretch.asked and end is None):
            return None
        if end is None and isinstance(stretch.begins, EndName):
            end = end_named(self.pieces, stretch.begins)
        at = begins if end is None else self.pieces[end[0]].ends[end[1]].pose
        met: tuple[int, int] | None = None
        match goal:
            case Pose():
                target, words = goal, "its place"
            case Ahead():
                target = transform_pose(Pose(goal.length_mm, 0.0), begins)
                words = f"{show_length(goal.length_mm)} ahead"
            case WallName():
                has_peg = end is None or self.pieces[end[0]].ends[end[1]].kind is EndKind.PEG
                target = self._on_wall(at, goal.wall, stretch.name, self.peg_mm if has_peg else 0.0)
                words = f"the {goal.wall} wall"
            case EndName():
                met = end_named(self.pieces, goal)
                if met is None or met in self.joined:
                    problem = "no such end is laid" if met is None else "this end is joined to another already"
                    fix = f"Ends are named by piece and end: {self._some_ends()}."
                    where = f"[[stretch]] {stretch.name} meets"
                    self.faults.append(Fault(where=where, found=str(goal), problem=problem, fix=fix))
                    return None
                target, words = facing(self.pieces[met[0]].ends[met[1]].pose), str(goal)
        return Miss(
            stretch=stretch.name,
            goal=words,
            at=at,
            gap=transform_pose(target, inverse_pose(at)),
            here=None if end is None else self.pieces[end[0]].ends[end[1]].kind,
            there=None if met is None else self.pieces[met[0]].ends[met[1]].kind,
            last=None if end is None else end[0],
            last_end=0 if end is None else end[1],
            met=met,
        )

    def _on_wall(self, at: Pose, name: str, stretch: str, clear_mm: float) -> Pose:
        """Where one comes to a wall straight ahead, or straight behind when the track is through it, less that much."""
        wall = next(one for one in self.floor.walls if one.name == name)
        (x0, y0), (x1, y1) = (transform_point(point, inverse_pose(at)) for point in (wall.line.start, wall.line.end))
        if (y0 > 0) == (y1 > 0):
            problem = f"the track looks past it, heading {math.degrees(at.heading_rad):.4g} degrees"
            fix = "Turn the track towards it, or name another wall."
            self.faults.append(Fault(where=f"[[stretch]] {stretch} meets", found=name, problem=problem, fix=fix))
            return at
        return transform_pose(Pose(x0 + (x1 - x0) * y0 / (y0 - y1) - clear_mm, 0.0), at)


def miss_size(gap: Pose) -> tuple[float, float]:
    """Distance in mm and turn in radians of a miss, neither negative."""
    return math.hypot(gap.x, gap.y), abs(gap.heading_rad)


def laid_in_gap(laid: LaidFloor, miss: Miss, pieces: Sequence[tuple[Stock, Way]], *, first: int) -> LaidFloor:
    """The floor with pieces laid from the open end of a miss on, called by its stretch and numbered from ``first``."""
    placed, joined = list(laid.pieces), set(laid.joined)
    before = None if miss.last is None else (miss.last, miss.last_end)
    at = miss.at
    for number, (stock, way) in enumerate(pieces, start=first):
        piece = _placed(stock, way, at, f"{miss.stretch}-{number}", miss.stretch, before, number)
        placed.append(piece)
        if before is not None:
            joined |= {before, (len(placed) - 1, way.entry)}
        before, at = (len(placed) - 1, way.leaves_by), piece.exit.pose
    goal = transform_pose(miss.gap, miss.at)
    last, last_end = before or (miss.last, miss.last_end)
    now = replace(miss, at=at, gap=transform_pose(goal, inverse_pose(at)), last=last, last_end=last_end)
    misses = tuple(now if one is miss else one for one in laid.misses)
    return replace(laid, pieces=tuple(placed), misses=misses, joined=frozenset(joined))


def _placed(
    stock: Stock, way: Way, at: Pose, name: str, stretch: str, before: tuple[int, int] | None, number: int
) -> LaidPiece:
    """The piece with the end it is entered by on the end that looks ahead there."""
    own = turned_over(stock) if way.is_turned else stock
    pose = pose_to_join(own.ends[way.entry].pose, at)
    return LaidPiece(
        id=name,
        stock=stock,
        stretch=stretch,
        pose=pose,
        is_turned=way.is_turned,
        ends=tuple(replace(end, pose=transform_pose(end.pose, pose)) for end in own.ends),
        routes=tuple(Route(transform_contour(one.path, pose), one.ends) for one in own.routes),
        way=(way.entry, way.leaves_by),
        before=before,
        number=number,
    )
