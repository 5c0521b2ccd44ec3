"""The reference of keys is true: each example loads, and each limit is where the reference says it is."""

import copy
import tomllib

import pytest
import tomlkit

from job.key_companions import EXAMPLE_NEEDS, FLOOR_BASE, JOB_BASE, PROFILE_BASE, RULES, TYPE_RULES
from platelayer.errors import PlatelayerError
from platelayer.job import load_job, load_profiles, starter_bits, starter_woods
from platelayer.job.bought_readings import read_bought
from platelayer.job.job_models import JobFile
from platelayer.job.key_reference import key_files, keys_named
from platelayer.job.layout_load import load_floor
from platelayer.job.layout_models import FloorFile
from platelayer.job.measurements import read_records
from platelayer.job.own_files import BitsFile, WoodsFile, read_own_bits, read_own_woods
from platelayer.job.profile_models import ProfileFile
from platelayer.job.profiles import read_profile
from platelayer.job.reading import read_model
from platelayer.offset.relief import corner_radii
from platelayer.pieces.catalogue import piece_from_order
from platelayer.pieces.kind import Making
from platelayer.pieces.sizes import check_sizes
from platelayer.road.keys import keys_lines, keys_page
from platelayer.units import worded
from platelayer.values.key_words import NEEDED, ValueKind

FILES = {file.name: file for file in key_files()}
PROFILES = load_profiles() | {"bits.toml": starter_bits(), "woods.toml": starter_woods()}
RECORD_BASE = {
    "record": [
        {"date": "2026-11-25", "bit": "b", "material": "m", "machine": "n"}
        | dict.fromkeys(("bit_diameter", "reach_bias", "lip_bias"), "0.1 mm")
    ]
}
WOOD_BASE = {"wood": [{"id": "walnut", "hardness": "1010 lbf", "group": "hardwood"}]}
BASES = {
    "job": JOB_BASE,
    "machine profile": PROFILE_BASE,
    "shop file": RECORD_BASE,
    "bought set": {},
    "bits file": {},
    "woods file": WOOD_BASE,
    "floor": FLOOR_BASE,
}
KEYS = [
    pytest.param(file.name, table, key, id=f"{table.name}.{key.name}")
    for file in FILES.values()
    for table in file.tables
    for key in table.keys
]


def whole_job(text):
    """A job as far as it goes without placing: sizes, corners and pieces are looked at too."""
    job = load_job(text, file="job.toml", profiles=PROFILES)
    faults = check_sizes(job.joint, job.track)
    if faults:
        raise PlatelayerError(*faults)
    corners, track, _ = corner_radii(job)
    for order in job.orders:
        piece_from_order(order, Making(track=track, joint=job.joint, corners=corners))


def job_alone(text):
    """A job as the file alone is judged."""
    load_job(text, file="job.toml", profiles=PROFILES)


LOADERS = {
    "job": whole_job,
    "machine profile": lambda text: read_profile(text, file="mine.toml"),
    "shop file": lambda text: read_records(text, file="shop.toml"),
    "floor": lambda text: load_floor(text, file="floor.toml"),
    "bits file": lambda text: read_own_bits(text, file="bits.toml"),
    "woods file": lambda text: read_own_woods(text, file="woods.toml"),
    "bought set": lambda text: read_bought(text, file="bought.toml"),
}
MODELS = {
    "job": JobFile,
    "machine profile": ProfileFile,
    "bits file": BitsFile,
    "woods file": WoodsFile,
    "floor": FloorFile,
}


def merged(base, more):
    """The base with more laid over it; a table goes into the first of a list of tables, an empty one takes all away."""
    if isinstance(base, list) and isinstance(more, dict):
        return [merged(base[0], more), *base[1:]] if base else [copy.deepcopy(more)]
    if not isinstance(base, dict) or not isinstance(more, dict):
        return copy.deepcopy(more)
    both = copy.deepcopy(base)
    for key, value in more.items():
        both[key] = merged(both[key], value) if key in both and value != {} else copy.deepcopy(value)
    return both


def at(table, key, value):
    """So much of a file as sets one key."""
    path = [*(table.name.split(".") if table.heads else []), key.name]
    found = value
    for part in reversed(path):
        found = {part: found}
    return found


