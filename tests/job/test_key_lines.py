"""Lines of keys: every key that tomllib finds, on the line it is written on, and none besides."""

import tomllib

from hypothesis import given

from platelayer.job.key_lines import key_lines
from strategies_job import toml_lines


def paths_in(value, path=()):
    """Every path to a table, key or element of what tomllib read."""
    if path:
        yield path
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from paths_in(inner, (*path, key))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from paths_in(inner, (*path, index))


@given(toml_lines())
def test_the_keys_are_those_that_tomllib_finds(text):
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    assert set(key_lines(text)) == set(paths_in(data))


@given(toml_lines())
def test_a_key_stands_on_its_line(text):
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    rows = text.split("\n")
    for path, line in key_lines(text).items():
        key = path[-1]
        if isinstance(key, str):
            assert key in rows[line - 1], (path, line)


def test_lines_worked_by_hand():
    text = """\
title = "x"            # 1
[track]                # 2
width.inner = 3        # 3
"a.b" = [              # 4
  1, 2,                # 5
  { c = 5, d = 6 },    # 6
]
# [not] = a table        8
[[piece]]              # 9
name = '''
= [[piece]]
'''
[piece.more]           # 13
k = 1
[[piece]]              # 15
"""
    # worked by hand: lines counted in the text above
    assert key_lines(text) == {
        ("title",): 1,
        ("track",): 2,
        ("track", "width"): 3,
        ("track", "width", "inner"): 3,
        ("track", "a.b"): 4,
        ("track", "a.b", 0): 5,
        ("track", "a.b", 1): 5,
        ("track", "a.b", 2): 6,
        ("track", "a.b", 2, "c"): 6,
        ("track", "a.b", 2, "d"): 6,
        ("piece",): 9,
        ("piece", 0): 9,
        ("piece", 0, "name"): 10,
        ("piece", 0, "more"): 13,
        ("piece", 0, "more", "k"): 14,
        ("piece", 1): 15,
    }
