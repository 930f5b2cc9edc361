"""The day of one kit in all cases along an axis at once, each job done by its fastest worker."""

from dataclasses import dataclass
from math import inf

import numpy as np

from catalog.tables.number import Bools, Ints
from solver.forms.quantity import GRAMS_PER_KG
from solver.model.case import FIXED, NEVER, PARTS, present_workers
from solver.model.day_work import grams_burnt, life_of
from solver.needs.case_axis import CaseAxis

_MOST_TIME = 2.0**62  # derived: thousandths of a ms: as far as whole numbers go; no limit is so long


@dataclass(frozen=True)
class AxisDay:
    """A kit's day in each case, as it is if nothing wears out.

    Attributes:
        done: whether each job of a fixed amount can be done, with its backup, bool[E, F]; so can one that is not due.
        had: whether the firewood can be had and worked, bool[E].
        spent: what each of these jobs takes, then the firewood with its gathering [thousandths of a ms], int[E, F + 1].
        lasting: whether no tool wears out, bool[E].
    """

    done: Bools
    had: Bools
    spent: Ints
    lasting: Bools

    @property
    def able(self) -> Bools:
        """Whether all can be done, whatever the time."""
        return np.asarray(self.had & self.done.all(axis=1))


def held_by(axis: CaseAxis, kit: frozenset[int]) -> tuple[Bools, Bools]:
    """Tell in which cases a kit that keeps the rules between tools does its work in time; and where that is sure.

    It is not sure where a tool would wear out if each job went to its fastest worker.
    """
    day = day_of(axis, kit)
    holds = day.able & (day.spent.sum(axis=1) <= GRAMS_PER_KG * axis.work_caps)
    return holds, day.lasting | ~holds


def day_of(axis: CaseAxis, kit: frozenset[int]) -> AxisDay:
    """Return the day of a kit in each case as it is if nothing wears out: each job goes to its fastest worker."""
    case, columns, wood = axis.like, axis.columns, axis.firewood
    workers, tools = np.flatnonzero(present_workers(case, kit)), sorted(kit)
    nobody = np.full((1, columns.work.shape[1]), NEVER)  # of an empty kit, where there are no methods
    work = np.append(columns.work[workers], nobody, axis=0)
    each = work.argmin(axis=0), np.arange(work.shape[1])
    times = np.append(work[each], 0)[axis.row]  # [E, J], 0 where a job is not due
    done = times < NEVER
    times = np.where(done, times, 0)
    backed = np.append(columns.able[tools].sum(axis=0) >= axis.asked.backup[axis.job_of_row], True)[axis.row]
    fixed = axis.asked.wood_class == FIXED
    burnt, had = np.zeros((len(axis), 1), dtype=np.int64), np.ones(len(axis), dtype=bool)
    amount = np.where(fixed, GRAMS_PER_KG, np.zeros_like(times))  # of each job, in thousandths
    if wood.reach_g.shape[1]:
        grams, cost = _burnt(axis, times, done)
        had = (grams.sum(axis=1) == wood.demand_g) & ((grams * cost.astype(float)).sum(axis=1) < _MOST_TIME)
        burnt = np.where(had[:, None], grams * cost, 0).sum(axis=1, keepdims=True)
        amount[:, ~fixed] = grams[:, axis.asked.wood_class[~fixed]]
    spent = np.append(times[:, fixed] * GRAMS_PER_KG, burnt, axis=1)
    lasting = np.ones(len(axis), dtype=bool)
    if tools:
        worker = workers[each[0]]
        part, wear = columns.part[worker, each[1]], columns.wear[worker, each[1]]
    for tool in tools:
        for one in PARTS:
            life = life_of(case, kit, tool, one)
            if life < inf:
                mine = np.append(np.where((worker == tool) & (part == one), wear, 0), 0)[axis.row]
                lasting &= (amount * mine).sum(axis=1) <= GRAMS_PER_KG * int(life)
    return AxisDay(done[:, fixed] & backed[:, fixed], had & backed.all(axis=1), spent, lasting)


def _burnt(axis: CaseAxis, times: Ints, done: Bools) -> tuple[Ints, Ints]:
    """Return the grams that are burnt of each class of firewood, and what a kilogram takes [ms], int[E, C] each.

    Classes that take least come first, as far as each reaches.
    """
    wood, classes = axis.firewood, axis.asked.wood_class
    cost, shut = wood.gather.copy(), np.zeros(wood.gather.shape, dtype=bool)
    for c in range(cost.shape[1]):
        cost[:, c] += times[:, classes == c].sum(axis=1)
        shut[:, c] = ~done[:, classes == c].all(axis=1)
    return grams_burnt(cost, shut, wood.reach_g, wood.demand_g[:, None]), cost
