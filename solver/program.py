"""The integer program of a case: columns and rows as design decisions, one function each.

x_t = 1 when tool t is carried. Where the work limit can bind, or minutes are the aim, each need's work is
shared out: one column y per need and distinct time (levels), since tools that take equally long over a need
are alike to it; y <= the sum of x of that level.
"""

from dataclasses import dataclass

import numpy as np

from solver.case import NEVER, Case
from solver.model import Cost, Model, Row, make_row


@dataclass(frozen=True)
class Program:
    """The model of a case with what its columns mean."""

    case: Case
    model: Model
    carried: range
    mass: Cost
    minutes: Cost
    count: Cost

    def kit(self, values: list[float]) -> frozenset[int]:
        """Return the tools that a point carries."""
        return frozenset(tool for tool in self.carried if values[tool] > 1 / 2)

    def other_than(self, chosen: frozenset[int]) -> Row:
        """Return the rule that a kit must differ from this one."""
        terms = [(tool, -1.0 if tool in chosen else 1.0) for tool in self.carried]
        return make_row(terms, low=1.0 - len(chosen))


def build(case: Case, *, with_minutes: bool) -> Program:
    """Return the program of a case, with the columns that share out the work where they are wanted."""
    model = Model()
    carried = range(case.tools)
    for tool in carried:
        model.column(low=1.0 if tool in case.must else 0.0, whole=True)
    gates = add_methods(model, case)
    minutes = add_shares(model, case, gates) if with_minutes else {}
    if not with_minutes:
        add_cover(model, case, gates)
    add_backup(model, case)
    add_companions(model, case)
    add_caps(model, case, minutes)
    mass = {tool: float(case.mass[tool]) for tool in carried}
    return Program(case, model, carried, mass, minutes, dict.fromkeys(carried, 1.0))


def limit_can_bind(case: Case) -> bool:
    """Tell whether some choice of workers able at every need would exceed the work limit."""
    if case.work_cap is None:
        return False
    slowest = np.where(case.work < NEVER, case.work, 0).max(axis=1, initial=0)
    return int(slowest.sum()) > case.work_cap


def add_methods(model: Model, case: Case) -> dict[int, int]:
    """Add a column per method that needs companions, and return method -> column."""
    gates: dict[int, int] = {}
    for group in case.groups:
        if group.dependent < case.tools:
            continue
        gate = gates.setdefault(group.dependent, len(model.columns))
        if gate == len(model.columns):
            model.column()
        members = [(int(tool), -1.0) for tool in np.flatnonzero(group.members)]
        model.row([(gate, 1.0), *members], high=0.0)
    return gates


def add_shares(model: Model, case: Case, gates: dict[int, int]) -> Cost:
    """Share each need's work out over the levels of time, and return what a share costs [ms]."""
    cost: dict[int, float] = {}
    for times in case.work:
        shares = []
        for level in np.unique(times[times < NEVER]):
            share = model.column(high=1.0)
            shares.append((share, 1.0))
            cost[share] = float(level)
            workers = [int(worker) for worker in np.flatnonzero(times == level)]
            if not any(is_free(case, worker, gates) for worker in workers):
                model.row([(share, 1.0), *((gates.get(w, w), -1.0) for w in workers)], high=0.0)
        model.row(shares, low=1.0, high=1.0)
    return cost


def is_free(case: Case, worker: int, gates: dict[int, int]) -> bool:
    """Tell whether a worker is a method that needs nothing."""
    return worker >= case.tools and worker not in gates


def add_cover(model: Model, case: Case, gates: dict[int, int]) -> None:
    """Ask for a worker at every need that no free method serves."""
    for times in case.work:
        workers = [int(worker) for worker in np.flatnonzero(times < NEVER)]
        if not any(is_free(case, worker, gates) for worker in workers):
            model.row([(gates.get(w, w), 1.0) for w in workers], low=1.0)


def add_backup(model: Model, case: Case) -> None:
    """Ask for as many able carried tools as each need wants."""
    for able, wanted in zip(case.able, case.backup, strict=True):
        if wanted > 0:
            tools = np.flatnonzero(able[: case.tools])
            model.row([(int(tool), 1.0) for tool in tools], low=float(wanted))


def add_companions(model: Model, case: Case) -> None:
    """Let a tool go only with a member of each of its companion groups."""
    for group in case.groups:
        if group.dependent < case.tools and not group.members[group.dependent]:
            members = [(int(tool), -1.0) for tool in np.flatnonzero(group.members)]
            model.row([(group.dependent, 1.0), *members], high=0.0)


def add_caps(model: Model, case: Case, minutes: Cost) -> None:
    """Hold mass, price and work within their limits."""
    if case.mass_cap is not None:
        model.row([(tool, float(case.mass[tool])) for tool in range(case.tools)], high=float(case.mass_cap))
    if case.price_cap is not None:
        model.row([(tool, float(case.price[tool])) for tool in range(case.tools)], high=float(case.price_cap))
    if case.work_cap is not None and minutes:
        model.row(minutes.items(), high=float(case.work_cap))
