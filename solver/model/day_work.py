"""The day's work of a given kit: who does how much of each job, from which wood, in how many minutes."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from math import ceil, inf

import numpy as np

from catalog.tables.number import Bools, Ints
from solver.exact.exact_program import ExactProgram, WholeRow
from solver.forms.effort import Effort
from solver.forms.quantity import GRAMS_PER_KG
from solver.model.case import FIXED, LIFE, NEVER, PARTS, SUMS_TRUST, Case, present_workers
from solver.model.slower_ways import Way

_WayDone = tuple[int, int, int]  # job, worker, and its way: 0 the fastest, then the slower ones in their order


def ways_at(case: Case, job: int, has: Bools | None = None) -> list[Way]:
    """Return every way of every worker able at a job, workers in order, the fastest way of each first.

    Args:
        case: the trip's choice as numbers.
        job: the job.
        has: the workers that there are, all where nothing is said.
    """
    able = np.flatnonzero(case.work[job] < NEVER if has is None else has & (case.work[job] < NEVER))
    fastest = (able, np.zeros_like(able), *(each[job, able] for each in (case.work, case.wear, case.kcal, case.part)))
    found = [Way(*row) for row in np.array(fastest).T.tolist()]
    if not len(case.slower):
        return found
    return sorted(found + case.slower.at(job, has))


def way_of(case: Case, job: int, worker: int, rank: int) -> Way:
    """Return a way in which a worker does a job, by its rank."""
    if rank:
        alone = np.arange(case.work.shape[1]) == worker
        return next(one for one in ways_at(case, job, alone) if one.rank == rank)
    at = job, worker
    return Way(worker, rank, case.work.item(at), case.wear.item(at), case.kcal.item(at), case.part.item(at))


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
    done: dict[_WayDone, Fraction]
    kg: dict[int, Fraction]
    time: Fraction
    energy: Fraction


_WHOLE, _NOTHING = Fraction(1), Fraction(0)
_NEVER = int(NEVER)  # compares with whole numbers of Python in a tenth of the time
_TOO_LONG = GRAMS_PER_KG * _NEVER  # of which one job that nobody does is the least
NO_WORK = Workload(0, 0, {}, {}, Fraction(0), Fraction(0))


def workload(
    case: Case,
    chosen: frozenset[int],
    *,
    effort: Effort,
    by_kcal: bool = False,
    ruled_out: Callable[[Bools], bool] | None = None,
    shares: bool = True,
) -> Workload | None:
    """Return the least work of a kit, or None where it can't do every job.

    Where nothing wears out so, each job goes to its fastest worker; else the amounts are the unknowns of a small
    linear program, solved exactly.

    Args:
        case: the trip's choice as numbers.
        chosen: the tools of the kit.
        effort: what the solve may cost.
        by_kcal: least kcal within the work limit instead of least time; then least time for them.
        ruled_out: tells whether wear makes the day of these workers longer than the work limit; then it is None too.
        shares: False where only time counts, or kcal by which it goes: then any way of the least will do.
    """
    has = present_workers(case, chosen)
    if not by_kcal:
        load = unworn(case, has)
        if load is None or lasts(case, chosen, load):
            return load
        if ruled_out is not None and ruled_out(has):
            return None
    return _shared_out(case, chosen, has, effort=effort, by_kcal=by_kcal, shares=shares)


def usable(case: Case, kit: frozenset[int]) -> frozenset[int]:
    """Return the tools of a kit that still have a member of each of their companion groups."""
    while True:
        held = np.array(sorted(kit), dtype=np.int64)
        idle = {group.dependent for group in case.groups if group.dependent in kit and not group.members[held].any()}
        if not idle:
            return kit
        kit = kit - idle


def unworn_ms(case: Case, kit: frozenset[int]) -> int:
    """Return the least time of the usable tools of a kit if nothing wore out [ms]; NEVER where they can't do it."""
    load = unworn(case, present_workers(case, usable(case, kit)))
    return int(NEVER) if load is None else load.work


