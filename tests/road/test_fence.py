"""A board's planed near edge as its first row's own edge, at a fence: laid, cut on three sides, proved, told."""

import json

import pytest

from cli.jobs import make
from platelayer.errors import PlatelayerError
from platelayer.gcode.reader import read_program
from platelayer.job import load_job, load_profiles
from platelayer.road.planning import lay_job
from platelayer.road.proving import prove
from platelayer.units import worded
from platelayer.values.findings import Code, Severity
from proved import data_of, errors, spoilt, text_of, with_manifest, written

NAME = "A-1-flat-3.175-long.nc"
JOB = """
[job]
units = "in"
machine = "mid-screw"
material = "hard-maple"

[joint]
peg_root = "relieve"
mouth = "ease"

[holding]
stock = "tape"

[[board]]
thickness = "1/2 in"
width = 15
height = HIGH
margin = 0
fence_error = "0.1 mm"

[[piece]]
name = "long"
length = "5 15/16"
count = COUNT
"""
CURVE = '\n[[piece]]\nname = "curve"\nkind = "curve"\nradius = 8\nangle = 45\nhand = "left"\n'


def job_of(high, count, *changes):
    text = JOB.replace("HIGH", str(high)).replace("COUNT", str(count))
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return text


def loaded(text):
    return load_job(text, file="job.toml", profiles=load_profiles(()))


def low_y(laid, index):
    from platelayer.geometry.contours import bounds, transform_contour

    placement = next(one for one in laid.placements if one.index == index)
    return bounds(transform_contour(laid.pieces[index].outline, placement.pose))[1]


ONE_ROW = job_of(1.9, 2)
TWO_ROWS = job_of("3.7", 4)


@pytest.fixture(scope="module")
def contents():
    return written(TWO_ROWS)


def test_a_narrower_board_takes_one_more_row(contents):
    """Two rows 39.69 wide, the slot between them and beside the far one, and no slot at the near edge."""
    assert errors(contents) == {}
    with pytest.raises(PlatelayerError, match="a second row needs"):
        lay_job(loaded(job_of("3.7", 4, ('fence_error = "0.1 mm"\n', ""))))


def test_the_first_row_lies_on_the_edge_and_that_edge_is_not_cut(contents):
    own = [piece["own_edge"] for piece in data_of(contents)["pieces"] if "own_edge" in piece]
    assert len(own) == 2
    for edge in own:
        ((line,),) = ([one["line"] for one in edge],)
        assert (line[1], line[3]) == (0.0, 0.0)
        assert abs(line[2] - line[0]) == pytest.approx(150.8125)
    motion = read_program(text_of(contents, NAME), name=NAME)
    is_deep = motion.end[:, 2] < 0
    assert motion.end[is_deep, 1].min() == pytest.approx(0.0, abs=1e-4)  # the bit's middle stays over the board
    along = is_deep & (motion.end[:, 1] < 1.5) & (motion.start[:, 1] < 1.5)
    lengths = abs(motion.end[along, 0] - motion.start[along, 0])
    assert lengths.max(initial=0.0) < 5.0  # across a slot, never along the edge


def test_the_bound_counts_no_wall_that_is_not_cut(contents):
    report = prove(contents).report
    finish = sum(one.seconds_s for file in report.files for one in file.work if one.operation == "finish")
    bound = next(one for one in data_of(contents)["bound"] if one["operation"] == "finish")
    assert bound["seconds"] < finish


@pytest.mark.parametrize(
    "kind", ['kind = "tabs"\nstock = "clamps"', 'kind = "tape"', 'kind = "vacuum"', 'kind = "skin"\n[board_zero]']
)
def test_however_pieces_are_held(kind):
    zero = 'zero = "spoilboard"\nheight' if "skin" in kind else "height"
    text = job_of("2.2", 2, ('stock = "tape"', kind.replace("\n[board_zero]", "")), ("height", zero))
    assert errors(written(text)) == {}


def test_waste_that_reaches_nothing_but_the_edge_at_the_fence_is_milled_or_hung():
    """Between two pieces of the first row, closed by one of the second: it lies at the board's edge and is no rim."""
    text = job_of(4, 2) + '\n[[piece]]\nname = "mid"\nlength = "4 1/4"\ncount = 2\n'
    contents = written(text)
    assert errors(contents) == {}
    assert "long-01 waste" in text_of(contents, NAME)


