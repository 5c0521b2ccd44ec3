"""Jobs drawn at random over all that a job file can ask for, as texts: some sound, some that no bit or board can make.

What is drawn is about the usual more often than not, so that most jobs reach the machine, and now and then far from it.
Every number here is a range to try, nothing that anybody ought to use.
"""

from collections.abc import Iterator
from random import Random
from zlib import crc32

NARROW = ("flat-3.175-long", "flat-3.175-long", "flat-3.175-down")
WIDE = ("flat-6.35-up", "flat-6.35-down", "flat-6.35-compression", "flat-6.35-straight")
MACHINES = {"small-belt": (420, 360), "mid-screw": (750, 400), "bench-top": (600, 400)}
"""Widest and highest board drawn for each, mm."""
MATERIALS = ("hard-maple", "beech", "birch", "plywood", "mdf", "pine")


def random_job(chance: Random) -> str:
    """One job file; the same for the same state of chance."""
    is_strip = chance.random() < 0.12
    holding = "tabs" if is_strip else chance.choice(("tabs", "tabs", "tabs", "skin", "skin", "tape", "vacuum"))
    thickness = _text(f"{chance.choice((12.7, 12.7, 12, 9, 15, chance.uniform(7, 18))):.3f} mm")
    root = chance.choice((*(None,) * 6, "none", "finish"))
    outer, groove = chance.random() < (0.02 if is_strip else 0.2), chance.random() < 0.1
    machine = chance.choice(tuple(MACHINES))
    is_alike = holding != "tabs" and not outer and chance.random() < 0.3
    tables = [_job(chance, machine), _track(chance, thickness), _joint(chance, root)]
    tables += [_bits(chance, has_finish=root == "finish", has_outer=outer, has_groove=groove)]
    tables += [_holding(chance, holding), _cutting(chance)]
    tables += [_edges(chance, has_outer=outer, has_groove=groove), _turning(chance)]
    tables += [_board(chance, thickness, is_strip=is_strip, is_on_skin=holding == "skin", most=MACHINES[machine])]
    tables += [
        _piece(chance, number, is_strip=is_strip, is_alike=is_alike) for number in range(chance.choice((1, 1, 2, 3)))
    ]
    text = "\n".join(table for table in tables if table)
    return _with_later_keys(text, may_lie_at_fence=not (is_strip or outer))


def _with_later_keys(text: str, *, may_lie_at_fence: bool) -> str:
    """Keys that are drawn by the text itself, so that all else stays as it was drawn before there were any of them."""
    luck = Random(crc32(text.encode("ascii")))
    if luck.random() < 0.25:
        text = text.replace("[cutting]", "[cutting]\nderive_finish_feeds = true", 1)
    if luck.random() < 0.4 and may_lie_at_fence and 'grooves = "both"' not in text:
        text = text.replace("[[board]]", '[[board]]\nfence_error = "0.1 mm"', 1)
    return text


def _job(chance: Random, machine: str) -> str:
    return _table(
        "[job]",
        units=_text(chance.choice(("in", "mm"))),
        machine=_text(machine),
        material=_text(chance.choice(MATERIALS)),
        placing=_or_none(chance.choice((None, "rows", "nest"))),
    )


def _track(chance: Random, thickness: str) -> str:
    if chance.random() < 0.8:
        return _table("[track]", thickness=thickness)
    return _table("[track]", thickness=thickness, groove_depth=_mm(chance, 1, 6), flare_length=_mm(chance, 0, 15))


def _joint(chance: Random, root: str | None) -> str:
    mouth = chance.choice((*(None,) * 7, "none"))
    if chance.random() < 0.7:
        return _table("[joint]", peg_root=root and _text(root), mouth=mouth and _text(mouth))
    neck = chance.uniform(4.5, 8)
    head = neck + chance.uniform(2.5, 7)
    return _table(
        "[joint]",
        peg_root=root and _text(root),
        mouth=mouth and _text(mouth),
        neck_width=_text(f"{neck:.3f} mm"),
        head_diameter=_text(f"{head:.3f} mm"),
        head_setback=_mm(chance, 2, 10),
        mouth_width=_text(f"{neck + chance.uniform(0.2, 2.5):.3f} mm"),
        hole_diameter=_text(f"{head + chance.uniform(0.2, 2.5):.3f} mm"),
        hole_setback=_mm(chance, 2, 10),
    )


def _bits(chance: Random, *, has_finish: bool, has_outer: bool, has_groove: bool) -> str:
    own, is_wide = chance.random() < 0.15, chance.random() < 0.1
    table = _table(
        "[bits]",
        joints=_text("own" if own else chance.choice(WIDE if is_wide else NARROW)),
        outlines=_or_none(chance.choice((*(None,) * 8, *NARROW, *WIDE))),
        grooves=_text(chance.choice(NARROW)) if is_wide or own or chance.random() < 0.2 else None,
        finish=_text("flat-1.588") if has_finish else None,
        edges=_text("round-over-1.588") if has_outer else None,
        groove_edges=_text(chance.choice(("vee-90", "vee-60", "round-over-1.588"))) if has_groove else None,
    )
    if not own:
        return table
    own_bit = _table(
        "[[bit]]",
        id=_text("own"),
        kind=_text("flat"),
        diameter=_mm(chance, 1.5, 7),
        cutting_length=_mm(chance, 14, 30),
        shank=_mm(chance, 3, 8),
        overall=_text("70 mm"),
        may_plunge=chance.choice(("true", "false")),
    )
    return table + "\n" + own_bit


