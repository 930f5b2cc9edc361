"""A bound in grams by prices: what each job is worth, and what a millisecond of the work limit costs.

Let a job be worth v and a millisecond cost p. Whatever a tool is worth at a job beyond its time there, summed over the
jobs, may not exceed its mass; what is left of its mass is its reduced mass r. Then no kit that keeps the work limit
weighs less than the worth of all jobs less p times the limit, plus the reduced masses of its tools: a tool of much
reduced mass is in no light kit. This is the dual of the linear program of uncapacitated location (Erlenkotter 1978),
with the limit priced in (Geoffrion 1974). The best prices are found by cutting planes (Kelley 1960): a row for a tool
and the jobs at which it is worth something, as soon as it is found broken.

Any prices give a bound: they are rounded to whole numbers of a small unit and the bound is summed from these anew, so
no solver's tolerance enters.
"""

from bisect import bisect_right
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate
from math import ceil, log2

import numpy as np

from catalog.tables.number import Bools, Floats, Ints
from solver.forms.effort import Effort
from solver.programs.engine import BrokenOff, Engine, Status
from solver.programs.linear_model import Model, make_row

_MOST_ROUNDS = 40  # judged: most prices are found in a half of that
_ROWS_A_ROUND = 20  # judged: broken rows added in a round, the most broken first
_INWARD = 0.5  # judged: rows are sought between the best prices and the program's, which halves the rounds
_CLOSE = 1e-2  # judged: the bound may be so far below the best
_EXACT_BITS = 50  # whole numbers of fewer bits, a few of them added up, are exact
_LONGEST = 2**49  # ms, longer than any time that is not never
_BROKEN = 1e-9  # of the median mass: a row broken by less is held


