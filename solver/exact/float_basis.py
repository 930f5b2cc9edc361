"""A basis that floats propose for a linear program of whole numbers. It proves nothing; it is a place to begin."""

from collections.abc import Mapping, Sequence
from itertools import accumulate
from math import frexp
from typing import Any, Protocol

import highspy

from solver.exact.highs import quiet_highs

_TOLERANCES = 1e-10, 1e-7  # the least that HiGHS takes, which spares exact pivots; then what it has usually


class _Row(Protocol):
    """A rule over columns that are 0 or more: an exact side, or one that is not gone over."""

    @property
    def terms(self) -> tuple[tuple[int, int], ...]:
        """Columns with their coefficients."""

    @property
    def side(self) -> int:
        """What they come to, or at most."""

    @property
    def exact(self) -> bool:
        """Whether they come to it."""


def proposed_basis(columns: int, rows: Sequence[_Row], cost: Mapping[int, int]) -> list[int] | None:
    """Return the basis of a least point by floats, None where there is none by them.

    Rows have columns of their own, behind the others: what is left of a bound, or lacking to an exact side. What lacks
    may only be above 0 where it has a cost.

    Args:
        columns: how many there are.
        rows: rules.
        cost: what is minimised.
    """
    lacking = [columns + place for place, row in enumerate(rows) if row.exact and columns + place in cost]
    place = {column: columns + number for number, column in enumerate(lacking)}
    scale = _power(max(map(abs, cost.values()), default=1))
    bulk = highspy.HighsLp()
    bulk.num_col_, bulk.num_row_ = columns + len(lacking), len(rows)
    bulk.col_cost_ = [cost.get(column, 0) * scale for column in (*range(columns), *lacking)]
    bulk.col_lower_ = [0.0] * bulk.num_col_
    bulk.col_upper_ = [highspy.kHighsInf] * bulk.num_col_
    terms, scales = [], []
    for number, row in enumerate(rows):
        own = place.get(columns + number)
        terms.append([*row.terms, (own, 1)] if own is not None else list(row.terms))
        scales.append(_power(max((abs(each) for _, each in row.terms), default=1)))
    bulk.row_lower_ = [row.side * by if row.exact else -highspy.kHighsInf for row, by in zip(rows, scales, strict=True)]
    bulk.row_upper_ = [row.side * by for row, by in zip(rows, scales, strict=True)]
    bulk.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    bulk.a_matrix_.start_ = [0, *accumulate(map(len, terms))]
    bulk.a_matrix_.index_ = [column for row in terms for column, _ in row]
    bulk.a_matrix_.value_ = [each * by for row, by in zip(terms, scales, strict=True) for _, each in row]
    highs = quiet_highs(presolve="off")
    highs.passModel(bulk)
    for tolerance in _TOLERANCES:
        for name in ("primal_feasibility_tolerance", "dual_feasibility_tolerance"):
            highs.setOptionValue(name, tolerance)
        highs.run()
        if highs.getModelStatus() in (highspy.HighsModelStatus.kOptimal, highspy.HighsModelStatus.kInfeasible):
            break
    if highs.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return None
    return _basic(highs, [*range(columns), *lacking], columns)


def _basic(highs: Any, names: Sequence[int], columns: int) -> list[int]:
    """Return the columns of the basis at the end of a run."""
    basis, inside = highs.getBasis(), highspy.HighsBasisStatus.kBasic
    found = [name for name, status in zip(names, basis.col_status, strict=True) if status == inside]
    return found + [columns + row for row, status in enumerate(basis.row_status) if status == inside]


def _power(largest: int) -> float:
    """Return the power of two that brings a number between 1 and 2."""
    return float(2.0 ** (1 - frexp(float(largest))[1])) if largest else 1.0
