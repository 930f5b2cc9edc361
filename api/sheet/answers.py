"""Answers kept for the sheet: a spreadsheet asks the same trip for many cells, and each cell several times."""

import asyncio
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal

from pydantic import BaseModel
from pydantic_core import from_json

from api.questions.asked_trips import times_at_once
from api.questions.registry import QUESTIONS
from api.solving.batch_time import BatchTime
from api.solving.bounded_memory import Memory, key_of
from api.solving.solve_queue import Solves
from solver import Effort, Trip

_Row = dict[str, Any]
AskedTrip = Literal["kit", "full", "minutes", "price"]


NO_KIT_KNOWN = "kit"  # in `not_settled` of a plan: greed found one that breaks limits


class Answers:
    """Answers by trip and what was asked of it, from memory; one that is being worked out is waited for."""

    def __init__(self, solves: Solves, memory: Memory) -> None:
        self.solves = solves
        self.memory = memory
        self.pending: dict[bytes, _Pending] = {}

    async def answer(self, trip: Trip, asked: AskedTrip, *, time: BatchTime | None = None) -> _Row:
        """Return the answer to a trip (`kit` or `full` detail) or its front (against `minutes` or `price`).

        Raises:
            TripError: fields that don't go together.
            Unfinished: the effort ran out.
            Busy: too many wait for a place, unless it has a time of many.
        """
        # A digest: a trip may carry 20,000 tools of a stored catalog.
        # What is left out is told as assumed, so a trip that states a default is another one.
        catalog = repr(sorted(trip.catalog_figures.items()))
        key = key_of(asked.encode(), trip.model_dump_json(exclude_unset=True).encode(), catalog.encode())
        if (known := self.memory.find(key)) is not None:
            row: _Row = from_json(known)
            return row
        if (pending := self.pending.get(key)) is None:
            job, times = answer_job(trip, asked), times_at_once(trip)
            work = asyncio.ensure_future(self.worked_out(key, job, time=time, times=times))
            self.pending[key] = pending = _Pending(work)
        pending.waiting += 1
        try:
            # Whoever hangs up leaves the work running for other cells that wait for it.
            return await asyncio.shield(pending.work)
        finally:
            pending.waiting -= 1
            if not pending.waiting:
                self.end(key, pending)

    def end(self, key: bytes, pending: "_Pending") -> None:
        """End the work on an answer that nobody waits for; who asks from now on begins anew."""
        if self.pending.get(key) is pending:
            del self.pending[key]
        pending.work.cancel()

    async def worked_out(
        self, key: bytes, job: Callable[[Effort], bytes], *, time: BatchTime | None, times: int
    ) -> _Row:
        """Return an answer, worked out and kept."""
        if time is None:
            found, _ = await self.solves.run(job, times=times)
        else:
            found = await self.solves.run_patiently(job, time, times=times)
        row: _Row = from_json(found)
        if NO_KIT_KNOWN not in row.get("not_settled", ()):  # who asks again may hope for more
            self.memory.keep(key, found)
        return row


@dataclass
class _Pending:
    """An answer that is being worked out, and how many wait for it."""

    work: asyncio.Task[_Row]
    waiting: int = 0


def answer_job(trip: Trip, asked: AskedTrip) -> Callable[[Effort], bytes]:
    """Return the work of an answer, as its JSON."""
    question = QUESTIONS["plan" if asked in ("kit", "full") else "front"]
    if question.name == "plan":
        form: BaseModel = trip.model_copy(update={"detail": asked})
    else:
        form = question.form.model_validate({"trip": trip, "against": asked})
    return lambda effort: question.answer(form, effort).model_dump_json().encode()
