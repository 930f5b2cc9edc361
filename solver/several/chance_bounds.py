"""What kits with a tool more serve along an axis, and what they could with all lighter tools, by times of all cases.

Prices tell of each case by itself what kits that serve it weigh at least. Let a job of it be worth v, a part of its
work limit p, and one more able tool where a backup is asked for w. What a tool is worth at its jobs beyond its time
there is taken from its mass; what is left is its reduced mass. No kit that serves the case weighs less than a base and
the reduced masses of its tools: the Lagrangean bound of the linear relaxation (Geoffrion 1974; see
`solver.search.dual`). Any prices give one. They follow the subgradient, in steps that aim a little above the best bound
so far (Polyak 1969; both from memory), all cases at once.
"""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from math import ceil

import numpy as np

from catalog.tables.number import Bools, Floats, Ints
from solver.forms.effort import Effort, Unfinished
from solver.forms.quantity import GRAMS_PER_KG
from solver.search.branching_data import ENDLESS, Mask
from solver.several.axis_times import AxisTimes
from solver.siblings.kit_days import burnt_shares

_FEW = 8  # measured: of so many cases one is picked sooner than all are looked at
_BLOCK = 2_000_000  # judged: times of one kit looked at together, 16 MB
_STEPS = 120  # judged: prices that are tried
_AIM = 1.06  # judged: the bound that a step aims at, as a part of the best
_PATIENCE = 8  # judged: steps without a better bound after which they are halved
_PRICED_BLOCK = 200_000  # judged: times looked at together, 1.6 MB
_TRUST = 1e-9  # far above what sums of floats are off by, as a part of all that is added up


@dataclass(frozen=True)
class ChanceLook:
    """A kit with one more of T tools, in the E cases that it does not serve by times itself.

    Attributes:
        lighter: how many of the tools before each, the lightest first, the room leaves beside it, int[T].
        short: these cases, as places among those of the kit, int[E].
        near: which it serves by times with all these lighter tools too, where prices let it, bool[E, T].
        priced: whether prices kept it from some case, bool[T].
        beyond: the weight of the latter and of those that the kit serves by times or for sure, int[T].
        upto: that weight with all tools before it, whatever the room, int[T].
    """

    lighter: Ints
    short: Ints
    near: Bools
    priced: Bools
    beyond: Ints
    upto: Ints


@dataclass(slots=True, eq=False)
class ChanceNode:
    """A kit on the way.

    Attributes:
        kit: its tools.
        mass: theirs [0.01 g].
        tools: those that may be added, ascending.
        cases: those that it does not serve, and that may be served beyond it.
        times: of its jobs in these, float[J, E].
        timely: which of these it serves by times, bool[E].
        gone: the weight that it serves for sure.
        most: a weight that is no less than what is served beyond it, whatever the limit.
    """

    kit: Mask
    mass: int
    tools: Ints
    cases: Ints
    times: Floats
    timely: Bools
    gone: int
    most: int

    def keep(self, stay: Bools) -> None:
        """Let the other cases go."""
        self.cases, self.times, self.timely = self.cases[stay], self.times[:, stay], self.timely[stay]


