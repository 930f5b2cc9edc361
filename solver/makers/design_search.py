"""The search for the best measures: designs spread evenly, descents beside each of the best kits, then evolution.

A basin is all designs whose kits carry other tools of one mass: between basins grams fall in steps.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from importlib import import_module
from typing import Any, Protocol

import numpy as np

from catalog.maths.stratified import even_draws
from catalog.tables.number import Floats
from solver.makers.best_design_answer import TriedDesign
from solver.makers.descent import Descent
from solver.makers.landing import landed
from solver.makers.measure_space import MeasureSpace
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
# judged: then so many looks, each within a basin of its own, with so many of the tries
_LOOKS, _LOOK_SHARE = 3, 0.06
# judged: designs that lie closer, in shares of the ranges, are one start
_APART = 0.15
# judged: other tools as heavy as those of a kit are the same basin [g]
_SAME_G = 0.5
# judged: how far within its limits, in their steps, the end of a descent is tried too, for measures are rounded
_HAIRS = (0.02, 0.05, 0.15)
# judged: the same at the end of a landing, where a step of reach is a whole factor of e
_FINE_HAIRS = (0.0005, 0.002, 0.005)
# judged: classes of a design that a descent goes through
_CLASSES = 3
# a penalty beyond any grams, below that of a broken limit
_LEFT_BASIN = 1e5
# judged: later every second restart begins elsewhere and wider, with twice the designs of a generation
_MORE_EACH_RESTART = 2
_MOST_RESTARTS = 40
# judged: the share of the tries that a restart may use before designs are made lighter again
_RESTART_SHARE = 0.15
# judged: kits beside which designs are made lighter before all else, and the share of the tries for that
_MOST_KITS, _KITS_SHARE = 8, 0.6
# judged: so many of the best kits take turns, so many descents each, in every round
_IN_TURN, _STARTS = 3, 2
# judged: designs of a front that a reader looks at
_MOST_POINTS = 30


class _Enough(Exception):
    """A descent has used its tries."""


Kits = tuple[tuple[str, ...], ...]
Weigh = Callable[[Sequence[Mapping[str, float]]], list[Weighed]]


class _Room(Protocol):
    """What is asked of designs beside the other tools of kits."""

    def at(self, point: Mapping[str, float]) -> tuple[float, list[float]] | None:
        """Return the mass of a design [g], and how far it lies within each limit; None where it can't be drawn."""

    def beyond(self, point: Mapping[str, float]) -> _Room | None:
        """Return the same for the class at whose end a design stands; None where it stands at no end."""


