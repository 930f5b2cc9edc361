"""The front: every non-dominated kit by grams and minutes, or by grams and price."""

from dataclasses import dataclass, replace
from typing import Literal

from solver.forms.effort import Effort
from solver.forms.limit import MONEY, WORK
from solver.forms.quantity import sum_of
from solver.model.case import Case
from solver.model.day_work import Workload, workload
from solver.model.engine import Status
from solver.search.choice import Choice, choose

Against = Literal["minutes", "price"]
MOST_POINTS = 500


@dataclass(frozen=True)
class Point:
    """A kit of the front with its day's work and its price [0.01]."""

    choice: Choice
    load: Workload
    price: int


@dataclass(frozen=True)
class _Front:
    """The points by rising mass, and whether the list is proven to be all of them."""

    points: list[Point]
    complete: bool


def front_of(case: Case, *, against: Against, effort: Effort) -> _Front:
    """Return every non-dominated point, the lightest first.

    Each next point is the lightest kit that takes less time a day (or costs at least 0.01 less) than the one
    before, ties by the lesser second figure; so no point is dominated, and none is missed.

    Args:
        case: the case, for minutes without a work limit.
        against: what grams are weighed against.
        effort: what each solve may cost.
    """
    points: list[Point] = []
    while len(points) < MOST_POINTS:
        choice = choose(case, effort=effort) if against == "minutes" else _cheapest(case, effort=effort)
        if choice.status is Status.INFEASIBLE:
            return _Front(points, complete=True)
        if choice.status is Status.STOPPED or choice.ids is None:
            return _Front(points, complete=False)
        point = point_of(case, choice, effort=effort)
        points.append(point)
        if _least_of_all(point, against):
            return _Front(points, complete=True)
        case = _beyond(case, point, against)
    return _Front(points, complete=False)


def _cheapest(case: Case, *, effort: Effort) -> Choice:
    """Return the lightest kit of a case, of equals the cheapest: prices stand in for masses, masses for prices."""
    lightest = choose(case, effort=effort, ties=False)
    if lightest.ids is None or lightest.status is Status.STOPPED:
        return lightest
    choice = choose(case.swapped().capped(MONEY.field, lightest.mass), effort=effort)
    if choice.ids is None:
        return replace(lightest, status=Status.STOPPED)
    return replace(choice, mass=lightest.mass, value=lightest.value, bound=lightest.bound)


def point_of(case: Case, choice: Choice, *, effort: Effort) -> Point:
    """Return a point with its figures."""
    kit = case.kit(choice.ids or ())
    load = workload(case, kit, effort=effort)
    assert load is not None
    return Point(choice, load, sum_of(case.price, kit))


def _least_of_all(point: Point, against: Against) -> bool:
    """Tell whether no kit can be better in the second figure: it is nothing already."""
    return point.price == 0 if against == "price" else not point.load.work


def _beyond(case: Case, point: Point, against: Against) -> Case:
    """Return the case of the kits that are better in the second figure."""
    if against == "price":
        return case.capped(MONEY.field, point.price - 1)
    return case.capped(WORK.field, point.load.work - 1)
