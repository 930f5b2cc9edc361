"""The best kit of a case, by aims in order: packed mass, minutes, number of tools, then the ids.

Every kit that the solver offers is checked again in whole numbers; one that only its tolerance let through
is cut off and the solve goes on.
"""

from dataclasses import dataclass

from solver.case import Case, admits, mass_of, work_of
from solver.engine import Effort, Engine, Status, default_solver
from solver.model import Cost, make_row
from solver.program import Program, build, limit_can_bind
from solver.reduction import reduce

CHUNK = 20  # ids weighed in one solve: the weights, powers of two, stay exact far below 2**53


@dataclass(frozen=True)
class Choice:
    """The outcome: status, the chosen ids (None where none was found), figures in whole units, bound."""

    status: Status
    ids: tuple[str, ...] | None
    mass: int
    bound: int | None
    considered: int
    set_aside: int
    solves: int

    @property
    def covered(self) -> bool:
        """Tell whether there is a kit."""
        return self.ids is not None


@dataclass(frozen=True)
class Found:
    """A checked kit and how its solve ended."""

    status: Status
    kit: frozenset[int] | None
    bound: float | None


class Search:
    """One case under search: counts its solves and checks what they offer."""

    def __init__(self, case: Case, *, effort: Effort, solver: str | None) -> None:
        self.case = case
        self.effort = effort
        self.solver = solver or default_solver()
        self.solves = 0

    def engine(self, program: Program) -> Engine:
        """Return an engine for this program."""
        return Engine(program.model, solver=self.solver, effort=self.effort)

    def best(self, engine: Engine, program: Program, cost: Cost) -> Found:
        """Return the kit of least cost that keeps the rules in whole numbers."""
        while True:
            self.solves += 1
            outcome = engine.minimise(cost)
            if outcome.values is None:
                return Found(outcome.status, None, outcome.bound)
            kit = program.kit(list(outcome.values))
            if admits(self.case, kit):
                return Found(outcome.status, kit, outcome.bound)
            engine.add_row(program.other_than(kit))


def choose(
    case: Case,
    *,
    effort: Effort | None = None,
    solver: str | None = None,
    reduced: bool = True,
    ties: bool = True,
) -> Choice:
    """Return the best kit of a case, proven, or the best found within the effort.

    Args:
        case: the trip's choice as numbers.
        effort: what each solve may cost; the usual effort where nothing is said.
        solver: highs or cbc; what the environment asks for where nothing is said.
        reduced: False skips the reductions, which never change the answer.
        ties: False takes any kit of least mass; True goes on to minutes, number of tools and ids.

    Raises:
        ValueError: the environment asks for an unknown solver.
    """
    small = reduce(case) if reduced else case
    search = Search(small, effort=effort or Effort(), solver=solver)
    program = build(small, with_minutes=limit_can_bind(small))
    engine = search.engine(program)
    first = search.best(engine, program, program.mass)
    if first.kit is None or first.status is Status.STOPPED or not ties:
        return choice_of(case, small, search, first)
    least = float(mass_of(small, first.kit))
    engine.add_row(make_row(program.mass.items(), high=least))
    engine.add_row(program.other_than(first.kit))
    rival = search.best(engine, program, program.mass)
    if rival.status is Status.INFEASIBLE:
        return choice_of(case, small, search, first)
    return choice_of(case, small, search, among_equals(search, first))


def among_equals(search: Search, first: Found) -> Found:
    """Return the best of several kits of least mass: fewest minutes, then fewest tools, then first ids."""
    assert first.kit is not None
    case = search.case
    program = build(case, with_minutes=True)
    engine = search.engine(program)
    engine.add_row(make_row(program.mass.items(), high=float(mass_of(case, first.kit))))
    found = first
    for cost, measure in ((program.minutes, work_of), (program.count, count_of)):
        better = search.best(engine, program, cost)
        if better.kit is None or better.status is Status.STOPPED:
            return Found(Status.STOPPED, better.kit or found.kit, first.bound)
        found = better
        engine.add_row(make_row(cost.items(), high=float(measure(case, better.kit) or 0)))
    return first_by_id(search, engine, program, found)


def count_of(_: Case, kit: frozenset[int]) -> int:
    """Return the number of tools."""
    return len(kit)


def first_by_id(search: Search, engine: Engine, program: Program, found: Found) -> Found:
    """Return, of kits equal in all aims, the one whose sorted ids come first.

    Kits of one size compare as their sorted lists do when the tool of the smallest id weighs more than all
    that follow; ids are taken a chunk at a time, each chunk then held.
    """
    assert found.kit is not None
    for start in range(0, search.case.tools, CHUNK):
        chunk = range(start, min(start + CHUNK, search.case.tools))
        weights = {tool: -float(2 ** (chunk.stop - 1 - tool)) for tool in chunk}
        better = search.best(engine, program, weights)
        if better.kit is None or better.status is Status.STOPPED:
            return Found(Status.STOPPED, found.kit, found.bound)
        found = better
        for tool in chunk:
            held = 1.0 if tool in better.kit else 0.0
            engine.add_row(make_row([(tool, 1.0)], low=held, high=held))
    return found


def choice_of(case: Case, small: Case, search: Search, found: Found) -> Choice:
    """Return the outcome in the terms of the whole case."""
    return Choice(
        status=found.status,
        ids=None if found.kit is None else tuple(sorted(small.ids[tool] for tool in found.kit)),
        mass=0 if found.kit is None else mass_of(small, found.kit),
        bound=proven_bound(small, found),
        considered=case.tools,
        set_aside=case.tools - small.tools,
        solves=search.solves,
    )


def proven_bound(case: Case, found: Found) -> int | None:
    """Return the least mass that is proven [0.01 g]: the kit's own where it is optimal."""
    if found.kit is not None and found.status is Status.OPTIMAL:
        return mass_of(case, found.kit)
    return None if found.bound is None else max(0, int(-(-found.bound // 1)))
