"""The ways in which workers can do a job besides the fastest, as far as one of them is worth having."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from catalog.tables.number import Bools, Ints
from solver.model.case import EDGE, NEVER, TEETH
from solver.model.slower_ways import NO_SLOWER, SlowerWays
from solver.needs.candidates import WAYS

PART_OF_WAY = np.array([TEETH if way == "saw" else EDGE for way in WAYS])  # what wears


@dataclass(frozen=True)
class FurtherWays:
    """Further ways with their places in WAYS; those of one job and worker from the fastest on."""

    ways: SlowerWays
    names: Ints

    def chosen(self, which: Bools | Ints) -> "FurtherWays":
        """Return some of them."""
        return FurtherWays(self.ways.chosen(which), self.names[which])

    def name(self, job: int, worker: int, number: int) -> str:
        """Return the way of a job and worker of this number, from 1 on."""
        mine = np.flatnonzero((self.ways.job == job) & (self.ways.worker == worker))
        return WAYS[self.names[mine[number - 1]]]

    def with_jobs(self, rows: Sequence[int], told: "FurtherWays") -> "FurtherWays":
        """Return these with some jobs told anew, each by its place among them."""
        left = self.chosen(~np.isin(self.ways.job, rows))
        moved = told.ways.moved(jobs=np.asarray(rows, dtype=np.int64))
        order = left.ways.order_with(moved)
        return FurtherWays(left.ways.with_others(moved), np.concatenate([left.names, told.names])[order])


NO_FURTHER = FurtherWays(NO_SLOWER, NO_SLOWER.job)


@dataclass(frozen=True)
class WayTable:
    """One way of working (a place in WAYS) at some jobs: their indices; time, wear and energy of each worker [N, W]."""

    way: int
    jobs: Sequence[int]
    work: Ints
    wear: Ints
    kcal: Ints


def further_ways(tables: Sequence[WayTable], *, carried: int, by_effort: bool) -> FurtherWays:
    """Return the further ways worth having: none before them is as fast, spares the same part as well and costs less.

    Args:
        tables: each way of working, in the order of WAYS; of equally fast ways the first is the fastest.
        carried: how many workers are tools; methods do not wear.
        by_effort: whether energy counts.
    """
    jobs = sorted({job for one in tables for job in one.jobs})
    found = [row for job in jobs for row in _at_job(tables, job, carried=carried, by_effort=by_effort)]
    if not found:
        return NO_FURTHER
    job, worker, work, wear, kcal, way = np.concatenate(found, axis=1)
    order = np.lexsort((worker, job))  # keeps those of one job and worker in their order
    ways = SlowerWays(job, worker, work, wear, kcal, PART_OF_WAY[way])
    return FurtherWays(ways.chosen(order), way[order])


def _at_job(tables: Sequence[WayTable], job: int, *, carried: int, by_effort: bool) -> Iterator[Ints]:
    """Yield the further ways at a job, int[6, N] each: job, worker, work, wear, kcal and way; the faster ones first."""
    mine = [(one, list(one.jobs).index(job)) for one in tables if job in one.jobs]
    if len(mine) < 2:
        return
    work = np.array([one.work[row] for one, row in mine])
    several = np.flatnonzero((work < NEVER).sum(axis=0) > 1)
    if not len(several):
        return
    work = work[:, several]
    wear, kcal = (np.array([getattr(one, name)[row] for one, row in mine])[:, several] for name in ("wear", "kcal"))
    wear[:, several >= carried] = 0
    way = np.array([one.way for one, _ in mine])[:, None].repeat(len(several), axis=1)
    order = work.argsort(axis=0, kind="stable")
    work, wear, kcal, way = (np.take_along_axis(each, order, axis=0) for each in (work, wear, kcal, way))
    part = PART_OF_WAY[way]
    kept = work < NEVER
    for late in range(1, len(mine)):
        for early in range(late):
            spares = (wear[early] == 0) | ((part[early] == part[late]) & (wear[early] <= wear[late]))
            cheaper = kcal[early] <= kcal[late] if by_effort else True
            kept[late] &= ~(kept[early] & spares & cheaper)
        at = np.flatnonzero(kept[late])
        if len(at):
            here = np.full(len(at), job)
            yield np.array([here, several[at], work[late, at], wear[late, at], kcal[late, at], way[late, at]])
