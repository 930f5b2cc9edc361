"""Further ways in which a worker can do a job, besides its fastest."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import NamedTuple

import numpy as np

from catalog.tables.number import Bools, Ints


class Way(NamedTuple):
    """A way in which a worker does a job: its rank (0 the fastest), then time, wear, energy and the part that wears."""

    worker: int
    rank: int
    work: int
    wear: int
    kcal: int
    part: int


@dataclass(frozen=True)
class SlowerWays:
    """Ways by job and worker, int[N] each: what a way takes, wears and costs, and which part of the tool it wears.

    Those of one job and worker stand in their order. Units are those of a case.
    """

    job: Ints
    worker: Ints
    work: Ints
    wear: Ints
    kcal: Ints
    part: Ints

    def __len__(self) -> int:
        """Return their number."""
        return len(self.job)

    def at(self, job: int) -> list[Way]:
        """Return those at a job."""
        here = self.chosen(self.job == job)
        rank: dict[int, int] = {}
        found = []
        for worker, *figures in np.array((here.worker, here.work, here.wear, here.kcal, here.part)).T.tolist():
            rank[worker] = rank.get(worker, 0) + 1
            found.append(Way(worker, rank[worker], *figures))
        return found

    def chosen(self, which: Bools | Ints) -> "SlowerWays":
        """Return some of them."""
        return SlowerWays(*(getattr(self, one.name)[which] for one in fields(self)))

    def keep(self, workers: Mapping[int, int]) -> "SlowerWays":
        """Return those of some workers (old place -> new)."""
        if not len(self):
            return self
        place = np.full(int(self.worker.max()) + 1, -1)
        inside = [(old, new) for old, new in workers.items() if old < len(place)]
        place[[old for old, _ in inside]] = [new for _, new in inside]
        left = self.chosen(place[self.worker] >= 0)
        return replace(left, worker=place[left.worker])

    def moved(self, *, jobs: Ints | None = None, workers: Ints | None = None) -> "SlowerWays":
        """Return them told by other places of jobs or workers: at each old place the new one."""
        job = self.job if jobs is None else jobs[self.job]
        return replace(self, job=job, worker=self.worker if workers is None else workers[self.worker])

    def order_with(self, other: "SlowerWays") -> Ints:
        """Return the order by jobs and workers of these and then others; those of one pair stay as they stand."""
        job, worker = (np.concatenate([getattr(self, name), getattr(other, name)]) for name in ("job", "worker"))
        order: Ints = np.lexsort((worker, job))
        return order

    def with_others(self, other: "SlowerWays") -> "SlowerWays":
        """Return these and others, by jobs and workers."""
        both = (np.concatenate([getattr(self, one.name), getattr(other, one.name)]) for one in fields(self))
        return SlowerWays(*both).chosen(self.order_with(other))

    def only_jobs(self, jobs: Ints) -> "SlowerWays":
        """Return those of some jobs (indices, ascending), told by their places among these."""
        if not len(self):
            return self
        left = self.chosen(np.isin(self.job, jobs))
        return replace(left, job=np.searchsorted(jobs, left.job))

    def as_hard_as(self, other: "SlowerWays") -> bool:
        """Tell whether for each of these the other has one of its job, worker and part that is as easy in all."""
        easier: dict[tuple[int, int, int], list[tuple[int, int, int]]] = {}
        for key, figures in other._rows():
            easier.setdefault(key, []).append(figures)
        return all(
            any(all(a <= b for a, b in zip(found, mine, strict=True)) for found in easier.get(key, []))
            for key, mine in self._rows()
        )

    def _rows(self) -> Iterator[tuple[tuple[int, int, int], tuple[int, int, int]]]:
        """Yield job, worker and part of each, with its work, wear and kcal."""
        keys, figures = (self.job, self.worker, self.part), (self.work, self.wear, self.kcal)
        pairs = zip(np.array(keys).T.tolist(), np.array(figures).T.tolist(), strict=True)
        return ((tuple(key), tuple(figure)) for key, figure in pairs)

    def same_as(self, other: "SlowerWays") -> bool:
        """Tell whether the others are the very same."""
        return all(np.array_equal(getattr(self, one.name), getattr(other, one.name)) for one in fields(self))


_NONE = np.zeros(0, dtype=np.int64)
NO_SLOWER = SlowerWays(_NONE, _NONE, _NONE, _NONE, _NONE, _NONE)


def easiest_ways(several: Sequence[SlowerWays]) -> SlowerWays:
    """Return ways such that each of these has one of the same part as easy among them, by jobs and workers."""
    both = NO_SLOWER
    for one in several:
        both = both.with_others(one)
    if not len(both):
        return both
    key = np.array([both.job, both.worker, both.part])
    order = np.lexsort(key[::-1])
    first = np.append(True, (key[:, order[1:]] != key[:, order[:-1]]).any(axis=0))
    starts = np.flatnonzero(first)
    work, wear, kcal = (np.minimum.reduceat(each[order], starts) for each in (both.work, both.wear, both.kcal))
    job, worker, part = key[:, order[starts]]
    return SlowerWays(job, worker, work, wear, kcal, part)
