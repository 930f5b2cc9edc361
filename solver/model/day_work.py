"""The day's work of a given kit: who does how much of each job, from which wood, in how many minutes."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil, inf

import numpy as np

from solver.forms.effort import Effort
from solver.forms.quantity import GRAMS_PER_KG, Objective
from solver.model.case import FIXED, LIFE, NEVER, PARTS, Bools, Case, Ints, present_workers
from solver.model.engine import BrokenOff, Engine, Outcome, Status
from solver.model.linear_model import Model, make_row, value_of

_TRACE = 1e-9  # judged: of what is due of a job; below this it is the solver's tolerance, not work
_CLOSE = 1e-9  # judged: of a sum of thousandths; by less it may be the solver's tolerance

WayDone = tuple[int, int, int]  # job, worker, and its way: 0 the fastest, then the slower ones in their order


@dataclass(frozen=True)
class Workload:
    """A day of a kit.

    Attributes:
        work: its least time, rounded up to ms.
        kcal: its energy above rest, rounded up to millionths of a kcal.
        done: what is done of each job by each worker in each way: a share, or kilograms.
        kg: kilograms by class of firewood.
        time: the least time [ms].
        energy: its energy [millionths of a kcal].
    """

    work: int
    kcal: int
    done: dict[WayDone, Fraction]
    kg: dict[int, Fraction]
    time: Fraction
    energy: Fraction


def _loaded(thousandths: Fraction, kcal: Fraction, done: dict[WayDone, Fraction], kg: dict[int, Fraction]) -> Workload:
    """Return a day from its time and energy in thousandths of their units."""
    time, energy = thousandths / GRAMS_PER_KG, kcal / GRAMS_PER_KG
    return Workload(ceil(time), ceil(energy), done, kg, time, energy)


NO_WORK = Workload(0, 0, {}, {}, Fraction(0), Fraction(0))


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
        return NO_WORK
    if not has.any():
        return None
    work = np.where(has, case.work, NEVER)
    worker = work.argmin(axis=1)
    each = np.arange(len(worker))
    times, kcal = work[each, worker], case.kcal[each, worker]
    fixed = case.fixed
    if (times[fixed] >= NEVER).any():
        return None
    done = {(j, int(worker[j]), 0): Fraction(1) for j in fixed.tolist()}
    total, burnt = GRAMS_PER_KG * int(times[fixed].sum()), GRAMS_PER_KG * int(kcal[fixed].sum())
    kg: dict[int, Fraction] = {}
    if case.firewood is not None:
        left = case.firewood.demand_g
        for ms_per_kg, wood_class, jobs in sorted(_open_classes(case, times)):
            grams = min(case.grams_cap(wood_class), left)
            if grams:
                kg[wood_class] = Fraction(grams, GRAMS_PER_KG)
                done |= {(j, int(worker[j]), 0): kg[wood_class] for j in jobs}
                total += grams * ms_per_kg
                burnt += grams * int(case.firewood.gather_kcal[wood_class] + kcal[jobs].sum())
                left -= grams
        if left:
            return None
    return _loaded(Fraction(total), Fraction(burnt), done, kg)


def _open_classes(case: Case, times: Ints) -> Iterator[tuple[int, int, list[int]]]:
    """Yield each class of firewood whose every job has a worker: time a kilogram [ms], the class, its jobs."""
    assert case.firewood is not None
    for wood_class, gather in enumerate(case.firewood.gather.tolist()):
        jobs = np.flatnonzero(case.wood_class == wood_class)
        if (times[jobs] < NEVER).all():
            yield gather + int(times[jobs].sum()), wood_class, jobs.tolist()


def lasts(case: Case, chosen: frozenset[int], load: Workload) -> bool:
    """Tell whether no tool of a kit wears out under its share of the work."""
    spent = lives_taken(case, load)
    return all(taken <= LIFE or taken <= life_of(case, chosen, *worn) for worn, taken in spent.items())


def lives_taken(case: Case, load: Workload) -> dict[tuple[int, int], Fraction]:
    """Return the millionths of a life that the trip takes of each part of each tool that works: (tool, part)."""
    spent: dict[tuple[int, int], Fraction] = {}
    ways = _slower_of(case)
    for (job, worker, way), amount in load.done.items():
        if worker < case.tools:
            place = ways[job, worker][way - 1] if way else None
            part, wear = (
                (case.part[job, worker], case.wear[job, worker])
                if place is None
                else (case.slower.part[place], case.slower.wear[place])
            )
            spent[worker, int(part)] = spent.get((worker, int(part)), Fraction(0)) + amount * int(wear)
    return spent


def _slower_of(case: Case) -> dict[tuple[int, int], list[int]]:
    """Return the places of the slower ways of each job and worker."""
    found: dict[tuple[int, int], list[int]] = {}
    for place, pair in enumerate(zip(case.slower.job.tolist(), case.slower.worker.tolist(), strict=True)):
        found.setdefault(pair, []).append(place)
    return found


def life_of(case: Case, chosen: frozenset[int], tool: int, part: int) -> float:
    """Return the life of a part of a carried tool with its spares [millionths]; without end with a sharpener."""
    life = LIFE
    for renewal in case.renewals:
        if renewal.tool == tool and renewal.part == part:
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
    program = sharing(case, has)
    for worn, terms in program.spendings():
        life = life_of(case, chosen, *worn)
        if life < inf:
            program.model.row(terms, high=GRAMS_PER_KG * life)
    minutes, kcal = program.minutes, program.kcal
    engine = Engine(program.model, solver=solver, effort=replace(effort, seconds=inf))
    easiest: Sequence[float] | None = None
    if by_kcal:
        if case.work_cap is not None:
            engine.add_row(make_row(minutes.items(), high=float(GRAMS_PER_KG * case.work_cap)))
        easiest = _ended(engine, kcal).values
        if easiest is None:
            return None
        engine.add_row(make_row(kcal.items(), high=value_of(kcal, easiest) * (1 + _CLOSE)))
    values = _ended(engine, minutes).values
    if values is None:
        return None
    if easiest is not None and value_of(minutes, easiest) <= value_of(minutes, values) * (1 + _CLOSE) + GRAMS_PER_KG:
        values = easiest
    amounts = [Fraction(value).limit_denominator(10**9) if value > _TRACE else Fraction(0) for value in values]
    done = {key: program.told(column, amounts[column]) for key, column in program.amounts.items() if amounts[column]}
    kg = {c: amounts[column] / GRAMS_PER_KG for c, column in program.grams.items() if amounts[column]}
    most, burnt = (Fraction(value_of(cost, values) * (1 - _CLOSE)) for cost in (minutes, kcal))
    return _loaded(most, burnt, done, kg)


def _ended(engine: Engine, cost: Objective) -> Outcome:
    """Return the optimum or that there is none: a stop would pass for a kit that can't do its work.

    Raises:
        BrokenOff: the solver ends without either.
    """
    outcome = engine.minimise(cost)
    if outcome.status is Status.STOPPED:
        raise BrokenOff("the solver did not end the program of a day's work")
    return outcome


@dataclass(frozen=True)
class Sharing:
    """The program that shares the jobs out over workers, in whole numbers; nothing wears yet.

    Attributes:
        case: the trip's choice as numbers.
        model: its columns and rows.
        amounts: the column of each way of working: a share, or grams.
        grams: the column of each class of firewood.
        minutes: the time of each column [thousandths of a ms].
        kcal: the energy of each column [thousandths of a millionth of a kcal].
        wear: the part that each column wears and by how much [thousandths of a millionth of a life].
    """

    case: Case
    model: Model
    amounts: dict[WayDone, int]
    grams: dict[int, int]
    minutes: dict[int, int]
    kcal: dict[int, int]
    wear: dict[tuple[int, int], list[tuple[int, int]]]

    def spendings(self) -> Iterator[tuple[tuple[int, int], list[tuple[int, int]]]]:
        """Yield each part of a tool that can wear out (tool, part) with what each column spends of its life."""
        for part in PARTS:
            for tool in np.flatnonzero(self.case.mortal_parts[part]).tolist():
                if (tool, part) in self.wear:
                    yield (tool, part), self.wear[tool, part]

    def told(self, column: int, amount: Fraction) -> Fraction:
        """Return the amount of a column as a share, or in kilograms."""
        return amount if column in self.shares else amount / GRAMS_PER_KG

    @property
    def shares(self) -> frozenset[int]:
        """The columns that are shares."""
        fixed = self.case.wood_class == FIXED
        return frozenset(column for (job, _, _), column in self.amounts.items() if fixed[job])


def sharing(case: Case, has: Bools, *, elastic: bool = False) -> Sharing:
    """Return the program that shares the jobs out over workers that nothing wears.

    Args:
        case: the trip's choice as numbers.
        has: the workers.
        elastic: whether a fixed job may be left undone, and firewood missing, in columns without time.
    """
    program = Sharing(case, Model(), {}, {}, {}, {}, {})
    _add_firewood(program, elastic=elastic)
    slower = _slower_of(case)
    for job, wood_class in enumerate(case.wood_class.tolist()):
        fixed = wood_class == FIXED
        cap = 1 if fixed else case.grams_cap(wood_class)
        columns = []
        for worker in np.flatnonzero(has & (case.work[job] < NEVER)).tolist():
            row = (case.work, case.kcal, case.wear, case.part)
            ways = [tuple(int(each[job, worker]) for each in row)]
            others = (case.slower.work, case.slower.kcal, case.slower.wear, case.slower.part)
            ways += [tuple(int(each[place]) for each in others) for place in slower.get((job, worker), [])]
            for way, figures in enumerate(ways):
                columns.append(_add_way(program, (job, worker, way), figures, cap=cap, fixed=fixed))
        terms = [(column, 1.0) for column in columns]
        if not fixed:
            program.model.row([*terms, (program.grams[wood_class], -1.0)], low=0.0, high=0.0)
        else:
            left = [(program.model.column(), 1.0)] if elastic else []
            program.model.row(terms + left, low=1.0, high=1.0)
    return program


def _add_way(program: Sharing, key: WayDone, figures: Sequence[int], *, cap: int, fixed: bool) -> int:
    """Add the column of a way of working; one of grams counts thousandths of what is told of a kilogram."""
    column = program.model.column(high=float(cap))
    each = GRAMS_PER_KG if fixed else 1
    work, kcal, wear, part = figures
    program.amounts[key] = column
    program.minutes[column], program.kcal[column] = each * work, each * kcal
    if wear and key[1] < program.case.tools:
        program.wear.setdefault((key[1], part), []).append((column, each * wear))
    return column


def _add_firewood(program: Sharing, *, elastic: bool) -> None:
    """Add a column for the grams of each class, and ask for the grams of the day; elastic, some may miss."""
    case, model = program.case, program.model
    if case.firewood is None:
        return
    for wood_class in range(len(case.firewood.reach_g)):
        column = model.column(high=float(case.grams_cap(wood_class)))
        program.grams[wood_class] = column
        program.minutes[column] = int(case.firewood.gather[wood_class])
        program.kcal[column] = int(case.firewood.gather_kcal[wood_class])
    demand = float(case.firewood.demand_g)
    missing = [model.column(high=demand)] if elastic else []
    model.row([(column, 1.0) for column in (*program.grams.values(), *missing)], low=demand)
