"""The search for the best measures: designs spread evenly, short looks in the best basins, descents along the limits.

A basin is all designs whose kits carry other tools of one mass: between basins grams fall in steps.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from importlib import import_module
from typing import Any

import numpy as np

from catalog.maths.stratified import even_draws
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
# judged: then so many looks, each within a basin of its own, with so many of the tries
_LOOKS, _LOOK_SHARE = 3, 0.06
# judged: designs that lie closer, in shares of the ranges, are one start
_APART = 0.15
# judged: other tools as heavy as those of a kit are the same basin [g]
_SAME_G = 0.5
# a penalty beyond any grams, below that of a broken limit
_LEFT_BASIN = 1e5
# judged: later every third restart begins elsewhere and wider, with twice the designs of a generation
_MORE_EACH_RESTART = 2
_MOST_RESTARTS = 40
# judged: iterations of a descent along the limits, its steps of difference in shares of a range, and its share of tries
_DESCENTS, _DIFFERENCE, _DESCENT_SHARE = 15, 0.01, 0.12
# judged: how far back towards its start a design is tried that lies a hair beyond a limit
_BACK = (0.0, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1)
# judged: designs of a front that a reader looks at
_MOST_POINTS = 30


class _Enough(Exception):
    """A descent has used its tries, or left what can be drawn."""


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
        others_g: what the kits with a design weigh without it [g]. It falls in steps, as kits lose tools.
        bounds: how far a design that can be drawn lies within each limit, and within the basin of kits whose other
            tools weigh so much [g]: all 0 or more where it does; None where the trips are too many.
        tried: every design in the order in which it was tried.
        best: the one of least loss, the first of equals.
    """

    ranges: Sequence[SearchRange]
    weigh: Weigh
    loss: Callable[[Weighed], float]
    others_g: Callable[[Weighed], float]
    bounds: Callable[[Weighed, float], list[float]] | None
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
        """Search until so many designs were tried: spread first, then looks in the best basins, then from the best.

        Args:
            start: the measures by field, where nothing was tried yet; else the search begins from the best.
            tries: how many designs at most.
            seed: of the random numbers.
            near: whether the start is good already, so that none are spread first.

        Looks and restarts are covariance matrix adaptation.

        Source: Hansen 2016, The CMA Evolution Strategy: A Tutorial (from memory); the library is its author's.
        """
        rng = np.random.default_rng(seed)
        end = len(self.tried) + tries
        first = np.array([one.share(start[one.field]) for one in self.ranges])
        if len(self.ranges) == 1:
            return self._line(first, tries)
        descent = round(_DESCENT_SHARE * tries)
        if not near:
            self._spread_tries(min(round(_SPREAD_SHARE * tries), _MOST_SPREAD * len(self.ranges)), seed)
            self._looks(round(_LOOK_SHARE * tries), descent, end, rng)
        begun: list[Weighed] = []
        size = 0
        for restart in range(_MOST_RESTARTS):
            if len(self.tried) >= end or self.best is None:
                return None
            if restart % 3 == 0 and self.bounds is not None and self.best.allowed:
                self._descend(self.best, min(end, len(self.tried) + descent))
                continue
            wide = restart % 3 == 2
            begun.append(self._elsewhere(begun) if wide else self.best)
            strategy = _strategy(self._shares(begun[-1]), _FIRST_STEP if wide else _NEAR_STEP, size, rng)
            size = _MORE_EACH_RESTART * strategy.popsize if wide else size
            self._generations(strategy, end, self.loss)
        return None

    def _looks(self, tries: int, descent: int, end: int, rng: np.random.Generator) -> None:
        """Search shortly in each of the best basins for a lighter design, then descend along its limits."""
        begun: list[Weighed] = []
        for _ in range(_LOOKS):
            start = self._elsewhere(begun)
            begun.append(start)
            within, so_far = self._within(start), len(self.tried)
            self._generations(_strategy(self._shares(start), _NEAR_STEP, 0, rng), min(end, so_far + tries), within)
            if self.bounds is not None and start.allowed:
                self._descend(min([start, *self.tried[so_far:]], key=within), min(end, len(self.tried) + descent))

    def _descend(self, start: Weighed, end: int) -> None:
        """Make a design lighter along its limits and the edge of its basin, where most light designs lie.

        Source: sequential least squares programming, Kraft 1988 (from memory); the library is scipy.
        """
        basin_g, known = self.others_g(start) + _SAME_G, dict[bytes, tuple[Weighed, list[float]]]()
        assert self.bounds is not None
        measured = self.bounds
        most = len(measured(start, basin_g))

        def at(shares: Any) -> tuple[Weighed, list[float]]:
            key = np.asarray(shares).tobytes()
            if key not in known:
                if len(self.tried) >= end:
                    raise _Enough
                (one,) = self.at([self._point(shares)])
                rooms = [] if one.candidate is None else measured(one, basin_g)
                if len(rooms) != most:
                    raise _Enough
                known[key] = one, rooms
            return known[key]

        first = self._shares(start)
        # in shares of the first mass
        scale = start.packed_g
        with suppress(_Enough):
            found = import_module("scipy.optimize").minimize(
                lambda shares: at(shares)[0].packed_g / scale,
                first,
                method="SLSQP",
                bounds=[(0, 1)] * len(self.ranges),
                constraints={"type": "ineq", "fun": lambda shares: np.array(at(shares)[1])},
                options={"maxiter": _DESCENTS, "eps": _DIFFERENCE, "ftol": 1e-5},
            )
            left = max(1, end - len(self.tried))
            self.at([self._point(found.x + back * (first - found.x)) for back in _BACK[:left]])

    def _within(self, start: Weighed) -> Callable[[Weighed], float]:
        """Return a loss that keeps to a basin: to designs whose kits carry no heavier other tools than a start's do."""
        basin_g = self.others_g(start) + _SAME_G

        def loss(one: Weighed) -> float:
            left = one.allowed and self.others_g(one) > basin_g
            return self.loss(one) + (_LEFT_BASIN if left else 0.0)

        return loss

    def _spread_tries(self, many: int, seed: int) -> None:
        """Try designs spread evenly over the ranges, a Latin hypercube."""
        shares = np.column_stack([even_draws(name=one.field, count=many, seed=seed) for one in self.ranges])
        # past the ends, and so at them: designs that a range holds lie there
        shares = np.clip(shares * (1 + 2 * _PAST_ENDS) - _PAST_ENDS, 0, 1)
        for begin in range(0, many, _BATCH):
            self.at([self._point(one) for one in shares[begin : begin + _BATCH]])

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

    def _generations(self, strategy: Any, end: int, loss: Callable[[Weighed], float]) -> None:
        """Run generations of a strategy until it has converged or enough was tried."""
        while len(self.tried) < end and not strategy.stop():
            shares = strategy.ask()
            found = self.at([self._point(one) for one in shares])
            strategy.tell(shares, [loss(one) for one in found])

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
