"""What stands beside a key when the reference of keys is tried, and either side of every rule. Sizes invented."""

import tomllib
from pathlib import Path

from platelayer.job.field_types import NAME_RULE, TITLE_RULE

JOB_BASE = tomllib.loads(
    """
job = { units = "mm", machine = "mid-screw", material = "hard-maple" }
track = { thickness = "12.7 mm" }
board = [{ width = 400, height = 120 }]
piece = [{ length = 150 }]
"""
)
PROFILE_BASE = tomllib.loads(
    (Path(__file__).parents[2] / "machine_profiles" / "mid-screw.toml").read_text(encoding="utf-8")
)
PROFILE_BASE["feeds"] = PROFILE_BASE["feeds"][:1]

FLOOR_BASE = tomllib.loads(
    """
floor = { units = "mm", size = [3000, 2000] }
owned = [{ name = "long", length = 150, count = 2 }]
stretch = [{ name = "line", pieces = ["2 long"] }]
"""
)

_SKIN = 'holding.kind = "skin"\nboard.zero = "spoilboard"'
_CURVE = 'piece = [{ kind = "curve", radius = 200 }]'
_MATE = (
    "mate = { neck_width = 6.2, head_diameter = 11, head_setback = 7.1, mouth_width = 8, hole_diameter = 12.6,"
    " hole_setback = 7.1 }"
)
_EDGES = 'bits.edges = "round-over-1.588"'
_COMPRESSION = 'bit = [{ id = "flat-6.35-compression" }]'
_BOX = "board.no_go = [{ x = 300, y = 5, width = 20, height = 10 }]"
_DIAL = 'spindle.dial = [{ mark = "A", rpm = 13000 }, { mark = "C", rpm = 26000 }]'

_WALL = "wall = [{ name = 'bench', line = [[0, 0], [100, 0]] }]"
_GAP = "gap = [{ left = 100, right = 100, diagonal = 110 }]"
_RECIPE = """
stretch = [{ name = "line", pieces = ["points"] }]
owned = [{ name = "points", ends = { toe = "socket", through = "peg", branch = "peg" }, route = [
  { enters = "toe", leaves = "through", run = [{ length = 150 }] },
  { enters = "toe", leaves = "branch", run = [{ along = 140, across = 60 }] },
] }]
"""
_ARC = """
stretch = [{ name = "line", pieces = ["bow"] }]
owned = [{ name = "bow", ends = { a = "socket", b = "peg" }, route = [{ enters = "a", leaves = "b", run = [PART] }] }]
"""
_BRANCH = _RECIPE.replace('{ enters = "toe", leaves = "through", run = [{ length = 150 }] },', "").replace(
    '"socket", through = "peg"', '"socket"'
)

EXAMPLE_NEEDS = (
    {f"wall.{key}": _WALL for key in ("name", "line")}
    | {f"gap.{key}": _GAP for key in ("name", "left", "right", "diagonal", "base", "set", "reading", "here", "there")}
    | {
        f"owned.route.run.{key}": _ARC.replace("PART", "{ along = 140, across = 60 }")
        for key in ("along", "across", "hand")
    }
    | {
        "owned.route.run.length": _ARC.replace("PART", "{ length = 50 }"),
        "owned.route.run.radius": _ARC.replace("PART", "{ radius = 50 }"),
        "owned.route.run.angle": _ARC.replace("PART", "{ radius = 50 }"),
        "owned.ends": _RECIPE,
        "owned.route.enters": _RECIPE,
        "owned.route.leaves": _BRANCH,
        "owned.route.at": _RECIPE,
        "owned.route.crosses": _RECIPE,
        "gap.begins": f"{_GAP}\n",
        "floor.units": "floor.size = [96, 72]\nowned.length = 6",
        "stretch.pieces": "owned.count = 4",
    }
    | {f"mate.{key}": _MATE for key in tomllib.loads(_MATE)["mate"]}
    | {f"piece.{key}": _CURVE for key in ("radius", "angle", "hand")}
    | {f"board.no_go.{key}": _BOX for key in ("title", "rise", "x", "y", "width", "height")}
    | {f"bit.{key}": 'bit = [{ id = "flat-3.175-long" }]' for key in ("kind", "diameter", "measured", "flutes")}
    | {
        f"bit.{key}": 'bit = [{ id = "flat-3.175-long" }]'
        for key in ("direction", "cutting_length", "shank", "overall", "stick_out", "may_plunge")
    }
    | {
        "fit.side": "fit.pull = 0.3",
        "fit.pull": "fit.side = 0.3",
        "job.units": "board = [{ width = 14, height = 6 }]\npiece.length = 6",
        "board.scatter": _SKIN,
        "bits.finish": 'joint.peg_root = "finish"',
        "joint.peg_root": 'bits.finish = "flat-1.588"',
        "bits.edges": 'edges.outer = "1/16 in"',
        "bits.groove_edges": 'edges.groove = "1/64 in"',
        "edges.outer": _EDGES,
        "edges.groove": _EDGES,
        "bit.upcut_length": _COMPRESSION,
        "bit.included_angle": 'bit = [{ id = "vee-60" }]',
        "bit.corner_radius": 'bit = [{ id = "round-over-1.588" }]',
        "holding.kind": 'board.zero = "spoilboard"',
        "holding.skin": _SKIN,
        "board.outline": "board = [{ margin = 5 }]",
        "board.kind": "board = [{ width = 400 }]",
        "board.no_go.diameter": "board.no_go = [{ x = 300, y = 5 }]",
        "board.no_go.outline": "board.no_go = [{ rise = 5 }]",
        "piece.kind": "piece = [{ radius = 200 }]",
        "cornering.speed": "cornering = {}",
        "dialect.path_tolerance": 'dialect.path_mode = "G64"',
        "spindle.dial.mark": _DIAL,
        "spindle.dial.rpm": _DIAL,
        "feeds.bit": "feeds = [{ material = 'hard-maple', spindle = 13000, feed = 1, plunge = 1, stepdown = 1, "
        "stepover = 1 }]",
    }
)

