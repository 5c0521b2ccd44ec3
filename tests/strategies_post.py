"""Plans and programs drawn at random, for the post room and the readers. All data are invented."""

import math
from dataclasses import replace

from hypothesis import strategies as st

from platelayer.values.cuts import Cut, CutKind, FeedKind, Pass, Plan, Program, Section, Step
from platelayer.values.dialect import CommentStyle, Dialect
from platelayer.values.pieces import BoardFace
from platelayer.values.shapes import Arc, Line
from platelayer.values.tooling import Bit, BitChange, BitKind, Board, CutData, Machine, SpindleKind

MM_DIALECT = Dialect(arcs=True, dwell_unit="s", comments=CommentStyle.BRACKETS)
INCH_DIALECT = replace(MM_DIALECT, units="in", decimals=5)

MACHINE = Machine(
    id="bench-top",
    title="an invented bench-top router",
    travel_mm=(1000.0, 500.0, 80.0),
    feed_max_mm_min=(5000.0, 5000.0, 1500.0),
    rapid_mm_min=(6000.0, 6000.0, 2000.0),
    accel_mm_s2=(400.0, 400.0, 200.0),
    corner_deviation_mm=0.02,
    corner_speed_mm_min=0.0,
    spindle=SpindleKind.SPEED_WORD,
    dial=(("1", 10000.0), ("3", 18000.0)),
    spindle_min_rpm=8000.0,
    spindle_max_rpm=24000.0,
    spin_up_s=4.0,
    bit_change=BitChange.FILES,
    can_zero_in_pause=False,
    homes=True,
    dialect=MM_DIALECT,
    safe_z_mm=15.0,
    clear_z_mm=4.0,
    park=(0.0, 140.0),
    holder_diameter_mm=40.0,
)
BIT = Bit(id="flat-3.175", kind=BitKind.FLAT, nominal_mm=3.175, cutting_length_mm=17.0, shank_mm=3.175)
WIDE_BIT = Bit(id="flat-6.35", kind=BitKind.FLAT, nominal_mm=6.35, cutting_length_mm=20.0, shank_mm=6.35)
BOARD = Board(
    id="A",
    width_mm=900.0,
    height_mm=140.0,
    thickness_mm=12.7,
    scatter_mm=0.2,
    thickness_is_measured=False,
    zero="top",
    margin_mm=5.0,
)
DATA = CutData(
    bit_id="flat-3.175",
    spindle_rpm=18000.0,
    dial_label="3",
    feed_mm_min=1200.0,
    plunge_mm_min=300.0,
    stepdown_mm=2.0,
    stepover_ratio=0.4,
)
GROOVE = Pass((
    Step(Line((10.0, 20.0), (30.0, 20.0)), 0.0, -2.0, FeedKind.RAMP),
    Step(Line((30.0, 20.0), (60.0, 20.0)), -2.0, -2.0),
    Step(Arc((60.0, 20.0), (70.0, 30.0), (60.0, 30.0), True), -2.0, -2.0),
))


def make_plan(*passes, machine=MACHINE, board=BOARD, face=BoardFace.TOP, sections=None, name="A-1-flat-3.175.nc"):
    """A plan of one program, its passes one cut of an invented piece unless sections are given."""
    if sections is None:
        cut = Cut(piece_id="straight-01", kind=CutKind.GROOVE, bit_id=BIT.id, passes=passes)
        sections = (Section(bit=BIT, data=DATA, cuts=(cut,)),)
    program = Program(name=name, board=board, face=face, sections=sections)
    return Plan(
        job_name="hallway",
        units="in",
        material="hard maple",
        machine=machine,
        boards=(board,),
        pieces=(),
        programs=(program,),
    )


def two_sections():
    """Two bits, each with the same pass on a piece of its own."""
    first = Cut(piece_id="straight-01", kind=CutKind.GROOVE, bit_id=BIT.id, passes=(GROOVE,))
    second = Cut(piece_id="straight-02", kind=CutKind.OUTLINE, bit_id=WIDE_BIT.id, passes=(GROOVE,))
    data = replace(DATA, bit_id=WIDE_BIT.id, spindle_rpm=16000.0, dial_label="2")
    return Section(bit=BIT, data=DATA, cuts=(first,)), Section(bit=WIDE_BIT, data=data, cuts=(second,))


