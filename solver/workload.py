"""The day's work of a given kit: who does how much of each job, from which wood, in how many minutes."""

from dataclasses import dataclass

import numpy as np

from solver.case import FIXED, NEVER, SMALL_KCAL, Bools, Case, mortal, slack_ms, workers_of
from solver.engine import Effort, Engine, Status, default_solver
from solver.model import Model, make_row, value_of

TRACE = 1e-9  # judged: a share or a kilogram below this is the solver's tolerance, not work


@dataclass(frozen=True)
class Workload:
    """Work of a day [ms and kcal], amount of each job by worker (a share, or kg), kilograms by class."""

    work: float
    kcal: float
    done: dict[tuple[int, int], float]
    kg: dict[int, float]


def workload(
    case: Case,
    chosen: frozenset[int],
    *,
    effort: Effort,
    solver: str | None = None,
    by_kcal: bool = False,
) -> Workload | None:
    """Return the least work of a kit, or None where it can't do every job.

    Where no firewood is wanted and nothing can wear out, each job goes to its fastest worker; else the
    amounts are the unknowns of a small linear program.

    Args:
        case: the trip's choice as numbers.
        chosen: the tools of the kit.
        effort: what the solve may cost.
        solver: highs or cbc; what the environment asks for where nothing is said.
        by_kcal: least kcal within the work limit instead of least time; then least time for them.
    """
    has = workers_of(case, chosen)
    if case.firewood is None and not by_kcal and not mortal(case)[sorted(chosen)].any():
        return direct(case, has)
    return shared_out(case, chosen, has, effort=effort, solver=solver or default_solver(), by_kcal=by_kcal)


def direct(case: Case, has: Bools) -> Workload | None:
    """Give each job to its fastest worker; ties go to the first."""
    if not len(case.work):
        return Workload(0.0, 0.0, {}, {})
    work = np.where(has, case.work, NEVER)
    if not work.shape[1]:
        return None
    worker = work.argmin(axis=1)
    each = np.arange(len(worker))
    times = work[each, worker]
    if (times >= NEVER).any():
        return None
    kcal = float(case.kcal[each, worker].sum())
    return Workload(float(times.sum()), kcal, {(j, int(w)): 1.0 for j, w in enumerate(worker)}, {})


def shared_out(
    case: Case, chosen: frozenset[int], has: Bools, *, effort: Effort, solver: str, by_kcal: bool
) -> Workload | None:
    """Share the jobs out over the kit's workers in the least time, or for the least kcal."""
    model = Model()
    minutes: dict[int, float] = {}
    kcal: dict[int, float] = {}
    kilograms = add_kilograms(model, case, minutes, kcal)
    amounts: dict[tuple[int, int], int] = {}
    for job, klass in enumerate(case.klass):
        workers = [int(w) for w in np.flatnonzero(has & (case.work[job] < NEVER))]
        for worker in workers:
            amounts[job, worker] = model.column(high=None)
            minutes[amounts[job, worker]] = float(case.work[job, worker])
            kcal[amounts[job, worker]] = float(case.kcal[job, worker])
        terms = [(amounts[job, worker], 1.0) for worker in workers]
        if klass == FIXED:
            model.row(terms, low=1.0, high=1.0)
        else:
            model.row([*terms, (kilograms[int(klass)], -1.0)], low=0.0, high=0.0)
    for tool in np.flatnonzero(mortal(case)):
        add_wear(model, case, chosen, int(tool), amounts)
    engine = Engine(model, solver=solver, effort=effort)
    if by_kcal:
        if case.work_cap is not None:
            engine.add_row(make_row(minutes.items(), high=case.work_cap + slack_ms(case.work_cap) / 2))
        least = engine.minimise(kcal)
        if least.values is None:
            return None
        engine.add_row(make_row(kcal.items(), high=value_of(kcal, least.values) + SMALL_KCAL))
    outcome = engine.minimise(minutes)
    if outcome.status is not Status.OPTIMAL or outcome.values is None:
        return None
    values = outcome.values
    return Workload(
        work=value_of(minutes, values),
        kcal=value_of(kcal, values),
        done={key: values[column] for key, column in amounts.items() if values[column] > TRACE},
        kg={klass: values[column] for klass, column in kilograms.items() if values[column] > TRACE},
    )


def add_kilograms(model: Model, case: Case, minutes: dict[int, float], kcal: dict[int, float]) -> dict[int, int]:
    """Add a column for the kilograms of each class, and ask for the kilograms of the day."""
    if case.firewood is None:
        return {}
    columns = {klass: model.column(high=case.kg_cap(klass)) for klass in range(len(case.firewood.reach_kg))}
    for klass, column in columns.items():
        minutes[column] = float(case.firewood.gather[klass])
        kcal[column] = float(case.firewood.gather_kcal[klass])
    model.row([(column, 1.0) for column in columns.values()], low=case.firewood.demand_kg)
    return columns


def add_wear(model: Model, case: Case, chosen: frozenset[int], tool: int, amounts: dict[tuple[int, int], int]) -> None:
    """Hold a carried tool within its life, unless the kit carries what renews it without end."""
    terms = [(column, float(case.wear[job, worker])) for (job, worker), column in amounts.items() if worker == tool]
    life = 1.0
    for renewal in case.renewals:
        if renewal.tool != tool:
            continue
        if renewal.sharpeners[sorted(chosen)].any():
            return
        life += sum(share for spare, share in renewal.spares.items() if spare in chosen)
    if terms:
        model.row(terms, high=life)