class ChanceBounds:
    """Bounds for many cases at once."""

    def __init__(self, laid: AxisTimes, weights: Sequence[int]) -> None:
        """Take up the times, and the weight of each case."""
        self.laid = laid
        self.weights = np.array(weights, dtype=np.int64 if sum(weights) < 2**62 else object)
        self.prices: _DrawPrices | None = None

    def weight_of(self, cases: Ints) -> int:
        """Return the weight of some cases."""
        return int(self.weights[cases].sum())

    def times_of(self, tools: Ints, cases: Ints) -> Floats:
        """Return the least times of some tools together in some cases, float[J, E]."""
        if len(cases) * _FEW < self.laid.size:
            least = self.laid.start[:, cases]
            for tool in tools.tolist():
                np.minimum(least, self.laid.times[tool][:, cases], out=least)
            return least
        least = self.laid.start.copy()  # to pick the cases of each tool takes longer than all of them
        for tool in tools.tolist():
            np.minimum(least, self.laid.times[tool], out=least)
        return least[:, cases]

    def backed_by(self, tools: Ints, cases: Ints) -> Ints:
        """Return how many of some tools are able at each job with a backup in some cases, int[B, E]."""
        return np.asarray(self.laid.able[tools][:, :, cases].sum(axis=0))

    def served(self, times: Floats, tools: Ints, cases: Ints) -> Bools:
        """Tell which cases some tools serve by the times of their jobs, float[J, E]."""
        found = self.laid.day(times, cases) <= self.laid.cap[cases]
        if self.laid.backed:
            found &= (self.backed_by(tools, cases) >= self.laid.backup[:, cases]).all(axis=0)
        return np.asarray(found)

    def among(self, cases: Ints, others: Ints) -> Bools:
        """Tell which of some cases are among others."""
        found = np.zeros(self.laid.size, dtype=bool)
        found[others] = True
        return np.asarray(found[cases])

    def price(self, must: Ints, *, effort: Effort) -> None:
        """Find prices of kits that hold some tools, if the time of an effort allows."""
        with suppress(Unfinished):
            self.prices = _draw_prices(self.laid, must, effort=effort)

    def least_mass(self, weight: int) -> int:
        """Return a mass that no kit for a weight of the cases is below, as prices tell it [0.01 g]."""
        if self.prices is None:
            return 0
        order = self.prices.base.argsort(kind="stable")
        place = int(np.searchsorted(self.weights[order].cumsum(), weight))
        return 0 if place == len(order) else max(0, ceil(self.prices.base[order[place]]))

    def look(self, node: ChanceNode, kit: Ints, tools: Ints, limit: int, *, far: bool) -> ChanceLook:
        """Return what a kit with one tool more does.

        Args:
            node: the kit.
            kit: its tools, ascending.
            tools: those that may be added, ascending, int[T].
            limit: what it may weigh with others [0.01 g].
            far: whether to look beyond that; else `upto` is the weight of all that is open.
        """
        short = np.flatnonzero(~node.timely)  # more tools serve the others by times too
        times, cases, room = node.times[:, short], node.cases[short], limit - node.mass
        gone, held = node.gone + self.weight_of(node.cases[node.timely]), self.backed_by(kit, cases)
        laid, masses = self.laid, self.laid.masses[tools]
        lighter = np.minimum(np.searchsorted(masses, room - masses, side="right"), np.arange(len(tools)))
        each = max(1, _BLOCK // max(1, len(tools) * (3 + laid.classes + laid.backed)))
        near, upto = (np.ones((len(cases), len(tools)), dtype=bool) for _ in range(2))
        for first in range(0, len(cases), each):
            part = slice(first, first + each)
            found = _looked(laid, times[:, part], held[:, part], tools, cases[part], lighter, far=far)
            near[part] = found[0].T
            if far:
                upto[part] = found[1].T
        priced: Bools = np.zeros(len(tools), dtype=bool)
        if self.prices is not None:
            fits = self.prices.fits(kit, tools, cases, limit)
            priced = np.asarray((near & ~fits).any(axis=0))
            near &= fits
        weights = self.weights[cases]
        return ChanceLook(lighter, short, near, priced, gone + weights @ near, gone + weights @ upto)


def _looked(
    laid: AxisTimes, times: Floats, held: Ints, tools: Ints, cases: Ints, lighter: Ints, *, far: bool
) -> list[Bools]:
    """Tell of each tool which cases a kit serves with it and the lighter ones, and if asked with all before it.

    Job by job, so that what is looked at stays near, and at each only by the tools that quicken it in some case.
    """
    count, size = len(tools), len(cases)
    which: slice | Ints = slice(count) if int(tools[-1]) == count - 1 else tools
    quickens, every, places = laid.quickens[which], size == laid.size, np.arange(count)
    sums: list[list[Floats]] = [[] for _ in range(1 + far)]
    for jobs in laid.parts:
        totals = [np.zeros((count, size)) for _ in sums]
        for job in jobs:
            some = quickens[:, job].nonzero()[0]
            each = laid.times[tools[some], job]
            each = np.minimum(each if every else each[:, cases], times[job])
            ahead = np.empty((len(some) + 1, size))  # the least times of the first tools, of none first
            ahead[0] = times[job]
            np.minimum.accumulate(each, axis=0, out=ahead[1:])
            near = ahead[some.searchsorted(lighter)]
            near[some] = np.minimum(each, near[some])
            totals[0] += near
            if far:
                totals[1] += ahead[some.searchsorted(places, side="right")]
        for kind, found in zip(sums, totals, strict=True):
            kind.append(found)
    served = [laid.day_of(kind, cases) <= laid.cap[cases] for kind in sums]
    if laid.backed:
        able, wanted = laid.able[which][:, :, cases], laid.backup[:, cases] - held
        before = np.append(np.zeros_like(able[:1], dtype=np.int64), able.cumsum(axis=0), axis=0)
        served[0] &= (able + before[lighter] >= wanted).all(axis=1)
        if far:
            served[1] &= (before[1:] >= wanted).all(axis=1)
    return served


@dataclass(frozen=True)
class _DrawPrices:
    """No kit that serves a case is lighter than its base and the reduced masses of its tools [0.01 g].

    Attributes:
        base: of each case, float[E].
        reduced: of each tool in each case, 0 or more, float[T, E].
    """

    base: Floats
    reduced: Floats

    def least(self, tools: Ints, cases: Ints) -> Floats:
        """Return the mass that no kit with some tools is below that serves a case, float[E]."""
        return np.asarray(self.base[cases] + self.reduced[tools][:, cases].sum(axis=0))

    def fits(self, kit: Ints, tools: Ints, cases: Ints, limit: int) -> Bools:
        """Tell which cases a kit within a mass [0.01 g] may serve with one tool more, bool[E, T]."""
        return np.asarray((limit - self.least(kit, cases))[:, None] >= self.reduced[tools][:, cases].T)


def _draw_prices(laid: AxisTimes, must: Ints, *, effort: Effort) -> _DrawPrices:
    """Return a bound for each case.

    Args:
        laid: times of the tools in the cases.
        must: tools that go in any case (places).
        effort: what it may cost.

    Raises:
        Unfinished: its time is over.
    """
    base, reduced = np.zeros(laid.size), np.zeros((laid.tools, laid.size))
    each = max(1, _PRICED_BLOCK // max(1, laid.tools * laid.jobs))
    for first in range(0, laid.size, each):
        cases = np.arange(first, min(first + each, laid.size))
        base[cases], reduced[:, cases] = _Pricing(laid, must, cases).best(effort)
    return _DrawPrices(base, reduced)


class _Pricing:
    """The search for good prices of some cases."""

    def __init__(self, laid: AxisTimes, must: Ints, cases: Ints) -> None:
        """Lay the relaxations out: amounts as parts of a job or of the day's firewood, times as parts of the limit."""
        self.mass = laid.masses[: laid.tools].astype(float)[:, None]
        self.must = np.zeros((laid.tools, 1), dtype=bool)
        self.must[must] = True
        cap, demand = laid.cap[cases], laid.demand[cases]
        self.limited = (cap > 0).astype(float)
        of_cap = np.divide(1.0, cap, out=np.zeros_like(cap), where=cap > 0)
        amount = np.ones((laid.jobs, len(cases)))
        amount[: laid.fixed] *= GRAMS_PER_KG if laid.classes else 1
        amount[laid.fixed :] = demand
        part = np.divide(laid.reach[:, cases], demand, out=np.zeros((laid.classes, len(cases))), where=demand > 0)
        self.reach = np.minimum(part, 1.0)
        self.most = np.ones((laid.jobs, len(cases)))  # of a job that one tool can do
        self.most[laid.fixed :] = self.reach.repeat(laid.in_class, axis=0)
        self.fixed, self.classes, self.in_class = laid.fixed, laid.classes, laid.in_class
        times, start = laid.times[:, :, cases], laid.start[:, cases]
        self.able, self.started = times < ENDLESS, start < ENDLESS
        self.share = np.where(self.able, times, 0.0) * (amount * of_cap)
        self.start = np.where(self.started, start, 0.0) * (amount * of_cap)
        self.gather = laid.gather[:, cases] * (demand * of_cap)
        self.backed = laid.able[:, :, cases].astype(float)
        self.backup = laid.backup[:, cases].astype(float)

    def best(self, effort: Effort) -> tuple[Floats, Floats]:
        """Return the base of each case, and the reduced masses, of the best prices found.

        Raises:
            Unfinished: the time is over.
        """
        shape = self.start.shape
        worth, day, spare = np.zeros(shape), np.zeros(shape[1]), np.zeros(self.backup.shape)
        best, reduced = np.full(shape[1], -np.inf), np.zeros((len(self.mass), shape[1]))
        pace, stalled = np.ones(shape[1]), np.zeros(shape[1], dtype=np.int64)
        unit = float(np.median(self.mass)) or 1.0
        for _ in range(_STEPS):
            effort.go_on()
            bound, left, slopes = self.told(worth, day, spare)
            better = bound > best
            best = np.where(better, bound, best)
            reduced[:, better] = left[:, better]
            stalled = np.where(better, 0, stalled + 1)
            pace = np.where(stalled == _PATIENCE, pace / 2, pace)
            stalled[stalled == _PATIENCE] = 0
            norm = sum(np.atleast_2d(slope * slope).sum(axis=0) for slope in slopes)
            gap = np.maximum(_AIM * best, best + unit / 20) - bound
            step = np.divide(pace * gap, norm, out=np.zeros(shape[1]), where=norm > 0)
            worth, day, spare = (
                np.maximum(price + step * slope, 0.0) for price, slope in zip((worth, day, spare), slopes, strict=True)
            )
        return best, np.maximum(reduced, 0.0)

    def told(self, worth: Floats, day: Floats, spare: Floats) -> tuple[Floats, Floats, tuple[Floats, Floats, Floats]]:
        """Return the bound by some prices, a little less than it is, the reduced masses, and how it rises with prices.

        Args:
            worth: of each job [0.01 g], float[J, E].
            day: of the whole work limit [0.01 g], float[E].
            spare: of each tool that a backup asks for [0.01 g], float[B, E].
        """
        gain = worth - day * self.share
        gains = self.able & (gain > 0)
        taken = np.where(gains, gain, 0.0) * self.most
        reduced = self.mass - taken.sum(axis=1) - (spare * self.backed).sum(axis=1)
        there = self.must | (reduced < 0)
        free = self.started & (worth > day * self.start)
        saved = np.where(free, worth - day * self.start, 0.0) * self.most
        kilograms = worth[self.fixed :].reshape(self.classes, self.in_class, len(day)).sum(axis=1)
        price = kilograms + day * self.gather
        burnt = burnt_shares(price, self.reach, axis=0)
        parts = (worth[: self.fixed].sum(axis=0), (price * burnt).sum(axis=0), (spare * self.backup).sum(axis=0))
        lost = day * self.limited, saved.sum(axis=0), -np.where(there, reduced, 0.0).sum(axis=0)
        bound = sum(parts) - sum(lost)
        bound -= _TRUST * (sum(parts) + lost[0] + lost[1] + np.abs(reduced).sum(axis=0))
        used = (gains & there[:, None]) * self.most  # of each job by each tool
        own = self.most * free
        due = np.ones_like(worth)
        due[self.fixed :] = burnt.repeat(self.in_class, axis=0)
        slopes = (
            due - used.sum(axis=0) - own,
            (burnt * self.gather).sum(axis=0)
            + (used * self.share).sum(axis=(0, 1))
            + (own * self.start).sum(axis=0)
            - self.limited,
            self.backup - (self.backed * there[:, None]).sum(axis=0),
        )
        return bound, np.where(self.must, 0.0, reduced), slopes
