"""Hypothesis strategies of the job room: lengths as people write them, TOML texts, jobs with one thing wrong."""

from fractions import Fraction

from hypothesis import strategies as st

SIXTY_FOURTHS = st.integers(min_value=1, max_value=64 * 36).map(lambda count: Fraction(count, 64))


@st.composite
def spelt_inches(draw):
    """A length in inches and one of the ways to write it."""
    length = draw(SIXTY_FOURTHS)
    whole, rest = divmod(length, 1)
    if rest and whole:
        number = f"{whole}{draw(st.sampled_from([' ', '-', '  ', ' - ']))}{rest.numerator}/{rest.denominator}"
    elif rest:
        number = f"{rest.numerator}/{rest.denominator}"
    else:
        number = str(whole)
    if draw(st.booleans()):
        number = format(float(length), ".6f")
    unit = draw(st.sampled_from(["in", " in", '"', "″", " inch", " inches", " IN", " in."]))
    return length, f"{draw(st.sampled_from(['', ' ']))}{number}{unit}"


BARE_KEYS = st.text(alphabet="abcxyz019_-", min_size=1, max_size=5)
QUOTED_KEYS = st.text(alphabet="ab .=[]#'é", min_size=1, max_size=5).map(lambda key: f'"{key}"')
PLAIN_SCALARS = ["1", "-1.5", "+3e4", "inf", "0xff", "true", "1979-05-27 07:32:00"]
STRINGS = ['"a # b"', "'c\\'", '"\\" = 3"', '""', "'''raw\n'x' = [1]'''", '"""two\nlines "" ]"""', '"""q""""']
SCALARS = st.sampled_from([*PLAIN_SCALARS, *STRINGS])
BREAKS = st.sampled_from(["", " ", "\n", " # why, ]\n", "\n\n  "])


@st.composite
def toml_values(draw, depth=2):
    """The text of one TOML value."""
    kind = draw(st.sampled_from(["scalar", "scalar", "array", "table"])) if depth else "scalar"
    if kind == "scalar":
        return draw(SCALARS)
    if kind == "array":
        inner = draw(st.lists(toml_values(depth=depth - 1), max_size=3))
        gap = draw(BREAKS)
        return f"[{gap}{f'{gap},{gap}'.join(inner)}{gap}]"
    keys = draw(st.lists(st.one_of(BARE_KEYS, QUOTED_KEYS), max_size=3, unique_by=lambda key: key.strip('"')))
    return "{ " + ", ".join(f"{key} = {draw(toml_values(depth=depth - 1))}" for key in keys) + " }"


@st.composite
def toml_lines(draw):
    """A TOML text; tomllib may refuse it, for instance when a key comes twice."""
    lines = []
    for _ in range(draw(st.integers(1, 8))):
        key = ".".join(draw(st.lists(st.one_of(BARE_KEYS, QUOTED_KEYS), min_size=1, max_size=3)))
        kind = draw(st.sampled_from(["pair", "pair", "pair", "table", "array", "remark", "blank"]))
        lines.append(
            {
                "pair": f"{key} = {draw(toml_values())}  # {key}",
                "table": f"[ {key} ]",
                "array": f"[[{key}]] # [[x]]",
                "remark": "  # a = [",
                "blank": "",
            }[kind]
        )
    return draw(st.sampled_from(["\n", "\r\n"])).join(lines)
