"""The front: every non-dominated kit by grams and minutes, or by grams and price.

Where all that a kit needs is a tool of each of some sets, the points by price are those of a cover with two costs
(`solver.covers`). Else they come from one tree search with the list of those found as its bound: a kit counts as long
as kits beyond it can still be lighter, or better in the second figure, than each of them. What is not found whole
within its nodes comes point after point.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from catalog.tables.number import Bools, Floats, Ints
from solver.covers.cover_sweeps import non_dominated_covers
from solver.forms.effort import Effort
from solver.forms.limit import GRAMS, MONEY, WORK
from solver.forms.quantity import MASS, sum_of
from solver.model.axis_reduction import reduce_together
from solver.model.case import NEVER, Case, mass_of
from solver.model.day_work import Workload, workload
from solver.model.greedy_kit import promising_tools
from solver.model.program import limit_can_bind
from solver.programs.engine import Status
from solver.search.branching_data import BranchingData, Mask, bits
from solver.search.choice import Choice, Search, choose
from solver.search.goal import Checks, TreeGoal, TreeNode
from solver.search.relaxation import relieved_by_greed
from solver.search.tree import Tree

Against = Literal["minutes", "price"]
MOST_POINTS = 500
MOST_FRONT_NODES: Mapping[Against, int] = {"minutes": 100, "price": 1_000}  # judged: then point after point is sooner
_EXACT = 2**50  # whole numbers below it add up without a loss in floats
_FOR_REDUCING = 0.6  # judged: of the time; of a case that takes longer one kit by greed is told
_SHARE_OF_COVERS = 0.5  # judged: of the time that an answer has left
_OF_COVERS = {GRAMS.field, MONEY.field, WORK.field}  # limits that a cover may have


@dataclass(frozen=True)
class Point:
    """A kit of the front with its day's work and its price [0.01]."""

    choice: Choice
    load: Workload
    price: int


@dataclass(frozen=True)
class _Front:
    """The points by rising mass, whether the list is proven to be all of them, and whether in whole numbers.

    Where the effort ended first, `rest` is the lightest kit known beyond the last point, if any.
    """

    points: list[Point]
    complete: bool
    checked: bool = False
    rest: Choice | None = None


@dataclass
class _Corner:
    """A point of the front on its way: its two figures, and the kits that have them."""

    mass: int
    second: int
    kits: list[tuple[frozenset[int], Workload]] = field(default_factory=list)


