"""The best kit of a case, by aims in order, proven in whole numbers.

Each aim is made least among the kits that are best in the aims before, by `solver.search.proof`. A kit counts only
where it keeps every rule: grams, prices and companions in whole numbers, and the day's work by sharing it out anew.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Literal

from catalog.tables.number import Bools
from solver.forms.aim import AIMS, AimBound
from solver.forms.effort import Effort, Unfinished
from solver.forms.quantity import MASS, Objective, Quantity
from solver.model.case import Case, keeps_rules, mass_of
from solver.model.day_work import Workload, workload
from solver.model.greedy_kit import kit_by_greed
from solver.model.program import Program, build, limit_can_bind
from solver.model.reduction import reduce
from solver.model.time_price import WearShortfall
from solver.model.wear import LifePrices, NothingLasts, Wear
from solver.programs.engine import Status
from solver.programs.linear_model import Row
from solver.search.branching_data import BranchingData
from solver.search.goal import Lightest, Met, lightened
from solver.search.proof import Prover
from solver.search.tree import Tree

CHUNK = 20  # ids weighed in one solve: the weights, powers of two, stay exact far below 2**53
_FOR_REDUCING = 0.6  # judged: of the time; a case that takes longer is searched as it is, by greed
FOR_TREE = 0.6  # judged: of the time; the rest is for a program
_FOR_GREED = 0.1  # judged: of the time, for a kit where none is known
MOST_NODES = 2_000  # judged: by then the bounds of a linear program have begun to pay

_Measure = Callable[[frozenset[int], Workload], int]


@dataclass(frozen=True)
class Choice:
    """The outcome: status, the chosen ids (None where none was found), figures in whole units, bound.

    `value` and `bound` are of the first aim: 0.01 g, ms, or millionths of a kcal. `prover` is enumeration, highs or
    cbc, or None where nobody chose.
    """

    status: Status
    ids: tuple[str, ...] | None
    mass: int
    value: int
    bound: int | None
    considered: int
    set_aside: int
    solves: int
    prover: str | None = None
    aims: tuple[AimBound, ...] = ()

    @property
    def checked(self) -> bool:
        """Whether whole numbers prove the kit, or that there is none."""
        return self.status is not Status.STOPPED

    @property
    def told_status(self) -> Literal["optimal", "feasible"]:
        """The status of a choice that has a kit, as callers see it."""
        return "optimal" if self.status is Status.OPTIMAL else "feasible"


@dataclass(frozen=True)
class Found:
    """A checked kit with its day's work, how its search ended, and the bound of each aim as far as they were asked."""

    status: Status
    kit: frozenset[int] | None
    load: Workload | None
    bounds: tuple[int | None, ...] = ()

    @property
    def bound(self) -> int | None:
        """The bound of the first aim."""
        return self.bounds[0] if self.bounds else None


