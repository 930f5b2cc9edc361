"""A linear program with some whole-number columns, as plain lists; knows no solver."""

import math
from collections.abc import Iterable
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class _Column:
    """One unknown: its bounds, and whether it must be a whole number."""

    low: float
    high: float | None
    whole: bool


@dataclass(frozen=True, slots=True)
class Row:
    """One rule: low <= sum of coefficient x column <= high; None leaves that side open."""

    columns: tuple[int, ...]
    coefficients: tuple[float, ...]
    low: float | None
    high: float | None

    def scaled(self) -> "Row":
        """Return the same rule with its largest coefficient between 1 and 2.

        A solver holds every row within one absolute tolerance, and scales none of which both sides are 0. Powers of
        two change no digit. One without sides gets them later, and stays as it is.
        """
        if self.low is None and self.high is None:
            return self
        factor = 2.0 ** -math.floor(math.log2(max(map(abs, self.coefficients), default=1.0)))
        low, high = (None if side is None else side * factor for side in (self.low, self.high))
        return Row(self.columns, tuple(value * factor for value in self.coefficients), low, high)


@dataclass
class Model:
    """Columns and rows; what to minimise is told to the engine, since it changes from aim to aim."""

    columns: list[_Column] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)

    def column(self, *, low: float = 0.0, high: float | None = 1.0, whole: bool = False) -> int:
        """Add an unknown and return its index."""
        self.columns.append(_Column(low, high, whole))
        return len(self.columns) - 1

    def row(self, terms: Iterable[tuple[int, float]], *, low: float | None = None, high: float | None = None) -> None:
        """Add a rule over (column, coefficient) terms."""
        self.rows.append(make_row(terms, low=low, high=high))


def make_row(terms: Iterable[tuple[int, float]], *, low: float | None = None, high: float | None = None) -> Row:
    """Return a rule over (column, coefficient) terms."""
    pairs = [(column, float(coefficient)) for column, coefficient in terms if coefficient]
    return Row(tuple(c for c, _ in pairs), tuple(v for _, v in pairs), low, high)
