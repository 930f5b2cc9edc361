"""Bounds in whole numbers: what any multipliers of rows prove of a cost, whatever a solver's tolerance made of them.

Weigh each row of a program with a multiplier that fits its open sides. The weighted rows say that the cost is no less
than their sides plus what is left of each column's cost at the better of its two bounds (Neumaier and Shcherbina 2004).
Multipliers are rounded to whole numbers over a power of two, and all is added up in whole numbers over the rows as they
stand: so nothing is off by anything, and the better the multipliers the better the bound.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import frexp, gcd
from typing import Any

import numpy as np

from catalog.tables.number import Bools, Floats, Ints
from solver.forms.effort import Effort
from solver.forms.quantity import Objective
from solver.programs.linear_model import Model, Row

_FINE = 4  # judged: bits beyond those at which all multipliers together are off by less than 1
_MOST_BITS = 200  # judged: far above what rows of 2**53 need
_WORD_BITS = 61
_BETWEEN_LOOKS = 256  # rows added between two looks at the clock
_WORD = 2.0**_WORD_BITS  # sums that stay below it fit 64 bits with their sign


@dataclass(frozen=True)
class SafeBound:
    """A bound and what moving each column away from its better bound adds to it at least, both times 2**bits.

    `total` is a whole number; `reduced` holds one for each column: above 0 where its lower bound is the better one.
    """

    total: int
    reduced: Any
    bits: int

    def exceeds(self, value: int) -> bool:
        """Tell whether the bound is above a whole value."""
        return self.total > value << self.bits

    def least(self, unit: int) -> int:
        """Return the least multiple of a unit that is not below the bound."""
        return -(-self.total // (unit << self.bits)) * unit

    def beyond(self, value: int, columns: Ints) -> tuple[Bools, Bools]:
        """Tell of each of some columns whether one step up, or one step down, takes the bound above a value.

        Args:
            value: a whole value.
            columns: that have whole values only.
        """
        room = (value << self.bits) - self.total
        reduced = self.reduced[columns]
        return np.asarray(reduced > room, dtype=bool), np.asarray(-reduced > room, dtype=bool)


class WholeRows:
    """The rows of a model in whole numbers, ready to be weighed."""

    def __init__(self, model: Model, effort: Effort | None = None) -> None:
        """Read the bounds and rows of a model.

        Raises:
            Unfinished: the time of the answer is over.
            ValueError: a figure that is not whole, or a column without an end.
        """
        self.lower: Ints = np.array([_whole(column.low) for column in model.columns], dtype=np.int64)
        self.upper: Ints = np.array([_whole(column.high) for column in model.columns], dtype=np.int64)
        self.reach = np.maximum(np.maximum(np.abs(self.lower), np.abs(self.upper)), 1).astype(float)
        self.terms: list[tuple[list[int], list[int]]] = []
        self.low: list[int | None] = []
        self.high: list[int | None] = []
        self.common: list[float] = []
        self.add(model.rows, effort)

    def add(self, rows: Iterable[Row], effort: Effort | None = None) -> None:
        """Add rows, each divided by what divides all its numbers.

        Raises:
            Unfinished: the time of the answer is over, where an effort is given.
            ValueError: a figure that is not whole.
        """
        for place, row in enumerate(rows):
            if effort is not None and place % _BETWEEN_LOOKS == 0:
                effort.go_on()
            values = [_whole(value) for value in row.coefficients]
            sides = [None if side is None else _whole(side) for side in (row.low, row.high)]
            common = max(1, gcd(*values, *(side for side in sides if side is not None)))
            self.common.append(float(common))
            self.terms.append((list(row.columns), [value // common for value in values]))
            low, high = (None if side is None else side // common for side in sides)
            self.low.append(low)
            self.high.append(high)
        self.lay_out()

    def lay_out(self) -> None:
        """Lay the numbers out column by column."""
        rows = np.repeat(np.arange(len(self.terms)), [len(columns) for columns, _ in self.terms])
        columns = np.array([column for columns, _ in self.terms for column in columns], dtype=np.int64)
        values = np.array([value for _, values in self.terms for value in values], dtype=object)
        by_column = np.argsort(columns, kind="stable")
        self.row_of, self.value = rows[by_column], values[by_column]
        self.present, self.starts = np.unique(columns[by_column], return_index=True)
        self.sides = np.array(
            [max(abs(low or 0), abs(high or 0)) for low, high in zip(self.low, self.high, strict=True)], dtype=float
        )
        moved = np.abs(self.value).astype(float) * self.reach[columns[by_column]]
        self.weight = self.sides + np.bincount(self.row_of, moved, minlength=len(self.terms))
        self.small = np.abs(self.value).max(initial=0) < _WORD
        self.words = self.value.astype(np.int64) if self.small else self.value
        self.divided = np.array(self.common, dtype=float)
        self.no_low = np.array([side is None for side in self.low], dtype=bool)
        self.no_high = np.array([side is None for side in self.high], dtype=bool)
        self.lows = np.array([side or 0 for side in self.low], dtype=object)
        self.highs = np.array([side or 0 for side in self.high], dtype=object)
        self.bits = min(_MOST_BITS, max(0, frexp(float(self.weight.sum()))[1] + _FINE))

    def bound(self, multipliers: Floats, cost: Any, lower: Any, upper: Any) -> SafeBound:
        """Return the bound that multipliers prove; without good ones it is only a poor bound.

        Args:
            multipliers: of each row; one that fits no side counts as 0.
            cost: of each column, whole numbers.
            lower: bounds of the columns, whole numbers.
            upper: bounds of the columns, whole numbers.
        """
        weights = np.where(np.isfinite(multipliers), multipliers * self.divided, 0.0)
        weights = np.where(self.no_low, np.minimum(weights, 0.0), weights)
        weights = np.where(self.no_high, np.maximum(weights, 0.0), weights)
        weights = np.rint(np.ldexp(weights, self.bits))
        most = float(np.abs(weights) @ self.weight) + float(np.abs(cost.astype(float)) @ self.reach) * 2.0**self.bits
        word = np.int64 if most < _WORD and self.small and self.bits < _WORD_BITS else object
        return self.weighed(weights, cost, lower, upper, word)

    def weighed(self, weights: Floats, cost: Any, lower: Any, upper: Any, word: Any) -> SafeBound:
        """Return the bound by whole weights, added up in words of 64 bits or in Python's numbers without end."""
        whole = weights.astype(np.int64) if word is np.int64 else _endless(weights)
        reduced = cost.astype(word) * (1 << self.bits)
        if len(self.starts):
            values = self.words if word is np.int64 else self.value
            used = np.add.reduceat(values * whole[self.row_of], self.starts)
            reduced[self.present] = reduced[self.present] - used
        side = np.where(weights > 0, self.lows, self.highs)
        held = weights != 0
        total = sum((whole[held] * side[held].astype(word)).tolist())
        bounds = np.where(reduced > 0, lower, upper).astype(word)
        return SafeBound(total + sum((reduced * bounds).tolist()), reduced, self.bits)


def _endless(weights: Floats) -> Any:
    """Return floats that are whole as Python's whole numbers."""
    found = np.empty(len(weights), dtype=object)
    found[:] = [int(one) for one in weights.tolist()]
    return found


def _whole(value: float | None) -> int:
    """Return a figure as a whole number.

    Raises:
        ValueError: it is none.
    """
    if value is None or value != value or value in (float("inf"), float("-inf")) or value != int(value):
        raise ValueError(f"a program to be proven has whole numbers and bounds only, not {value}")
    return int(value)


def whole_costs(cost: Objective, columns: int) -> Ints:
    """Return costs as a whole number for each column; Python's numbers without end where one does not fit 64 bits.

    Raises:
        ValueError: one is not whole.
    """
    whole = {column: _whole(value) for column, value in cost.items()}
    small = max(map(abs, whole.values()), default=0) < _WORD
    found: Ints = np.zeros(columns, dtype=np.int64 if small else object)
    for column, value in whole.items():
        found[column] = value
    return found
