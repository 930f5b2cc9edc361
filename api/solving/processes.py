"""Work for several processes: one Python process solves on one core at a time."""

import os
import signal
from collections.abc import Callable, Generator, Sequence
from multiprocessing import get_all_start_methods, get_context
from typing import Any, TypeVar

_Job = TypeVar("_Job")
_Found = TypeVar("_Found")
_WORTH_PROCESSES = 400  # measured: trips that take as long as processes take to start, some 10 ms each
_AT_ONCE = 8  # jobs that a process takes at a time
_SHARED: list[Any] = []  # what all jobs of this process share


def processes_for(jobs: int, workers: int | None) -> int:
    """Return how many processes do some jobs: as many as asked for, else as there are cores, if the jobs are many."""
    return workers or (os.cpu_count() or 1 if jobs >= _WORTH_PROCESSES else 1)


def done_by_processes(
    work: Callable[[Any, _Job], _Found], shared: Any, jobs: Sequence[_Job], *, workers: int
) -> Generator[_Found]:
    """Yield what each job comes to, as they come; with one worker here, in order.

    Args:
        work: a function at the top of a module, of what all jobs share and of a job.
        shared: what all jobs share; it goes to each process once.
        jobs: the jobs.
        workers: processes.
    """
    if workers == 1:
        yield from (work(shared, job) for job in jobs)
        return
    # Not forked from this process, whose threads would be copied half. Whoever stops this loop ends the processes.
    context = get_context("forkserver" if "forkserver" in get_all_start_methods() else "spawn")
    context.set_forkserver_preload([work.__module__])  # it imports once for all
    with context.Pool(min(workers, max(1, len(jobs))), _begin, (shared,)) as pool:
        yield from pool.imap_unordered(_Work(work), jobs, _AT_ONCE)


class _Work:
    """The work on a job, in a process that has what all share."""

    def __init__(self, work: Callable[[Any, Any], Any]) -> None:
        self.work = work

    def __call__(self, job: Any) -> Any:
        """Return what a job comes to."""
        return self.work(_SHARED[0], job)


def _begin(shared: Any) -> None:
    """Keep what all jobs share, and leave interrupts to the process that began this one."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _SHARED[:] = [shared]
