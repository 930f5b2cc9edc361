"""The ways in which workers can do a job besides the fastest, as far as one of them is worth having."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from catalog.tables.number import Bools, Ints
from solver.model.case import EDGE, NEVER, TEETH
from solver.model.slower_ways import NO_SLOWER, SlowerWays, ways_joined
from solver.needs.candidates import WAYS

PART_OF_WAY = np.array([TEETH if way == "saw" else EDGE for way in WAYS], dtype=np.int8)  # what wears


@dataclass(frozen=True)
class FurtherWays:
    """Further ways with their places in WAYS; those of one job and worker from the fastest on."""

    ways: SlowerWays
    names: Ints

    def chosen(self, which: Bools | Ints) -> "FurtherWays":
        """Return some of them."""
        return FurtherWays(self.ways.chosen(which), self.names[which])

    def after(self, jobs: int) -> "FurtherWays":
        """Return them with so many jobs before theirs."""
        return self if not len(self.names) else replace(self, ways=replace(self.ways, job=self.ways.job + jobs))

    def of_workers(self, place: Mapping[int, int]) -> "FurtherWays":
        """Return those of some workers (old place -> new)."""
        if not len(self.names):
            return self
        there = np.isin(self.ways.worker, list(place))
        return FurtherWays(self.ways.chosen(there).keep(place), self.names[there])

    def name(self, job: int, worker: int, number: int) -> str:
        """Return the way of a job and worker of this number, from 1 on."""
        mine = np.flatnonzero((self.ways.job == job) & (self.ways.worker == worker))
        return WAYS[self.names[mine[number - 1]]]

    def against(self, others: Ints, workers: Bools) -> tuple[Bools, Bools]:
        """Tell whether the ways of jobs are those of others, and whether each takes and wears as much at least.

        They may be harder though it is not told, where the ways are not the same ones.

        Args:
            others: for each of R jobs the one that it is held against, int[R].
            workers: those whose ways count.
        """
        ways = self.ways.chosen(workers[self.ways.worker])
        ends = np.searchsorted(ways.job, np.arange(len(others) + 1))
        counts = np.diff(ends)
        same = counts == counts[others]
        hard = same.copy()
        mine = np.flatnonzero(same[ways.job])
        job = ways.job[mine]
        other = ends[others[job]] + mine - ends[job]
        known = (ways.worker[mine] == ways.worker[other]) & (ways.part[mine] == ways.part[other])
        work, wear = (each[mine] - each[other] for each in (ways.work, ways.wear))
        same[job[~(known & (work == 0) & (wear == 0))]] = False
        hard[job[~(known & (work >= 0) & (wear >= 0))]] = False
        return same, hard

    def of_jobs(self, jobs: Ints) -> "FurtherWays":
        """Return those of some jobs (places, in any order), told by their places among these."""
        if not len(self.names):
            return self
        first, last = (np.searchsorted(self.ways.job, jobs, side=side) for side in ("left", "right"))
        which = np.concatenate([np.arange(*ends) for ends in zip(first.tolist(), last.tolist(), strict=True)])
        found = self.chosen(which.astype(np.int64))
        return replace(found, ways=replace(found.ways, job=np.arange(len(jobs)).repeat(last - first)))


NO_FURTHER = FurtherWays(NO_SLOWER, NO_SLOWER.job)


def joined_ways(several: Sequence[FurtherWays]) -> FurtherWays:
    """Return further ways together, those of later jobs after those of earlier ones."""
    several = [one for one in several if len(one.names)]
    if len(several) < 2:
        return several[0] if several else NO_FURTHER
    return FurtherWays(ways_joined([one.ways for one in several]), np.concatenate([one.names for one in several]))


@dataclass(frozen=True)
class WayTable:
    """One way of working (a place in WAYS) at some jobs by some workers: time, wear and energy, int[N, C] each.

    Jobs and workers are told by their indices, the latter ascending.
    """

    way: int
    jobs: Ints
    workers: Ints
    work: Ints
    wear: Ints
    kcal: Ints


def further_ways(tables: Sequence[WayTable], *, jobs: int, carried: int, by_effort: bool) -> FurtherWays:
    """Return the further ways worth having: none before them is as fast, spares the same part as well and costs less.

    Args:
        tables: each way of working, in the order of WAYS; of equally fast ways the first is the fastest.
        jobs: their number.
        carried: how many workers are tools; methods do not wear.
        by_effort: whether energy counts.
    """
    place = np.full((len(tables), jobs), -1)  # of each job in each table
    for row, one in zip(place, tables, strict=True):
        row[one.jobs] = np.arange(len(one.jobs))
    code = (1 << np.arange(len(tables))) @ (place >= 0)  # tells the ways in which a job is done
    found: list[Ints] = []
    for each in np.unique(code).tolist():
        alike = np.flatnonzero(code == each)
        mine = [n for n in range(len(tables)) if place[n, alike[0]] >= 0]
        if len(mine) > 1:
            at = [(tables[n], place[n, alike]) for n in mine]
            found += _at_jobs(at, alike, carried=carried, by_effort=by_effort)
    if not found:
        return NO_FURTHER
    job, worker, work, wear, kcal, way = np.concatenate(found, axis=1)
    order = np.lexsort((worker, job))  # keeps those of one job and worker in their order
    ways = SlowerWays(job, worker, work, wear, kcal, PART_OF_WAY[way])
    return FurtherWays(ways.chosen(order), way[order])


def _at_jobs(mine: Sequence[tuple[WayTable, Ints]], jobs: Ints, *, carried: int, by_effort: bool) -> Iterator[Ints]:
    """Yield the further ways at jobs, int[6, N] each: job, worker, work, wear, kcal and way; the faster ones first.

    Args:
        mine: the ways in which these jobs are done, each with the places of the jobs in its table.
        jobs: the jobs.
        carried: how many workers are tools.
        by_effort: whether energy counts.
    """
    shared = np.bincount(np.concatenate([one.workers for one, _ in mine])) > 1
    several = np.flatnonzero(shared)
    if not len(several):
        return
    work = np.full((len(mine), len(jobs), len(several)), NEVER)
    wear, kcal = np.zeros_like(work), np.zeros_like(work)
    for place, (one, rows) in enumerate(mine):
        there = shared[one.workers]
        at = np.searchsorted(several, one.workers[there])
        for whole, part in ((work, one.work), (wear, one.wear), (kcal, one.kcal)):
            whole[place][:, at] = part[rows][:, there]
    job, column = np.nonzero((work < NEVER).sum(axis=0) > 1)
    if not len(job):
        return
    work, wear, kcal = (each[:, job, column] for each in (work, wear, kcal))
    worker = several[column]
    wear[:, worker >= carried] = 0
    way = np.array([one.way for one, _ in mine])[:, None].repeat(len(job), axis=1)
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
            yield np.array([jobs[job[at]], worker[at], work[late, at], wear[late, at], kcal[late, at], way[late, at]])