class _NonDominated(TreeGoal):
    """Every pair of mass and second figure that no kit beats in both, each with all its kits."""

    step, long_step = 1.3, 1.6  # judged: what is found bounds the next rounds

    def __init__(self, against: Against) -> None:
        """Begin with nothing found.

        Args:
            against: what grams are weighed against.
        """
        self.by_price = against == "price"
        self.corners: list[_Corner] = []

    def begin(self, laid: BranchingData, checks: Checks) -> None:
        """Take up the case."""
        super().begin(laid, checks)
        self.price: list[int] = laid.case.price[laid.order].tolist()
        self.prices = laid.case.price[laid.order]
        everything = (1 << laid.case.tools) - 1
        if self.by_price:
            self.floor = sum(int(self.prices[one].min()) for one in self.disjoint(0, everything))
        else:
            self.floor = -int(-laid.day(laid.times_of(list(bits(everything)))[:, :, None], None)[0, 0] // laid.per_ms)

    @property
    def settled(self) -> bool:  # type: ignore[override]
        """Whether the last point is as good as any kit can be in the second figure."""
        return bool(self.corners) and self.corners[-1].second <= self.floor

    def most(self, mass: int) -> float:
        """Return the most of the second figure with which a kit of a mass counts."""
        place = bisect_right(self.corners, mass, key=lambda one: one.mass)
        if not place:
            return np.inf
        best = self.corners[place - 1]
        return best.second if best.mass == mass else best.second - 1

    def most_each(self, masses: Ints) -> Floats:
        """Return the most of the second figure with which kits of some masses count."""
        if not self.corners:
            return np.full(len(masses), np.inf)
        known = np.array([one.mass for one in self.corners])
        seconds = np.array([np.inf, *(one.second for one in self.corners)])
        place = np.searchsorted(known, masses, side="right")
        return seconds[place] - np.where(place > 0, known[place - 1] != masses, 0)

    def day_cap(self, node: TreeNode) -> Floats:
        """Return the longest day that counts for kits no lighter than a node."""
        if self.by_price:
            return self.laid.day_cap
        cap: Floats = np.minimum(self.laid.day_cap, self.most(node.mass) * self.laid.per_ms)
        return cap

    def day_caps(self, node: TreeNode, masses: Ints) -> Floats:
        """Return the longest days that count for kits no lighter than some masses."""
        cap = super().day_caps(node, masses)
        return cap if self.by_price else np.minimum(cap, self.most_each(masses)[None] * self.laid.per_ms)

    def counts(self, node: TreeNode) -> bool:
        """Tell whether anything beyond a kit can count."""
        if not self.by_price:
            return True
        others = self.laid.light(self.limit - node.mass) & ~node.kit & ~node.out
        wanted = self.disjoint(node.kit, others)
        price = sum(self.price[tool] for tool in bits(node.kit)) + sum(int(self.prices[one].min()) for one in wanted)
        mass = node.mass + sum(int(self.laid.masses[one[0]]) for one in wanted)
        return price <= self.most(mass)

    def disjoint(self, kit: Mask, others: Mask) -> list[Ints]:
        """Return disjoint sets of which a kit needs one more tool each, the smallest first."""
        lacks = [one & others for one in self.laid.lacks_for_rules(kit)]
        lacks += [one & others for one in self.laid.unmet(kit)]
        used, found = 0, []
        for one in sorted(lacks, key=int.bit_count):
            if one and not one & used:
                found.append(self.laid.tools(one))
                used |= one
        return found

    def settle(self, node: TreeNode, others: Mask) -> Mask:
        """Keep the kit where none beats it; beyond it only what costs and weighs nothing counts then."""
        kit = self.laid.kit(node.kit)
        load = self.checks.checked(kit)
        if load is None:
            return self.lacking(node, kit, others)
        second = sum_of(self.laid.case.price, kit) if self.by_price else load.work
        if second <= self.most(node.mass):
            self.keep(node.mass, second, kit, load)
        if not self.by_price:
            return others
        return sum(1 << tool for tool in bits(others & self.laid.light(0)) if not self.price[tool])

    def keep(self, mass: int, second: int, kit: frozenset[int], load: Workload) -> None:
        """Keep a kit, and no point that it beats."""
        place = bisect_left(self.corners, mass, key=lambda one: one.mass)
        here = self.corners[place] if place < len(self.corners) and self.corners[place].mass == mass else None
        if here is None or second < here.second:
            left = [one for one in self.corners if one.mass < mass or one.second < second]
            here = _Corner(mass, second)
            left.insert(bisect_left(left, mass, key=lambda one: one.mass), here)
            self.corners = left
        if all(kit != one for one, _ in here.kits):
            here.kits.append((kit, load))


def front_of(case: Case, *, against: Against, effort: Effort) -> _Front:
    """Return every non-dominated point, the lightest first; of equal ones the first by minutes, number of tools, ids.

    Args:
        case: the case, for minutes without a work limit.
        against: what grams are weighed against.
        effort: what each solve may cost.
    """
    if effort.solver is None:
        reducing = effort.portion(_FOR_REDUCING)
        small = reduce_together([case], priced=against == "price", effort=reducing)[0]
        search = Search(small, effort=effort, solver=None)
        found = _by_covers(search) if against == "price" else None
        if found is None and reducing.over:
            return _Front([], complete=False, rest=_by_greed(small, effort=effort))
        if found is None:
            found = _by_tree(search, against)
        if found is not None and len(found) <= MOST_POINTS:
            return _Front([_point(case, search, one) for one in found], complete=True, checked=True)
        return _one_by_one(small, case, against=against, effort=effort)
    return _one_by_one(case, case, against=against, effort=effort)


def _by_greed(case: Case, *, effort: Effort) -> Choice | None:
    """Return a kit by greed, among the tools that stand out, that keeps every rule, or None where none was found."""
    found = relieved_by_greed(case.keep(promising_tools(case)), aim=MASS.name, effort=effort)
    return None if found is None or found[1] else found[2]


def _by_tree(search: Search, against: Against) -> list[_Corner] | None:
    """Return the points by one tree search, or None where it takes too many nodes."""
    goal, small, effort = _NonDominated(against), search.case, search.effort
    least = 0
    if against == "price":
        cheapest = _cheapest(small.swapped(), effort=effort)
        if cheapest.ids is None or cheapest.status is not Status.OPTIMAL:
            return None
        least, kit = cheapest.mass, small.kit(cheapest.ids)
        small = small.capped(GRAMS.field, mass_of(small, kit))
    laid = BranchingData([small], timed=against == "minutes")
    tree = Tree(laid, goal, search, near=0, effort=effort, nodes=MOST_FRONT_NODES[against])
    goal.floor = max(goal.floor, least)
    return goal.corners if tree.run() else None


def _by_covers(search: Search) -> list[_Corner] | None:
    """Return the points by price of a case that is a cover with two costs; None where it is more, or takes too long."""
    case, effort = search.case, search.effort
    rows = _cover_rows(case)
    if rows is None:
        return None
    must = sorted(case.must)
    free = np.delete(np.arange(case.tools), must)
    held = mass_of(case, case.must), sum_of(case.price, case.must)
    caps = case.mass_cap, case.caps.get(MONEY.field)
    most = [_EXACT if cap is None else cap - part for cap, part in zip(caps, held, strict=True)]
    needed = [row[free] for row in rows if not row[must].any()]
    serves = np.array(needed, dtype=bool).reshape(len(needed), len(free))
    within = effort.portion(_SHARE_OF_COVERS)
    pairs = non_dominated_covers(case.mass[free], case.price[free], serves, most=(most[0], most[1]), effort=within)
    if effort.on_solve is not None:
        effort.on_solve()
    if pairs is None:
        return None
    found = []
    for one in pairs:
        here = _Corner(one.first + held[0], one.second + held[1])
        for cover in one.covers:
            kit = case.must | frozenset(free[list(cover)].tolist())
            load = None if within.spent() else search.checked(kit)
            if load is None:
                return None
            here.kits.append((kit, load))
        found.append(here)
    return found


def _cover_rows(case: Case) -> list[Bools] | None:
    """Return sets of tools of which every kit needs one, where it needs nothing else; else None."""
    other_rules = case.firewood is not None or case.forbidden or case.one_of or {*case.caps} - _OF_COVERS
    costless = (case.mass == 0) & (case.price == 0)
    costless[sorted(case.must)] = False
    if other_rules or limit_can_bind(case) or case.mortal.any() or costless.any() or (case.backup > 1).any():
        return None
    if any(group.dependent not in case.must for group in case.groups):
        return None
    able = case.work < NEVER
    jobs = [able[job, : case.tools] for job in np.flatnonzero(~able[:, case.tools :].any(axis=1))]
    backed = [case.able[job, : case.tools] for job in np.flatnonzero(case.backup)]
    return [*jobs, *backed, *case.some_of, *(group.members for group in case.groups)]


def _point(case: Case, search: Search, corner: _Corner) -> Point:
    """Return a point of the tree's with the first of its kits."""
    small = search.case
    kit, load = min(corner.kits, key=lambda one: (one[1].work, len(one[0]), sorted(one[0])))
    ids = tuple(sorted(small.ids[tool] for tool in kit))
    mass, set_aside = mass_of(small, kit), case.tools - small.tools
    choice = Choice(Status.OPTIMAL, ids, mass, mass, mass, case.tools, set_aside, 0, "enumeration")
    whole = workload(case, case.kit(ids), effort=search.effort)
    return Point(choice, whole or load, sum_of(small.price, kit))


def _one_by_one(case: Case, whole: Case, *, against: Against, effort: Effort) -> _Front:
    """Return the points by one choice after the other, each the lightest kit better than the one before.

    Ties go by the lesser second figure; so no point is dominated, and none is missed.

    Args:
        case: the case, or what is left of it after tools were set aside.
        whole: the case, in whose terms the day's work is told.
        against: what grams are weighed against.
        effort: what each solve may cost.
    """
    points: list[Point] = []
    checked = True
    while len(points) < MOST_POINTS:
        choice = choose(case, effort=effort) if against == "minutes" else _cheapest(case, effort=effort)
        checked &= choice.checked
        if choice.status is Status.INFEASIBLE:
            return _Front(points, complete=True, checked=checked)
        if choice.status is Status.STOPPED or choice.ids is None:
            return _Front(points, complete=False, rest=None if choice.ids is None else choice)
        point = point_of(whole, choice, effort=effort)
        points.append(point)
        if _least_of_all(point, against):
            return _Front(points, complete=True, checked=checked)
        case = _beyond(case, point, against)
    return _Front(points, complete=False)


def _cheapest(case: Case, *, effort: Effort) -> Choice:
    """Return the lightest kit of a case, of equals the cheapest: prices are parts of masses too small to add up to one.

    Where such sums would be too large, prices stand in for masses, and masses for prices.
    """
    unit = int(np.gcd.reduce(case.mass, initial=0)) or 1
    part = int(np.gcd.reduce(case.price, initial=0)) or 1
    scale = int(case.price.sum()) // part + 1
    if (int(case.mass.sum()) // unit + 1) * scale < _EXACT:
        most = None if case.mass_cap is None else (case.mass_cap // unit + 1) * scale - 1
        sums = case.mass // unit * scale + case.price // part
        both = case.changed(mass=sums, weighed=case.packed_mass).capped(GRAMS.field, most)
        choice = choose(both, effort=effort)
        if choice.ids is None:
            return choice
        mass = mass_of(case, case.kit(choice.ids))
        bound = None if choice.bound is None else min(mass, int(choice.bound) // scale * unit)
        return replace(choice, mass=mass, value=mass, bound=bound)
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
