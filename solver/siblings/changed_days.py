"""One kit's days while figures of its tools or its jobs change: the time that each leaves of the work limit."""

from collections.abc import Callable, Hashable
from dataclasses import dataclass
from math import inf

import numpy as np

from catalog.tables.number import Bools, Ints, Places
from solver.forms.effort import Effort
from solver.forms.quantity import GRAMS_PER_KG
from solver.model.case import FIXED, NEVER, PARTS, Case, keeps_rules, present_workers
from solver.model.day_work import Workload, grams_burnt, life_of, workload
from solver.model.slower_ways import NO_SLOWER, SlowerWays
from solver.siblings.day_bases import DayBases
from solver.siblings.kit_days import KitDays

_MOST_TIME = 2.0**62  # derived: thousandths of a ms: as far as whole numbers go
_CELLS = 200_000  # judged: ways of working, and entries of equations, in the days that are looked at together


def room_for(case: Case, kit: frozenset[int], *, effort: Effort) -> float | None:
    """Return the time that a kit leaves of the work limit [ms], without end where there is none.

    None where the kit breaks a rule; below 0 where only the work limit is broken.
    """
    if not keeps_rules(case, kit):
        return None
    load = workload(case, kit, effort=effort, shares=False)
    return None if load is None else _room_of(case, load.work)


def _room_of(case: Case, work: int) -> float:
    """Return the time that a day's work leaves of the work limit [ms], without end where there is none."""
    return inf if case.work_cap is None else case.work_cap - work


@dataclass(frozen=True)
class ChangedTables:
    """The table of a kit's case told anew K times: who can do which job, in what time, at what wear."""

    work: Ints  # [K, J, W]
    able: Bools  # [K, J, W]
    wear: Ints  # [K, J, W]
    part: Places  # [K, J, W]
    slower: Callable[[int], SlowerWays] | None  # of each, asked for where ways count; None where there are none

    def __len__(self) -> int:
        """Return their number."""
        return len(self.work)

    def slower_at(self, place: int) -> SlowerWays:
        """Return the slower ways of one of the tables."""
        return NO_SLOWER if self.slower is None else self.slower(place)

    def case(self, place: int, like: Case) -> Case:
        """Return a case with one of the tables."""
        work, able, wear, part = (each[place] for each in (self.work, self.able, self.wear, self.part))
        return like.changed(work=work, able=able, wear=wear, part=part, slower=self.slower_at(place))


