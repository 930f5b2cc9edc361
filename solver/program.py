"""The integer program of a case: columns and rows as design decisions, one function each.

x_t = 1 when tool t is carried. Where the work limit can bind, where minutes or kcal are the aim, or where
firewood or wear come in, each job is shared out: one column per job and distinct time (levels), since tools
that take equally long over a job are alike to it; it is at most the sum of x of that level. A tool that can
wear out has a column of its own. Kilograms of firewood from each class are columns too.
"""

from dataclasses import dataclass, field

import numpy as np

from solver.case import FIXED, NEVER, Bools, Case, amount_cap, mortal
from solver.model import Cost, Model, Row, make_row


@dataclass(frozen=True)
class Program:
    """The model of a case with what its columns mean."""

    case: Case
    model: Model
    carried: range
    mass: Cost
    minutes: Cost
    effort: Cost
    count: Cost

    def kit(self, values: list[float]) -> frozenset[int]:
        """Return the tools that a point carries."""
        return frozenset(tool for tool in self.carried if values[tool] > 1 / 2)

    def other_than(self, chosen: frozenset[int]) -> Row:
        """Return the rule that a kit must differ from this one."""
        terms = [(tool, -1.0 if tool in chosen else 1.0) for tool in self.carried]
        return make_row(terms, low=1.0 - len(chosen))


@dataclass
class Shares:
    """The columns that share jobs out, with what they cost."""

    minutes: dict[int, float] = field(default_factory=dict)
    kcal: dict[int, float] = field(default_factory=dict)
    own: dict[int, list[tuple[int, float]]] = field(default_factory=dict)  # tool -> (column, wear)


def build(case: Case, *, with_minutes: bool) -> Program:
    """Return the program of a case, with the columns that share out the work where they are wanted."""
    model = Model()
    carried = range(case.tools)
    for tool in carried:
        model.column(low=1.0 if tool in case.must else 0.0, whole=True)
    gates = add_methods(model, case)
    shares = Shares()
    if with_minutes or case.firewood is not None or mortal(case).any():
        shares = add_shares(model, case, gates)
        add_wear(model, case, shares)
    else:
        add_cover(model, case, gates)
    add_backup(model, case)
    add_companions(model, case)
    add_caps(model, case, shares.minutes)
    mass = {tool: float(case.mass[tool]) for tool in carried}
    effort = {tool: case.carry * grams for tool, grams in mass.items()} | shares.kcal
    return Program(case, model, carried, mass, shares.minutes, effort, dict.fromkeys(carried, 1.0))


def limit_can_bind(case: Case) -> bool:
    """Tell whether some choice of workers able at every fixed job would exceed the work limit."""
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


def add_shares(model: Model, case: Case, gates: dict[int, int]) -> Shares:
    """Share every job out: a fixed one wholly, one of firewood over the kilograms of its class."""
    shares = Shares()
    kilograms = add_kilograms(model, case, shares)
    worn = mortal(case)
    for job, klass in enumerate(case.klass):
        cap = 1.0 if klass == FIXED else case.kg_cap(int(klass))
        columns = [
            add_level(model, case, gates, shares, job=job, workers=level, cap=cap) for level in levels(case, job, worn)
        ]
        terms = [(column, 1.0) for column in columns]
        if klass == FIXED:
            model.row(terms, low=1.0, high=1.0)
        else:
            model.row([*terms, (kilograms[int(klass)], -1.0)], low=0.0, high=0.0)
    return shares


def add_kilograms(model: Model, case: Case, shares: Shares) -> list[int]:
    """Add a column for the kilograms of each class, and ask for the kilograms of the day."""
    if case.firewood is None:
        return []
    columns = [model.column(high=case.kg_cap(klass)) for klass in range(len(case.firewood.reach_kg))]
    for klass, column in enumerate(columns):
        shares.minutes[column] = float(case.firewood.gather[klass])
        shares.kcal[column] = float(case.firewood.gather_kcal[klass])
    model.row([(column, 1.0) for column in columns], low=case.firewood.demand_kg)
    return columns


def levels(case: Case, job: int, worn: Bools) -> list[list[int]]:
    """Return the workers able at a job, those alike to it together; one that can wear out stays alone."""
    alike: dict[tuple[int, float, int], list[int]] = {}
    for worker in map(int, np.flatnonzero(case.work[job] < NEVER)):
        alone = worker if worker < case.tools and worn[worker] else -1
        alike.setdefault((int(case.work[job, worker]), float(case.kcal[job, worker]), alone), []).append(worker)
    return [alike[key] for key in sorted(alike)]


def add_level(
    model: Model, case: Case, gates: dict[int, int], shares: Shares, *, job: int, workers: list[int], cap: float
) -> int:
    """Add the column of a level: what its workers do of a job, and only if one of them is there."""
    column = model.column(high=cap)
    shares.minutes[column] = float(case.work[job, workers[0]])
    shares.kcal[column] = float(case.kcal[job, workers[0]])
    if not any(is_free(case, worker, gates) for worker in workers):
        model.row([(column, 1.0), *((gates.get(w, w), -cap) for w in workers)], high=0.0)
    if len(workers) == 1 and case.wear[job, workers[0]]:
        shares.own.setdefault(workers[0], []).append((column, float(case.wear[job, workers[0]])))
    return column


def add_wear(model: Model, case: Case, shares: Shares) -> None:
    """Hold every tool that can wear out within its life, and what renews it."""
    most = case.wear[:, : case.tools] * amount_cap(case)[:, None]
    for tool in map(int, np.flatnonzero(mortal(case))):
        terms = [*shares.own.get(tool, []), (tool, -1.0)]
        for one in case.renewals:
            if one.tool == tool:
                terms += [(int(s), -float(most[:, tool].sum())) for s in np.flatnonzero(one.sharpeners)]
                terms += [(spare, -share) for spare, share in one.spares.items()]
        model.row(terms, high=0.0)


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