TYPE_RULES = {
    NAME_RULE: ("a" * 32, "a" * 33),
    TITLE_RULE: ("a" * 80, "a" * 81),
    "along, across, or degrees": ("across", "askew"),
}


def _joint(**sizes):
    return "\n".join(f"joint.{key} = '{size} mm'" for key, size in sizes.items())


def _mated(sizes):
    table = tomllib.loads(_MATE)["mate"] | sizes
    return "mate = { " + ", ".join(f"{key} = {size}" for key, size in table.items()) + " }"


def _bit(name, **said):
    inner = ", ".join(f"{key} = {value}" for key, value in said.items())
    return f'bit = [{{ id = "{name}", {inner} }}]'


def _feeds(**said):
    table = {"material": "'hard-maple'", "spindle": 13000, "feed": 10, "plunge": 10, "stepdown": 1, "stepover": 0.4}
    return "feeds = [{ " + ", ".join(f"{key} = {value}" for key, value in (table | said).items()) + " }]"


_SPEED_WORD = 'spindle = { kind = "speed_word", slowest = 8000, fastest = 24000, dial = [] }'
_SHARP = 'joint.peg_root = "none"\njoint.mouth = "none"'

# Where a number stands, the two sides are a thousandth of a mm apart, or the least that the words allow.
RULES = {
    "track.groove_outer": [
        ("track.flare_length = 0\ntrack.groove_outer = 1.5", "track.flare_length = 0\ntrack.groove_outer = 1.499")
    ],
    "track.groove_inner": [
        ("track.groove_inner = 4.4\ntrack.groove_outer = 4.399", "track.groove_inner = 4.4\ntrack.groove_outer = 4.4"),
        (
            f"{_SHARP}\ntrack.flare_length = 0\ntrack.groove_inner = 11.993",
            f"{_SHARP}\ntrack.flare_length = 0\ntrack.groove_inner = 11.994",
        ),
    ],
    "track.groove_depth": [("track.groove_depth = 11.2", "track.groove_depth = 11.201")],
    "track.floor_height": [
        ("track.floor_height = 1.5", "track.floor_height = 1.499"),
        ("track.floor_height = 11.2", "track.floor_height = 11.201"),
        ("track.floor_height = 9", "track.floor_height = 9\ntrack.groove_depth = 3.7"),
    ],
    "track.flare_length": [
        ("track.flare_length = 0.5\ntrack.flare_extra = 0.5", "track.flare_length = 0.499\ntrack.flare_extra = 0.5"),
        ("track.flare_length = 0\ntrack.flare_extra = 0.5", "track.flare_length = 0.1\ntrack.flare_extra = 0.5"),
    ],
    "track.flare_extra": [
        (
            'joint.peg_root = "none"\njoint.mouth = "none"\ntrack.groove_outer = 3\ntrack.groove_inner = 8\n'
            "track.flare_extra = 1.5",
            "track.groove_outer = 3\ntrack.groove_inner = 8\ntrack.flare_extra = 1.501",
        )
    ],
    "joint.neck_width": [
        (_joint(neck_width=7.9, mouth_width=7.9), _joint(neck_width=7.901, mouth_width=7.9)),
    ],
    "joint.head_diameter": [
        (_joint(head_diameter=7.939), _joint(head_diameter=7.9375)),
        (_joint(head_diameter=7.939), _joint(head_diameter=6.35)),
    ],
    "joint.mouth_width": [
        (_joint(mouth_width=6.35), _joint(mouth_width=6.349)),
        (_joint(mouth_width=8.5), _joint(mouth_width=11.113)),
        (_joint(mouth_width=8.5), _joint(mouth_width=12.701)),
    ],
    "joint.hole_diameter": [
        (_joint(hole_diameter=11.1125), _joint(hole_diameter=11.112)),
        (_joint(hole_diameter=16.05), _joint(hole_diameter=16.06)),
    ],
    "joint.ease_radius": [
        (_joint(ease_radius=1.588), _joint(ease_radius=1.587)),
        (_joint(ease_radius=4.05), _joint(ease_radius=4.06)),
    ],
    "mate.head_diameter": [(_mated({"head_diameter": 8.001}), _mated({"head_diameter": 6.2}))],
    "mate.mouth_width": [(_mated({"mouth_width": 10.999}), _mated({"mouth_width": 11}))],
    "mate.hole_diameter": [(_mated({"hole_diameter": 11}), _mated({"hole_diameter": 10.999}))],
    "fit.feel": [
        ('fit.feel = "snug"', 'fit.feel = "snugg"'),
        ('fit.feel = "best"', 'fit = { feel = "best", side = 0.3, pull = 0.3 }'),
    ],
    "fit.side": [
        ("fit = { side = 0.3, pull = 0.3 }", "fit = { side = 0.3 }"),
        ('fit.feel = "easy"', 'fit = { feel = "easy", side = 0.3 }'),
    ],
    "fit.pull": [
        ("fit = { side = 0.3, pull = 0.3 }", "fit = { pull = 0.3 }"),
        ('fit.feel = "easy"', 'fit = { feel = "easy", pull = 0.3 }'),
    ],
    **{
        f"bits.{role}": [
            (f'bits.{role} = "flat-3.175-long"', f'bits.{role} = "{bit}"') for bit in ("ball-3.175", "none")
        ]
        for role in ("joints", "grooves", "outlines")
    },
    "bits.finish": [
        (
            'bits.finish = "flat-1.588"\njoint.peg_root = "finish"',
            'bits.finish = "flat-3.175"\njoint.peg_root = "finish"',
        ),
        ("joint.peg_root = 'none'", "bits.finish = 'flat-1.588'\njoint.peg_root = 'none'"),
    ],
    "bits.edges": [
        (f"{_EDGES}\nedges.outer = '1/16 in'", "bits.edges = 'vee-60'\nedges.outer = '1/16 in'"),
        (f"{_EDGES}\nedges.outer = '1/16 in'", _EDGES),
    ],
    "bits.groove_edges": [
        ("bits.groove_edges = 'vee-60'\nedges.groove = 0.3", "bits.groove_edges = 'flat-1.588'\nedges.groove = 0.3"),
        ("bits.groove_edges = 'vee-60'\nedges.groove = 0.3", "bits.groove_edges = 'vee-60'"),
    ],
    "bit.measured": [
        (_bit("flat-3.175-long", measured=2.675), _bit("flat-3.175-long", measured=2.674)),
        (_bit("flat-3.175-long", measured=3.6749), _bit("flat-3.175-long", measured=3.676)),
    ],
    "bit.upcut_length": [
        (_bit("flat-6.35-compression", upcut_length=21.999), _bit("flat-6.35-compression", upcut_length=22)),
        (_bit("flat-6.35-compression", upcut_length=5), _bit("flat-6.35-up", upcut_length=5)),
    ],
    "bit.included_angle": [
        (_bit("vee-60", included_angle=179.999), _bit("vee-60", included_angle=180)),
        (_bit("vee-60", included_angle=0.001), _bit("vee-60", included_angle=0)),
    ],
    "bit.corner_radius": [
        (_bit("round-over-1.588", corner_radius=3.174), _bit("round-over-1.588", corner_radius=3.175))
    ],
    "holding.kind": [
        (_SKIN, "holding.kind = 'skin'"),
        ("holding.kind = 'skin'\nboard.thickness_measured = true", "holding.kind = 'skin'"),
    ],
    "holding.tab_height": [
        ("holding.tab_height = 1.7", "holding.tab_height = 1.699"),
        ("holding.tab_height = 3.175", "holding.tab_height = 3.176"),
    ],
    "holding.tab_count": [
        ("holding.tab_count = 4\npiece.length = 99.999", "holding.tab_count = 3\npiece.length = 99.999"),
        ("holding.tab_count = 3\npiece.length = 100", "holding.tab_count = 3\npiece.length = 99.999"),
    ],
    "holding.skin": [
        (f"{_SKIN}\nholding.skin = 0.6", f"{_SKIN}\nholding.skin = 0.599"),
        (f"{_SKIN}\nholding.skin = 3.175", f"{_SKIN}\nholding.skin = 3.176"),
        (f"{_SKIN}\nholding.skin = 0.7", "holding.skin = 0.7"),
    ],
    "edges.outer": [
        (f"{_EDGES}\nedges.outer = 1.592", f"{_EDGES}\nedges.outer = 1.593"),
        (
            f"{_EDGES}\nedges.outer = 1.5875\ntrack.thickness = 6.36\nboard.scatter = 0.05\ntrack.groove_depth = 3",
            f"{_EDGES}\nedges.outer = 1.5875\ntrack.thickness = 6.34\nboard.scatter = 0.05\ntrack.groove_depth = 3",
        ),
    ],
    "edges.groove": [(f"{_EDGES}\nedges.groove = 1.59", f"{_EDGES}\nedges.groove = 1.593")],
    "edges.by_hand": [("edges.by_hand = true", f"{_EDGES}\nedges = {{ by_hand = true, outer = 1.5875 }}")],
    "board.width": [("board.width = 960", "board.width = 960.001")],
    "board.fence_error": [
        ("board.fence_error = 0.1", 'board.fence_error = 0.1\npiece.grooves = "both"'),
        ("board.fence_error = 0.1", f'board.fence_error = 0.1\n{_EDGES}\nedges.outer = "1/16 in"'),
    ],
    "board.height": [("board.height = 720", "board.height = 720.001")],
    "board.outline": [
        ("board = [{ outline = [[0, 0], [300, 0], [0, 100]] }]", "board = [{ outline = [[0, 0], [300, 0]] }]"),
        (
            "board = [{ outline = [[0, 0], [300, 0], [0, 100]] }]",
            "board = [{ outline = [[0.001, 0], [300, 0], [0.001, 100]] }]",
        ),
        (
            "board = [{ outline = [[0, 0], [300, 0], [0, 100]] }]",
            "board = [{ outline = [[0, 0], [300, 0], [0, 100]], width = 300 }]",
        ),
    ],
    "board.thickness": [
        ("board.thickness = 13.699", "board.thickness = 13.701"),
        ("board.thickness = 11.701", "board.thickness = 11.699"),
        (
            "board = [{ width = 400, height = 120 }, { width = 400, height = 120, thickness = 12.704 }]",
            "board = [{ width = 400, height = 120 }, { width = 400, height = 120, thickness = 12.706 }]",
        ),
    ],
    "board.margin": [("board.margin = 59.999", "board.margin = 60")],
    "board.no_go.outline": [
        (
            "board.no_go = [{ outline = [[10, 10], [40, 10], [25, 30]] }]",
            "board.no_go = [{ outline = [[10, 10], [40, 10], [25, 10]] }]",
        )
    ],
    "piece.length": [("piece.length = 21.771", "piece.length = 21.77")],
    "piece.radius": [
        (
            "piece = [{ kind = 'curve', radius = 85, angle = 90 }]",
            "piece = [{ kind = 'curve', radius = 39.687, angle = 90 }]",
        )
    ],
    "cutting.one_file": [
        ("cutting.one_file = true", "cutting.one_file = true\nbits.grooves = 'flat-3.175'"),
    ],
    "cutting.sitting": [
        ("cutting.sitting = '45 min'", "cutting.sitting = '45 min'\ncutting.one_file = true"),
    ],
    "turning.dowel_depth": [
        ("turning.dowel_depth = 3", "turning.dowel_depth = 2.999"),
        ("turning.dowel_depth = 0", "turning.dowel_depth = 0.001"),
    ],
    "turning.dowel_places": [
        ("turning.dowel_places = [30, 350]", "turning.dowel_places = [30]"),
        ("turning.dowel_places = [30, 396.824]", "turning.dowel_places = [30, 396.825]"),
        ("turning.dowel_places = [30, 49.05]", "turning.dowel_places = [30, 49.049]"),
    ],
    "cornering.deviation": [("", "cornering.speed = 300"), ("", "cornering = {}")],
    "cornering.speed": [("", "cornering.speed = 300")],
    "spindle.dial.mark": [
        (_DIAL, 'spindle.dial = [{ mark = "A", rpm = 13000 }, { mark = "A", rpm = 26000 }]'),
    ],
    "spindle.dial.rpm": [
        (_DIAL, 'spindle.dial = [{ mark = "A", rpm = 13000 }, { mark = "C", rpm = 13000 }]'),
    ],
    "spindle.slowest": [
        ("spindle = { slowest = 13000, fastest = 13000 }", "spindle = { slowest = 13001, fastest = 13000 }")
    ],
    "spindle.fastest": [
        ("spindle = { slowest = 13000, fastest = 13000 }", "spindle = { slowest = 13000, fastest = 12999 }")
    ],
    "places.safe_height": [("places.safe_height = 4", "places.safe_height = 3.999")],
    "places.clear_height": [("places.clear_height = 15", "places.clear_height = 15.001")],
    "dialect.decimals": [("dialect = { units = 'in', decimals = 5 }", "dialect = { units = 'in', decimals = 4 }")],
    "dialect.spindle_speed_word": [
        (
            f"{_SPEED_WORD}\ndialect.spindle_speed_word = true",
            f"{_SPEED_WORD}\ndialect.spindle_speed_word = false",
        )
    ],
    "dialect.tool_change_word": [
        ("bit_change.manner = 'tool_word'\ndialect.tool_change_word = true", "bit_change.manner = 'tool_word'")
    ],
    "dialect.path_tolerance": [
        ("dialect = { path_mode = 'G64', path_tolerance = 0.02 }", "dialect.path_tolerance = 0.02"),
        ("dialect.path_mode = 'G61'", "dialect.path_mode = 'G64'"),
    ],
    "dialect.arc_centre_word": [
        ("dialect.arc_centre_word = true", "dialect = { arc_centre_word = true, arcs = false }"),
    ],
    "dialect.messages": [("dialect.messages = true", "dialect = { messages = true, comments = 'semicolon' }")],
    "feeds.material": [("feeds.material = 'beech'", "feeds.material = 'beach'")],
    "feeds.bit": [(_feeds(bit="'vee-60'"), _feeds(bit="'vee-60'", diameter=3)), (_feeds(bit="'vee-60'"), _feeds())],
    "feeds.diameter": [(_feeds(diameter=3), _feeds(bit="'vee-60'", diameter=3)), (_feeds(diameter=3), _feeds())],
    "feeds.spindle": [("feeds.spindle = 13000", "feeds.spindle = 13001")],
    "feeds.feed": [("axis.y.feed = 2000\nfeeds.feed = 2000", "axis.y.feed = 2000\nfeeds.feed = 2000.001")],
    "feeds.plunge": [("feeds.plunge = 900", "feeds.plunge = 900.001")],
    "wall.name": [(_WALL, _WALL.replace("bench", "far"))],
    "wall.line": [(_WALL, _WALL.replace("[100, 0]", "[0, 0]")), (_WALL, _WALL.replace(", [100, 0]", ""))],
    "owned.route.run.along": [
        (_ARC.replace("PART", "{ along = 140, across = 60 }"), _ARC.replace("PART", "{ along = 140 }"))
    ],
    "owned.route.run.across": [
        (_ARC.replace("PART", "{ along = 140, across = 60 }"), _ARC.replace("PART", "{ across = 60 }"))
    ],
    "owned.route.run.hand": [
        (_ARC.replace("PART", "{ radius = 50, hand = 'right' }"), _ARC.replace("PART", "{ radius = 50, hand = 'up' }"))
    ],
    "owned.route.enters": [(_RECIPE, _RECIPE.replace('enters = "toe", leaves = "b', 'enters = "tow", leaves = "b'))],
    "owned.route.leaves": [(_RECIPE, _RECIPE.replace('leaves = "branch"', 'leaves = "branche"'))],
    "owned.ends": [(_RECIPE, _RECIPE.replace('branch = "peg" }', 'branch = "peg", more = "peg" }'))],
    "stretch.pieces": [("stretch.pieces = ['2 long']", "stretch.pieces = ['2 lung']")],
    "stretch.length": [("stretch.length = 400", "stretch = [{ length = 400, meets = 'far' }]")],
}
