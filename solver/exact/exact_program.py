"""Linear programs solved exactly: floats propose a basis, whole numbers and fractions settle it.

Columns are 0 or more; rows are whole numbers. A basis that floats call optimal is solved again exactly, its point and
its prices are looked at, and where either is wrong exact pivots go on from it (Applegate, Cook, Dash and Espinoza 2007;
the pivots are those of the primal simplex, by Bland's rule where they stall). So neither an optimum nor that there is
no point is ever a float's word.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from heapq import heapify, heappop, heappush
from math import lcm

from solver.exact.float_basis import proposed_basis
from solver.forms.effort import Effort

_Exact = int | Fraction
_STALLED = 8  # judged: pivots that change nothing, before the rule that never turns in circles


@dataclass(frozen=True)
class WholeRow:
    """A rule: the sum of coefficient x column is the side, or no more than it; the side is 0 or more."""

    terms: tuple[tuple[int, int], ...]
    side: int
    exact: bool


class ExactProgram:
    """A program whose columns are 0 or more, minimised by one cost after another; each holds for those after it.

    Every row has a column of its own besides: what it has left, or for an exact one what it lacks, which must be 0.
    """

    def __init__(self, columns: int, rows: Sequence[WholeRow], *, effort: Effort) -> None:
        """Lay the program out."""
        self.rows, self.effort, self.asked = rows, effort, columns
        self.columns: list[dict[int, int]] = [{} for _ in range(columns)]
        for place, row in enumerate(rows):
            for column, coefficient in row.terms:
                self.columns[column][place] = self.columns[column].get(place, 0) + coefficient
        self.columns += [{place: 1} for place in range(len(rows))]
        self.sides: list[_Exact] = [row.side for row in rows]
        self.lacking = frozenset(columns + place for place, row in enumerate(rows) if row.exact)
        self.open = [column not in self.lacking for column in range(len(self.columns))]  # may be above 0
        self.basis: list[int] = []
        self.values: list[_Exact] = []

    def start(self, cost: Mapping[int, int]) -> bool:
        """Find a point, near the least of a cost by floats; tell whether there is one.

        Raises:
            Cancelled: nobody waits for it.
        """
        if self.stands(proposed_basis(self.asked, self.rows, cost)) and not self.lacks():
            return True
        missing = dict.fromkeys(self.lacking, 1)
        if not self.stands(proposed_basis(self.asked, self.rows, missing)):
            self.stands([self.asked + place for place in range(len(self.rows))])
        self.pivot_to_least(missing, lacking=True)
        return not self.lacks()

    def stands(self, basis: Sequence[int] | None) -> bool:
        """Take a basis if its point is 0 or more in every column."""
        if basis is None or len(basis) != len(self.rows):
            return False
        values = _solved(self.by_row(basis), self.sides)
        if values is None or any(value < 0 for value in values):
            return False
        self.basis, self.values = list(basis), values
        return True

    def lacks(self) -> bool:
        """Tell whether an exact row is not met."""
        return any(value and column in self.lacking for column, value in zip(self.basis, self.values, strict=True))

    def by_row(self, basis: Sequence[int]) -> list[dict[int, _Exact]]:
        """Return the rows of the matrix of a basis, by place in it."""
        rows: list[dict[int, _Exact]] = [{} for _ in self.rows]
        for place, column in enumerate(basis):
            for row, coefficient in self.columns[column].items():
                rows[row][place] = coefficient
        return rows

    def minimise(self, cost: Mapping[int, int]) -> Fraction:
        """Return the least of a cost among the points that were left, and leave only those that reach it.

        Raises:
            Cancelled: nobody waits for it.
        """
        reduced = self.pivot_to_least(cost, lacking=False)
        for column, price in reduced.items():
            if price:
                self.open[column] = False
        total = sum(cost.get(column, 0) * value for column, value in zip(self.basis, self.values, strict=True))
        return Fraction(total)

    @property
    def settled(self) -> bool:
        """Whether only one point is left."""
        basic = set(self.basis)
        return not any(may and column not in basic for column, may in enumerate(self.open))

    def may_move(self, column: int) -> bool:
        """Tell whether a column may be above 0 in a point that is left."""
        return self.open[column] or column in self.basis

    def point(self) -> list[Fraction]:
        """Return the columns of the point."""
        found = [Fraction(0)] * len(self.columns)
        for column, value in zip(self.basis, self.values, strict=True):
            found[column] = Fraction(value)
        return found

    def pivot_to_least(self, cost: Mapping[int, int], *, lacking: bool) -> dict[int, int]:
        """Pivot until no open column would lessen a cost; return the reduced costs, all by one positive factor.

        Args:
            cost: what is minimised.
            lacking: whether what exact rows lack may still be above 0.
        """
        stalled = 0
        while True:
            self.effort.go_on()
            reduced = self.reduced_costs(cost)
            better = [column for column, price in reduced.items() if price < 0]
            if not better:
                return reduced
            column = better[0] if stalled > _STALLED else min(better, key=lambda one: reduced[one])
            stalled = 0 if self.enter(column, lacking=lacking) else stalled + 1

    def reduced_costs(self, cost: Mapping[int, int]) -> dict[int, int]:
        """Return the reduced costs of the open columns outside the basis, all by one positive factor."""
        matrix: list[dict[int, _Exact]] = [dict(self.columns[column]) for column in self.basis]
        prices = _solved(matrix, [cost.get(column, 0) for column in self.basis])
        assert prices is not None  # the basis has a point
        common = lcm(*(Fraction(price).denominator for price in prices))
        whole = [int(price * common) for price in prices]
        basic = set(self.basis)
        return {
            column: common * cost.get(column, 0) - sum(whole[row] * each for row, each in self.columns[column].items())
            for column, may in enumerate(self.open)
            if may and column not in basic
        }

    def enter(self, column: int, *, lacking: bool) -> bool:
        """Bring a column into the basis; tell whether the point moved."""
        side: list[_Exact] = [self.columns[column].get(row, 0) for row in range(len(self.rows))]
        way = _solved(self.by_row(self.basis), side)
        assert way is not None  # the basis has a point
        bounds = []
        for place, (old, each) in enumerate(zip(self.basis, way, strict=True)):
            stuck = old in self.lacking and not lacking and each
            if stuck or each > 0:
                bounds.append((Fraction(0) if stuck else Fraction(self.values[place]) / each, old, place))
        step, _, leaving = min(bounds)  # costs are 0 or more, and rows bound what counts against them
        self.values = [value - step * each for value, each in zip(self.values, way, strict=True)]
        self.basis[leaving], self.values[leaving] = column, step
        return step > 0


def _solved(equations: list[dict[int, _Exact]], sides: Sequence[_Exact]) -> list[_Exact] | None:
    """Return the only solution of as many equations as unknowns, None where there is none or are many.

    Args:
        equations: coefficients by unknown; used up.
        sides: what each comes to.
    """
    left, where = list(sides), [set[int]() for _ in equations]
    for place, equation in enumerate(equations):
        for unknown in equation:
            where[unknown].add(place)
    short = [(len(equation), place) for place, equation in enumerate(equations)]
    heapify(short)
    order: list[tuple[int, int]] = []
    done = [False] * len(equations)
    while short:
        length, place = heappop(short)
        equation = equations[place]
        if done[place] or length != len(equation):
            continue
        if not equation:
            return None
        unknown = next(iter(equation)) if length == 1 else min(equation, key=lambda one: (len(where[one]), one))
        done[place] = True
        order.append((place, unknown))
        for other in equation:
            where[other].discard(place)
        for other in list(where[unknown]):
            _take_out(equations, left, where, unknown, place=place, other=other)
            heappush(short, (len(equations[other]), other))
    found: list[_Exact] = [0] * len(equations)
    for place, unknown in reversed(order):
        rest = left[place] - sum(each * found[one] for one, each in equations[place].items() if one != unknown)
        found[unknown] = _over(rest, equations[place][unknown])
    return found


def _take_out(
    equations: list[dict[int, _Exact]],
    left: list[_Exact],
    where: list[set[int]],
    unknown: int,
    *,
    place: int,
    other: int,
) -> None:
    """Take an unknown out of another equation by the one that tells it."""
    pivot, row = equations[place], equations[other]
    factor = _over(row[unknown], pivot[unknown])
    for one, each in pivot.items():
        new = row.get(one, 0) - factor * each
        if new and one != unknown:
            row[one] = new
            where[one].add(other)
        else:
            row.pop(one, None)
            where[one].discard(other)
    left[other] -= factor * left[place]


def _over(one: _Exact, other: _Exact) -> _Exact:
    """Return a quotient, whole where it is."""
    if isinstance(one, int) and isinstance(other, int) and one % other == 0:
        return one // other
    found = Fraction(one) / other
    return found.numerator if found.denominator == 1 else found
