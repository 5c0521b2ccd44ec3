"""What a program does in the hands of a person who reads its comments, on a machine that knows only its words.

A referee of the dry run on spoilt files: it shares nothing with the reader or the checks. The person puts in the bit
that a stop's comment names, turns the switch and the dial as told, and does nothing that is not said; the machine takes
every word as the standard has it. Wood is a field of heights on a grid of half a millimetre.

SOURCE: NISTIR 6556, The NIST RS274/NGC Interpreter, 2000, 3.5 and 3.6 (what the words do), read as plain text.
"""

import math
import re
from collections import defaultdict
from dataclasses import dataclass, field
from functools import cache

import numpy as np
import shapely

WORD = re.compile(r"([A-Z])([-+]?[\d.]+)")
MARK = re.compile(r"\(BIT[^)]*\)")
PUT_IN = re.compile(r"put in ([\w.-]+),")
CELL_MM = 0.5
CLEAR_MM = 0.45
MODES = {"G17": "plane", "G18": "plane", "G20": "units", "G21": "units", "G90": "places", "G91": "places"}
MODES |= {"G94": "feed", "G93": "feed", "G54": "zero", "G55": "zero", "G61": "path", "G64": "path"}
MODES |= {"G91.1": "centres", "G90.1": "centres", "G40": "compensation", "G49": "length offset"}
USUAL = {"centres", "compensation", "length offset", "path"}
"""What a controller keeps over a stop, and a person at the stop is unlikely to touch."""
ASKED = ("plane", "units", "places", "feed", "zero")


@dataclass(frozen=True, slots=True)
class Go:
    """One motion: what it is, from where to where, its centre, all that is in force, and the key of its way."""

    kind: int
    start: tuple
    end: tuple
    centre: tuple
    feed: float
    bit: str
    turns: str
    rpm: float
    dial: str
    key: tuple


@cache
def _key(*way):
    """Kind, start, end and centre of a motion, to a hundredth of a millimetre."""
    return tuple(round(one, 2) for one in way)


@dataclass(slots=True)
class Run:
    """What happened: the motions, harm seen by the way, what is odd but need not hurt, stops with what was said."""

    goes: list[Go] = field(default_factory=list)
    harm: list[str] = field(default_factory=list)
    odd: list[str] = field(default_factory=list)
    stops: list[tuple] = field(default_factory=list)
    usual: dict = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class Facts:
    """What machine, board and bits are, read off the job's own tables: words turn the spindle or a hand does."""

    is_by_word: bool
    dwell_s: float
    dwell_unit_s: float
    travel_mm: tuple
    feed_most_mm_min: tuple
    top_mm: float
    thick_mm: float
    first_bit: str
    tools: dict
    radii: dict
    pieces: tuple
    size_mm: tuple
    turn_y: float | None


@cache
def _parsed(text):
    """Comments of a line, its G and M words, and its other letters with their values."""
    words = WORD.findall(re.sub(r"\([^)]*\)", "", text).upper())
    codes = [f"{letter}{float(number):g}" for letter, number in words if letter in "GM"]
    return re.findall(r"\(([^)]*)\)", text), codes, {one: float(number) for one, number in words if one not in "GM"}


