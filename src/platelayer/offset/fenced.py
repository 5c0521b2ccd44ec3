"""Pieces whose near edge is the board's own, planed and laid against a fence: cut on three sides only.

Glossary:
    fence: what the board's near edge, y = 0, is pushed against. way: where the bit's middle goes round such a piece,
        from that edge to that edge, clockwise; the bit reaches into the fence by its radius at either end, no further.

Roughing goes along a way to and fro; the finish goes by climb from the edge and back to it, each level for itself, and
so does what parts the piece, with the fence before it and its neighbours or tabs behind it.
"""

from dataclasses import replace

from platelayer.geometry.intersect import crossings
from platelayer.offset.entries import to_and_fro
from platelayer.offset.finish_ways import finish_pass
from platelayer.offset.outlines import Body, walls_way
from platelayer.offset.paths import nearest_along, steps_along, stretch
from platelayer.offset.tabs import Lifts, Side, knots_over
from platelayer.tolerances import COINCIDENT_MM
from platelayer.values.cuts import Pass, Step
from platelayer.values.shapes import Contour, Line

_FAR_MM = 1e5


def fenced(body: Body) -> Body:
    """A body where it lies, its paths cut open at the board's near edge if its own lies on that; else as it is."""
    at_fence = [side for side in body.sites.sides if _lies_there(side)]
    if body.task.board.fence_error_mm is None or not at_fence:
        return body
    sides = tuple(side for side in body.sites.sides if side not in at_fence)
    return replace(
        body,
        near=_opened(body.near),
        finish=_opened(body.finish),
        wide=None if body.wide is None else _opened(body.wide),
        sites=replace(body.sites, sides=sides, lead_side=-1),
    )


def _lies_there(side: Side) -> bool:
    return all(max(abs(one.start[1]), abs(one.end[1])) <= COINCIDENT_MM for one in side.contour.segments)


def _opened(loop: Contour) -> Contour:
    """The part of a clockwise loop that lies over the board, from the near edge to the near edge."""
    edge = Line((-_FAR_MM, 0.0), (_FAR_MM, 0.0))
    met = [point for segment in loop.segments for point in crossings(edge, segment)]
    left, right = min(met), max(met)
    first, last = nearest_along(loop, left), nearest_along(loop, right)
    return stretch(loop, first, last if last > first else last + loop.length_mm)


def fenced_finish(body: Body, lifts: Lifts) -> list[Pass]:
    """The wall at each finish level from the edge to the edge, sideways into it from the roughed way and out again."""
    way, finish = walls_way(body.task), body.finish
    passes = []
    for level in way.levels:
        over = knots_over(finish, lifts, level, first_mm=0.0, last_mm=finish.length_mm)
        middle = steps_along(finish, ((0.0, level), *over, (finish.length_mm, level)))
        ends = Line(body.near.start, finish.start), Line(finish.end, body.near.end)
        way_in, way_out = (Step(line, level, level) for line in ends)
        task = body.task
        passes.append(
            finish_pass(way_in, middle, way_out, thin=way.thin, bit=task.bit, data=task.data, rough=body.near)
        )
    return passes


def fenced_parting(body: Body, lifts: Lifts) -> Pass:
    """From the floor right through along the finish way, to and fro, over tabs."""
    task = body.task
    return replace(to_and_fro(body.finish, -task.floor_mm, task.parting_levels, lifts), is_finish=True)
