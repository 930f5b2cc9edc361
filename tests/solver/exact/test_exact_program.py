"""Linear programs solved exactly, against every basis of small ones worked out in fractions."""

from collections.abc import Mapping, Sequence
from fractions import Fraction
from itertools import combinations
from random import Random

import pytest

from solver.exact import exact_program
from solver.exact.exact_program import ExactProgram, WholeRow
from solver.forms.effort import Effort

pytestmark = pytest.mark.quick

PROGRAMS = 150


def random_program(rng: Random) -> tuple[int, list[WholeRow], dict[int, int]]:
    """Work shared out among a few: jobs done wholly, lives that bound some of it, costs of each way."""
    jobs, workers = rng.randint(1, 3), rng.randint(1, 2)
    columns = jobs * workers
    rows = [
        WholeRow(tuple((job * workers + worker, 1) for worker in range(workers)), 1, exact=True) for job in range(jobs)
    ]
    large = rng.choice((3, 10**4, 10**9))
    for worker in range(rng.randint(0, workers)):
        terms = tuple((job * workers + worker, rng.randint(1, large)) for job in range(jobs))
        rows.append(WholeRow(terms, rng.randint(0, jobs * large), exact=False))
    return columns, rows, {column: rng.choice((0, 1, 1, 2, rng.randint(1, large))) for column in range(columns)}


def points(columns: int, rows: Sequence[WholeRow]) -> list[list[Fraction]]:
    """Every corner: the points of all bases that keep the rows."""
    left = [columns + place for place, row in enumerate(rows) if not row.exact]
    wide = columns + len(rows)
    matrix = [[Fraction(dict(row.terms).get(column, 0)) for column in range(wide)] for row in rows]
    for place in range(len(rows)):
        matrix[place][columns + place] = Fraction(1)
    found = []
    for basis in combinations([*range(columns), *left], len(rows)):
        values = by_elimination([[row[column] for column in basis] for row in matrix], [row.side for row in rows])
        if values is not None and min(values) >= 0:
            at = dict(zip(basis, values, strict=True))
            found.append([at.get(column, Fraction(0)) for column in range(columns)])
    return found


def by_elimination(matrix: list[list[Fraction]], sides: Sequence[int]) -> list[Fraction] | None:
    """The only solution, by Gauss and Jordan."""
    rows = [[*row, Fraction(side)] for row, side in zip(matrix, sides, strict=True)]
    for place in range(len(rows)):
        pivot = next((row for row in range(place, len(rows)) if rows[row][place]), None)
        if pivot is None:
            return None
        rows[place], rows[pivot] = rows[pivot], rows[place]
        rows[place] = [each / rows[place][place] for each in rows[place]]
        for other in range(len(rows)):
            if other != place and rows[other][place]:
                factor = rows[other][place]
                rows[other] = [a - factor * b for a, b in zip(rows[other], rows[place], strict=True)]
    return [row[-1] for row in rows]


def cost_of(cost: Mapping[int, int], point: Sequence[Fraction]) -> Fraction:
    """What a point costs."""
    return sum((each * point[column] for column, each in cost.items()), Fraction(0))


@pytest.mark.parametrize("proposed", ["by floats", "nothing", "anything"])
def test_the_least_and_then_the_first_of_all_corners_is_found_whatever_floats_propose(
    proposed: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The least of one cost, of these the least of another, then the first column as high as can be, then the next."""
    rng = Random(proposed)

    def odd(columns: int, rows: Sequence[WholeRow], _: Mapping[int, int]) -> list[int] | None:
        return None if proposed == "nothing" else rng.sample(range(columns + len(rows)), len(rows))

    if proposed != "by floats":
        monkeypatch.setattr(exact_program, "proposed_basis", odd)
    none = 0
    for number in range(PROGRAMS):
        columns, rows, cost = random_program(Random(number))
        second = {column: Random(number + column).randint(0, 2) for column in range(columns)}
        corners = points(columns, rows)
        program = ExactProgram(columns, rows, effort=Effort())
        assert program.start(cost) == bool(corners)
        none += not corners
        if not corners:
            continue
        least = min(cost_of(cost, point) for point in corners)
        assert program.minimise(cost) == least
        corners = [point for point in corners if cost_of(cost, point) == least]
        assert program.minimise(second) == min(cost_of(second, point) for point in corners)
        corners = [point for point in corners if cost_of(second, point) == min(cost_of(second, one) for one in corners)]
        for column in range(columns):
            program.minimise({column: -1})
        assert program.point()[:columns] == max(corners)
        assert program.settled
    assert none > PROGRAMS / 20
