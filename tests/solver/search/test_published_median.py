"""The p-median problem is this program too: all masses 1, a cap on tools, least minutes; a published instance.

pmed1 of Beasley's OR-Library (A note on solving large p-median problems, European Journal of Operational Research 21
(1985) 270-273): 100 vertices, 200 edges, 5 medians, shortest paths between all; where an edge stands twice, the last
counts. The optimum 5819 is from memory of the library's table.
"""

import numpy as np
import pytest
from tree import DATA

from solver.model.case import EDGE, FIXED, Case
from solver.programs.engine import Status
from solver.search.choice import choose

pytestmark = pytest.mark.quick

GRAPH = DATA / "pmed1.txt"
OPTIMUM = 5819
FAR = 10**6


def distances(size: int, edges: np.ndarray) -> np.ndarray:
    """Lengths of the shortest paths between all vertices, by Floyd's algorithm."""
    found = np.full((size, size), FAR)
    np.fill_diagonal(found, 0)
    for one, other, length in edges:
        found[one - 1, other - 1] = found[other - 1, one - 1] = length
    for by in range(size):
        found = np.minimum(found, found[:, by, None] + found[None, by, :])
    return found


def test_the_published_median_is_reached_and_proven() -> None:
    """Each vertex is a need, and a tool that takes as long over it as the way is long; 5 tools may go."""
    size, edges, medians, *numbers = map(int, GRAPH.read_text("utf-8").split())
    table = np.array(numbers).reshape(-1, 3)
    assert len(table) == edges
    work = distances(size, table).astype(np.int64)
    none = np.zeros(size, dtype=np.int64)
    case = Case(
        ids=tuple(f"v{vertex:03d}" for vertex in range(1, size + 1)),
        mass=np.ones(size, dtype=np.int64),
        price=none,
        work=work,
        able=np.ones((size, size), dtype=bool),
        backup=none,
        wood_class=np.full(size, FIXED),
        wear=np.zeros((size, size), dtype=np.int64),
        kcal=np.zeros((size, size), dtype=np.int64),
        part=np.full((size, size), EDGE),
        caps={"mass_g": medians},
    )
    found = choose(case, aim="work_time", ties=False)
    assert found.status is Status.OPTIMAL
    assert found.ids is not None
    assert len(found.ids) == medians
    assert (found.value, found.bound) == (OPTIMUM, OPTIMUM)
    assert work[:, sorted(case.kit(found.ids))].min(axis=1).sum() == OPTIMUM
