"""Further ways in which a worker can do a job, besides its fastest."""

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

_Ints = NDArray[np.int64]


@dataclass(frozen=True)
class SlowerWays:
    """Ways by job and worker, int[N] each: what a way takes, wears and costs, and which part of the tool it wears.

    Those of one job and worker stand in their order. Units are those of a case.
    """

    job: _Ints
    worker: _Ints
    work: _Ints
    wear: _Ints
    kcal: _Ints
    part: _Ints

    def __len__(self) -> int:
        """Return their number."""
        return len(self.job)

    def chosen(self, which: NDArray[np.bool_] | _Ints) -> "SlowerWays":
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

    def moved(self, *, jobs: _Ints | None = None, workers: _Ints | None = None) -> "SlowerWays":
        """Return them told by other places of jobs or workers: at each old place the new one."""
        job = self.job if jobs is None else jobs[self.job]
        return replace(self, job=job, worker=self.worker if workers is None else workers[self.worker])

    def order_with(self, other: "SlowerWays") -> _Ints:
        """Return the order by jobs and workers of these and then others; those of one pair stay as they stand."""
        job, worker = (np.concatenate([getattr(self, name), getattr(other, name)]) for name in ("job", "worker"))
        order: _Ints = np.lexsort((worker, job))
        return order

    def with_others(self, other: "SlowerWays") -> "SlowerWays":
        """Return these and others, by jobs and workers."""
        both = (np.concatenate([getattr(self, one.name), getattr(other, one.name)]) for one in fields(self))
        return SlowerWays(*both).chosen(self.order_with(other))

    def only_jobs(self, jobs: _Ints) -> "SlowerWays":
        """Return those of some jobs (indices, ascending), told by their places among these."""
        if not len(self):
            return self
        left = self.chosen(np.isin(self.job, jobs))
        return replace(left, job=np.searchsorted(jobs, left.job))

    def same_as(self, other: "SlowerWays") -> bool:
        """Tell whether the others are the very same."""
        return all(np.array_equal(getattr(self, one.name), getattr(other, one.name)) for one in fields(self))


_NONE = np.zeros(0, dtype=np.int64)
NO_SLOWER = SlowerWays(_NONE, _NONE, _NONE, _NONE, _NONE, _NONE)
