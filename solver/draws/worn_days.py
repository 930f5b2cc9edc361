"""The least work of one kit in many draws in which its tools may wear out, most of them proven several at once."""

import numpy as np

from catalog.tables.number import Ints
from solver.draws.kit_ways import KitWays
from solver.forms.effort import Effort
from solver.model.day_work import Workload, workload
from solver.needs.case_axis import CaseAxis
from solver.siblings.day_bases import DayBases

_CELLS = 200_000  # judged: ways of working, and entries of equations, in the draws that are looked at together


def worn_work(axis: CaseAxis, kit: frozenset[int], places: Ints, *, effort: Effort) -> Ints:
    """Return the least work of a kit in some cases [ms], rounded up; -1 where its tools wear out before all is done.

    Args:
        axis: the cases.
        kit: tools that do all jobs in these cases if none wears out.
        places: of the cases, ascending.
        effort: what it may cost.

    Raises:
        Unfinished: the effort ran out.
    """
    work = np.full(len(places), -1)
    if not len(places):
        return work
    ways, bases = KitWays(axis, kit, places), DayBases()
    size = max(1, _CELLS // max(1, ways.cells, ways.lives**2))
    for first in range(0, len(places), size):
        part = places[first : first + size]

        def exact(place: int, part: Ints = part) -> Workload | None:
            return workload(axis.case(int(part[place])), kit, effort=effort, shares=False)

        work[first : first + size] = bases.work(ways.at(part), exact, effort=effort)
    return work
