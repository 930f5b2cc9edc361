"""The linear programs in whole numbers: against scipy, and against vertices by hand."""

from fractions import Fraction
from random import Random

import pytest
from exact_lp import Line, least
from scipy.optimize import linprog

pytestmark = pytest.mark.quick


def dense(rows: list[Line], columns: int) -> tuple[list[list[int]] | None, list[int] | None]:
    """Rows as scipy wants them."""
    if not rows:
        return None, None
    return [[terms.get(column, 0) for column in range(columns)] for terms, _ in rows], [right for _, right in rows]


def drawn(rng: Random) -> tuple[list[int], list[Line], list[Line]]:
    """A small program, often without a point, often with ties."""
    columns = rng.randint(1, 10)

    def line(low: int, high: int) -> Line:
        terms = {column: rng.randint(low, high) for column in range(columns) if rng.random() < 0.6}
        return terms, rng.randint(-5, 20)

    cost = [rng.randint(0, 20) for _ in range(columns)]
    return cost, [line(-3, 5) for _ in range(rng.randint(0, 4))], [line(-4, 6) for _ in range(rng.randint(0, 5))]


def test_the_least_is_that_of_scipy_and_the_point_keeps_every_row_exactly() -> None:
    """400 seeded programs; the point is checked in fractions."""
    found = 0
    for seed in range(400):
        cost, equal, at_most = drawn(Random(seed))
        vertex = least(cost, equal=equal, at_most=at_most)
        a_ub, b_ub = dense(at_most, len(cost))
        a_eq, b_eq = dense(equal, len(cost))
        other = linprog(cost, A_ub=a_ub, b_ub=b_ub, A_eq=a_eq, b_eq=b_eq, bounds=(0, None))
        assert (vertex is None) == (other.status == 2), seed
        if vertex is None:
            continue
        found += 1
        assert float(vertex.value) == pytest.approx(other.fun, abs=1e-6)
        assert vertex.value == sum(each * x for each, x in zip(cost, vertex.point, strict=True))
        assert min(vertex.point) >= 0
        assert all(sum(a * vertex.point[c] for c, a in terms.items()) == right for terms, right in equal)
        assert all(sum(a * vertex.point[c] for c, a in terms.items()) <= right for terms, right in at_most)
    assert 100 < found < 300


def test_a_third_stays_a_third() -> None:
    """x + y = 1 and 3 x <= 1: the slower worker does two thirds, 5 x 1/3 + 7 x 2/3 = 19/3."""
    vertex = least([5, 7], equal=[({0: 1, 1: 1}, 1)], at_most=[({0: 3}, 1)])
    assert vertex is not None
    assert (vertex.value, vertex.point) == (Fraction(19, 3), (Fraction(1, 3), Fraction(2, 3)))