def with_key(file, table, key, value, needs=""):
    """The base of a file, with what the key needs beside it, and the key itself."""
    base = merged(BASES[file], tomllib.loads(needs))
    return merged(base, at(table, key, value))


def said_of(file, data, load=None):
    """What is said of a whole file with these data, empty when it is good."""
    text = tomlkit.dumps(listed(data))
    try:
        (load or LOADERS[file])(text)
    except PlatelayerError as error:
        return str(error)
    return ""


ARRAYS = (
    "owned",
    "route",
    "run",
    "stretch",
    "gap",
    "wall",
    "wood",
    "bit",
    "board",
    "piece",
    "no_go",
    "feeds",
    "dial",
    "record",
)


def listed(data):
    """The data with a list round each table that may come more than once."""
    return {
        key: [listed(value)]
        if key in ARRAYS and isinstance(value, dict)
        else listed(value)
        if isinstance(value, dict)
        else [listed(one) if isinstance(one, dict) else one for one in value]
        if isinstance(value, list)
        else value
        for key, value in data.items()
    }


def test_every_key_of_every_model_is_told() -> None:
    told = {
        name: {(table.name, key.name) for table in file.tables for key in table.keys} for name, file in FILES.items()
    }
    assert ("track", "width") in told["job"]
    assert ("board.no_go", "rise") in told["job"]
    assert ("piece", "radius") in told["job"]
    assert ("axis.x", "travel") in told["machine profile"]
    assert ("spindle.dial", "rpm") in told["machine profile"]
    assert sum(len(keys) for keys in told.values()) >= 168


@pytest.mark.parametrize(("file", "table", "key"), KEYS)
def test_a_key_says_what_it_means(file, table, key) -> None:
    assert key.meaning.endswith(".")
    assert key.meaning[0].isupper()
    assert key.example
    assert key.unsaid
    assert key.kind is not ValueKind.CHOICE or key.choices
    tomllib.loads(f"{key.name} = {key.example}")


@pytest.mark.parametrize(("file", "table", "key"), KEYS)
def test_an_example_loads(file, table, key) -> None:
    value = tomllib.loads(f"it = {key.example}")["it"]
    needs = EXAMPLE_NEEDS.get(f"{table.name}.{key.name}", "")
    assert said_of(file, with_key(file, table, key, value, needs)) == ""


def bounds():
    for one in KEYS:
        file, table, key = one.values
        for side, bound in (("least", key.least), ("most", key.most)):
            if bound is not None:
                yield pytest.param(file, table, key, side, bound, id=f"{one.id}-{side}")


def written(key, value):
    """A value in the file's own way: lengths with their unit, angles in degrees, lists round them."""
    if key.kind is ValueKind.COUNT:
        return round(value)
    if key.kind is ValueKind.ANGLE:
        return value * 180 / 3.141592653589793
    if key.kind is ValueKind.FORCE:
        return f"{value:.9f} N"
    if key.kind is ValueKind.FEED:
        return f"{value:.9f} mm/min"
    if key.kind is ValueKind.ACCELERATION:
        return f"{value:.9f} mm/s2"
    if key.kind is ValueKind.DURATION:
        return f"{value:.9f} s"
    if key.kind in (ValueKind.NUMBER, ValueKind.SECONDS, ValueKind.SPEED):
        return value
    length = f"{value:.9f} mm"
    return {
        ValueKind.LENGTH: length,
        ValueKind.LENGTHS: [length] * 2,
        ValueKind.PLACE: [length, length, *{"zero_at": [length], "at": [0]}.get(key.name, [])],
        ValueKind.CORNERS: [[length, "0 mm"], ["10 mm", "0 mm"], ["10 mm", "10 mm"]],
    }[key.kind]


def faults_of(file, data):
    """What the types of the keys have against these data."""
    try:
        return read_model(MODELS[file], data, unit="mm").faults
    except PlatelayerError as error:
        return error.faults


def step(key):
    return 1 if key.kind is ValueKind.COUNT else 1e-6


