"""What kits with a tool more serve along an axis, and what they could with all lighter tools, by times of all cases."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from catalog.tables.number import Bools, Floats, Ints
from solver.search.branching_data import Mask
from solver.several.axis_times import AxisTimes

_FEW = 8  # measured: of so many cases one is picked sooner than all are looked at
_BLOCK = 2_000_000  # judged: times of one kit looked at together, 16 MB


@dataclass(frozen=True)
class ChanceLook:
    """A kit with one more of T tools, in E cases.

    Attributes:
        lighter: how many of the tools before each, the lightest first, the room leaves beside it, int[T].
        near: the cases that it serves by times with all these lighter tools too, bool[E, T].
        beyond: the weight of the latter and of those that are served for sure, int[T].
        upto: that weight with all tools before it, whatever the room, int[T].
    """

    lighter: Ints
    near: Bools
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
        gone: the weight that it serves for sure.
        most: a weight that is no less than what is served beyond it, whatever the limit.
    """

    kit: Mask
    mass: int
    tools: Ints
    cases: Ints
    times: Floats
    gone: int
    most: int


class ChanceBounds:
    """Bounds for many cases at once."""

    def __init__(self, laid: AxisTimes, weights: Sequence[int]) -> None:
        """Take up the times, and the weight of each case."""
        self.laid = laid
        self.weights = np.array(weights, dtype=np.int64 if sum(weights) < 2**62 else object)

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

    def served(self, times: Floats, held: Ints, cases: Ints) -> Bools:
        """Tell which cases are served by times of their jobs [..., J, E] and so many backups [..., B, E]."""
        found = self.laid.day(times, cases) <= self.laid.cap[cases]
        if self.laid.backed:
            found &= (held >= self.laid.backup[:, cases]).all(axis=-2)
        return np.asarray(found)

    def look(
        self, times: Floats, held: Ints, tools: Ints, cases: Ints, gone: int, room: int, *, far: bool
    ) -> ChanceLook:
        """Return what a kit with one tool more does.

        Args:
            times: of the kit at the jobs of the cases, float[J, E].
            held: how many of its tools are able at each job with a backup, int[B, E].
            tools: those that may be added, ascending, int[T].
            cases: E of them.
            gone: the weight that is served for sure.
            room: what may be added to the kit [0.01 g].
            far: whether to look beyond the room; else `upto` is the weight of all that is open.
        """
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
        weights = self.weights[cases]
        return ChanceLook(lighter, near, gone + weights @ near, gone + weights @ upto)


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
