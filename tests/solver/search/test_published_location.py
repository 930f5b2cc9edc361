"""The uncapacitated location problem is this program too: grams cost effort to carry, work costs effort to do.

cap71 of Beasley's OR-Library without its capacities (An algorithm for solving large capacitated warehouse location
problems, European Journal of Operational Research 33 (1988) 314-325): 16 warehouses, 50 customers. The optimum
932615.75 is from memory of the library's table; a second solver holds it here.
"""

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array
from tree import DATA

from solver.model.case import EDGE, FIXED, Case
from solver.programs.engine import Status
from solver.search.choice import choose

pytestmark = pytest.mark.quick

FIGURES = DATA / "cap71.txt"
OPTIMUM = 932615.75
MILLION = 1_000_000
SHARE = 10_000  # costs have four digits after the point; masses are whole


def location() -> tuple[np.ndarray, np.ndarray]:
    """What a warehouse costs to open, float[W], and what all of a customer's demand costs from it, float[C, W]."""
    sites, customers, *numbers = FIGURES.read_text("utf-8").split()
    width = int(sites)
    opening = np.array(numbers[1 : 2 * width : 2], dtype=float)
    rows = np.array(numbers[2 * width :], dtype=float).reshape(int(customers), width + 1)
    return opening, rows[:, 1:]


def case_of(opening: np.ndarray, cost: np.ndarray) -> Case:
    """Each customer is a need, each warehouse a tool that weighs what it costs to open and works at the cost."""
    customers, sites = cost.shape
    none = np.zeros(customers, dtype=np.int64)
    return Case(
        ids=tuple(f"w{site:02d}" for site in range(sites)),
        mass=np.rint(opening * SHARE).astype(np.int64),
        price=np.zeros(sites, dtype=np.int64),
        work=np.ones((customers, sites), dtype=np.int64),
        able=np.ones((customers, sites), dtype=bool),
        backup=none,
        wood_class=np.full(customers, FIXED),
        wear=np.zeros((customers, sites), dtype=np.int64),
        part=np.full((customers, sites), EDGE),
        kcal=np.rint(cost * MILLION).astype(np.int64),
        carry=1 / SHARE,
    )


def by_scipy(opening: np.ndarray, cost: np.ndarray) -> float:
    """The least cost by the textbook model and scipy's solver."""
    customers, sites = cost.shape
    pairs = customers * sites
    customer, site = np.divmod(np.arange(pairs), sites)
    ones, y = np.ones(pairs), sites + np.arange(pairs)
    served = coo_array((ones, (customer, y)), shape=(customers, sites + pairs))
    opened = coo_array(
        (np.concatenate([ones, -ones]), (np.tile(np.arange(pairs), 2), np.concatenate([y, site]))),
        shape=(pairs, sites + pairs),
    )
    rows = [LinearConstraint(served, 1, 1), LinearConstraint(opened, -np.inf, 0)]
    whole = np.concatenate([np.ones(sites), np.zeros(pairs)])
    found = milp(
        np.concatenate([opening, cost.ravel()]),
        constraints=rows,
        integrality=whole,
        bounds=Bounds(0, 1),
        options={"mip_rel_gap": 0.0},
    )
    return float(found.fun)


def test_the_published_location_cost_is_reached_and_proven() -> None:
    """Aim effort: what carrying and working cost together."""
    opening, cost = location()
    found = choose(case_of(opening, cost), aim="effort", ties=False)
    assert found.status is Status.OPTIMAL
    assert found.ids is not None
    opened = [int(name[1:]) for name in found.ids]
    assert opening[opened].sum() + cost[:, opened].min(axis=1).sum() == pytest.approx(OPTIMUM, abs=1e-4)
    assert (found.value, found.bound) == (
        pytest.approx(OPTIMUM * MILLION, abs=100),
        pytest.approx(OPTIMUM * MILLION, abs=100),
    )
    assert by_scipy(opening, cost) == pytest.approx(OPTIMUM, abs=1e-4)
