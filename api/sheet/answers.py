"""Answers kept for the sheet: a spreadsheet asks the same trip for many cells, and each cell several times."""

import asyncio
from collections import OrderedDict
from collections.abc import Callable
from hashlib import sha256
from typing import Any, Literal

from api.solves import Solves
from solver import Effort, Trip, front, plan

Row = dict[str, Any]
Key = tuple[str, str]
Asked = Literal["kit", "full", "minutes", "price"]
MOST_KEPT = 256  # answers; a full one takes some 50 kB


class Answers:
    """The latest answers by trip and what was asked of it; one that is being worked out is waited for."""

    def __init__(self, solves: Solves) -> None:
        self.solves = solves
        self.kept: OrderedDict[Key, Row] = OrderedDict()
        self.pending: dict[Key, asyncio.Task[Row]] = {}

    async def answer(self, trip: Trip, asked: Asked, *, patient: bool = False) -> Row:
        """Return the answer to a trip (`kit` or `full` detail) or its front (against `minutes` or `price`).

        Raises:
            TripError: fields that don't go together.
            Unfinished: the effort ran out.
            Busy: too many wait for a place, unless this one is patient.
        """
        if asked in ("kit", "full"):
            trip = trip.model_copy(update={"detail": asked})
        # A digest: a trip may carry 20,000 tools of a stored catalog.
        key = (asked, sha256(trip.model_dump_json().encode()).hexdigest())
        if (known := self.kept.get(key)) is not None:
            self.kept.move_to_end(key)
            return known
        task = self.pending.get(key) or self.begun(key, job_of(trip, asked), patient=patient)
        # Whoever hangs up leaves the work running: other cells wait for it, and a spreadsheet soon asks again.
        return await asyncio.shield(task)

    def begun(self, key: Key, job: Callable[[Effort], Row], *, patient: bool) -> asyncio.Task[Row]:
        """Return the task that works an answer out and keeps it."""
        task = asyncio.ensure_future(self.worked_out(key, job, patient=patient))
        self.pending[key] = task
        return task

    async def worked_out(self, key: Key, job: Callable[[Effort], Row], *, patient: bool) -> Row:
        """Return an answer, worked out and kept."""
        try:
            found = await self.solves.run_patiently(job) if patient else (await self.solves.run(job))[0]
        finally:
            del self.pending[key]
        self.kept[key] = found
        while len(self.kept) > MOST_KEPT:
            self.kept.popitem(last=False)
        return found


def job_of(trip: Trip, asked: Asked) -> Callable[[Effort], Row]:
    """Return the work of an answer, as its JSON."""
    if asked in ("kit", "full"):
        return lambda effort: plan(trip, effort=effort).model_dump(mode="json")
    against: Literal["minutes", "price"] = "price" if asked == "price" else "minutes"
    return lambda effort: front(trip, against=against, effort=effort).model_dump(mode="json")
