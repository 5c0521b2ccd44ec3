"""Sixty mixed pieces on 900 x 140 boards: boards needed and time.

Run with ``pytest -o addopts= tests/benchmarks``. Known from elsewhere, same set and gap, measured once on a
small computer: boxes packed by rectpack need 6 boards (yield 0.456 of whole boards, 3 ms); a strip of the boards'
height filled by the outside solver spyrrow is 5.3 boards long after 40 s. By area three boards would hold the wood.
"""

import math

from geometry.usual import BEND, LONG, made, sized
from platelayer.geometry.contours import rectangle
from platelayer.placing.nesting import NestBoard, NestItem, nest

ALONG_RAD = -math.radians(45) / 2
ITEMS = (
    NestItem(name="long", outline=made(sized(LONG, length=150.0)).outline, count=40),
    NestItem(name="short", outline=made(sized(LONG, length=100.0)).outline, count=8),
    NestItem(
        name="bend",
        outline=made(sized(BEND, radius=200.0)).outline,
        turns_rad=(ALONG_RAD, ALONG_RAD + math.pi),
        count=12,
    ),
)
BOARDS = tuple(NestBoard(id=name, outline=rectangle((0.0, 0.0), (900.0, 140.0))) for name in "ABCDEF")


def told(benchmark, result):
    boards = {placement.board_id for placement in result.placements}
    benchmark.extra_info["boards"] = len(boards)
    assert len(boards) <= 5


def test_five_boards_at_once(benchmark):
    result = benchmark.pedantic(
        nest, args=(ITEMS, BOARDS), kwargs={"gap_mm": 4.0, "margin_mm": 0.0, "tries": 20}, rounds=1
    )
    told(benchmark, result)


def test_the_usual_search(benchmark):
    result = benchmark.pedantic(nest, args=(ITEMS, BOARDS), kwargs={"gap_mm": 4.0, "margin_mm": 0.0}, rounds=1)
    told(benchmark, result)
