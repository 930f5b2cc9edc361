"""Trips settled elsewhere, each told with the processor time of the process that settled it."""

import os
from collections.abc import Iterable, Iterator
from time import process_time

from solver import Effort, OfferedTrips, Verdict

Timed = tuple[int, tuple[Verdict, ...], int, float, float]


def timed(asked: OfferedTrips, place: int) -> Timed:
    """What one trip says of each offer, the process, and its processor time before and after [s]."""
    before = process_time()
    verdicts = asked.verdicts(place, effort=Effort())
    return place, verdicts, os.getpid(), before, process_time()


class ProcessorTime:
    """Processor time of processes that settle trips [s].

    Attributes:
        spent: by process: all that it has spent so far.
        since: by process: what it had spent before its first trip of this run.
    """

    def __init__(self) -> None:
        self.spent: dict[int, float] = {}
        self.since: dict[int, float] = {}

    def noted(self, found: Iterable[Timed]) -> Iterator[tuple[int, tuple[Verdict, ...]]]:
        """Trips as they come, the times noted."""
        for place, verdicts, pid, before, after in found:
            self.since[pid] = min(before, self.since.get(pid, before))
            self.spent[pid] = max(after, self.spent.get(pid, after))
            yield place, verdicts

    def whole_s(self) -> float:
        """What other processes than this one have spent, from their start [s]."""
        return sum(one for pid, one in self.spent.items() if pid != os.getpid())

    def steady_s(self) -> float:
        """What other processes than this one have spent since their first trip [s]."""
        return sum(one - self.since[pid] for pid, one in self.spent.items() if pid != os.getpid())
