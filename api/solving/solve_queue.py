"""A bounded place for solves: as many at a time as there are cores, off the event loop; few wait, and none for ever."""

import asyncio
from collections.abc import AsyncIterator, Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import AsyncExitStack, asynccontextmanager, suppress
from contextvars import ContextVar, copy_context
from dataclasses import replace
from functools import cached_property
from math import ceil
from threading import Event
from time import perf_counter
from typing import Annotated, TypeVar

import anyio
from fastapi import Depends, Request

from api.settings.effort import effort_of
from api.settings.metrics import Metrics
from api.settings.settings import Settings
from api.solving.batch_time import BatchTime
from api.solving.freed_memory import FreedMemory
from api.solving.thread_priority import yield_to_others
from solver import Effort, Unfinished

_Result = TypeVar("_Result")
_Told = TypeVar("_Told")

ON_SOLVE: ContextVar[Callable[[], None] | None] = ContextVar("on_solve", default=None)  # told of each solve of a job
JOB_SOLVES = "kitwright.job_solves"  # in the scope of a request that is a job: where it is answered

_LATEST = 1.1  # judged: of the longest time: what ends by then is given, however little it is over
_LONGEST_RETRY_S = 60
_LARGE = 1_000_000  # judged: times of tools at jobs, of which an answer holds some 60 bytes each (measured)
_SHARE_OF_LATEST = 0.1  # of the running mean of seconds, from which Retry-After is told


class Busy(RuntimeError):
    """No place is free, and none soon enough."""

    def __init__(self, retry_after_s: int) -> None:
        self.retry_after_s = retry_after_s
        super().__init__("the service already works on as many answers as it can, and no more may wait")


def _ended(job: Callable[[Effort], _Result], told: Callable[[_Result], _Told], effort: Effort) -> tuple[_Result, _Told]:
    """Return what a job gives, and that as it is told.

    A future takes no StopIteration, and one that escapes a job would never end its own.
    """
    try:
        found = job(effort)
        return found, told(found)
    except StopIteration as error:
        raise RuntimeError("a job ended in a StopIteration") from error


def _itself(found: _Result) -> _Result:
    """Return what a job gives as it is."""
    return found