class Machine:
    """Runs one program."""

    def __init__(self, facts):
        self.facts, self.run = facts, Run()
        self.at, self.motion, self.unit, self.is_absolute = (0.0, 0.0, 0.0), None, None, True
        self.feed = self.rpm = 0.0
        self.word, self.hand, self.dial, self.tool, self.bit = "", False, "", 0, facts.first_bit
        self.said, self.lately, self.stated, self.waited, self.is_new = [], [], {}, math.inf, True
        self.modes, self.is_over, self.is_down = {}, False, False

    def line(self, text):
        comments, codes, value = _parsed(text)
        self.said += comments
        self.lately += comments
        if self.is_over or not (codes or value):
            return
        self._numbers(value, codes)
        for code in codes:
            if code in {"G55", "G18"}:
                self.run.odd.append(f"{code}, which this machine may not know")
            if code == "G64" and "P" in value:
                self.modes["path"] = self.stated["path"] = f"G64 within {value['P']:g}"
            elif code in MODES:
                self.modes[MODES[code]] = self.stated[MODES[code]] = code
        self.unit = {"G20": 25.4, "G21": 1.0}.get(self.modes.get("units"))
        self.is_absolute = self.modes.get("places", "G90") == "G90"
        self.motion = next((int(code[1]) for code in codes if code in {"G0", "G1", "G2", "G3"}), self.motion)
        if set(value) & set("XYZ"):
            self._go(value)
        self._stops(codes)

    def _numbers(self, value, codes):
        self.feed = value.get("F", self.feed / (self.unit or 1.0)) * (self.unit or 1.0)
        self.rpm = value.get("S", self.rpm)
        self.tool = value.get("T", self.tool)
        if "M6" in codes:
            self._person("M6")
        for code in codes:
            if code in {"M3", "M4"}:
                self.waited = 0.0 if self.word != code and self.facts.is_by_word else self.waited
                self.word = code
            if code == "M5" and self.hand:
                self.run.odd.append("a word for a spindle that a hand switches")
            if code == "M5":
                self.word = ""
            if code == "G4":
                self.waited += value.get("P", 0.0) * self.facts.dwell_unit_s

    def _go(self, value):
        run, facts = self.run, self.facts
        if self.unit is None or self.motion is None:
            run.harm.append("moves in no unit")
            return
        place = [
            old if (new := value.get(axis)) is None else new * self.unit + (0.0 if self.is_absolute else old)
            for axis, old in zip("XYZ", self.at, strict=True)
        ]
        centre = (0.0, 0.0)
        if self.motion >= 2:
            centre = tuple(old + value.get(axis, 0.0) * self.unit for axis, old in zip("IJ", self.at, strict=False))
            if abs(math.dist(self.at[:2], centre) - math.dist(place[:2], centre)) > 0.01:
                run.odd.append("arc does not close")
        turns = self.word if facts.is_by_word else ("M3" if self.hand else "")
        key = _key(self.motion, *self.at, *place, *centre)
        go = Go(self.motion, self.at, tuple(place), centre, self.feed, self.bit, turns, self.rpm, self.dial, key)
        if self.is_new:
            lacks = [group for group in ASKED if group not in self.stated]
            if lacks:
                run.harm.append(f"{lacks} not said since the last stop")
            if (USUAL & set(run.usual)) - set(self.stated):
                run.odd.append("what every controller keeps is not said again since the last stop")
            if place[:2] != list(self.at[:2]) or place[2] - facts.top_mm < CLEAR_MM:
                run.harm.append("no lift first")
            self.is_new = False
        run.usual = run.usual or dict(self.modes)
        if self.modes != run.usual:
            run.odd.append("other modes")
        for group, code in self.modes.items():
            if (group, code) in {("path", "G64"), ("zero", "G55"), ("feed", "G93"), ("plane", "G18")}:
                run.harm.append(f"{code} in force")
        run.goes.append(go)
        if go.kind and self.word != "M3":
            run.odd.append("the word for the spindle says off or backwards")
        self.at, self.lately = tuple(place), []
        self.is_down = place[2] - facts.top_mm < CLEAR_MM
        if min(go.start[2], go.end[2]) < facts.top_mm - 0.01 and go.kind and self.waited < facts.dwell_s * 0.99:
            (run.harm if self.waited < facts.dwell_s / 2 else run.odd).append("cuts before it is at speed")

    def _stops(self, codes):
        for code in codes:
            if code in {"M0", "M1"}:
                self._person(code)
            if code in {"M2", "M30"}:
                self.is_over = True
                if self.is_down:
                    self.run.harm.append("ends with the bit down")
                if self.hand and not self.facts.is_by_word:
                    self.run.harm.append("router left running")
                if self.word:
                    self.run.odd.append("only the end stops the spindle")

    def _person(self, code):
        text = " ".join(self.said).lower()
        if self.is_down and self.run.goes:
            self.run.harm.append("stops in the wood")
        if code == "M1":
            self.run.harm.append("M1 may be passed over")
        lately = " ".join(self.lately).lower()  # counts before what was said on the way here
        named = set(re.findall(PUT_IN, lately)) or set(re.findall(PUT_IN, text))
        put = max(named, default="")
        if len(named) > 1:
            self.run.harm.append("comments name two bits")
        if put or code == "M6":
            if (self.word and self.facts.is_by_word) or self.hand:
                self.run.harm.append("a hand at a turning bit")
            self.bit = self.facts.tools.get(int(self.tool), "?") if code == "M6" else put
            if put and put != self.bit:
                self.run.harm.append("comment and tool word name two bits")
        if "switch the router on" in text:
            self.hand, self.waited = True, 0.0
            self.dial = (re.search(r"at dial (\w+)", text) or [0, ""])[1]
        if "switch the router off" in text:
            self.hand = False
        self.run.stops.append((code, self.bit, self.hand, self.dial, *self.lately))
        self.said, self.lately, self.stated, self.is_new = [], [], {}, True