coordinates = st.floats(-200, 1200, allow_nan=False) | st.integers(-2000, 12000).map(lambda n: n / 10)
depths = st.floats(-13, 0) | st.sampled_from([0.0, -2.0, -12.7, -13.0])
radii = st.floats(0.0005, 300) | st.floats(2, 12) | st.sampled_from([1.5875, 3.175, 182.0])
turns = st.floats(0.0001, 2 * math.pi - 0.0001) | st.just(2 * math.pi) | st.floats(3.1, 3.2)
headings = st.floats(0, 2 * math.pi)


@st.composite
def segments(draw, start):
    """A line or an arc from a point on; full circles, arcs near a half and arcs near a whole turn among them."""
    if draw(st.booleans()):
        return Line(start, draw(st.tuples(coordinates, coordinates)))
    radius, first, turn, is_ccw = draw(radii), draw(headings), draw(turns), draw(st.booleans())
    centre = (start[0] - radius * math.cos(first), start[1] - radius * math.sin(first))
    last = first + (turn if is_ccw else -turn)
    end = (centre[0] + radius * math.cos(last), centre[1] + radius * math.sin(last))
    return Arc(start, start if turn == 2 * math.pi else end, centre, is_ccw)


@st.composite
def passes(draw):
    """A pass of one to six chained steps, level, ramping and plunging."""
    at, z = draw(st.tuples(coordinates, coordinates)), draw(depths)
    steps = []
    for _ in range(draw(st.integers(1, 6))):
        z_end = draw(st.just(z) | depths)
        segment = Line(at, at) if draw(st.integers(0, 9)) == 0 else draw(segments(at))
        steps.append(Step(segment, z, z_end, draw(st.sampled_from(FeedKind))))
        at, z = segment.end, z_end
    return Pass(tuple(steps))


@st.composite
def plans(draw, arcs=None, units=("mm", "in")):
    """A plan of one program with one to four random passes, any dialect, either zero, either face."""
    unit = draw(st.sampled_from(units))
    path_mode = draw(st.sampled_from(["", "G61", "G64"]))
    comments = draw(st.sampled_from([CommentStyle.BRACKETS, CommentStyle.SEMICOLON]))
    has_arcs = draw(st.booleans()) if arcs is None else arcs
    dialect = Dialect(
        arcs=has_arcs,
        dwell_unit=draw(st.sampled_from(["s", "ms"])),
        comments=comments,
        units=unit,
        decimals=5 if unit == "in" else draw(st.sampled_from([3, 4, 4, 4, 5])),
        end_word=draw(st.sampled_from(["M2", "M30"])),
        spindle_speed_word=draw(st.booleans()),
        path_mode=path_mode,
        path_tolerance_mm=draw(st.sampled_from([0.002, 0.02, 0.0254, 0.05])) if path_mode == "G64" else 0.0,
        arc_centre_word=has_arcs and draw(st.booleans()),
        messages=comments is CommentStyle.BRACKETS and draw(st.booleans()),
    )
    machine = replace(MACHINE, dialect=dialect, spindle=draw(st.sampled_from(SpindleKind)))
    board = replace(BOARD, zero=draw(st.sampled_from(["top", "spoilboard"])))
    drawn = draw(st.lists(passes(), min_size=1, max_size=4))
    return make_plan(*drawn, machine=machine, board=board, face=draw(st.sampled_from(BoardFace)))


numbers = st.one_of(
    st.integers(-99999, 99999).map(str),
    st.decimals(-2000, 2000, places=4).map(str),
    st.sampled_from(["-0", "+0.5", "-.5", "5.", "0.0001", "00012.50", "-0.00", "123456789.123456"]),
)


@st.composite
def plain_lines(draw):
    """A line of the kind that fills a program; sound most of the time."""
    letters = draw(st.lists(st.sampled_from("XYZXYZXYZIJF"), min_size=1, max_size=4))
    if draw(st.integers(0, 7)):
        letters = list(dict.fromkeys(letters))
    words = [letter + draw(numbers) for letter in letters]
    if draw(st.booleans()):
        words.insert(0, draw(st.sampled_from(["G0", "G1", "G01", "g1", "G1.0", "G2", "G3"])))
    text = draw(st.sampled_from(["", " ", "  ", "\t"])).join(words)
    return text.lower() if draw(st.integers(0, 5)) == 0 else text


