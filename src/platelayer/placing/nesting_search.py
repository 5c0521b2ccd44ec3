"""Looking for the order of laying that needs the fewest boards and leaves the longest offcut.

Glossary:
    try: one whole filling.
    cost: what is left over, then boards touched, then wood on the last of them, then how far along it that reaches.

The fillings tried first lay the shapes in all orders (or many, when there are many shapes) by each rule; then the best
of them is changed a little, again and again, and a change is kept when it costs no more. The number of tries is given,
never a time, so that the same boards and pieces always give the same places.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import islice, permutations
from typing import Final

from platelayer.draws import Draws
from platelayer.placing.nesting_fill import Filling, FreeSpace, Hand, Rule

Cost = tuple[float, int, float, float]

_FEW_SHAPES: Final = 4

FEW_LEFT: Final = 2
MOST_LEFT_RATIO: Final = 0.08
"""Where all plain orders leave more pieces over than these, small changes find no room for them either."""


def best_filling(
    space: FreeSpace,
    containers: Sequence[int],
    counts: Sequence[int],
    areas_mm2: Sequence[float],
    *,
    fewest_boards: int,
    tries: int,
) -> Filling:
    """The cheapest of so many fillings; the first that leaves nothing and needs ``fewest_boards`` is taken at once.

    Args:
        space: empty containers and forms.
        containers: for each board in the order of use, its container's index.
        counts: pieces of each shape.
        areas_mm2: area of each shape.
        fewest_boards: boards that are needed at the least, by area.
        tries: how many fillings at most, half of them plain orders; none but those where they leave much over.
    """
    search = _Search(space, containers, areas_mm2)
    turns = [len(forms) for forms in space.forms.of_shape]
    for count, hands in enumerate(islice(_plain_orders(counts, areas_mm2, turns), max(1, tries // 2))):
        search.consider(hands)
        if search.is_as_good_as(fewest_boards) or count + 1 >= tries:
            return search.best
    if len(search.best.left) > max(FEW_LEFT, MOST_LEFT_RATIO * sum(counts)):
        return search.best
    draws = Draws(sum(counts))
    while search.tries < tries and not search.is_as_good_as(fewest_boards):
        search.consider(_changed(search.hands, turns, draws))
    return search.best


class _Search:
    """The best filling so far, with the state after every piece of it, so that a change starts where it begins."""

    def __init__(self, space: FreeSpace, containers: Sequence[int], areas_mm2: Sequence[float]) -> None:
        self.areas = areas_mm2
        self.space = space
        self.tries = 0
        self.hands: list[Hand] = []
        self.states = [Filling(space, list(containers))]
        self.cost: Cost = (math.inf, 0, 0.0, 0.0)

    @property
    def best(self) -> Filling:
        """The best filling so far."""
        return self.states[-1]

    def is_as_good_as(self, boards: int) -> bool:
        """Nothing is left over and no more boards are used than that."""
        return self.cost[0] == 0 and self.cost[1] <= boards

    def consider(self, hands: list[Hand]) -> None:
        """Fills in that order and keeps the result if it costs no more than the best."""
        self.tries += 1
        same = next((i for i, (a, b) in enumerate(zip(hands, self.hands, strict=False)) if a != b), 0)
        states = self.states[: same + 1]
        for hand in hands[same:]:
            state = states[-1].copied()
            state.lay(hand)
            states.append(state)
        cost = self._cost(states[-1])
        if cost <= self.cost and states[-1].keeps_gaps():
            self.cost, self.hands, self.states = cost, hands, states

    def _cost(self, filling: Filling) -> Cost:
        forms = self.space.forms
        left = sum(self.areas[shape] for shape in filling.left)
        used = [ground for ground in filling.grounds if ground.spots]
        if not used:
            return (left, 0, 0.0, 0.0)
        last = used[-1].spots
        wood = sum(self.areas[forms.shape[spot.form]] for spot in last)
        far = max(spot.at[0] + forms.bounds[spot.form][2] for spot in last)
        return (left, len(used), round(wood), round(far, 1))


def _plain_orders(counts: Sequence[int], areas_mm2: Sequence[float], turns: Sequence[int]) -> Iterator[list[Hand]]:
    """Shapes one kind after another, by each rule and turning: largest first, then most wood, then as it comes."""
    shapes = sorted(range(len(counts)), key=lambda shape: (-areas_mm2[shape], shape))
    if len(shapes) <= _FEW_SHAPES:
        orders = list(permutations(shapes))
    else:
        orders = [tuple(shapes[i:] + shapes[:i]) for i in range(len(shapes))]
        orders += [order[::-1] for order in orders]
    most = tuple(sorted(shapes, key=lambda shape: (-areas_mm2[shape] * counts[shape], shape)))
    for order in dict.fromkeys((tuple(shapes), most, *orders)):
        for rule in Rule:
            for turn_of in _turnings(order, turns):
                yield [Hand(shape, rule, turn_of[shape]) for shape in order for _ in range(counts[shape])]


def _turnings(order: Sequence[int], turns: Sequence[int]) -> Iterator[dict[int, int]]:
    """For each shape whichever turn is best, then one for all of its pieces: curves of one turn lie one in another.

    Curves of the other hand want the same turn or the one half round from it.
    """
    yield dict.fromkeys(order, -1)
    yield dict.fromkeys(order, 0)
    yield {shape: place % 2 * (turns[shape] // 2) for place, shape in enumerate(order)}


def _changed(hands: list[Hand], turns: Sequence[int], draws: Draws) -> list[Hand]:
    """The order with one small change: two pieces exchanged, a run moved, or another rule or turn for a run."""
    new, n = hands[:], len(hands)
    i = draws.below(n)
    k = min(n, i + 1 + draws.below(max(1, n // 4)))
    kind = draws.below(4)
    others = [at for at in range(n) if hands[at].shape != hands[i].shape]
    if kind == 0 and others:
        at = others[draws.below(len(others))]
        new[i], new[at] = new[at], new[i]
    elif kind == 1 and others:
        run = new[i:k]
        del new[i:k]
        at = draws.below(len(new) + 1)
        new[at:at] = run
    elif kind == 2:
        rule = tuple(Rule)[draws.below(len(Rule))]
        new[i:k] = [replace(hand, rule=rule) for hand in new[i:k]]
    else:
        first, step = draws.below(64), draws.below(2)
        for at in range(i, k):
            choices = turns[new[at].shape] + 1
            new[at] = replace(new[at], turn=(first + step * (at - i)) % choices - 1)
    return new