class Solves:
    """Runs solves in threads, no more at a time than the settings allow; an answer nobody waits for is cancelled.

    Of those that hold much memory one is worked on at a time, whatever places are free. Those of jobs have places of
    their own, and the lines of a batch get no more time for more bytes.
    """

    def __init__(self, settings: Settings, metrics: Metrics, *, of_jobs: bool = False) -> None:
        self.settings = settings
        self.of_jobs = of_jobs
        self.metrics = metrics
        self.effort = effort_of(settings)
        self.threads = ThreadPoolExecutor(
            settings.solves, "job" if of_jobs else "solve", yield_to_others, (settings.solve_niceness,)
        )
        self.freed = FreedMemory()
        self.usual_s = 1.0

    @cached_property
    def places(self) -> anyio.CapacityLimiter:
        """The places for solves, first come, first served."""
        return anyio.CapacityLimiter(self.settings.solves)

    @cached_property
    def alone(self) -> anyio.CapacityLimiter:
        """Leave to hold much memory: for one at a time."""
        return anyio.CapacityLimiter(1)

    @cached_property
    def patient(self) -> anyio.CapacityLimiter:
        """Leave to wait for a place without bound: for as many as there are places, so that others get theirs."""
        return anyio.CapacityLimiter(self.settings.solves)

    def batch_time(self) -> BatchTime:
        """Return the time of many answers to one request, none of it used yet."""
        return BatchTime(self.effort.answer_seconds, grows=not self.of_jobs)

    async def run(self, job: Callable[[Effort], _Result], *, times: int = 0) -> tuple[_Result, str]:
        """Return what a job gives and its Server-Timing header; takes and raises what `run_told` does."""
        return await self.run_told(job, _itself, times=times)

    async def run_told(
        self, job: Callable[[Effort], _Result], told: Callable[[_Result], _Told], *, times: int = 0
    ) -> tuple[_Told, str]:
        """Return what a job gives, as it is told, and its Server-Timing header.

        Args:
            job: the work.
            told: makes what is sent of what the job gives, in the job's thread: that of a large answer takes long.
            times: of tools at jobs that it holds, about.

        Raises:
            Busy: too many wait already, or this one waited too long.
            Unfinished: the answer takes longer than any may.
        """
        if self.waiting >= self.settings.solve_queue:
            self.metrics.refused.inc()
            raise Busy(self.retry_after_s)
        start = perf_counter()
        async with self.place(times, wait_s=self.settings.solve_wait_seconds):
            result = await self.threaded(self.afresh(job, times), told)
        return result, f"solve;dur={1000 * (perf_counter() - start):.1f}"

    async def run_patiently(self, job: Callable[[Effort], _Result], time: BatchTime, *, times: int = 0) -> _Result:
        """Return what a job gives, however long the wait: for work whose sender is held up until then.

        Args:
            job: the work.
            time: of all such work of the sender; what this takes is taken off.
            times: of tools at jobs that it holds, about.

        Raises:
            Unfinished: the answer takes longer than any may, or no time is left.
        """
        async with self.place(times, wait_s=None, patient=True):
            start, seconds = perf_counter(), time.for_a_line
            if not seconds:
                raise Unfinished
            try:
                return await self.threaded(self.afresh(job, times), _itself, seconds=seconds)
            finally:
                time.spend(perf_counter() - start)

    def afresh(self, job: Callable[[Effort], _Result], times: int) -> Callable[[Effort], _Result]:
        """Return a job that, where it holds much memory, first gives back what others before it had."""
        if times <= _LARGE:
            return job

        def after_others(effort: Effort) -> _Result:
            self.freed.give_back(anyway=True)
            return job(effort)

        return after_others

    @asynccontextmanager
    async def place(self, times: int, *, wait_s: float | None, patient: bool = False) -> AsyncIterator[None]:
        """Hold one of the places, and leave for what is wanted besides; raises Busy where `wait_s` seconds bring none.

        All take them in this order, so that nobody holds what another needs to go on.
        """
        async with AsyncExitStack() as held:
            if patient:
                await held.enter_async_context(self.patient)
            try:
                with anyio.fail_after(wait_s):
                    for limiter in (*([self.alone] if times > _LARGE else []), self.places):
                        await self.taken(limiter)
                        held.callback(limiter.release)
            except TimeoutError as error:
                self.metrics.refused.inc()
                raise Busy(self.retry_after_s) from error
            with self.metrics.running.track_inprogress():
                yield

    async def taken(self, limiter: anyio.CapacityLimiter) -> None:
        """Take a place of a limiter, at once where one is free."""
        try:
            limiter.acquire_nowait()
        except anyio.WouldBlock:
            with self.metrics.waiting.track_inprogress():
                await limiter.acquire()

    async def threaded(
        self, job: Callable[[Effort], _Result], told: Callable[[_Result], _Told], *, seconds: float | None = None
    ) -> _Told:
        """Run a job in a thread; where this is cancelled or takes too long, end the job and wait for its end.

        It may be over its `seconds`, the longest time of one answer where none are given, by as much as any answer.
        """
        cancelled = Event()
        within = self.effort.answer_seconds if seconds is None else seconds
        latest = within + _LATEST * self.settings.answer_seconds - self.effort.answer_seconds
        effort = replace(self.effort, cancelled=cancelled, on_solve=ON_SOLVE.get(), answer_seconds=within)
        start = perf_counter()
        found: object = None
        future = asyncio.get_running_loop().run_in_executor(self.threads, copy_context().run, _ended, job, told, effort)
        try:
            if not (await asyncio.wait([future], timeout=latest))[0]:
                raise Unfinished
            found, result = future.result()
            return result
        except BaseException as error:
            found = error
            raise
        finally:
            seconds = perf_counter() - start
            self.metrics.solve(found, seconds=seconds)
            self.usual_s += _SHARE_OF_LATEST * (seconds - self.usual_s)
            if not future.done():
                cancelled.set()
                with anyio.CancelScope(shield=True):
                    await asyncio.wait([future])
            future.exception()  # also where the caller left just as it failed: else it is logged as lost
            if self.freed.much:
                with suppress(RuntimeError):  # the threads have ended, and the service with them
                    self.threads.submit(self.freed.give_back)

    @property
    def waiting(self) -> int:
        """How many wait, but for the lines of those who send many."""
        return sum(limiter.statistics().tasks_waiting for limiter in (self.alone, self.places))

    @property
    def retry_after_s(self) -> int:
        """Seconds after which those that wait now should have their answers [s]."""
        return max(1, min(_LONGEST_RETRY_S, ceil(self.usual_s * (self.waiting + 1) / self.settings.solves)))


def solves_of(request: Request) -> Solves:
    """Return the app's place for solves: for those of a job its own."""
    solves: Solves = request.scope.get(JOB_SOLVES) or request.app.state.solves
    return solves


SolvesOf = Annotated[Solves, Depends(solves_of)]