def _holding(chance: Random, kind: str) -> str:
    return _table(
        "[holding]",
        kind=_text(kind),
        stock=_or_none(chance.choice((*(None,) * 6, "clamps", "screws", "tape", "vacuum"))),
        tab_width=_seldom(chance, 0.4, 2, 10),
        tab_height=_seldom(chance, 0.1, 1.5, 4),
        tab_count=str(chance.randint(4, 9)) if chance.random() < 0.15 else None,
        skin=_mm(chance, 0.6, 1.2) if kind == "skin" else None,
    )


def _cutting(chance: Random) -> str:
    return _table(
        "[cutting]",
        spoilboard_allowance=_seldom(chance, 0.2, 0, 1),
        one_file="true" if chance.random() < 0.02 else None,
    )


def _edges(chance: Random, *, has_outer: bool, has_groove: bool) -> str:
    if not (has_outer or has_groove):
        return ""
    return _table(
        "[edges]",
        outer=_text("1/16 in") if has_outer else None,
        groove=_mm(chance, 0.1, 0.8) if has_groove else None,
    )


def _turning(chance: Random) -> str:
    by = chance.choice((None, None, "dowels", "fence"))
    return _table("[turning]", by=_or_none(by), dowel_diameter=_seldom(chance, 0.1, 3, 10))


def _board(chance: Random, thickness: str, *, is_strip: bool, is_on_skin: bool, most: tuple[int, int]) -> str:
    small = chance.random() < 0.3
    clamp = "" if is_strip or chance.random() < 0.75 else _no_go(chance)
    zero = chance.choice(("top", "spoilboard"))
    return (
        _table(
            "[[board]]",
            kind=_text("strip") if is_strip else None,
            count=str(chance.randint(1, 3)),
            width=_mm(chance, 150, 400) if small else _mm(chance, 300, most[0]),
            height=None if is_strip else _mm(chance, 70, 150) if small else _mm(chance, 150, most[1]),
            height_measured=chance.choice((None, "true")),
            thickness=thickness,
            thickness_measured="true" if is_on_skin and zero == "top" else chance.choice((None, "true")),
            scatter=_seldom(chance, 0.4, 0, 0.3),
            zero=_text(zero),
            grain=_or_none(chance.choice((None, None, None, "across"))),
            margin=_seldom(chance, 0.4, 0, 30),
        )
        + clamp
    )


def _no_go(chance: Random) -> str:
    size = _mm(chance, 8, 60)
    return "\n" + _table(
        "[[board.no_go]]",
        x=_mm(chance, 0, 250),
        y=_mm(chance, 0, 100),
        rise=_seldom(chance, 0.7, 0, 40),
        **({"diameter": size} if chance.random() < 0.5 else {"width": size, "height": _mm(chance, 8, 60)}),
    )


def _piece(chance: Random, number: int, *, is_strip: bool, is_alike: bool) -> str:
    is_curve = chance.random() < (0.02 if is_strip else 0.2 if is_alike and number else 0.0 if is_alike else 0.55)
    ends = (None, None, "peg", "socket", "plain")
    return _table(
        "[[piece]]",
        name=_text(f"piece{number}"),
        kind=_text("curve") if is_curve else None,
        length=None if is_curve else _mm(chance, 100 if is_alike else 38, chance.choice((140, 300))),
        radius=_mm(chance, 45, chance.choice((100, 220, 400))) if is_curve else None,
        angle=f"{chance.uniform(10, chance.choice((60, 90, 182))):.2f}" if is_curve else None,
        hand=_text(chance.choice(("left", "right"))) if is_curve else None,
        start=_or_none(chance.choice(ends)),
        end=_or_none(chance.choice(ends)),
        grooves=_text("both") if not is_strip and chance.random() < 0.15 else None,
        count=str(chance.choice((1, 1, 2, 3)) + is_alike),
        turns=_or_none(chance.choice((None, None, "quarters", "eighths"))),
    )


def _table(head: str, **values: str | None) -> str:
    return "\n".join((head, *_lines(values)))


def _lines(values: dict[str, str | None]) -> Iterator[str]:
    for key, value in values.items():
        if value is not None:
            yield f"{key} = {value}"


def _text(word: str) -> str:
    return f'"{word}"'


def _or_none(word: str | None) -> str | None:
    return None if word is None else _text(word)


def _mm(chance: Random, least: float, most: float) -> str:
    """A length as a person writes it: in whole millimetres, sixteenths of an inch, or to a hundredth."""
    value = chance.uniform(least, most)
    way = chance.random()
    if way < 0.4 and round(value):
        return f'"{round(value)} mm"'
    if way < 0.6 and round(value / 25.4 * 16):
        return f'"{round(value / 25.4 * 16)}/16 in"'
    return f'"{value:.2f} mm"'


def _seldom(chance: Random, share: float, least: float, most: float) -> str | None:
    return _mm(chance, least, most) if chance.random() < share else None
