"""The search for the best measures: designs spread evenly, then covariance matrix adaptation from the best of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from importlib import import_module
from typing import Any

import numpy as np

from solver.makers.best_design_answer import TriedDesign
from solver.makers.weighed_design import Weighed

# judged: a quarter of each range at first, as the method's author advises
_FIRST_STEP = 0.25
# judged: a step round a design that is good already
_NEAR_STEP = 0.08
# judged: of the tries, spread evenly first, for a kit that loses a tool is a step that a search downhill does not see
_SPREAD_SHARE, _MOST_SPREAD = 0.2, 40  # at most so many for each measure
# judged: tried at once, so that little is lost where the time ends
_BATCH = 10
# judged: the spread reaches so far past each end, in shares of a range
_PAST_ENDS = 0.1
# judged: then this many short looks from the best that lie apart, each of so many of the tries
_LOOKS, _LOOK_SHARE = 3, 0.08
# judged: designs that lie closer, in shares of the ranges, are one start
_APART = 0.15
# judged: later every other restart begins elsewhere and wider, with twice the designs of a generation
_MORE_EACH_RESTART = 2
_MOST_RESTARTS = 40
# judged: designs of a front that a reader looks at
_MOST_POINTS = 30

Weigh = Callable[[Sequence[Mapping[str, float]]], list[Weighed]]


@dataclass(frozen=True)
class SearchRange:
    """A measure by its field, and where it may lie."""

    field: str
    low: float
    high: float

    def share(self, value: float) -> float:
        """Return where in its range a value lies, 0 to 1."""
        return min(1.0, max(0.0, (value - self.low) / (self.high - self.low)))

    def value(self, share: float) -> float:
        """Return the value at a share of the range."""
        return self.low + min(1.0, max(0.0, share)) * (self.high - self.low)


@dataclass
class DesignSearch:
    """Designs tried so far, and the best of them.

    Attributes:
        ranges: the measures that move.
        weigh: weighs designs at points; what it raises ends the search, with what was tried kept.
        loss: what is made least.
        tried: every design in the order in which it was tried.
        best: the one of least loss, the first of equals.
    """

    ranges: Sequence[SearchRange]
    weigh: Weigh
    loss: Callable[[Weighed], float]
    tried: list[Weighed] = field(default_factory=list)
    best: Weighed | None = None

    def at(self, points: Sequence[Mapping[str, float]]) -> list[Weighed]:
        """Weigh designs and keep them."""
        found = self.weigh(points)
        self.keep(found)
        return found

    def keep(self, found: Sequence[Weighed]) -> None:
        """Keep designs as tried, and the best of them."""
        for one in found:
            if self.best is None or self.loss(one) < self.loss(self.best):
                self.best = one
        self.tried += found

    def run(self, start: Mapping[str, float], tries: int, *, seed: int, near: bool = False) -> None:
        """Search until so many designs were tried: spread first, short looks from the best, then from the best of all.

        Args:
            start: the measures by field, where nothing was tried yet; else the search begins from the best.
            tries: how many designs at most.
            seed: of the random numbers.
            near: whether the start is good already, so that none are spread first.

        Source: Hansen 2016, The CMA Evolution Strategy: A Tutorial (from memory); the library is its author's.
        """
        rng = np.random.default_rng(seed)
        end = len(self.tried) + tries
        first = np.array([one.share(start[one.field]) for one in self.ranges])
        if len(self.ranges) == 1:
            return self._line(first, tries)
        if not near:
            self._spread_tries(min(round(_SPREAD_SHARE * tries), _MOST_SPREAD * len(self.ranges)), rng)
        looks, size = 0 if near else _LOOKS, 0
        begun: list[Any] = []
        for restart in range(_MOST_RESTARTS):
            if len(self.tried) >= end:
                return None
            look, wide = restart < looks, restart > looks and (restart - looks) % 2 == 1
            best = self._best_shares()
            if restart:
                first = self._elsewhere(begun, rng) if look or wide or best is None else best
            elif best is not None:
                first = best
            begun.append(first)
            strategy = _strategy(first, _FIRST_STEP if wide else _NEAR_STEP, size, rng)
            size = _MORE_EACH_RESTART * strategy.popsize if wide else size
            short = len(self.tried) + round(_LOOK_SHARE * tries)
            self._generations(strategy, min(end, short) if look else end)
        return None

    def _spread_tries(self, many: int, rng: np.random.Generator) -> None:
        """Try designs spread evenly over the ranges.

        Source: a Latin square in each pair of measures, McKay, Beckman and Conover 1979 (from memory).
        """
        strata = rng.permuted(np.tile(np.arange(many), (len(self.ranges), 1)), axis=1).T
        shares = (strata + rng.random(strata.shape)) / many
        # past the ends, and so at them: designs that a range holds lie there
        shares = np.clip(shares * (1 + 2 * _PAST_ENDS) - _PAST_ENDS, 0, 1)
        for begin in range(0, many, _BATCH):
            self.at([self._point(one) for one in shares[begin : begin + _BATCH]])

    def _elsewhere(self, begun: Sequence[Any], rng: np.random.Generator) -> Any:
        """Return where the best design lies that is apart from each start so far; anywhere where there is none."""
        for one in sorted(self.tried, key=self.loss):
            shares = self._shares(one)
            if all(np.linalg.norm(shares - start) > _APART for start in begun):
                return shares
        return rng.random(len(self.ranges))

    def _generations(self, strategy: Any, end: int) -> None:
        """Run generations of a strategy until it has converged or enough was tried."""
        while len(self.tried) < end and not strategy.stop():
            shares = strategy.ask()
            found = self.at([self._point(one) for one in shares])
            strategy.tell(shares, [self.loss(one) for one in found])

    def _line(self, first: Any, tries: int) -> None:
        """DesignSearch along one measure, which the method does not take: evenly, then ever closer round the best."""
        shares, width = np.linspace(0, 1, max(3, tries // 2)), 1.0
        self.at([self._point([share]) for share in (*first, *shares)])
        # judged: a quarter of the tries that are left each time, on a third of the width
        for _ in range(4):
            width /= 3 if width < 1 else len(shares) / 2
            best = self._best_shares()
            middle = float(first[0] if best is None else best[0])
            near = np.linspace(middle - width / 2, middle + width / 2, max(2, tries // 8))
            self.at([self._point([min(1.0, max(0.0, share))]) for share in near])

    def _point(self, shares: Sequence[float]) -> dict[str, float]:
        """Return the measures at shares of their ranges."""
        return {one.field: one.value(float(share)) for one, share in zip(self.ranges, shares, strict=True)}

    def _best_shares(self) -> Any:
        """Return where the best design lies; None where none was tried."""
        if self.best is None:
            return None
        return self._shares(self.best)

    def _shares(self, tried: Weighed) -> Any:
        """Return where a design lies in its ranges."""
        return np.array([one.share(tried.values[one.field]) for one in self.ranges])


def _strategy(first: Any, step: float, size: int, rng: np.random.Generator) -> Any:
    """Return a strategy that draws from its own random numbers, not from those that all threads share."""
    options = {
        "bounds": [0, 1],
        "verbose": -9,
        "seed": np.nan,
        "randn": lambda *shape: rng.standard_normal(shape),
        # judged: as fine as a workshop measures, of each range, and as a scale tells [g]
        "tolx": 1e-3,
        "tolfun": 0.05,
    }
    if size:
        options["popsize"] = size
    library = import_module("cma")  # late: no other question needs it
    return library.CMAEvolutionStrategy(first, step, options)


def spread_front(tried: Sequence[TriedDesign]) -> list[TriedDesign]:
    """Return the designs of which none beats another in mass, grams saved, margin and price, the lightest first."""
    front: list[TriedDesign] = []
    for one in sorted(tried, key=lambda two: (two.design_g, -two.saved_g, -(two.margin or 0.0), two.price or 0.0)):
        if not any(_beats(two, one) for two in front):
            front.append(one)
    return _spread(front)


def _beats(one: TriedDesign, other: TriedDesign) -> bool:
    """Tell whether a design is nowhere worse than another."""
    return (
        one.design_g <= other.design_g
        and one.saved_g >= other.saved_g
        and (one.margin or 0.0) >= (other.margin or 0.0)
        and (one.price or 0.0) <= (other.price or 0.0)
    )


def _spread(front: list[TriedDesign]) -> list[TriedDesign]:
    """Return at most so many designs of a front, spread over their masses; the one that saves most stays."""
    if len(front) <= _MOST_POINTS:
        return front
    step = (len(front) - 1) / (_MOST_POINTS - 1)
    kept = {round(number * step) for number in range(_MOST_POINTS)}
    kept.add(max(range(len(front)), key=lambda place: front[place].saved_g))
    return [front[place] for place in sorted(kept)]