@dataclass(frozen=True)
class Dual:
    """A bound: no kit is lighter than the base and the reduced masses of its tools, int[T].

    All in units, of which so many are 0.01 g.
    """

    base: int
    reduced: Ints
    unit: int

    @property
    def least(self) -> int:
        """The mass that every kit has at least [0.01 g]."""
        return max(0, -(-self.base // self.unit))

    def fits(self, limit: int, used: int) -> Bools:
        """Tell which tools can go within a mass [0.01 g] beside tools of so much reduced mass [units]."""
        found: Bools = self.reduced <= limit * self.unit - self.base - used
        return found

    @cached_property
    def _by_reduced(self) -> tuple[list[int], list[int]]:
        """The reduced masses, least first, and the sets of those before each, as bits of whole numbers."""
        order = np.argsort(self.reduced, kind="stable").tolist()
        return self.reduced[order].tolist(), list(accumulate((1 << tool for tool in order), int.__or__, initial=0))

    def mask(self, limit: int, used: int) -> int:
        """Return the tools of `fits` as the bits of a whole number."""
        reduced, sets = self._by_reduced
        return sets[bisect_right(reduced, limit * self.unit - self.base - used)]


@dataclass(frozen=True)
class _Prices:
    """What each job is worth, and what a day's work costs, as shares of the median mass; and the bound they give."""

    worth: Floats
    day: float
    bound: float


class _Pricing:
    """The search for the best prices."""

    def __init__(self, mass: Ints, times: Floats, cap: float, start: Floats, *, endless: float) -> None:
        """Lay out the linear program: prices with rows only for what weighs nothing.

        Args:
            mass: of each tool [0.01 g].
            times: of each job by each tool [ms], `endless` where it can't, float[J, T].
            cap: the work limit [ms], rounded down where it is not whole.
            start: the time of each job without a tool, float[J].
            endless: a time that stands for never.
        """
        self.unit = max(float(np.median(mass)), 1.0)
        self.mass = mass / self.unit
        self.grams, self.times, self.start, self.cap = mass, times, start, max(1, int(cap))
        self.able: Bools = times < endless
        self.share = np.where(self.able, times, 0.0) / cap
        weightless = np.concatenate([start[:, None], times[:, mass == 0]], axis=1).min(axis=1)
        self.capped: Bools = weightless < endless  # jobs worth at most what the time of what weighs nothing costs
        self.most = np.where(self.capped, weightless / cap, 0.0)
        model = Model()
        self.worth = [model.column(high=float(self.mass.sum())) for _ in start]
        self.day = model.column(high=None)
        for job in np.flatnonzero(self.capped).tolist():
            model.row([(self.worth[job], 1.0), (self.day, -float(self.most[job]))], high=0.0)
        self.model = model

    def best(self, *, effort: Effort) -> _Prices:
        """Return the best prices found."""
        engine = Engine(self.model, solver="highs", effort=effort)
        cost = dict.fromkeys(self.worth, -1.0) | {self.day: 1.0}
        best = _Prices(np.zeros(len(self.worth)), 0.0, 0.0)
        for _ in range(_MOST_ROUNDS):
            try:
                outcome = engine.minimise(cost)
            except BrokenOff:
                break
            if outcome.status is not Status.OPTIMAL or outcome.values is None:
                break
            worth, day = np.array(outcome.values[:-1]), max(float(outcome.values[-1]), 0.0)
            most = float(worth.sum()) - day
            between = _INWARD * best.worth + (1 - _INWARD) * worth, _INWARD * best.day + (1 - _INWARD) * day
            for prices in (self.fitted(worth, day), self.fitted(*between)):
                best = prices if prices.bound > best.bound else best
            if best.bound >= most * (1 - _CLOSE):
                break
            if not self.add_rows(engine, *between) and not self.add_rows(engine, worth, day):
                break
        return best

    def gains(self, worth: Floats, day: float) -> Floats:
        """Return what each tool is worth at each job beyond its time, float[J, T]."""
        return np.where(self.able, np.maximum(worth[:, None] - day * self.share, 0.0), 0.0)

    def fitted(self, worth: Floats, day: float) -> _Prices:
        """Return prices made to fit: lowered until no tool is worth more than its mass."""
        worth = np.where(self.capped, np.minimum(worth, day * self.most), worth)
        gains = self.gains(worth, day).sum(axis=0)
        over = gains > self.mass
        factor = float((self.mass[over] / gains[over]).min(initial=1.0))
        return _Prices(worth * factor, day * factor, factor * (float(worth.sum()) - day))

    def add_rows(self, engine: Engine, worth: Floats, day: float) -> bool:
        """Add the rows that prices break most; tell whether there were any."""
        gains = self.gains(worth, day)
        over = gains.sum(axis=0) - self.mass
        broken = [int(tool) for tool in np.argsort(-over)[:_ROWS_A_ROUND] if over[tool] > _BROKEN]
        for tool in broken:
            jobs = np.flatnonzero(gains[:, tool] > 0).tolist()
            terms = [(self.worth[job], 1.0) for job in jobs]
            engine.add_row(
                make_row([*terms, (self.day, -float(self.share[jobs, tool].sum()))], high=float(self.mass[tool]))
            )
        return bool(broken)

    def dual(self, prices: _Prices) -> Dual:
        """Return the bound that prices give, summed in whole numbers."""
        whole = max(float(prices.worth.sum()), prices.day, float(self.mass.sum()), 1.0) * self.unit
        unit = 1 << max(0, _EXACT_BITS - ceil(log2(whole)))
        worth = np.floor(prices.worth * self.unit * unit).astype(np.int64)
        price = int(prices.day * self.unit * unit / self.cap)
        gains = _gains(worth, price, self.times)
        reduced = self.grams * unit - gains.sum(axis=0)
        base = int(worth.sum()) - price * self.cap - int(_gains(worth, price, self.start[:, None]).sum())
        return Dual(base + int(np.minimum(reduced, 0).sum()), np.maximum(reduced, 0), unit)


def _gains(worth: Ints, price: int, times: Floats) -> Ints:
    """Return what workers are worth at each job beyond the price of their times [ms], int[J, T]."""
    most = worth // price if price else np.where(worth > 0, _LONGEST, -1)  # times at which anything is left
    pays = times <= most[:, None]
    return np.where(pays, worth[:, None] - price * np.where(pays, times, 0).astype(np.int64), 0)


def dual_of(mass: Ints, times: Floats, cap: float, start: Floats, *, endless: float, effort: Effort) -> Dual:
    """Return the best bound by prices that is found; see `_Pricing`."""
    pricing = _Pricing(mass, times, cap, start, endless=endless)
    return pricing.dual(pricing.best(effort=effort))
