"""The solvers by the options in force, against optima in whole numbers: a slice of `python tests engine_options`."""

import pytest
from limit_programs import KINDS, Asked, asked

from solver import Effort
from solver.forms.effort import SolverName
from solver.programs.engine import Engine, Status
from solver.programs.linear_model import make_row

pytestmark = pytest.mark.quick

BY_HIGHS, BY_CBC = 40, 4
# Programs that other options got wrong: HiGHS with 1e-9 for whole columns, and with its usual tolerances.
HARD = {"share": (5, 10, 31, 53, 84, 94, 151, 185), "wear": (33, 58, 78, 144, 305), "work_limit": (217,)}


def least_found(one: Asked, solver: SolverName) -> int | None:
    """The least that a solver finds and a check in whole numbers lets stand; what only a tolerance let through goes."""
    engine = Engine(one.model, solver=solver, effort=Effort(seconds=36_000))
    while True:
        outcome = engine.minimise(one.cost)
        assert outcome.status is not Status.STOPPED
        if outcome.values is None:
            return None
        worth = one.worth(outcome.values)
        if worth is not None:
            return worth
        whole = [index for index, column in enumerate(one.model.columns) if column.whole]
        ones = [index for index in whole if outcome.values[index] > 1 / 2]
        terms = [(index, -1.0 if index in ones else 1.0) for index in whole]
        engine.add_row(make_row(terms, low=1.0 - len(ones)))


@pytest.mark.parametrize("kind", KINDS)
def test_highs_finds_every_optimum(kind: str) -> None:
    """Half of the limits lie within one unit of a kit, masses over four decades."""
    found = [asked(kind, number) for number in (*range(BY_HIGHS), *HARD.get(kind, ()))]
    wrong = [number for number, one in enumerate(found) if least_found(one, "highs") != one.least]
    assert wrong == []
    assert sum(one.least is not None for one in found) >= BY_HIGHS / 3


@pytest.mark.parametrize("kind", KINDS)
def test_cbc_finds_every_optimum(kind: str) -> None:
    """By its own options, where no column is wanted finer than CBC can hold it."""
    found = [asked(kind, number) for number in range(BY_CBC)]
    assert [least_found(one, "cbc") for one in found] == [one.least for one in found]
