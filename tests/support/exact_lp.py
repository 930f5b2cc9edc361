"""Linear programs solved in whole numbers: the simplex method with integer-preserving pivots (Edmonds; Bareiss 1968).

Every entry of the tableau is a whole number over one common divisor, so that nothing is ever rounded. From memory; the
tests hold it against scipy and against vertices written out by hand.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import numpy as np

Line = tuple[Mapping[int, int], int]  # coefficients by column, right side
PATIENCE = 60  # pivots by the steepest cost, before Bland's rule, which can't go round in circles


@dataclass(frozen=True)
class Vertex:
    """The least value, and a point that has it."""

    value: Fraction
    point: tuple[Fraction, ...]


def least(cost: Sequence[int], *, equal: Sequence[Line], at_most: Sequence[Line]) -> Vertex | None:
    """The least of a cost that is never below 0, over columns that are never below 0; None where no point does.

    Args:
        cost: whole cost of each column.
        equal: rows that come to their right side.
        at_most: rows that come to no more than their right side.
    """
    table = _Table(len(cost), equal, at_most)
    if not table.feasible():
        return None
    return table.minimise(cost)


class _Table:
    """The tableau: rows of whole numbers over one divisor, the last column the right sides."""

    def __init__(self, columns: int, equal: Sequence[Line], at_most: Sequence[Line]) -> None:
        rows = [*((terms, right, 0) for terms, right in equal), *((terms, right, 1) for terms, right in at_most)]
        slacks = len(at_most)
        self.columns, self.real = columns, columns + slacks
        wide = self.real + len(rows) + 1
        self.rows = np.array([[0] * wide for _ in rows], dtype=object).reshape(len(rows), wide)
        self.basis: list[int] = []
        slack = columns
        for place, (terms, right, is_slack) in enumerate(rows):
            sign = -1 if right < 0 else 1
            for column, value in terms.items():
                self.rows[place, column] += sign * value
            self.rows[place, -1] = sign * right
            if is_slack:
                self.rows[place, slack] = sign
                slack += 1
            if is_slack and sign > 0:
                self.basis.append(slack - 1)
            else:
                self.rows[place, self.real + place] = 1
                self.basis.append(self.real + place)
        self.divisor = 1

    def feasible(self) -> bool:
        """Whether some point keeps every row; then the basis is one."""
        if any(column >= self.real for column in self.basis):
            cost = np.array([0] * (self.rows.shape[1]), dtype=object)
            for place, column in enumerate(self.basis):
                if column >= self.real:
                    cost -= self.rows[place]
            cost[self.real : -1] = 0
            if self._descend(cost)[-1] != 0:
                return False
            self._drive_out()
        return True

    def _drive_out(self) -> None:
        """Take the columns that only made a start out of the basis, and rows that say nothing new out altogether."""
        kept = []
        for place in range(len(self.basis)):
            if self.basis[place] >= self.real:
                free = next((c for c in range(self.real) if self.rows[place, c] != 0), None)
                if free is None:
                    continue
                if self.rows[place, free] < 0:
                    self.rows[place] = -self.rows[place]
                self._pivot(place, free, None)
            kept.append(place)
        self.rows = self.rows[kept]
        self.basis = [self.basis[place] for place in kept]

    def minimise(self, cost: Sequence[int]) -> Vertex:
        """The least of a cost, from a basis that is a point."""
        line = np.array([0] * self.rows.shape[1], dtype=object)
        line[: self.columns] = [self.divisor * one for one in cost]
        for place, column in enumerate(self.basis):
            if column < self.columns and cost[column]:
                line -= cost[column] * self.rows[place]
        value = Fraction(-int(self._descend(line)[-1]), self.divisor)
        point = [Fraction(0)] * self.columns
        for place, column in enumerate(self.basis):
            if column < self.columns:
                point[column] = Fraction(int(self.rows[place, -1]), self.divisor)
        return Vertex(value, tuple(point))

    def _descend(self, line: Any) -> Any:
        """Pivot until no column lowers the cost any more."""
        pivots = 0
        while True:
            gains = line[: self.real]
            falling = [column for column in range(self.real) if gains[column] < 0]
            if not falling:
                return line
            enter = falling[0] if pivots > PATIENCE else min(falling, key=lambda column: gains[column])
            place = self._leaving(enter)
            assert place is not None, "a cost that is never below 0 has a least"
            line = self._pivot(place, enter, line)
            pivots += 1

    def _leaving(self, enter: int) -> int | None:
        best: tuple[Fraction, int] | None = None
        found = None
        for place, column in enumerate(self.basis):
            if self.rows[place, enter] > 0:
                ratio = Fraction(int(self.rows[place, -1]), int(self.rows[place, enter]))
                if best is None or (ratio, column) < best:
                    best, found = (ratio, column), place
        return found

    def _pivot(self, place: int, enter: int, line: Any) -> Any:
        """Take a column into the basis; returns the line of costs in its terms."""
        by, row = self.rows[place, enter], self.rows[place].copy()
        self.rows = (self.rows * by - np.outer(self.rows[:, enter], row)) // self.divisor
        self.rows[place] = row
        if line is not None:
            line = (line * by - line[enter] * row) // self.divisor
        self.divisor, self.basis[place] = by, enter
        return line
