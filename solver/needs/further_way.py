"""The ways in which workers can do a job besides the fastest, as far as one of them is worth having."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from catalog.tables.number import Bools, Floats, Ints, Places
from solver.forms.quantity import MILLIONTHS
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
        which = [place for ends in zip(first.tolist(), last.tolist(), strict=True) for place in range(*ends)]
        found = self.chosen(np.array(which, dtype=np.int64))
        return replace(found, ways=replace(found.ways, job=np.arange(len(jobs)).repeat(last - first)))


NO_FURTHER = FurtherWays(NO_SLOWER, NO_SLOWER.job)


def joined_ways(several: Sequence[FurtherWays]) -> FurtherWays:
    """Return further ways together, those of later jobs after those of earlier ones."""
    several = [one for one in several if len(one.names)]
    if len(several) < 2:
        return several[0] if several else NO_FURTHER
    return FurtherWays(ways_joined([one.ways for one in several]), np.concatenate([one.names for one in several]))


def kcal_of(work: Ints, ways: Places, jobs: Ints, kcal_per_ms: Floats) -> Ints:
    """Return what work costs above rest [millionths of a kcal], 0 where it can't be done.

    Args:
        work: its time [ms], NEVER where it can't be done.
        ways: in which it is done, places in WAYS, of the same shape.
        jobs: of which each is, of a shape that stretches to that.
        kcal_per_ms: what each way costs [kcal/ms], float[7], or float[J, 7].
    """
    per_ms = kcal_per_ms * MILLIONTHS
    each = per_ms[ways] if per_ms.ndim == 1 else per_ms[jobs, ways]
    kcal: Ints = np.rint(np.where(work < NEVER, work, 0) * each).astype(np.int64)
    return kcal


def further_ways(
    work: Ints, wear: Ints, way_at: Places, kcal_per_ms: Floats, *, carried: int, by_effort: bool
) -> FurtherWays:
    """Return the further ways worth having: none before them is as fast, spares the same part as well and costs less.

    Args:
        work: time of each job's ways by each worker, int[L, J, W], NEVER where it can't be done so; of equally fast
            ways the first is the fastest.
        wear: what it spends, likewise.
        way_at: the ways of each job, int[L, J], places in WAYS; where a job has fewer, nobody does the rest.
        kcal_per_ms: what each way costs above rest [kcal/ms], float[7], or float[J, 7].
        carried: how many workers are tools; methods do not wear.
        by_effort: whether energy counts.
    """
    job, worker = np.nonzero((work < NEVER).sum(axis=0) > 1)
    if not len(job):
        return NO_FURTHER
    work, wear = (each[:, job, worker] for each in (work, wear))
    wear[:, worker >= carried] = 0
    order = work.argsort(axis=0, kind="stable"), np.arange(len(job))
    work, wear, way = work[order], wear[order], way_at[:, job][order]
    part, kcal = PART_OF_WAY[way], kcal_of(work, way, job, kcal_per_ms)
    kept = work < NEVER
    for late in range(1, len(kept)):
        for early in range(late):
            spares = (wear[early] == 0) | ((part[early] == part[late]) & (wear[early] <= wear[late]))
            cheaper = kcal[early] <= kcal[late] if by_effort else True
            kept[late] &= ~(kept[early] & spares & cheaper)
    at = kept[1:].T.nonzero()  # by job and worker, of each from the faster on
    if not len(at[0]):
        return NO_FURTHER
    each = at[1] + 1, at[0]
    ways = SlowerWays(job[at[0]], worker[at[0]], work[each], wear[each], kcal[each], part[each])
    return FurtherWays(ways, way[each].astype(np.int64))