def test_what_has_no_long_straight_edge_lies_further_in():
    laid = lay_job(loaded(job_of(6, 1) + CURVE + '\n[[piece]]\nname = "short"\nlength = "2 3/8"\n'))
    names = [piece.id for piece in laid.pieces]
    assert low_y(laid, names.index("long-01")) == pytest.approx(0.0, abs=1e-6)
    for name in ("curve-01", "short-01"):
        assert low_y(laid, names.index(name)) > 6.0


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (("fence_error", 'kind = "strip"\nfence_error'), "the long edges of a strip are its pieces' own without it"),
        (("count =", 'grooves = "both"\ncount ='), "turned over, that edge lies away from the fence"),
        (
            ("[holding]", '[bits]\nedges = "round-over-1.588"\n[edges]\nouter = "1/16 in"\n[holding]'),
            "the bit that breaks outer edges would run along the fence",
        ),
        (("0.1 mm", "1.2 mm"), "an edge so far out of line is nobody's edge"),
        (
            ("width = 15\nheight = 1.9", "outline = [[0, 0], [15, 0], [15, 1.9], [0, 1.9]]"),
            "an offcut has no near edge all along that a fence could hold in line",
        ),
    ],
)
def test_what_cannot_lie_at_a_fence_is_refused_in_words(change, says):
    with pytest.raises(PlatelayerError) as refused:
        loaded(job_of("1.9", 2, change))
    assert any(says in str(fault) for fault in refused.value.faults)


def without(key):
    def change(data):
        for one in (*data["boards"], *data["pieces"]):
            one.pop(key, None)

    return change


def moved_edge(data):
    for piece in data["pieces"]:
        if "own_edge" in piece:
            (line,) = (one["line"] for one in piece["own_edge"])
            line[1] = line[3] = 0.3


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (without("fence_error"), "board A lies at no fence"),
        (without("own_edge"), "ends with the board, where nothing is cut, and nobody says that this edge is planed"),
        (moved_edge, "the edge that is said to be the board's own lies"),
    ],
)
def test_an_edge_that_is_not_where_it_is_said_is_refused(contents, change, says):
    found = prove(with_manifest(contents, change)).report.findings
    assert any(says in one.text and one.severity is Severity.ERROR for one in found)


def test_a_bit_that_runs_into_the_fence_is_refused(contents):
    text = text_of(contents, NAME)
    begin = text.index(" Y0\n", text.index("outline finish"))
    changed = text[:begin] + " Y-2\n" + text[begin + 4 :]
    assert "into the fence" in errors(spoilt(contents, NAME, changed))["shape-board-edge"]


def test_a_person_is_told_what_width_to_expect_and_to_push_the_board_home(contents, tmp_path):
    (found,) = (one for one in prove(contents).unworded if one.code is Code.SHAPE_BOARD_EDGE)
    assert worded(f"{found.text} {found.advice}", "mm") == (
        "the near edge of board A is the own edge of long-01 and 1 more: their width, and their grooves' place in it, "
        "are true to 0.100 mm (0.004 in), as that edge is. Push the board against the fence along its front edge "
        "before you zero y, and zero y on the fence. Let it be of wood and no higher than the board: the bit reaches "
        "into it by its radius beside each piece. Without fence_error in [[board]] that edge is cut as well."
    )
    assert "pushed against the fence along its front edge" in " ".join(text_of(contents, NAME).split(")\n("))
    done = make(tmp_path, ONE_ROW)
    assert done.exit_code == 0
    assert "Push the board against the fence along its front edge before you zero y" in done.output


def test_kept_places_stay_on_the_edge_and_nowhere_near_it(tmp_path):
    assert make(tmp_path, ONE_ROW).exit_code == 0
    places = tmp_path / "places.json"
    data = json.loads((tmp_path / "out" / "placement.json").read_text(encoding="ascii"))
    places.write_text(json.dumps(data), encoding="ascii")
    assert make(tmp_path, ONE_ROW, "--placement", places).exit_code == 0
    data["pieces"][0]["pose"][1] += 1.0
    places.write_text(json.dumps(data), encoding="ascii")
    done = make(tmp_path, ONE_ROW, "--placement", places)
    assert done.exit_code != 0
    assert "from the edge of board A" in done.output