@pytest.mark.parametrize(("file", "table", "key", "side", "bound"), list(bounds()))
def test_a_limit_is_where_it_is_said_to_be(file, table, key, side, bound) -> None:
    outward = -step(key) if side == "least" else step(key)
    inside = bound.value if bound.is_in else bound.value - outward
    outside = bound.value + outward if bound.is_in else bound.value
    needs = EXAMPLE_NEEDS.get(f"{table.name}.{key.name}", "")

    def faults_of_kind(value):
        """What the key's own type has against a value, whatever stands beside it."""
        data = listed(with_key(file, table, key, written(key, value), needs))
        return [one for one in faults_of(file, data) if key.name in one.where]

    if file in MODELS and faults_of_kind(outside):
        assert faults_of_kind(inside) == []
    else:
        load = job_alone if file == "job" else LOADERS[file]
        assert key.name in said_of(file, with_key(file, table, key, written(key, outside), needs), load)
        assert said_of(file, with_key(file, table, key, written(key, inside), needs), load) == ""


def test_every_rule_is_tried() -> None:
    ruled = {f"{table.name}.{key.name}" for _, table, key in (one.values for one in KEYS) if own_rule(key)}
    assert ruled == set(RULES)


def own_rule(key):
    """The rule without what the key's type brings along."""
    return "; ".join(part for part in key.rule.split("; ") if part not in TYPE_RULES)


RULED = [
    pytest.param(one.values[0], one.id, *tried, id=f"{one.id}-{number}")
    for one in KEYS
    for number, tried in enumerate(RULES.get(one.id, ()), 1)
]


@pytest.mark.parametrize(("file", "name", "inside", "outside"), RULED)
def test_a_rule_holds_one_step_either_side(file, name, inside, outside) -> None:
    def said(more):
        return said_of(file, merged(BASES[file], tomllib.loads(more)))

    assert said(inside) == ""
    assert name.split(".")[0] in said(outside)


TYPE_RULED = [
    pytest.param(*one.values, *TYPE_RULES[part], id=f"{one.id}-{part[:12]}")
    for one in KEYS
    for part in one.values[2].rule.split("; ")
    if part in TYPE_RULES
]


@pytest.mark.parametrize(("file", "table", "key", "inside", "outside"), TYPE_RULED)
def test_a_rule_of_a_type_holds_wherever_it_stands(file, table, key, inside, outside) -> None:
    def faults(value):
        data = listed(with_key(file, table, key, value))
        return [one.where for one in faults_of(file, data)]

    assert faults(inside) == []
    assert any(key.name in where for where in faults(outside))


NEEDS = [one for one in KEYS if one.values[2].unsaid == NEEDED]


@pytest.mark.parametrize(("file", "table", "key"), NEEDS)
def test_a_key_that_must_be_written_is_missed(file, table, key) -> None:
    value = tomllib.loads(f"it = {key.example}")["it"]
    data = listed(with_key(file, table, key, value, EXAMPLE_NEEDS.get(f"{table.name}.{key.name}", "")))
    here = data
    for part in table.name.split(".") if table.heads else ():
        here = here[part][0] if isinstance(here[part], list) else here[part]
    del here[key.name]
    assert "missing" in said_of(file, data)
    assert key.name in said_of(file, data)


@pytest.mark.parametrize(
    "wanted", ["track", "[track]", "[[board.no_go]]", "board no_go", "axis", "track.width", "hand"]
)
def test_what_is_asked_for_is_told(wanted) -> None:
    assert keys_lines(wanted)


def test_a_key_of_several_tables_is_told_in_each() -> None:
    found = [table.name for file in keys_named(tuple(FILES.values()), "mouth_width") for table in file.tables]
    assert found == ["joint", "mate"]


def test_a_misspelt_name_is_answered_with_the_nearest() -> None:
    with pytest.raises(PlatelayerError) as caught:
        keys_lines("trakc")
    assert str(caught.value) == "TABLE = trakc: no table and no key is called that. Did you mean track?"


def test_a_key_is_told_whole() -> None:
    assert [worded(line, "in") for line in keys_lines("turning.tolerance")] == [
        "[turning] in a job: How a board is turned over for the grooves on its other face. Dowels stand on",
        "the board's long middle line; places count from its left end.",
        "",
        '  tolerance = "0.2 mm"',
        "      How far the board may lie off after it was turned.",
        "      Length; at least 0, at most ~3/64 in (1.000 mm)",
        "      Left out: 0.008 in (0.200 mm)",
        "",
    ]


def test_the_page_has_every_key_and_needs_nothing_else() -> None:
    page = keys_page()
    for _, table, key in (one.values for one in KEYS):
        assert f'id="{table.name}.{key.name}"' in page
    assert "http" not in page
    assert "\ue000" not in page