def run(text, facts):
    """One program run to its end."""
    machine = Machine(facts)
    for line in text.splitlines():
        machine.line(line)
    if not machine.is_over:
        machine.run.odd.append("no end")
        if machine.is_down:
            machine.run.harm.append("ends with the bit down")
    return machine.run


@dataclass(frozen=True, slots=True)
class Print:
    """Cells of a board that a motion comes over, each once, and the lowest it leaves them."""

    cells: np.ndarray
    heights: np.ndarray


class Field:
    """Heights over cells, z 0 on the wood's top; a motion met before leaves the print that it left then."""

    def __init__(self, facts):
        self.facts, self.prints = facts, {}
        self.shape = tuple(math.ceil(side / CELL_MM) for side in reversed(facts.size_mm))

    def after(self, goes):
        """The wood after these motions, and whether each took any when it came."""
        wood, took = np.zeros(self.shape), []
        flat = wood.reshape(-1)
        for go in goes:
            left = self._print(go)
            gone = flat[left.cells] - left.heights
            took.append(gone[gone > 0].sum() * CELL_MM**2 > 1.0)
            flat[left.cells] -= np.maximum(gone, 0.0)
        return wood, took

    def _print(self, go):
        way = go.kind, go.start, go.end, go.centre, go.bit
        if way not in self.prints:
            self.prints[way] = self._made(go)
        return self.prints[way]

    def _made(self, go):
        facts = self.facts
        if min(go.start[2], go.end[2]) - facts.top_mm > -0.001:
            return Print(np.zeros(0, int), np.zeros(0))
        wood = np.zeros(self.shape)
        radius = facts.radii.get(go.bit, 1.0)
        reach = math.ceil(radius / CELL_MM)
        for x, y, z in points_on(go):
            if facts.turn_y is not None:
                y = 2 * facts.turn_y - y
            column, row = int(x / CELL_MM), int(y / CELL_MM)
            rows = slice(max(row - reach, 0), max(row + reach + 1, 0))
            columns = slice(max(column - reach, 0), max(column + reach + 1, 0))
            part = wood[rows, columns]
            if not part.size:
                continue
            ys = (np.arange(rows.start, rows.start + part.shape[0]) + 0.5) * CELL_MM - y
            xs = (np.arange(columns.start, columns.start + part.shape[1]) + 0.5) * CELL_MM - x
            cut = (ys[:, None] ** 2 + xs[None, :] ** 2 <= radius**2) & (part > z - facts.top_mm)
            part[cut] = max(z - facts.top_mm, -facts.thick_mm)
        cells = np.flatnonzero(wood.reshape(-1) < 0)
        return Print(cells, wood.reshape(-1)[cells])


def points_on(go):
    """Places along a motion, a cell or so apart."""
    (x0, y0, z0), (x1, y1, z1) = go.start, go.end
    if go.kind < 2:
        count = max(math.ceil(math.dist((x0, y0), (x1, y1)) / CELL_MM), 1)
        share = np.linspace(0, 1, count + 1)
        return zip(x0 + share * (x1 - x0), y0 + share * (y1 - y0), z0 + share * (z1 - z0), strict=True)
    cx, cy = go.centre
    begin, end = math.atan2(y0 - cy, x0 - cx), math.atan2(y1 - cy, x1 - cx)
    sweep = (end - begin) % math.tau or math.tau
    if go.kind == 2:
        sweep -= math.tau if sweep < math.tau else 2 * math.tau
    radius = math.dist((x0, y0), go.centre)
    share = np.linspace(0, 1, max(math.ceil(abs(sweep) * radius / CELL_MM), 4) + 1)
    angles = begin + share * sweep
    return zip(cx + radius * np.cos(angles), cy + radius * np.sin(angles), z0 + share * (z1 - z0), strict=True)


def _head(text):
    """The comments before the first word, which a person reads first, in whatever order."""
    return re.match(r"(?:\(.*\)\n)*", text)[0].splitlines()


def _asked(head):
    """What of a good head a person needs: all but the file's name, above the stock, and the time."""
    begin = next((number for number, line in enumerate(head) if line.startswith("(Stock")), 0)
    return {line for line in head[begin:] if not line.startswith(("(Time", "(BIT"))}