class Search:
    """One case under search: counts its solves and checks what they offer."""

    def __init__(self, case: Case, *, effort: Effort, solver: str | None, by_kcal: bool = False) -> None:
        self.case = case
        self.by_kcal = by_kcal
        self.effort = effort
        self.asked_solver = solver or effort.solver
        self.solver = solver or effort.program_solver
        self.solves = 0
        self.loads: dict[frozenset[int], Workload | None] = {}
        self.wear: Wear | None = None  # made for the first kit that does not last
        self.prices: list[LifePrices] = []  # of lives; cases of the same tools may share them
        self.ends_worn = False  # whether it ends with `NothingLasts` once that is proven

    def outworn(self, kit: frozenset[int], has: Bools) -> bool:
        """Tell whether wear rules a kit out; never where a solver is asked for, nor first where the time is over."""
        if self.wear is None:
            if self.effort.solver is not None or self.effort.over:
                return False
            self.wear = Wear(self.case, self.prices, ends=self.ends_worn)
        return self.wear.rules_out(kit, has)

    def program(self, *, with_minutes: bool) -> Program:
        """Return the program of the case; see `build`."""
        return build(self.case, with_minutes=with_minutes, effort=self.effort)

    def against(self, program: Program, kit: frozenset[int]) -> list[Row]:
        """Return rules, in whole numbers, that a refused kit breaks and no kit that counts, as far as any are known."""
        undealt = program.undealt(kit)
        return [] if undealt is None else [undealt]

    def load_of(self, kit: frozenset[int]) -> Workload | None:
        """Return what `checked` returns, worked out once for each kit."""
        if kit not in self.loads:
            self.loads[kit] = self.checked(kit)
        return self.loads[kit]

    def counts(self, kit: frozenset[int]) -> bool:
        """Tell whether a kit keeps every rule."""
        return self.load_of(kit) is not None

    def checked(self, kit: frozenset[int]) -> Workload | None:
        """Return the day's work of a kit that keeps every rule, else None."""
        if not keeps_rules(self.case, kit):
            return None
        load, cap = self.day(kit), self.case.work_cap
        over = load is not None and cap is not None and load.work > cap
        return None if over else load

    def day(self, kit: frozenset[int]) -> Workload | None:
        """Return the day's work of a kit, or None where it can't do it, or wear makes it longer than the work limit.

        Of ways of the least time, or kcal, it is any.
        """
        outworn = partial(self.outworn, kit)
        return workload(self.case, kit, effort=self.effort, by_kcal=self.by_kcal, ruled_out=outworn, shares=False)

    def relief(self, kit: frozenset[int]) -> WearShortfall | None:
        """Return what the kit checked last lacks for want of life; None where that did not rule it out."""
        return None if self.wear is None else self.wear.relief(kit)

    def measure(self, quantity: Quantity, found: Found) -> int:
        """Return what a found kit comes to: 0.01 g, ms, millionths of a kcal, or tools."""
        assert found.kit is not None
        assert found.load is not None
        return quantity.measure(self.case, found.kit, found.load)