@dataclass
class DesignSearch:
    """Designs tried so far, and the best of them.

    Attributes:
        space: the measures that move.
        weigh: weighs designs at points; what it raises ends the search, with what was tried kept.
        loss: what is made least.
        others_g: what the kits with a design weigh without it [g]. It falls in steps, as kits lose tools.
        beside: returns what is asked of designs beside the other tools of a design's kits; None where it can't be told
            of those kits. The field is None where trips are too many.
        drawn_share: what a design drawn beside kits that are known costs, as a share of a try.
        tried: every design in the order in which it was tried.
        best: the one of least loss, the first of equals.
        drawn: how many designs were drawn beside kits that are known.
        descended: other tools of kits beside which designs were made lighter, and the least loss
            that a descent came to.
    """

    space: MeasureSpace
    weigh: Weigh
    loss: Callable[[Weighed], float]
    others_g: Callable[[Weighed], float]
    beside: Callable[[Weighed, Kits], _Room | None] | None
    drawn_share: float
    tried: list[Weighed] = field(default_factory=list)
    best: Weighed | None = None
    drawn: int = 0
    descended: dict[Kits, float] = field(default_factory=dict)

    def at(self, points: Sequence[Mapping[str, float]]) -> list[Weighed]:
        """Weigh designs and keep them."""
        return self.keep(self.weigh(points))

    def keep(self, found: list[Weighed]) -> list[Weighed]:
        """Return designs, kept as tried with the best of them."""
        for one in found:
            if self.best is None or self.loss(one) < self.loss(self.best):
                self.best = one
        self.tried += found
        return found

    def run(self, start: Mapping[str, float], tries: int, *, seed: int, near: bool = False) -> None:
        """Search until so many designs were tried: spread first, then beside the best kits, then from the best.

        Args:
            start: the measures by field, where nothing was tried yet; else the search begins from the best.
            tries: how many designs at most.
            seed: of the random numbers.
            near: whether the start is good already, so that none are spread first.

        Looks and restarts are covariance matrix adaptation.

        Source: Hansen 2016, The CMA Evolution Strategy: A Tutorial (from memory); the library is its author's.
        """
        rng = np.random.default_rng(seed)
        begin = self._spent
        end = begin + tries
        first = self.space.shares(start)
        if len(first) == 1:
            return self._line(first, tries)
        if not near:
            self._spread_tries(min(round(_SPREAD_SHARE * tries), _MOST_SPREAD * len(first)), seed)
            if self.beside is None:
                self._looks(round(_LOOK_SHARE * tries), end, rng)
        self._beside_kits(begin + _KITS_SHARE * tries)
        begun: list[Weighed] = []
        size = 0
        for restart in range(_MOST_RESTARTS):
            if self._spent >= end or self.best is None:
                return None
            self._again(end, rng)
            wide = restart % 2 == 1
            begun.append(self._elsewhere(begun) if wide else self.best)
            strategy = _strategy(self._shares(begun[-1]), _FIRST_STEP if wide else _NEAR_STEP, size, rng)
            size = _MORE_EACH_RESTART * strategy.popsize if wide else size
            self._generations(strategy, min(end, self._spent + _RESTART_SHARE * tries), self.loss)
            self._beside_kits(end)
        return None

    @property
    def _spent(self) -> float:
        """How many tries are used up."""
        return len(self.tried) + self.drawn_share * self.drawn

    def _looks(self, tries: int, end: float, rng: np.random.Generator) -> None:
        """Search shortly in each of the best basins for a lighter design."""
        begun: list[Weighed] = []
        for _ in range(_LOOKS):
            start = self._elsewhere(begun)
            begun.append(start)
            strategy = _strategy(self._shares(start), _NEAR_STEP, 0, rng)
            self._generations(strategy, min(end, self._spent + tries), self._within(start))

    def _beside_kits(self, end: float, most: int = _MOST_KITS) -> None:
        """Make designs lighter beside the other tools of kits: of the best kits so far, then of those with one less."""
        if self.beside is None:
            return
        for _ in range(most):
            found = self._next_kits()
            if found is None or self._spent >= end:
                return
            start, kits = found
            self._descend(start, kits, end)

    def _again(self, end: float, rng: np.random.Generator) -> None:
        """Make designs lighter once more beside the best kits in turn: from the best design, then from any."""
        if self.beside is None or self.best is None:
            return
        ranked = sorted(self.descended, key=lambda kits: self.descended[kits])[:_IN_TURN]
        starts = [one for one in self.tried if one.candidate is not None]
        for place in range(_STARTS * len(ranked)):
            if self._spent >= end:
                return
            start = starts[int(rng.integers(len(starts)))] if place else self.best
            self._descend(start, ranked[place % len(ranked)], end)

    def _next_kits(self) -> tuple[Weighed, Kits] | None:
        """Return the best design beside whose kits none was made lighter so far, and their other tools.

        Every second time these are the kits of the best design with one tool less, as long as there are such.
        """
        if self.best is not None and self.best.others is not None and len(self.descended) % 2:
            for trip, ids in enumerate(self.best.others):
                for one in ids:
                    less = tuple(name for name in ids if name != one)
                    kits = (*self.best.others[:trip], less, *self.best.others[trip + 1 :])
                    if kits not in self.descended:
                        return self.best, kits
        known = (one for one in self.tried if one.allowed and one.others is not None)
        fresh = (one for one in known if one.others not in self.descended)
        best = min(fresh, key=self.loss, default=None)
        return None if best is None or best.others is None else (best, best.others)

    def _descend(self, start: Weighed, kits: Kits, end: float) -> None:
        """Make a design lighter along its limits and along what is asked of it beside other tools.

        Where it ends at the end of its class, it goes on in the next one.
        """
        assert self.beside is not None
        least = self.descended.setdefault(kits, math.inf)
        room, place, so_far = self.beside(start, kits), self._shares(start), len(self.tried)
        for _ in range(_CLASSES):
            if room is None or self._spent >= end:
                break
            place = self._down(room, place, end)
            room = room.beyond(self.space.point(place))
        self.descended[kits] = min([least, *(self.loss(one) for one in self.tried[so_far:])])

    def _down(self, room: _Room, place: Floats, end: float, hairs: Sequence[float] = _HAIRS) -> Floats:
        """Return where a descent in a room comes to; try that, and what keeps the limits by a hair more."""

        def at(shares: Floats) -> tuple[float, list[float]] | None:
            if self._spent >= end:
                raise _Enough
            self.drawn += 1
            return room.at(self.space.point(shares))

        descent = Descent(at, place)
        with suppress(_Enough):
            descent.run()
        self.at([self.space.point(shares) for shares in (descent.place, *map(descent.within, hairs))])
        return descent.place

    def land(self) -> None:
        """Go on from the best design beside its kits to where curved limits leave nothing lighter."""
        best = self.best
        if self.beside is None or best is None or best.others is None:
            return
        room = self.beside(best, best.others)
        if room is not None:
            place = landed(lambda shares: room.at(self.space.point(shares)), self._shares(best))
            self._down(room, place, math.inf, (*_FINE_HAIRS, *_HAIRS))

    def _within(self, start: Weighed) -> Callable[[Weighed], float]:
        """Return a loss that keeps to a basin: to designs whose kits carry no heavier other tools than a start's do."""
        basin_g = self.others_g(start) + _SAME_G

        def loss(one: Weighed) -> float:
            left = one.allowed and self.others_g(one) > basin_g
            return self.loss(one) + (_LEFT_BASIN if left else 0.0)

        return loss

    def _spread_tries(self, many: int, seed: int) -> None:
        """Try designs spread evenly over the ranges, a Latin hypercube."""
        shares = np.column_stack([even_draws(name=one.field, count=many, seed=seed) for one in self.space.ranges])
        # past the ends, and so at them: designs that a range holds lie there
        shares = np.clip(shares * (1 + 2 * _PAST_ENDS) - _PAST_ENDS, 0, 1)
        for begin in range(0, many, _BATCH):
            self.at([self.space.point(one) for one in shares[begin : begin + _BATCH]])

    def _elsewhere(self, begun: Sequence[Weighed]) -> Weighed:
        """Return the best design that lies apart from each start so far and in another basin; else apart alone."""
        ranked = sorted(self.tried, key=self.loss)
        apart = [one for one in ranked if all(self._distance(one, start) > _APART for start in begun)] or ranked
        basins = [self.others_g(start) for start in begun]
        others = (one for one in apart if all(abs(self.others_g(one) - basin) > _SAME_G for basin in basins))
        return next(others, apart[0])

    def _distance(self, one: Weighed, other: Weighed) -> float:
        """Return how far two designs lie apart, in shares of the ranges."""
        return float(np.linalg.norm(self._shares(one) - self._shares(other)))

    def _generations(self, strategy: Any, end: float, loss: Callable[[Weighed], float]) -> None:
        """Run generations of a strategy until it has converged or enough was tried."""
        while self._spent < end and not strategy.stop():
            shares = strategy.ask()
            found = self.at([self.space.point(one) for one in shares])
            strategy.tell(shares, [loss(one) for one in found])

    def _line(self, first: Any, tries: int) -> None:
        """DesignSearch along one measure, which the method does not take: evenly, then ever closer round the best."""
        shares, width = np.linspace(0, 1, max(3, tries // 2)), 1.0
        self.at([self.space.point([share]) for share in (*first, *shares)])
        # judged: a quarter of the tries that are left each time, on a third of the width
        for _ in range(4):
            width /= 3 if width < 1 else len(shares) / 2
            best = self._best_shares()
            middle = float(first[0] if best is None else best[0])
            near = np.linspace(middle - width / 2, middle + width / 2, max(2, tries // 8))
            self.at([self.space.point([min(1.0, max(0.0, share))]) for share in near])

    def _best_shares(self) -> Any:
        """Return where the best design lies; None where none was tried."""
        if self.best is None:
            return None
        return self._shares(self.best)

    def _shares(self, tried: Weighed) -> Floats:
        """Return where a design lies in its ranges."""
        return self.space.shares(tried.values)


def _strategy(first: Any, step: float, size: int, rng: np.random.Generator) -> Any:
    """Return a strategy that draws from its own random numbers, not from those that all threads share."""
    options = {
        "bounds": [0, 1],
        "verbose": -9,
        "seed": np.nan,
        "randn": lambda *shape: rng.standard_normal(shape),
        # judged: as fine as a workshop measures, of each range, and as a scale tells [g]
        "tolx": 1e-3,
        "tolfun": 0.001,
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
