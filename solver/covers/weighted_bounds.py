"""Bounds on weighted sums of the two costs of whatever completes a part of a cover, one for each of some weights.

For a weight the linear relaxation of the cover gives each row a worth, such that the worth of no column's rows is above
its cost. Then what serves the rows that a part leaves open costs at least their worth, whatever the part (the dual of
the cover; for several weights a lower bound set, Ehrgott and Gandibleux 2007). A solver proposes the worths. They are
rounded down to whole numbers and fitted to every column anew: so the bounds hold whatever a tolerance made of them.
"""

import numpy as np

from catalog.tables.number import Bools, Floats, Ints
from solver.forms.effort import Effort
from solver.programs.kept_program import KeptProgram
from solver.programs.linear_model import Model

_WEIGHTS = 12  # judged: steps from the first cost alone to the second alone
_FINEST = 1_000  # judged: the largest weight
_EXACT_BITS = 50  # whole numbers of fewer bits, a few of them added up, are exact in floats


class WeightedBounds:
    """The worths of the rows by each weight, in units of which so many are one of the cost: int[K, J].

    The first weight counts the second cost alone, the last the first cost alone.
    """

    def __init__(self, first: Ints, second: Ints, serves: Bools, *, effort: Effort) -> None:
        """Find them.

        Args:
            first: a cost of each column, whole, int[T].
            second: the other, int[T].
            serves: which column serves which row, bool[J, T].
            effort: how long the linear programs may take.

        Raises:
            Cancelled: nobody waits for them.
        """
        typical = [max(1, int(np.median(one[one > 0]))) if (one > 0).any() else 1 for one in (first, second)]
        scale = max(*typical) * _WEIGHTS / _FINEST
        part = np.arange(_WEIGHTS + 1)
        self.of_first: Ints = np.maximum(1, np.rint(part * typical[1] / scale)).astype(np.int64)
        self.of_second: Ints = np.maximum(1, np.rint(part[::-1] * typical[0] / scale)).astype(np.int64)
        self.of_first[[0, -1]], self.of_second[[0, -1]] = (0, 1), (1, 0)
        costs = self.of_first[:, None] * first + self.of_second[:, None] * second
        self.unit = 1 << max(0, _EXACT_BITS - int(costs.sum(axis=1).max()).bit_length())
        program = _relaxation(serves)
        high = np.full(len(first), 2)  # above what any column is at the least
        until = effort.solve_until
        worths = []
        for cost in costs:
            effort.heed()
            program.aim(cost)
            proposed = program.least(np.zeros_like(high), high, seconds=until - effort.clock()).multipliers
            worths.append(_fitted(proposed, cost * self.unit, serves, self.unit))
        self.worths = np.array(worths)  # [K, J]

    def least(self, first: Ints, second: Ints, served: Bools) -> Ints:
        """Return the least weighted sums, in units, of covers that begin with parts of some costs, int[N, K].

        Args:
            first: the first cost of each part.
            second: the second.
            served: the rows that each serves, bool[N, J].
        """
        ahead = (~served).astype(float) @ self.worths.T.astype(float)
        found: Ints = self.reach(first, second) + ahead.astype(np.int64)
        return found

    def reach(self, first: Ints, second: Ints) -> Ints:
        """Return the weighted sums of some pairs of costs, in units, int[N, K]."""
        found: Ints = (first[:, None] * self.of_first + second[:, None] * self.of_second) * self.unit
        return found


def exact_for(first: Ints, second: Ints) -> bool:
    """Tell whether weighted sums of costs stay small enough to be added up without a loss."""
    return (int(first.sum()) + int(second.sum())) * _FINEST < 1 << (_EXACT_BITS - 1)


def _relaxation(serves: Bools) -> KeptProgram:
    """Return the linear relaxation: each row is served once at least."""
    model = Model()
    for _ in range(serves.shape[1]):
        model.column(high=2.0)
    for row in serves:
        model.row(((column, 1.0) for column in np.flatnonzero(row).tolist()), low=1.0)
    return KeptProgram(model)


def _fitted(proposed: Floats, cost: Ints, serves: Bools, unit: int) -> Ints:
    """Return worths in whole units, lowered until no column's rows are worth more than its cost."""
    proposed = np.floor(np.maximum(np.nan_to_num(proposed), 0.0) * unit)
    worths: Ints = np.minimum(proposed, float(cost.max(initial=0))).astype(np.int64)
    for column in np.flatnonzero(worths @ serves > cost).tolist():
        rows = np.flatnonzero(serves[:, column])
        over = int(worths[rows].sum() - cost[column])
        for row in rows[np.argsort(-worths[rows], kind="stable")].tolist():
            less = max(0, min(over, int(worths[row])))
            worths[row] -= less
            over -= less
    return worths
