"""What kits with a tool more serve along an axis, and what they could with all lighter tools, by times of all cases."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from catalog.tables.number import Bools, Floats, Ints
from solver.several.axis_times import AxisTimes

_BLOCK = 2_000_000  # judged: times of one kit looked at together, 16 MB


@dataclass(frozen=True)
class Look:
    """A kit with one more of T tools, in E cases.

    Attributes:
        lighter: how many of the tools before each, the lightest first, the room leaves beside it, int[T].
        alone: the cases that it then serves by times, bool[E, T].
        near: those that it serves with all these lighter tools too, bool[E, T].
        beyond: the weight of the latter and of those that are served for sure, int[T].
        upto: that weight with all tools before it, whatever the room, int[T].
    """

    lighter: Ints
    alone: Bools
    near: Bools
    beyond: Ints
    upto: Ints


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
        least = self.laid.start[:, cases]
        for tool in tools.tolist():
            np.minimum(least, self.laid.times[tool][:, cases], out=least)
        return least

    def backed_by(self, tools: Ints, cases: Ints) -> Ints:
        """Return how many of some tools are able at each job with a backup in some cases, int[B, E]."""
        return np.asarray(self.laid.able[tools][:, :, cases].sum(axis=0))

    def served(self, times: Floats, held: Ints, cases: Ints) -> Bools:
        """Tell which cases times of jobs serve [..., J, E], with so many tools able at those with a backup [..., B, E]."""
        found = self.laid.day(times, cases) <= self.laid.cap[cases]
        if self.laid.backed:
            found &= (held >= self.laid.backup[:, cases]).all(axis=-2)
        return np.asarray(found)

    def look(self, times: Floats, held: Ints, tools: Ints, cases: Ints, gone: int, room: int) -> Look:
        """Return what a kit with one tool more does.

        Args:
            times: of the kit at the jobs of the cases, float[J, E].
            held: how many of its tools are able at each job with a backup, int[B, E].
            tools: those that may be added, ascending, int[T].
            cases: E of them.
            gone: the weight that is served for sure.
            room: what may be added to the kit [0.01 g].
        """
        laid, masses = self.laid, self.laid.masses[tools]
        lighter = np.minimum(np.searchsorted(masses, room - masses, side="right"), np.arange(len(tools)))
        each = max(1, _BLOCK // max(1, len(tools) * (laid.jobs + laid.backed)))
        alone, near, upto = (np.empty((len(cases), len(tools)), dtype=bool) for _ in range(3))
        for first in range(0, len(cases), each):
            part = slice(first, first + each)
            here = cases[part]
            one, more, all_ = self._looked(times[:, part], held[:, part], tools, here, lighter)
            alone[part], near[part], upto[part] = one.T, more.T, all_.T
        weights = self.weights[cases]
        return Look(lighter, alone, near, gone + weights @ near, gone + weights @ upto)

    def _looked(self, times: Floats, held: Ints, tools: Ints, cases: Ints, lighter: Ints) -> tuple[Bools, Bools, Bools]:
        """Tell of each tool which cases a kit serves with it, with the lighter ones too, and with all before it."""
        laid, count = self.laid, len(tools)
        within = laid.times[:count] if int(tools[-1]) == count - 1 else laid.times[tools]
        each = np.minimum(within if len(cases) == laid.size else within[:, :, cases], times)
        able = laid.able[tools][:, :, cases] + held if laid.backed else held
        alone = self.served(each, able, cases)
        some = np.flatnonzero(lighter)
        besides = lighter[some] - 1
        ahead = np.minimum.accumulate(each, axis=0)
        sums = able.cumsum(axis=0) - np.arange(count)[:, None, None] * held if laid.backed else held
        upto = self.served(ahead, sums, cases)
        near = alone.copy()
        if len(some):
            with_those = able[some] + sums[besides] - held if laid.backed else held
            near[some] = self.served(np.minimum(each[some], ahead[besides]), with_those, cases)
        return alone, near, upto
