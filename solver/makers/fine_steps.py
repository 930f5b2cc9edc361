"""Fine steps from a good design: one measure or two at a time, down to the rounding that is told, to a lighter one.

Descents end a hair within the limits, since measures are rounded. What that costs is won back here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import combinations, product

from catalog.bench.design_measure import tied
from solver.makers.measure_space import MeasureSpace, SearchRange
from solver.makers.weighed_design import MEASURE_DECIMALS, Weighed

# judged: steps in units of the last decimal that is told, the widest first; the last is one unit
_UNITS = (64, 16, 4, 1)


def finely_stepped(
    best: Weighed,
    space: MeasureSpace,
    *,
    weigh: Callable[[Sequence[Mapping[str, float]]], list[Weighed]],
    mass_g: Callable[[Mapping[str, float]], float],
    loss: Callable[[Weighed], float],
    most: int,
) -> None:
    """Weigh lighter designs beside the best, go on from each that is no worse, and end where none is left.

    Args:
        best: a design that keeps its limits.
        space: the measures that move.
        weigh: weighs designs and keeps them; what it raises ends the steps.
        mass_g: returns the packed mass of a design, not rounded; endless where it can't be drawn.
        loss: what is made least.
        most: how many designs may be weighed.
    """
    left, mass = most, mass_g(best.values)
    for units in _UNITS:
        moved = True
        while moved:
            moved = False
            for moves in _moves(space, units * 10**-MEASURE_DECIMALS):
                steps = {one.field: _moved(one, best.values[one.field], way) for one, way in moves}
                point = tied({**best.values, **steps}, space.form)
                lighter_g = mass_g(point)
                if lighter_g >= mass:
                    continue
                if left <= 0:
                    return
                left -= 1
                (one,) = weigh([point])
                if one.allowed and loss(one) <= loss(best):
                    best, mass, moved = one, mass_g(one.values), True


def _moves(space: MeasureSpace, step: float) -> Iterator[list[tuple[SearchRange, float]]]:
    """Return the steps of one measure either way, then those of two at a time."""
    for one, way in product(space.ranges, (-step, step)):
        yield [(one, way)]
    for one, other in combinations(space.ranges, 2):
        for way, other_way in product((-step, step), repeat=2):
            yield [(one, way), (other, other_way)]


def _moved(one: SearchRange, value: float, way: float) -> float:
    """Return a value a step on, rounded as it is told, within its range."""
    return min(one.high, max(one.low, round(value + way, MEASURE_DECIMALS)))
