"""The day's work of a given kit: who does how much of each job, from which wood, in how many minutes."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import inf

import numpy as np

from solver.forms.effort import Effort
from solver.forms.quantity import HALF_MS, SMALL_KCAL, Objective
from solver.model.case import FIXED, NEVER, Bools, Case, Ints, present_workers, slack_ms
from solver.model.engine import BrokenOff, Engine, Outcome, Status
from solver.model.linear_model import Model, make_row, value_of

WORK_TRACE = 1e-9  # judged: a share or a kilogram below this is the solver's tolerance, not work


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
    ruled_out: Callable[[Bools], bool] | None = None,
) -> Workload | None:
    """Return the least work of a kit, or None where it can't do every job.

    Where nothing wears out so, each job goes to its fastest worker; else the amounts are the unknowns of a small
    linear program.

    Args:
        case: the trip's choice as numbers.
        chosen: the tools of the kit.
        effort: what the solve may cost.
        solver: highs or cbc; what the effort asks for where nothing is said.
        by_kcal: least kcal within the work limit instead of least time; then least time for them.
        ruled_out: tells whether wear makes the day of these workers longer than the work limit; then it is None too.
    """
    has = present_workers(case, chosen)
    if not by_kcal:
        load = unworn(case, has)
        if load is None or lasts(case, chosen, load):
            return load
        if ruled_out is not None and ruled_out(has):
            return None
    return _shared_out(case, chosen, has, effort=effort, solver=solver or effort.program_solver, by_kcal=by_kcal)


def unworn(case: Case, has: Bools) -> Workload | None:
    """Return the least work of these workers if nothing wore out, or None where they can't do every job.

    Each job goes to its fastest worker, ties to the first; firewood comes from the classes that take least time a
    kilogram, as far as each reaches.
    """
    if not len(case.work):
        return Workload(0.0, 0.0, {}, {})
    if not has.any():
        return None
    work = np.where(has, case.work, NEVER)
    worker = work.argmin(axis=1)
    each = np.arange(len(worker))
    times, kcal = work[each, worker], case.kcal[each, worker]
    fixed = case.fixed
    if (times[fixed] >= NEVER).any():
        return None
    done = {(j, int(worker[j])): 1.0 for j in fixed.tolist()}
    total, burnt, kg = float(times[fixed].sum()), float(kcal[fixed].sum()), {}
    if case.firewood is not None:
        left = case.firewood.demand_kg
        for ms_per_kg, wood_class, jobs in sorted(_open_classes(case, times)):
            kilograms = min(case.kg_cap(wood_class), left)
            if kilograms > WORK_TRACE:
                kg[wood_class] = kilograms
                done |= {(j, int(worker[j])): kilograms for j in jobs}
                total += kilograms * ms_per_kg
                burnt += kilograms * float(case.firewood.gather_kcal[wood_class] + kcal[jobs].sum())
                left -= kilograms
        if left > WORK_TRACE:
            return None
    return Workload(total, burnt, done, kg)


def _open_classes(case: Case, times: Ints) -> Iterator[tuple[float, int, list[int]]]:
    """Yield each class of firewood whose every job has a worker: time a kilogram [ms], the class, its jobs."""
    assert case.firewood is not None
    for wood_class, gather in enumerate(case.firewood.gather.tolist()):
        jobs = np.flatnonzero(case.wood_class == wood_class)
        if (times[jobs] < NEVER).all():
            yield float(gather + times[jobs].sum()), wood_class, jobs.tolist()


def lasts(case: Case, chosen: frozenset[int], load: Workload) -> bool:
    """Tell whether no tool of a kit wears out under its share of the work."""
    spent = lives_taken(case, load)
    return all(lives <= 1 or lives <= life_of(case, chosen, tool) for tool, lives in spent.items())


def lives_taken(case: Case, load: Workload) -> dict[int, float]:
    """Return the lives that the trip takes of each tool which works."""
    spent: dict[int, float] = {}
    for (job, worker), part in load.done.items():
        if worker < case.tools:
            spent[worker] = spent.get(worker, 0.0) + part * float(case.wear[job, worker])
    return spent


def life_of(case: Case, chosen: frozenset[int], tool: int) -> float:
    """Return the life of a carried tool with its spares [lives]; without end where a sharpener goes too."""
    life = 1.0
    for renewal in case.renewals:
        if renewal.tool == tool:
            if renewal.sharpeners[sorted(chosen)].any():
                return inf
            life += sum(share for spare, share in renewal.spares.items() if spare in chosen)
    return life


def _shared_out(
    case: Case, chosen: frozenset[int], has: Bools, *, effort: Effort, solver: str, by_kcal: bool
) -> Workload | None:
    """Share the jobs out over the kit's workers in the least time, or for the least kcal.

    Raises:
        BrokenOff: the solver ends without an outcome.
    """
    model, amounts, minutes, kcal, kilograms = sharing(case, has)
    for tool, terms in spendings(case, amounts):
        life = life_of(case, chosen, tool)
        if life < inf:
            model.row(terms, high=life)
    engine = Engine(model, solver=solver, effort=effort.closing())
    easiest: Sequence[float] | None = None
    if by_kcal:
        if case.work_cap is not None:
            engine.add_row(make_row(minutes.items(), high=case.work_cap + slack_ms(case.work_cap) / 2))
        easiest = _ended(engine, kcal).values
        if easiest is None:
            return None
        engine.add_row(make_row(kcal.items(), high=value_of(kcal, easiest) + SMALL_KCAL))
    values = _ended(engine, minutes).values
    if values is None:
        return None
    if easiest is not None and value_of(minutes, easiest) <= value_of(minutes, values) + HALF_MS:
        values = easiest  # equally long; the other gives crumbs of work to quicker hands for the last of SMALL_KCAL
    return Workload(
        work=value_of(minutes, values),
        kcal=value_of(kcal, values),
        done={key: values[column] for key, column in amounts.items() if values[column] > WORK_TRACE},
        kg={wood_class: values[column] for wood_class, column in kilograms.items() if values[column] > WORK_TRACE},
    )


def _ended(engine: Engine, cost: Objective) -> Outcome:
    """Return the optimum or that there is none: a stop would pass for a kit that can't do its work.

    Raises:
        BrokenOff: the solver ends without either.
    """
    outcome = engine.minimise(cost)
    if outcome.status is Status.STOPPED:
        raise BrokenOff("the solver did not end the program of a day's work")
    return outcome


def sharing(
    case: Case, has: Bools, *, elastic: bool = False
) -> tuple[Model, dict[tuple[int, int], int], dict[int, float], dict[int, float], dict[int, int]]:
    """Return the program that shares the jobs out over workers that nothing wears.

    With it the columns of the amount of each job and worker, the time and kcal of each column, and the columns of the
    kilograms of each class.

    Args:
        case: the trip's choice as numbers.
        has: the workers.
        elastic: whether a fixed job may be left undone, and firewood missing, in columns without time.
    """
    model = Model()
    minutes: dict[int, float] = {}
    kcal: dict[int, float] = {}
    kilograms = _add_kilograms(model, case, minutes, kcal, elastic=elastic)
    amounts: dict[tuple[int, int], int] = {}
    for job, wood_class in enumerate(case.wood_class):
        workers = [int(w) for w in np.flatnonzero(has & (case.work[job] < NEVER))]
        for worker in workers:
            amounts[job, worker] = model.column(high=None)
            minutes[amounts[job, worker]] = float(case.work[job, worker])
            kcal[amounts[job, worker]] = float(case.kcal[job, worker])
        terms = [(amounts[job, worker], 1.0) for worker in workers]
        if wood_class != FIXED:
            model.row([*terms, (kilograms[int(wood_class)], -1.0)], low=0.0, high=0.0)
        else:
            left = [(model.column(), 1.0)] if elastic else []
            model.row(terms + left, low=1.0, high=1.0)
    return model, amounts, minutes, kcal, kilograms


def spendings(case: Case, amounts: dict[tuple[int, int], int]) -> Iterator[tuple[int, list[tuple[int, float]]]]:
    """Yield each tool that can wear out with the share of its life that each column spends."""
    for tool in np.flatnonzero(case.mortal).tolist():
        terms = [(column, float(case.wear[job, worker])) for (job, worker), column in amounts.items() if worker == tool]
        if terms:
            yield tool, terms


def _add_kilograms(
    model: Model, case: Case, minutes: dict[int, float], kcal: dict[int, float], *, elastic: bool
) -> dict[int, int]:
    """Add a column for the kilograms of each class, and ask for the kilograms of the day; elastic, some may miss."""
    if case.firewood is None:
        return {}
    columns = {
        wood_class: model.column(high=case.kg_cap(wood_class)) for wood_class in range(len(case.firewood.reach_kg))
    }
    for wood_class, column in columns.items():
        minutes[column] = float(case.firewood.gather[wood_class])
        kcal[column] = float(case.firewood.gather_kcal[wood_class])
    missing = [model.column(high=None)] if elastic else []
    model.row([(column, 1.0) for column in (*columns.values(), *missing)], low=case.firewood.demand_kg)
    return columns
