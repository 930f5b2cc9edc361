"""The best kit of a case, by aims in order, proven.

Every kit that the solver offers is checked again: grams, prices and companions in whole numbers, the day's
work by sharing it out anew. One that only the solver's tolerance let through is cut off and the solve goes
on.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil
from typing import Literal

import numpy as np

from solver.forms.aim import AIMS
from solver.forms.effort import Effort
from solver.forms.limit import GRAMS
from solver.forms.quantity import MASS, Objective, Quantity
from solver.model.case import Bools, Case, keeps_rules, mass_of
from solver.model.day_work import Workload, workload
from solver.model.engine import Engine, Status
from solver.model.linear_model import Row, make_row
from solver.model.program import Program, build, limit_can_bind
from solver.model.reduction import kept_together, reduce, within_budget
from solver.model.time_price import WearShortfall
from solver.model.wear import Wear
from solver.search.branching_data import BranchingData
from solver.search.goal import Lightest, Met
from solver.search.tree import Tree

_TRUST = 1e-9  # far above what a solver's bound is off by in its last digits
CHUNK = 20  # ids weighed in one solve: the weights, powers of two, stay exact far below 2**53
MOST_NODES = 2_000  # judged: by then the bounds of a linear program have begun to pay
MOST_KITS = 2_000  # judged: of several cases together; by then each fares better by itself
_MOST_REJECTED = 500  # judged: kits that only a tolerance let through, before a search counts as stopped


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

    @property
    def told_status(self) -> Literal["optimal", "feasible"]:
        """The status of a choice that has a kit, as callers see it."""
        return "optimal" if self.status is Status.OPTIMAL else "feasible"


@dataclass(frozen=True)
class Found:
    """A checked kit with its day's work, how its solve ended, and a bound in units of what it is best in."""

    status: Status
    kit: frozenset[int] | None
    load: Workload | None
    bound: int | None


class Unfinished(RuntimeError):
    """The effort ran out before the answer was known; nothing can be said of the trip."""

    def __init__(self) -> None:
        super().__init__("no kit was found within the allowed effort")


class Search:
    """One case under search: counts its solves and checks what they offer."""

    most_rejected = _MOST_REJECTED

    def __init__(self, case: Case, *, effort: Effort, solver: str | None, by_kcal: bool = False) -> None:
        self.case = case
        self.by_kcal = by_kcal
        self.effort = effort
        self.solver = solver or effort.program_solver
        self.solves = 0
        self.wear: Wear | None = None  # made for the first kit that does not last

    def outworn(self, kit: frozenset[int], has: Bools) -> bool:
        """Tell whether wear rules a kit out; never where no limit is set or a solver is asked for."""
        if self.wear is None:
            if self.effort.solver is not None or self.case.work_cap is None:
                return False
            self.wear = Wear(self.case, self.case.work_cap)
        return self.wear.rules_out(kit, has)

    def engine(self, program: Program) -> Engine:
        """Return an engine for this program."""
        return Engine(program.model, solver=self.solver, effort=self.effort)

    def best(self, engine: Engine, program: Program, cost: Objective, *, scale: int = 1) -> Found:
        """Return the kit of least cost that keeps the rules; stopped where too many in a row do not.

        Args:
            engine: of the program.
            program: the case as a program.
            cost: what is least.
            scale: what the cost counts for one unit of the bound.
        """
        for _ in range(self.most_rejected):
            self.solves += 1
            outcome = engine.minimise(cost)
            if outcome.values is None:
                return Found(outcome.status, None, None, _whole(outcome.bound, scale))
            kit = program.kit(list(outcome.values))
            load = self.checked(kit)
            if load is not None:
                return Found(outcome.status, kit, load, _whole(outcome.bound, scale))
            for row in self.against(program, kit):
                engine.add_row(row)
        return Found(Status.STOPPED, None, None, _whole(outcome.bound, scale))

    def against(self, program: Program, kit: frozenset[int]) -> list[Row]:
        """Return rules that a kit breaks which was offered but doesn't do, and no kit that does."""
        return [program.other_than(kit)]

    def checked(self, kit: frozenset[int]) -> Workload | None:
        """Return the day's work of a kit that keeps every rule, else None."""
        if not keeps_rules(self.case, kit):
            return None
        load, cap = self.day(kit), self.case.work_cap
        over = load is not None and cap is not None and load.work > cap
        return None if over else load

    def day(self, kit: frozenset[int]) -> Workload | None:
        """Return the day's work of a kit, or None where it can't do it, or wear makes it longer than the work limit."""
        return workload(
            self.case,
            kit,
            effort=self.effort,
            solver=self.solver,
            by_kcal=self.by_kcal,
            ruled_out=lambda has: self.outworn(kit, has),
        )

    def relief(self, kit: frozenset[int]) -> WearShortfall | None:
        """Return what the kit checked last lacks for want of life; None where that did not rule it out."""
        return None if self.wear is None else self.wear.relief(kit)

    def measure(self, quantity: Quantity, found: Found) -> int:
        """Return what a found kit comes to: 0.01 g, ms, millionths of a kcal, or tools."""
        assert found.kit is not None
        assert found.load is not None
        return quantity.measure(self.case, found.kit, found.load)