def _ways(goes):
    return [go.key for go in goes if go.start != go.end or go.kind > 1]


class Judge:
    """Holds a spoilt program against the good one."""

    def __init__(self, good, facts):
        self.facts, self.good = facts, run(good, facts)
        assert not self.good.harm, self.good.harm
        assert not self.good.odd, self.good.odd
        self.head, self.marks = _asked(_head(good)), MARK.findall(good)
        self.field, self.ways = Field(facts), _ways(self.good.goes)
        self.wood, _ = self.field.after(self.good.goes)
        self.by_key = defaultdict(list)
        for go in self.good.goes:
            self.by_key[go.key].append(go)
        self.deepest = facts.top_mm - min(go.end[2] for go in self.good.goes)
        ys, xs = (np.indices(self.wood.shape) + 0.5) * CELL_MM
        self.is_piece = np.zeros(self.wood.shape, bool)
        for piece in facts.pieces:
            self.is_piece |= shapely.contains_xy(piece.buffer(CELL_MM), xs, ys)

    def verdict(self, text):
        """('harm', why), ('harmless', ''), or ('either', why) for what is odd: the dry run may refuse it or not."""
        other = run(text, self.facts)
        harm, odd = list(other.harm), list(other.odd)
        if self.head - set(_head(text)):
            harm.append("the person is not told")
        if MARK.findall(text) != self.marks:
            odd.append("marks of bits")
        if other.usual != self.good.usual:
            odd.append("other modes all along")
        seen = defaultdict(int)
        off = []
        for number, go in enumerate(other.goes):
            harm += self._worse(go, seen, odd)
            off += [(number, why) for why in self._off_pace(go, seen, odd)]
        if off and not harm:
            _, took = self.field.after(other.goes)
            harm += [why for number, why in off if took[number]]
        if _ways(other.goes) != self.ways:
            odd.append("other motions")
            if not harm and self._is_another_piece(other.goes):
                harm.append("another piece")
        if other.stops != self.good.stops:
            odd.append("other stops")
        return ("harm", harm[0]) if harm else ("either", odd[0]) if odd else ("harmless", "")

    def _is_another_piece(self, goes):
        wood, _ = self.field.after(goes)
        return ((np.abs(wood - self.wood) > 0.3) & self.is_piece).sum() >= 4

    def _worse(self, go, seen, odd):
        facts = self.facts
        depth = facts.top_mm - min(go.start[2], go.end[2])
        if depth > self.deepest + 1.0:
            yield "into the spoilboard"
        if any(limit and abs(to) > limit for to, limit in zip(go.end, facts.travel_mm, strict=True)):
            yield "beyond the machine's travel"
        if go.kind == 0 and go.start != go.end and depth > 0.01 and go.end[2] < go.start[2] + 0.01:
            yield "rapid in the wood"
        known = self.by_key.get(go.key)
        if known and go.kind:
            was = known[min(seen[go.key], len(known) - 1)]
            seen[go.key] += 1
            if depth > 0.01 and go.turns != was.turns:
                yield f"spindle {go.turns or 'off'}"
            if depth > 0.01 and go.bit != was.bit:
                yield "another bit in it"
            if facts.is_by_word and abs(go.rpm - was.rpm) > 0.1 * was.rpm and depth > 0.01:
                yield "another speed"
            if go.dial != was.dial and depth > 0.01:
                yield "another dial"

    def _off_pace(self, go, seen, odd):
        """How the feed differs, so much that it harms wood, from that of the same motion in the good program."""
        if not go.kind or not (known := self.by_key.get(go.key)):
            return
        was = known[min(seen[go.key], len(known)) - 1]
        told = go.feed / was.feed if was.feed else 1.0
        ratio = self._pace(go) / self._pace(was) if was.feed else 1.0
        if self.facts.top_mm - min(go.start[2], go.end[2]) > 0.01 and not 0.5 <= ratio <= 1.1:
            yield f"feed {go.feed:.0f} for {was.feed:.0f}"
        if not 0.9 <= told <= 1.02:
            odd.append("another feed")

    def _pace(self, go):
        """How fast it goes: as it is told, but on a straight way no axis faster than it can."""
        if go.kind != 1 or go.start == go.end:
            return go.feed
        whole = math.dist(go.start, go.end)
        ways = (abs(to - start) / whole for to, start in zip(go.end, go.start, strict=True))
        return min([go.feed, *(most / way for most, way in zip(self.facts.feed_most_mm_min, ways, strict=True) if way)])