OTHER_LINES = (
    "",
    "  ",
    "\r",
    "G21",
    "G20",
    "G90",
    "G91",
    "G61",
    "G64 P0.02",
    "G64",
    "G91.1",
    "(MSG, put in another bit)",
    "G90 G1",
    "G80",
    "F100",
    "S12000",
    "M3",
    "M5",
    "M0",
    "(BIT 1 flat-3.175)",
    "(PAUSE look)",
    "; note",
    "G1 (x) X1",
    "N10 X5",
    "/G0 X9",
    "T2 M6",
    "G4 P1",
    "X1 Y2 R5",
    "%",
    "G1 X1 X2",
    "G1 X+-1",
    "G1 X",
    "7",
    "X1..2",
    "G1 X1\rY2",
    "G2 X5 Y5 I0 J5",
    "G3 X0 Y0 I-2.5 J0",
    "M2",
    "é",
)


SOUND_LINES = (
    "",
    "\r",
    "G21",
    "G20",
    "G90 G0 X1",
    "G91 G0 X0",
    "G90 G0 X0",
    "G0 Z1",
    "F100",
    "S12000 M3",
    "M5",
    "(BIT 1 a)",
    "N7 G0 X5",
    "X7 F3",
    "M0",
)


def written(draw, ten_thousandths):
    """A number in one of the ways in which it may be written."""
    text = f"{abs(ten_thousandths) / 10_000:.4f}"
    sign = "-" if ten_thousandths < 0 else draw(st.sampled_from(["", "", "+"]))
    way = draw(st.integers(0, 3))
    if way == 1:
        text = text.rstrip("0")
    elif way == 2:
        text = "00" + text
    elif way == 3 and text.startswith("0."):
        text = text[1:]
    return sign + text


@st.composite
def sound_motifs(draw):
    """Plain lines, arcs among them, that may stand any number of times in a row without a fault."""
    small = st.integers(-50_000, 50_000) | st.sampled_from([0, 1, -1, 12_345, 99_999])
    x, y = draw(small), draw(small)
    lines = [f"G{draw(st.integers(0, 1))} X{written(draw, x)} Y{written(draw, y)}"]
    for _ in range(draw(st.integers(1, 8))):
        if draw(st.integers(0, 2)) == 0:
            i, j = draw(small), draw(small.filter(bool))
            x, y = x + 2 * i, y + 2 * j
            words = [f"X{written(draw, x)}", f"Y{written(draw, y)}", f"I{written(draw, i)}", f"J{written(draw, j)}"]
            words = [f"G{draw(st.integers(2, 3))}", *draw(st.permutations(words))]
        else:
            x = draw(small)
            words = ["G1", f"X{written(draw, x)}"]
        if draw(st.booleans()):
            words.append(f"Z{written(draw, draw(small))}")
        if draw(st.integers(0, 3)) == 0:
            words.append(f"F{draw(st.integers(0, 2000))}")
        text = draw(st.sampled_from(["", " ", "\t "])).join(words)
        lines.append(text.lower() if draw(st.integers(0, 5)) == 0 else text)
    return lines


@st.composite
def programs(draw):
    """Text near a program: runs of plain lines long enough for the plain way, other lines between them."""
    lines = []
    for _ in range(draw(st.integers(1, 3))):
        motif = draw(sound_motifs())
        if draw(st.integers(0, 5)) == 0:
            motif.insert(draw(st.integers(0, len(motif))), draw(plain_lines()))
        lines += motif * draw(st.integers(1, 40))
        lines += draw(st.lists(st.sampled_from(SOUND_LINES), max_size=3))
        if draw(st.integers(0, 5)) == 0:
            lines.insert(draw(st.integers(0, len(lines))), draw(st.sampled_from(OTHER_LINES)))
    return draw(st.sampled_from(["\n", "\r\n", "\n"])).join(lines) + draw(st.sampled_from(["", "\n", "\nM2\n"]))


near_gcode = st.text(alphabet="GXYZIJFRMSTNP0123456789.+-()%;/ \t\r\n[]#eE", max_size=200)