class ChangedDays:
    """The days of a kit that keeps every rule as it is, for quick looks at changes."""

    def __init__(self, case: Case, effort: Effort) -> None:
        """Note its workers, and the lives of its tools.

        Args:
            case: the kit's own case.
            effort: what its days may cost.
        """
        self.case, self.effort, self.kit = case, effort, frozenset(range(case.tools))
        self.has = present_workers(case, self.kit)
        self.life = np.full((len(PARTS), len(self.has)), inf)
        for part in PARTS:
            self.life[part, : case.tools] = [life_of(case, self.kit, tool, part) for tool in range(case.tools)]
        ending = np.isfinite(self.life)
        self.lives = int(ending.sum())
        self.number = np.where(ending, ending.cumsum().reshape(ending.shape) - 1, self.lives)
        self.bases: dict[Hashable, DayBases] = {}

    def rooms(self, tables: ChangedTables, like: Case, jobs: Hashable) -> list[float | None]:
        """Return the time left with each table [ms], None where a rule is broken or the tools wear out first.

        Args:
            tables: of each change; they break no rule but of who can do a job, and how many can.
            like: a case of such jobs.
            jobs: which they are: of the same ones, days are shared out much alike.
        """
        sure, rooms = self.unworn(tables, classes=like.wood_class, backup=like.backup)
        left = np.flatnonzero(~sure)
        size = max(1, _CELLS // max(1, like.work.size, (len(like.work) + self.lives) ** 2))
        for first in range(0, len(left), size):
            looks = left[first : first + size]
            for look, work in zip(looks.tolist(), self.worn_work(tables, looks, like, jobs).tolist(), strict=True):
                rooms[look] = None if work < 0 else _room_of(self.case, work)
        return rooms

    def worn_work(self, tables: ChangedTables, looks: Ints, like: Case, jobs: Hashable) -> Ints:
        """Return the least work with some tables (places) [ms], -1 where the tools wear out first; see `rooms`."""

        def exact(place: int) -> Workload | None:
            return workload(tables.case(int(looks[place]), like), self.kit, effort=self.effort, shares=False)

        days = self.worn(tables, looks, like.wood_class)
        bases = self.bases.setdefault((jobs, days.time.shape[2]), DayBases())  # ways stand in rows as long
        return bases.work(days, exact, effort=self.effort)

    def unworn(self, tables: ChangedTables, *, classes: Ints, backup: Ints) -> tuple[Bools, list[float | None]]:
        """Tell of each table whether no tool wears out, and the time left then [ms], None where not all is done.

        Args:
            tables: of jobs of these classes of firewood, or FIXED.
            classes: int[J].
            backup: able tools that each job asks for, int[J].
        """
        changes, jobs, fixed = np.arange(len(tables))[:, None], np.arange(len(classes)), classes == FIXED
        work = np.where(self.has, tables.work, NEVER)
        worker = work.argmin(axis=2)
        times = work[changes, jobs, worker]
        able = times < NEVER
        times = np.where(able, times, 0)
        done, days, amount = able[:, fixed].all(axis=1), times[:, fixed].sum(axis=1), np.full(times.shape, GRAMS_PER_KG)
        done &= (tables.able[:, :, : self.case.tools].sum(axis=2) >= backup).all(axis=1)
        days, sure = days * GRAMS_PER_KG, np.ones(len(days), dtype=bool)
        wood = self.case.firewood
        if wood is not None:
            of_class = (classes[:, None] == np.arange(len(wood.reach_g))).astype(np.int64)  # [J, C]
            cost = wood.gather + times @ of_class
            grams = grams_burnt(cost, ~able @ of_class > 0, wood.reach_g, wood.demand_g)
            done &= grams.sum(axis=1) == wood.demand_g
            sure &= (grams * cost.astype(float)).sum(axis=1) < _MOST_TIME
            amount[:, ~fixed] = grams[:, classes[~fixed]]
            days += np.where(sure[:, None], grams * cost, 0).sum(axis=1)
        spent, worn = tables.wear[changes, jobs, worker] * amount, tables.part[changes, jobs, worker]
        each = worker[:, :, None] == np.arange(len(self.has))
        for part in PARTS:
            lives = (each * (spent * (worn == part))[:, :, None]).sum(axis=1)
            sure &= (lives <= GRAMS_PER_KG * self.life[part]).all(axis=1)
        told = zip((-(-days // GRAMS_PER_KG)).tolist(), done.tolist(), strict=True)
        return sure | ~done, [_room_of(self.case, day) if one else None for day, one in told]

    def worn(self, tables: ChangedTables, looks: Ints, classes: Ints) -> KitDays:
        """Return the days with some of the tables as programs in which tools may wear out.

        Args:
            tables: of jobs of these classes of firewood, or FIXED.
            looks: their places.
            classes: int[J].
        """
        workers, wood = np.flatnonzero(self.has), self.case.firewood
        slower = [
            tables.slower_at(look).keep({w: n for n, w in enumerate(workers.tolist())}) for look in looks.tolist()
        ]
        rank = [ways.ranks() for ways in slower]
        each = 1 + max(int(one.max(initial=0)) for one in rank)
        shape = len(looks), len(classes), len(workers), each
        work, wear, part = np.full(shape, NEVER), np.zeros(shape, dtype=np.int64), np.zeros(shape, dtype=np.int64)
        for found, table in ((work, tables.work), (wear, tables.wear), (part, tables.part)):
            found[..., 0] = table[looks[:, None], :, workers].swapaxes(1, 2)
        for day, (ways, ranks) in enumerate(zip(slower, rank, strict=True)):
            at = day, ways.job, ways.worker, ranks
            work[at], wear[at], part[at] = ways.work, ways.wear, ways.part
        demand = 0 if wood is None else wood.demand_g
        amount = np.where(classes == FIXED, 1.0, demand / GRAMS_PER_KG)[:, None, None]
        flat = *shape[:2], shape[2] * each
        reach = gather = np.zeros((len(looks), 0))
        if wood is not None:
            reach = np.tile(np.minimum(wood.reach_g / max(1, demand), 1.0), (len(looks), 1))
            gather = np.tile(wood.gather * (demand / GRAMS_PER_KG), (len(looks), 1))
        return KitDays(
            classes,
            self.lives,
            np.ones(shape[:2], dtype=bool),
            np.where(work < NEVER, work * amount, inf).reshape(flat),
            (wear * amount / self.life[part, workers[:, None]]).reshape(flat),
            self.number[part, workers[:, None]].reshape(flat),
            reach,
            gather,
        )