def _whole(bound: float | None, scale: int) -> int | None:
    """Return a solver's bound in whole units: what is least is whole."""
    return None if bound is None else ceil(bound / scale * (1 - _TRUST) - _TRUST)


def least_mass(case: Case, *, effort: Effort, near: int = 0, reduced: bool = True) -> int | None:
    """Return the mass of the lightest kit of a case [0.01 g], or None where there is no kit.

    Args:
        case: the trip's choice as numbers.
        effort: what each solve may cost.
        near: a guess at it, which only saves time.
        reduced: False where the case is reduced already.

    Raises:
        Unfinished: the effort ran out before the least was proven.
    """
    choice = choose(case, effort=effort, ties=False, near=near, reduced=reduced)
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
    """
    effort = effort or Effort()
    by_kcal = AIMS[aim].by_kcal
    small = reduce(case, by_effort=by_kcal) if reduced else case
    search = Search(small, effort=effort, solver=solver, by_kcal=by_kcal)
    if aim == "mass" and (solver or effort.solver) is None:
        goal = Lightest(every=ties)
        tree = Tree(BranchingData([small]), goal, [search], near=near, effort=search.effort, nodes=MOST_NODES)
        complete, met = tree.run(), goal.found[0]
        if complete:
            return choice_of(case, search, first_met(met), aim, prover="enumeration")
        if met.mass is not None:
            light, met = _lightened(small, met.mass, tree.light(met.mass), met)
            search = Search(light, effort=search.effort, solver=solver)
        return choice_of(case, search, _better_of(met, by_program(search, aim, ties=ties), tree.bound), aim)
    return choice_of(case, search, by_program(search, aim, ties=ties), aim)


def _lightened(case: Case, mass: int, light: Bools, met: Met) -> tuple[Case, Met]:
    """Return the case of the kits up to a mass, of the tools that can be in them, and what was met in its terms."""
    kept = np.flatnonzero(light)
    place = {int(old): new for new, old in enumerate(kept)}
    kits = [(frozenset(place[tool] for tool in kit), load) for kit, load in met.kits]
    return case.capped(GRAMS.field, mass).keep(kept), replace(met, kits=kits)


def first_met(met: Met) -> Found:
    """Return the first of the kits that a tree search found: by minutes, number of tools and ids."""
    if not met.kits:
        return Found(Status.INFEASIBLE, None, None, None)
    least = min(load.work for _, load in met.kits)
    kits = [(kit, load) for kit, load in met.kits if load.work <= least]
    kit, load = min(kits, key=lambda one: (len(one[0]), sorted(one[0])))
    return Found(Status.OPTIMAL, kit, load, met.mass)


def _better_of(met: Met, found: Found, least: int) -> Found:
    """Return what a program found, with the bound of a tree search that came first, and its kit for want of one."""
    if found.status is Status.OPTIMAL or not (found.status is Status.STOPPED or met.kits):
        return found
    bound = max(least, found.bound or 0)
    if found.kit is None and met.kits:
        found = first_met(met)
    return replace(found, status=Status.STOPPED, bound=bound)


def lightest_of(cases: Sequence[Case], near: int, *, effort: Effort) -> list[Choice | None]:
    """Return the lightest kit of each of some cases, or None for one that is not settled so.

    Args:
        cases: cases of the same tools, rules, jobs and work limit.
        near: a mass that the lightest kits are thought to have [0.01 g], which only saves time.
        effort: what all may cost.

    Raises:
        Cancelled: nobody waits for them.
    """
    if len(cases) == 1:
        return [None]
    within = [within_budget(case) for case in cases]
    kept = kept_together(within)
    searches = [Search(case.keep(kept), effort=effort, solver=None) for case in cases]
    goal = Lightest(every=True)
    laid = BranchingData([case.keep(kept) for case in within])
    complete = Tree(laid, goal, searches, near=near, effort=effort, nodes=MOST_KITS).run()
    return [
        choice_of(case, search, first_met(met), "mass", prover="enumeration") if complete or ended else None
        for case, search, met, ended in zip(cases, searches, goal.found, goal.ended.tolist(), strict=True)
    ]


def by_program(search: Search, aim: str, *, ties: bool) -> Found:
    """Return the best kit of a case by integer programs: by the first aim, and among equals by the next ones."""
    order = AIMS[aim].order
    program = build(search.case, with_minutes=order[0] is not MASS or limit_can_bind(search.case))
    engine = search.engine(program)
    first = search.best(engine, program, program.cost(order[0]), scale=order[0].scale)
    if first.kit is None or first.status is Status.STOPPED or not ties:
        return first
    hold(engine, program, order[0], search.measure(order[0], first))
    engine.add_row(program.other_than(first.kit))
    rival = search.best(engine, program, program.cost(order[0]))
    return first if rival.status is Status.INFEASIBLE else _among_equals(search, first, order)


def hold(engine: Engine, program: Program, aim: Quantity, value: int) -> None:
    """Keep an aim at the value reached."""
    engine.add_row(make_row(program.cost(aim).items(), high=float(aim.scale * value)))


def _among_equals(search: Search, first: Found, order: tuple[Quantity, ...]) -> Found:
    """Return the best of several kits equal in the first aim: by the next aims, then by ids.

    The best by the second aim stands against all others from there on; mostly none is its equal.
    """
    program = build(search.case, with_minutes=True)
    engine = search.engine(program)
    best = search.measure(order[0], first)
    hold(engine, program, order[0], best)
    champion = search.best(engine, program, program.cost(order[1]))
    if champion.kit is None or champion.status is Status.STOPPED:
        return Found(Status.STOPPED, champion.kit or first.kit, champion.load or first.load, best)
    hold(engine, program, order[1], search.measure(order[1], champion))
    engine.add_row(program.other_than(champion.kit))
    found = _among_others(search, engine, program, replace(champion, bound=best), order[2:])
    return replace(found, bound=best)


def _among_others(search: Search, engine: Engine, program: Program, champion: Found, aims: Sequence[Quantity]) -> Found:
    """Return the best of a kit and all others that the program still has, by the aims, then by ids."""
    beaten = False
    rival = champion
    for aim in aims:
        rival = search.best(engine, program, program.cost(aim))
        if rival.status is Status.INFEASIBLE:
            return champion
        if rival.kit is None or rival.status is Status.STOPPED:
            return replace(champion, status=Status.STOPPED)
        mine, its = search.measure(aim, champion), search.measure(aim, rival)
        if not beaten and mine < its:
            return champion
        beaten = beaten or its < mine
        hold(engine, program, aim, its)
    last = _first_by_id(search, engine, program, rival)
    if beaten or last.kit is None or last.status is Status.STOPPED:
        return last
    assert champion.kit is not None
    return min(champion, last, key=lambda one: sorted(one.kit or ()))


def _first_by_id(search: Search, engine: Engine, program: Program, found: Found) -> Found:
    """Return, of kits equal in all aims, the one whose sorted ids come first.

    Kits of one size compare as their sorted lists do when the tool of the smallest id weighs more than all
    that follow; ids are taken a chunk at a time, each chunk then held.
    """
    for start in range(0, search.case.tools, CHUNK):
        chunk = range(start, min(start + CHUNK, search.case.tools))
        weights = {program.carried[tool]: -float(2 ** (chunk.stop - 1 - tool)) for tool in chunk}
        better = search.best(engine, program, weights)
        if better.kit is None or better.status is Status.STOPPED:
            return Found(Status.STOPPED, found.kit, found.load, found.bound)
        found = Found(better.status, better.kit, better.load, found.bound)
        for tool in chunk:
            held = 1.0 if tool in better.kit else 0.0
            engine.add_row(make_row([(program.carried[tool], 1.0)], low=held, high=held))
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
        bound=value if proven else _bound_of(found, value),
        considered=case.tools,
        set_aside=case.tools - small.tools,
        solves=search.solves,
        prover=prover or search.solver,
    )


def _bound_of(found: Found, value: int) -> int | None:
    """Return the bound of a stopped solve: no more than its kit's own value, and 0 where nothing is known."""
    if found.kit is None:
        return None
    return 0 if found.bound is None else min(value, max(0, found.bound))
