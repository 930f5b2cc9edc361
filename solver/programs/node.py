"""A node of a branching: what whole numbers prove within its bounds, by what a linear program proposes."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from catalog.tables.number import Floats, Ints
from solver.forms.effort import Effort
from solver.programs.kept_program import KeptProgram
from solver.programs.linear_model import Model, Row
from solver.programs.safe_bound import SafeBound, WholeRows

TO_WHOLE = 1e-6  # a binary this near to a whole number is one
_STEPS = 20  # judged: times that a node is solved anew after binaries were fixed
_RAY = 2.0**30  # the largest product of a ray and its row, far above what rounding takes off


@dataclass(frozen=True)
class Node:
    """Bounds of all columns, the safe bound there, the least value that it leaves, and the program's point."""

    low: Ints
    high: Ints
    safe: SafeBound | None
    floor: int
    values: Floats | None

    @property
    def total(self) -> float:
        """The bound, for choosing among nodes."""
        return float(self.floor) if self.safe is None else self.safe.total / (1 << self.safe.bits)

    def closed(self, upto: int) -> bool:
        """Tell whether the bound is above what still counts."""
        return self.safe is not None and self.safe.exceeds(upto)

    def free(self, binaries: Ints) -> Ints:
        """Return the binaries that are open here."""
        return binaries[self.low[binaries] < self.high[binaries]]

    def split(self, binaries: Ints) -> Ints:
        """Return the binaries that are open here and a fraction at the point."""
        free = self.free(binaries)
        if self.values is None:
            return free[:0]
        values = self.values[free]
        return free[np.abs(values - np.rint(values)) > TO_WHOLE]

    def ones(self, binaries: Ints) -> frozenset[int]:
        """Return the binaries that are 1 at the point, or for want of one, at their lower bounds."""
        point = self.low if self.values is None else np.where(self.low < self.high, self.values, self.low)
        return frozenset(binaries[point[binaries] > 1 / 2].tolist())


@dataclass(frozen=True)
class Goal:
    """What is made least: the cost of each column, the unit of which every value is a multiple, and what still counts.

    Attributes:
        cost: whole numbers.
        unit: of the values.
        upto: only values up to it count.
    """

    cost: Ints
    unit: int
    upto: int


class WholeProgram:
    """A program of whole numbers with some binaries, and its linear program in HiGHS."""

    def __init__(self, model: Model, binaries: Ints, effort: Effort) -> None:
        """Read a model.

        Raises:
            Unfinished: the time of the answer is over.
            ValueError: a figure that is not whole, or a column without an end.
        """
        self.model, self.binaries = model, binaries
        self.rows = WholeRows(model, effort)
        effort.go_on()
        self.kept = KeptProgram(model)

    def add(self, rows: Sequence[Row]) -> None:
        """Add rows for good."""
        self.model.rows.extend(rows)
        self.rows.add(rows)
        self.kept.add(rows)

    def relaxed(self, low: Ints, high: Ints, goal: Goal, floor: int, left: Callable[[], float]) -> Node | None:
        """Return a node, its binaries fixed as far as whole numbers tell; None where it is closed.

        Args:
            low: bounds of all columns.
            high: bounds of all columns.
            goal: what is made least.
            floor: a value that none is below, known before.
            left: how long it may take from now on [s].
        """
        safe = None
        for _ in range(_STEPS):
            proposal = self.kept.least(low, high, seconds=left())
            if proposal.ray is not None and self.contradicts(proposal.ray, low, high):
                return None
            values = proposal.values
            if values is None:
                return Node(low, high, safe, floor, None)
            safe = self.rows.bound(proposal.multipliers, goal.cost, low, high)
            if safe.exceeds(goal.upto):
                return None
            floor = max(floor, safe.least(goal.unit))
            free = self.binaries[low[self.binaries] < high[self.binaries]]
            not_up, not_down = (free[one] for one in safe.beyond(goal.upto, free))
            if not len(not_up) and not len(not_down):
                break
            low, high = low.copy(), high.copy()
            high[not_up], low[not_down] = 0, 1
            if (values[not_up] < TO_WHOLE).all() and (values[not_down] > 1 - TO_WHOLE).all():
                break
        return Node(low, high, safe, floor, values)

    def contradicts(self, ray: Floats, low: Ints, high: Ints) -> bool:
        """Tell whether a ray proves, in whole numbers, that no point keeps the rows."""
        largest = float((np.abs(ray) * self.rows.divided * self.rows.weight).max(initial=0.0))
        if not 0 < largest < np.inf:
            return False
        free = np.zeros_like(low)
        return any(self.rows.bound(sign * ray * (_RAY / largest), free, low, high).total > 0 for sign in (1.0, -1.0))
