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
        left = self.chosen(np.array([worker in workers for worker in self.worker.tolist()], dtype=bool))
        return replace(left, worker=np.array([workers[old] for old in left.worker.tolist()], dtype=np.int64))

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