def unworn(case: Case, has: Bools) -> Workload | None:
    """Return the least work of these workers if nothing wore out, or None where they can't do every job.

    Each job goes to its fastest worker, ties to the first; firewood comes from the classes that take least time a
    kilogram, as far as each reaches.
    """
    if not len(case.work):
        return NO_WORK
    there = has.nonzero()[0]
    if not len(there):
        return None
    work = case.work[:, there]
    first, jobs = work.argmin(axis=1), np.arange(len(work))
    worker = there[first]
    times: list[int] = work[jobs, first].tolist()
    fixed: list[int] = case.fixed.tolist()
    total = GRAMS_PER_KG * sum([times[j] for j in fixed])
    if total >= _TOO_LONG:
        return None
    kcal: list[int] = case.kcal[jobs, worker].tolist()
    workers: list[int] = worker.tolist()
    done = {(j, workers[j], 0): _WHOLE for j in fixed}
    burnt = GRAMS_PER_KG * sum([kcal[j] for j in fixed])
    kg: dict[int, Fraction] = {}
    if case.firewood is not None:
        left, gather_kcal = case.firewood.demand_g, case.firewood.gather_kcal.tolist()
        for ms_per_kg, wood_class, of_class in sorted(_open_classes(case, times)):
            grams = min(case.grams_cap(wood_class), left)
            if grams:
                kg[wood_class] = Fraction(grams, GRAMS_PER_KG)
                done |= {(j, workers[j], 0): kg[wood_class] for j in of_class}
                total += grams * ms_per_kg
                burnt += grams * (gather_kcal[wood_class] + sum([kcal[j] for j in of_class]))
                left -= grams
        if left:
            return None
    time, energy = Fraction(total, GRAMS_PER_KG), Fraction(burnt, GRAMS_PER_KG)
    return Workload(-(-total // GRAMS_PER_KG), -(-burnt // GRAMS_PER_KG), done, kg, time, energy)


def _open_classes(case: Case, times: Sequence[int]) -> Iterator[tuple[int, int, list[int]]]:
    """Yield each class of firewood whose every job has a worker: time a kilogram [ms], the class, its jobs."""
    assert case.firewood is not None
    each: list[list[int]] = [[] for _ in case.firewood.reach_g]
    for job, one in enumerate(case.wood_class.tolist()):
        if one != FIXED:
            each[one].append(job)
    for wood_class, (gather, jobs) in enumerate(zip(case.firewood.gather.tolist(), each, strict=True)):
        worked = sum([times[j] for j in jobs])
        if worked < _NEVER:
            yield gather + worked, wood_class, jobs


def grams_burnt(cost: Ints, shut: Bools, reach_g: Ints, demand_g: Ints | int) -> Ints:
    """Return the grams that are burnt of each class of firewood, int[K, C]; of K days.

    Classes that take least come first, as far as each reaches.

    Args:
        cost: what a kilogram takes [ms], int[K, C].
        shut: whether a class can't be worked, bool[K, C].
        reach_g: what is within reach, int[C] or [K, C].
        demand_g: what a day asks for, of all or int[K, 1].
    """
    order = np.where(shut, NEVER, cost).argsort(axis=1, kind="stable")
    reach = np.take_along_axis(np.where(shut, 0, np.minimum(reach_g, demand_g)), order, axis=1)
    taken = np.clip(demand_g - (reach.cumsum(axis=1) - reach), 0, reach)
    grams: Ints = np.empty_like(taken)
    np.put_along_axis(grams, order, taken, axis=1)
    return grams


def lasts(case: Case, chosen: frozenset[int], load: Workload) -> bool:
    """Tell whether no tool of a kit wears out under its share of the work."""
    if max(_worn_most(case, load).values(), default=0.0) <= LIFE * (1 - SUMS_TRUST):
        return True
    spent = _thousandths_taken(case, load)
    life = GRAMS_PER_KG * LIFE
    return all(taken <= life or taken <= GRAMS_PER_KG * life_of(case, chosen, *worn) for worn, taken in spent.items())


def _worn_most(case: Case, load: Workload) -> dict[int, float]:
    """Return about how many millionths of a life the trip takes of all parts of each tool that wears."""
    tools, wear, spent = case.tools, case.wear, dict[int, float]()
    for (job, worker, rank), amount in load.done.items():
        if worker < tools:
            each = way_of(case, job, worker, rank).wear if rank else wear.item(job, worker)
            if each:
                spent[worker] = spent.get(worker, 0.0) + (each if amount is _WHOLE else each * float(amount))
    return spent


def lives_taken(case: Case, load: Workload) -> dict[tuple[int, int], Fraction]:
    """Return the millionths of a life that the trip takes of each part of each tool that works: (tool, part)."""
    return {worn: Fraction(taken) / GRAMS_PER_KG for worn, taken in _thousandths_taken(case, load).items()}


def _thousandths_taken(case: Case, load: Workload) -> dict[tuple[int, int], int | Fraction]:
    """Return what `lives_taken` does in thousandths: whole numbers where amounts are whole, or whole grams."""
    tools, spent = case.tools, dict[tuple[int, int], int | Fraction]()
    for (job, worker, rank), amount in load.done.items():
        if worker >= tools:
            continue
        if rank:
            way = way_of(case, job, worker, rank)
            part, wear = way.part, way.wear
        else:
            part, wear = case.part.item(job, worker), case.wear.item(job, worker)
        times, left = divmod(GRAMS_PER_KG, amount.denominator)
        thousandths = GRAMS_PER_KG * amount if left else times * amount.numerator
        spent[worker, part] = spent.get((worker, part), 0) + thousandths * wear
    return spent


def life_of(case: Case, chosen: frozenset[int], tool: int, part: int) -> float:
    """Return the life of a part of a carried tool with its spares [millionths]; without end with a sharpener."""
    renewal = case.renewed_by.get((tool, part))
    if renewal is None:
        return LIFE
    if renewal.sharpeners[list(chosen)].any():
        return inf
    return LIFE + sum(share for spare, share in renewal.spares.items() if spare in chosen)


def _shared_out(
    case: Case, chosen: frozenset[int], has: Bools, *, effort: Effort, by_kcal: bool, shares: bool
) -> Workload | None:
    """Share the jobs out over the kit's workers in the least time, or for the least kcal and of that in the least time.

    Of the ways to do so the first counts: jobs in order, workers in order, ways in order, each as much as possible;
    or any, where the shares are not asked for, or the time of the answer is over.
    """
    program = sharing(case, has)
    for worn, terms in program.spendings():
        life = life_of(case, chosen, *worn)
        if life < inf:
            program.rows.append(WholeRow(tuple(terms), GRAMS_PER_KG * int(life), exact=False))
    if by_kcal and case.work_cap is not None:
        program.rows.append(WholeRow(tuple(program.minutes.items()), GRAMS_PER_KG * case.work_cap, exact=False))
    exact = ExactProgram(program.width, program.rows, effort=effort.closing())
    costs = [program.kcal, program.minutes] if by_kcal else [program.minutes]
    there = exact.start(costs[0])
    if there:
        for cost in costs:
            exact.minimise(cost)
        for column in program.amounts.values() if shares else ():
            if not exact.may_move(column):
                continue
            if exact.settled or effort.over:
                break
            exact.minimise({column: -1})
    if effort.on_solve is not None:
        effort.on_solve()
    if not there:
        return None
    point = exact.point()
    used = [column for column, amount in enumerate(point) if amount]
    time, energy = (
        sum((cost.get(column, 0) * point[column] for column in used), Fraction(0))
        for cost in (program.minutes, program.kcal)
    )
    done = {key: program.told(key[0], point[column]) for key, column in program.amounts.items() if point[column]}
    kg = {c: point[column] / GRAMS_PER_KG for c, column in program.grams.items() if point[column]}
    time, energy = time / GRAMS_PER_KG, energy / GRAMS_PER_KG
    return Workload(ceil(time), ceil(energy), done, kg, time, energy)


@dataclass
class _Sharing:
    """The program that shares the jobs out over workers, in whole numbers; nothing wears yet.

    Attributes:
        case: the trip's choice as numbers.
        width: its columns.
        rows: its rows.
        amounts: the column of each way of working: a share, or grams; in their order.
        grams: the column of each class of firewood.
        undone: elastic, the column of what is left undone of each fixed job, and of the grams that are missing.
        minutes: the time of each column [thousandths of a ms].
        kcal: the energy of each column [thousandths of a millionth of a kcal].
        wear: the part that each column wears and by how much [thousandths of a millionth of a life].
    """

    case: Case
    width: int = 0
    rows: list[WholeRow] = field(default_factory=list)
    amounts: dict[_WayDone, int] = field(default_factory=dict)
    grams: dict[int, int] = field(default_factory=dict)
    undone: list[int] = field(default_factory=list)
    minutes: dict[int, int] = field(default_factory=dict)
    kcal: dict[int, int] = field(default_factory=dict)
    wear: dict[tuple[int, int], list[tuple[int, int]]] = field(default_factory=dict)

    def column(self) -> int:
        """Add a column and return it."""
        self.width += 1
        return self.width - 1

    def spendings(self) -> Iterator[tuple[tuple[int, int], list[tuple[int, int]]]]:
        """Yield each part of a tool that can wear out (tool, part) with what each column spends of its life."""
        for tool, part in sorted(self.wear, key=lambda worn: (PARTS.index(worn[1]), worn[0])):
            if self.case.mortal_parts[part, tool]:
                yield (tool, part), self.wear[tool, part]

    def told(self, job: int, amount: Fraction) -> Fraction:
        """Return the amount of a column as a share, or in kilograms."""
        return amount if self.case.wood_class[job] == FIXED else amount / GRAMS_PER_KG


def sharing(case: Case, has: Bools, *, elastic: bool = False) -> _Sharing:
    """Return the program that shares the jobs out over workers that nothing wears.

    Args:
        case: the trip's choice as numbers.
        has: the workers.
        elastic: whether a fixed job may be left undone, and firewood missing, in columns without time.
    """
    program = _Sharing(case)
    _add_firewood(program, elastic=elastic)
    for job, wood_class in enumerate(case.wood_class.tolist()):
        fixed = wood_class == FIXED
        columns = [_add_way(program, job, way, each=GRAMS_PER_KG if fixed else 1) for way in ways_at(case, job, has)]
        terms = [(column, 1) for column in columns]
        if not fixed:
            program.rows.append(WholeRow((*terms, (program.grams[wood_class], -1)), 0, exact=True))
            continue
        if elastic:
            program.undone.append(program.column())
            terms.append((program.undone[-1], 1))
        program.rows.append(WholeRow(tuple(terms), 1, exact=True))
    return program


def _add_way(program: _Sharing, job: int, way: Way, *, each: int) -> int:
    """Add the column of a way of working; one of grams counts thousandths of what is told of a kilogram."""
    column = program.column()
    program.amounts[job, way.worker, way.rank] = column
    program.minutes[column], program.kcal[column] = each * way.work, each * way.kcal
    if way.wear and way.worker < program.case.tools:
        program.wear.setdefault((way.worker, way.part), []).append((column, each * way.wear))
    return column


def _add_firewood(program: _Sharing, *, elastic: bool) -> None:
    """Add a column for the grams of each class, and ask for the grams of the day; elastic, some may miss."""
    case = program.case
    if case.firewood is None:
        return
    for wood_class in range(len(case.firewood.reach_g)):
        column = program.grams[wood_class] = program.column()
        program.minutes[column] = int(case.firewood.gather[wood_class])
        program.kcal[column] = int(case.firewood.gather_kcal[wood_class])
        program.rows.append(WholeRow(((column, 1),), case.grams_cap(wood_class), exact=False))
    terms = [(column, 1) for column in program.grams.values()]
    if elastic:
        program.undone.append(program.column())
        terms.append((program.undone[-1], 1))
    program.rows.append(WholeRow(tuple(terms), case.firewood.demand_g, exact=True))