class InOrder:
    """The program of a case on its way through aims: each is made least, then held while the next one is."""

    def __init__(self, search: Search, program: Program) -> None:
        """Read the program, with all rows that it has by now."""
        self.search, self.program = search, program
        self.tool_of = {column: tool for tool, column in enumerate(program.carried)}
        self.held: list[tuple[_Measure, int]] = []
        self.prover = Prover(
            program.model,
            binaries=program.carried,
            effort=search.effort,
            solver=search.asked_solver,
            against=lambda ones: search.against(program, self.kit(ones)),
        )

    def kit(self, ones: frozenset[int]) -> frozenset[int]:
        """Return the tools of columns."""
        return frozenset(self.tool_of[column] for column in ones)

    def best(self, quantity: Quantity, start: frozenset[int] | None = None) -> Found:
        """Return the kit that is best in a quantity; see `least`."""
        measure = partial(quantity.measure, self.search.case)
        return self.least(self.program.cost(quantity), measure, scale=quantity.scale, start=start)

    def least(self, cost: Objective, measure: _Measure, *, scale: int, start: frozenset[int] | None = None) -> Found:
        """Return the kit of least measure among those that keep the rules and what is held.

        Args:
            cost: what each column counts of the measure, in parts of it.
            measure: a whole number.
            scale: how many parts make one.
            start: a kit to start from.
        """
        columns = None if start is None else frozenset(self.program.carried[tool] for tool in start)

        def exact(ones: frozenset[int]) -> int | None:
            kit = self.kit(ones)
            load = self.search.load_of(kit)
            if load is None or any(held(kit, load) > most for held, most in self.held):
                return None
            return scale * measure(kit, load)

        self.search.solves += 1
        unit = scale if scale > 1 else None
        end = self.prover.least(cost, leaf=exact, start=columns, unit=unit)
        if end.ones is None:
            return Found(end.status, None, None, (None if end.status is Status.INFEASIBLE else end.bound // scale,))
        kit = self.kit(end.ones)
        return Found(end.status, kit, self.search.load_of(kit), (end.bound // scale,))

    def hold(self, quantity: Quantity, value: int) -> None:
        """Hold a quantity at the least value reached; see `keep`."""
        self.keep(self.program.cost(quantity), partial(quantity.measure, self.search.case), value, quantity.scale)

    def keep(self, cost: Objective, measure: _Measure, value: int, scale: int) -> None:
        """Hold a measure at a value that some kit reaches: tools that cannot move within it are fixed."""
        self.prover.settle(cost, scale * value)
        self.prover.hold(cost, scale * value)
        self.held.append((measure, value))

    def free(self) -> list[int]:
        """Return the tools that what is held leaves open."""
        return [self.tool_of[column] for column in self.prover.free()]

    def fix(self, tool: int, *, carried: bool) -> None:
        """Carry a tool for good, or leave it home."""
        self.prover.fix(self.program.carried[tool], int(carried))

    def fixed_like(self, other: "InOrder") -> None:
        """Fix the tools that are fixed in another program of the same case."""
        free = set(other.free())
        for tool, column in enumerate(other.program.carried):
            if tool not in free:
                self.fix(tool, carried=bool(other.prover.low[column]))


def least_mass(
    case: Case, *, effort: Effort, near: int = 0, reduced: bool = True, laid: BranchingData | None = None
) -> int | None:
    """Return the mass of the lightest kit of a case [0.01 g], or None where there is no kit; arguments as of `choose`.

    Raises:
        Unfinished: the effort ran out before the least was proven.
    """
    choice = choose(case, effort=effort, ties=False, near=near, reduced=reduced, laid=laid, at_last=False)
    if choice.status is Status.STOPPED:
        raise Unfinished
    return None if choice.ids is None else choice.mass


def choose(
    case: Case,
    *,
    aim: str = "mass",
    effort: Effort | None = None,
    solver: str | None = None,
    reduced: bool = True,
    ties: bool = True,
    near: int = 0,
    laid: BranchingData | None = None,
    at_last: bool = True,
) -> Choice:
    """Return the best kit of a case, proven, or the best found within the effort.

    Args:
        case: the trip's choice as numbers.
        aim: mass, effort or work_time; ties go to the next aims, then to the first ids.
        effort: what each solve may cost; the usual effort where nothing is said.
        solver: highs or cbc, and no enumeration; what the effort asks for where nothing is said.
        reduced: False skips the reductions, which never change the answer.
        ties: False takes any kit that is best in the first aim.
        near: a guess at the least mass [0.01 g], which only saves time.
        laid: a case that is not to be reduced laid out, where it is by now.
        at_last: whether greed tries once more where the effort ends without a kit, of use where any kit is told.
    """
    effort, by_kcal = effort or Effort(), AIMS[aim].by_kcal
    reducing = effort.portion(_FOR_REDUCING)
    small = reduce(case, by_effort=by_kcal, effort=reducing) if reduced else case
    search = Search(small, effort=effort, solver=solver, by_kcal=by_kcal)
    if aim == "mass" and (solver or effort.solver) is None and not reducing.over:
        goal, search.ends_worn = Lightest(every=ties), True
        within = effort.portion(FOR_TREE)
        tree = Tree(laid or BranchingData([small]), goal, search, near=near, effort=within, nodes=MOST_NODES)
        complete, met = tree.run(), goal.met
        if complete:
            return choice_of(case, search, first_met(met), aim, prover="enumeration")
        if met.mass is not None:
            light, met = lightened(small, met.mass, tree.light(met.mass), met)
            search = Search(light, effort=search.effort, solver=solver)
        try:
            found = by_program(search, aim, ties=ties, start=met.kits[0][0] if met.kits else None, at_last=at_last)
        except NothingLasts:  # proven after the tree was left
            found = Found(Status.INFEASIBLE, None, None)
        if (found.bound or 0) < tree.bound:
            found = replace(found, bounds=(tree.bound, *found.bounds[1:]))
        return choice_of(case, search, found, aim)
    return choice_of(case, search, by_program(search, aim, ties=ties, at_last=at_last), aim)


def first_met(met: Met) -> Found:
    """Return the first of the kits that a tree search found: by minutes, number of tools and ids."""
    if not met.kits:
        return Found(Status.INFEASIBLE, None, None)
    kit, load = min(met.kits, key=lambda one: (one[1].work, len(one[0]), sorted(one[0])))
    return Found(Status.OPTIMAL, kit, load, (met.mass,))


def by_program(
    search: Search, aim: str, *, ties: bool, start: frozenset[int] | None = None, at_last: bool = True
) -> Found:
    """Return the best kit of a case by integer programs: by the first aim, and among equals by the next ones, then ids.

    Args:
        search: the case.
        aim: what is least, then what decides.
        ties: False takes any kit that is best in the first aim.
        start: a kit that keeps every rule; where none is known, one is made by greed.
        at_last: whether greed tries once more where the effort ends without a kit.
    """
    greedy = partial(kit_by_greed, search.case, search.counts)
    start = start or greedy(effort=search.effort.portion(_FOR_GREED), shrinking=False)
    try:
        found = _by_programs(search, aim, ties=ties, start=start)
    except Unfinished:
        found = Found(Status.STOPPED, start, None)
    if found.kit is None and found.status is Status.STOPPED and at_last:
        found = replace(found, kit=greedy(effort=search.effort))
    return replace(found, load=None if found.kit is None else search.load_of(found.kit))


def _by_programs(search: Search, aim: str, *, ties: bool, start: frozenset[int] | None) -> Found:
    """Return what `by_program` does; raises Unfinished before the first program stands."""
    order = AIMS[aim].order
    whole = order[0] is not MASS or limit_can_bind(search.case)
    steps = InOrder(search, search.program(with_minutes=whole))
    found = steps.best(order[0], start)
    if found.kit is None or found.status is Status.STOPPED or not ties:
        return found
    steps.hold(order[0], search.measure(order[0], found))
    if steps.free() and not whole:
        try:
            first, steps = steps, InOrder(search, search.program(with_minutes=True))
        except Unfinished:
            return replace(found, status=Status.STOPPED)
        steps.hold(order[0], search.measure(order[0], found))
        steps.fixed_like(first)
    return _among_equals(search, steps, found, order[1:])


def _among_equals(search: Search, steps: InOrder, found: Found, aims: Sequence[Quantity]) -> Found:
    """Return the best of the kits that are equal in the aims before, by the next aims, then by ids.

    Kits of one size compare as their sorted lists do when the tool of the smallest id weighs more than all that follow;
    ids are taken a chunk at a time, each chunk then fixed.
    """
    bounds = found.bounds
    for aim in aims:
        if not steps.free():
            return found
        better = steps.best(aim, found.kit)
        bounds = (*bounds, *better.bounds)
        if better.kit is None or better.status is Status.STOPPED:
            return replace(found if better.kit is None else better, status=Status.STOPPED, bounds=bounds)
        found = replace(better, bounds=bounds)
        steps.hold(aim, search.measure(aim, found))
    while chunk := steps.free()[:CHUNK]:
        weights = {tool: 2 ** (len(chunk) - 1 - place) for place, tool in enumerate(chunk)}
        cost = {steps.program.carried[tool]: -float(weight) for tool, weight in weights.items()}
        weigh = partial(lambda weights, kit, _: -sum(weights.get(tool, 0) for tool in kit), weights)
        first = steps.least(cost, weigh, scale=1, start=found.kit)
        if first.kit is None or first.status is Status.STOPPED:
            return replace(found, status=Status.STOPPED, bounds=bounds)
        found = replace(first, bounds=bounds)
        for tool in chunk:
            steps.fix(tool, carried=tool in first.kit)
    return found


def choice_of(case: Case, search: Search, found: Found, aim: str, *, prover: str | None = None) -> Choice:
    """Return the outcome in the terms of the whole case."""
    small, first = search.case, AIMS[aim].order[0]
    value = 0 if found.kit is None else search.measure(first, found)
    proven = found.kit is not None and found.status is Status.OPTIMAL
    return Choice(
        status=found.status,
        ids=None if found.kit is None else tuple(sorted(small.ids[tool] for tool in found.kit)),
        mass=0 if found.kit is None else mass_of(small, found.kit),
        value=value,
        bound=value if proven else None if found.kit is None else min(value, max(0, found.bound or 0)),
        considered=case.tools,
        set_aside=case.tools - small.tools,
        solves=search.solves,
        prover=prover or search.solver,
        aims=aims_of(search, found, aim),
    )


def aims_of(search: Search, found: Found, aim: str) -> tuple[AimBound, ...]:
    """Return how far each aim is proven of a found kit; all that an enumeration or ties decide are."""
    if found.kit is None:
        return ()
    values = [search.measure(quantity, found) for quantity in AIMS[aim].order]
    bounds = values if found.status is Status.OPTIMAL else [*found.bounds, *(None for _ in values[len(found.bounds) :])]
    return tuple(
        AimBound(quantity, value, None if bound is None else min(value, max(0, bound)))
        for quantity, value, bound in zip(AIMS[aim].order, values, bounds, strict=True)
    )
