"""Further ways in which a worker can do a job, besides its fastest."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import NamedTuple

import numpy as np

from catalog.tables.number import Bools, Ints, Places


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
    part: Places

    def __len__(self) -> int:
        """Return their number."""
        return len(self.job)

    def at(self, job: int, has: Bools | None = None) -> list[Way]:
        """Return those at a job, of all workers or of those that there are."""
        which = self.job == job
        here = self.chosen(which if has is None else which & has[self.worker])
        rank: dict[int, int] = {}
        found = []
        for worker, *figures in np.array((here.worker, here.work, here.wear, here.kcal, here.part)).T.tolist():
            rank[worker] = rank.get(worker, 0) + 1
            found.append(Way(worker, rank[worker], *figures))
        return found

    def ranks(self) -> Ints:
        """Return the rank of each among those of its job and worker, from 1 on, int[N]."""
        pair = self.job * (self.worker.max(initial=0) + 1) + self.worker
        order = np.argsort(pair, kind="stable")
        rank = np.empty(len(pair), dtype=np.int64)
        rank[order] = np.arange(len(pair)) - np.searchsorted(pair[order], pair[order]) + 1
        return rank

    def chosen(self, which: Bools | Ints) -> "SlowerWays":
        """Return some of them."""
        return SlowerWays(*(getattr(self, one.name)[which] for one in fields(self)))

    def between(self, first: int, last: int) -> "SlowerWays":
        """Return those of the workers from one place to before another, told by their places among these."""
        if not len(self):
            return self
        found = self.chosen((self.worker >= first) & (self.worker < last))
        return replace(found, worker=found.worker - first)

    def keep(self, workers: Mapping[int, int]) -> "SlowerWays":
        """Return those of some workers (old place -> new)."""
        if not len(self):
            return self
        place = np.full(int(self.worker.max()) + 1, -1)
        inside = [(old, new) for old, new in workers.items() if old < len(place)]
        place[[old for old, _ in inside]] = [new for _, new in inside]
        left = self.chosen(place[self.worker] >= 0)
        return replace(left, worker=place[left.worker])

    def most_worn(self, wear: Ints, part: Places, parts: Sequence[int]) -> Ints:
        """Return the most that tools wear of each part at jobs in any way, int[parts, J, T].

        Args:
            wear: in their fastest way, int[J, T]; there may be ways of other workers too.
            part: that wears then, int[J, T].
            parts: all parts.
        """
        most = np.where(np.array(parts)[:, None, None] == part, wear, 0)
        if len(self):
            mine = self.chosen(self.worker < wear.shape[1])
            np.maximum.at(most, (mine.part, mine.job, mine.worker), mine.wear)
        return most

    def with_others(self, other: "SlowerWays") -> "SlowerWays":
        """Return these and others, by jobs and workers; those of one pair stay as they stand."""
        both = ways_joined([self, other])
        return both.chosen(np.lexsort((both.worker, both.job)))

    def only_jobs(self, jobs: Ints) -> "SlowerWays":
        """Return those of some jobs (indices, ascending), told by their places among these."""
        if not len(self):
            return self
        at = np.searchsorted(jobs, self.job)
        there = np.append(jobs, -1)[at] == self.job
        return replace(self.chosen(there), job=at[there])


def ways_joined(several: Sequence[SlowerWays]) -> SlowerWays:
    """Return further ways one after another, as they stand."""
    return SlowerWays(*(np.concatenate([getattr(ways, one.name) for ways in several]) for one in fields(SlowerWays)))


_NONE = np.zeros(0, dtype=np.int64)
NO_SLOWER = SlowerWays(_NONE, _NONE, _NONE, _NONE, _NONE, np.zeros(0, dtype=np.int8))
