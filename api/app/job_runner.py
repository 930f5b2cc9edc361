"""The jobs that a worker process works on, beside its callers: taken from the store, answered, told."""

import logging
import time
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from functools import partial
from secrets import token_hex
from typing import TypeVar

import anyio
from anyio import CapacityLimiter, to_thread
from anyio.abc import TaskGroup
from fastapi import FastAPI, Request, Response

from api.answering.replayed_request import answer_later, kept_headers
from api.http.problem_details import problem, problem_for
from api.settings.metrics import Metrics
from api.settings.settings import Settings
from api.solving.solve_queue import ON_SOLVE, Solves
from api.store.database import Store, StoreDown
from api.store.job_lease import TakenJob, count_jobs, end_job, give_back, is_kept, keep_job, take_job
from api.store.stored_job import KeptAnswer, drop_expired
from solver import Unfinished

_log = logging.getLogger("kitwright")
_Found = TypeVar("_Found")

_LOOK_S = (
    1.0  # judged: how soon a job is taken that another worker was asked for, or is ended that was called off there
)
_LONGEST_LOOK_S = 60.0  # judged: between two looks at a store that is down
_BEATS = 6  # judged: of a lease: so many may be lost
_SWEEP_S = 60.0  # judged: jobs are kept for hours
_OVER = 1.25  # judged: of the longest time of a job, after which even what looks at no clock is ended
_TRIES = 30  # judged: to keep an answer while the store is down
_STOP_S = 10.0  # judged: for giving a job back as the service stops


class _Job:
    """A job in hand: how far it is, and what ends it."""

    def __init__(self, taken: TakenJob) -> None:
        self.taken = taken
        self.solves = 0
        self.begun = time.monotonic()
        self.scope = anyio.CancelScope()
        self.lost = False

    @property
    def worked_s(self) -> float:
        """Seconds of work so far [s]."""
        return time.monotonic() - self.begun

    def count(self) -> None:
        """Count a program solved."""
        self.solves += 1

    def lose(self) -> None:
        """End the work: the job was called off, or is another worker's."""
        self.lost = True
        self.scope.cancel()


class JobRunner:
    """Looks for jobs while there is a place for one, and works on them."""

    def __init__(self, app: FastAPI, settings: Settings, *, store: Store, solves: Solves, metrics: Metrics) -> None:
        self.app = app
        self.settings = settings
        self.store = store
        self.solves = solves
        self.metrics = metrics
        self.name = token_hex(16)
        self.jobs: dict[str, _Job] = {}
        self.woken: anyio.Event | None = None
        self.threads: CapacityLimiter | None = None
        self.swept = float("-inf")

    def wake(self) -> None:
        """Look at once: a job was made or called off in this process."""
        if self.woken is not None:
            self.woken.set()

    async def run(self) -> None:
        """Take and answer jobs until cancelled; then those in hand are given back."""
        self.threads = CapacityLimiter(4)
        pause = _LOOK_S
        async with anyio.create_task_group() as group:
            while True:
                self.woken = anyio.Event()
                try:
                    await self.look(group)
                    pause = _LOOK_S
                except StoreDown:
                    pause = min(2 * pause, _LONGEST_LOOK_S)
                except Exception:
                    _log.exception("the look for jobs failed")
                    pause = min(2 * pause, _LONGEST_LOOK_S)
                with anyio.move_on_after(pause):
                    await self.woken.wait()

    async def look(self, group: TaskGroup) -> None:
        """Take the jobs that there are places for, and end those that were called off."""
        if not self.store.is_there():
            return
        for job in list(self.jobs.values()):
            if not await self.stored(partial(self.still, job.taken)):
                job.lose()
        while len(self.jobs) < self.settings.jobs:
            taken = await self.stored(self.next_job)
            if taken is None:
                return
            self.jobs[taken.id] = job = _Job(taken)
            group.start_soon(self.work, job)

    async def stored(self, change: Callable[[], _Found]) -> _Found:
        """Return what is read or written in a thread of its own."""
        return await to_thread.run_sync(change, limiter=self.threads)

    def still(self, taken: TakenJob) -> bool:
        """Tell whether a job is still this worker's."""
        with self.store.reading() as connection:
            return is_kept(connection, taken)

    def next_job(self) -> TakenJob | None:
        """Return a job to work on, taken; those that too many workers died over are failed on the way."""
        with self.store.reading() as connection:
            counts = count_jobs(connection)
        self.metrics.jobs_queued.set(counts.queued)
        if time.monotonic() - self.swept > _SWEEP_S:
            self.swept = time.monotonic()
            with self.store.writing() as connection:
                drop_expired(connection)
        if not counts.queued and not counts.left:
            return None
        while True:
            with self.store.writing() as connection:
                taken = take_job(connection, self.name, self.settings)
                if taken is None or taken.attempt <= self.settings.job_attempts:
                    return taken
                answer = self.problem_of_lost(taken)
                end_job(connection, taken, answer, self.settings, solves=0, worked_s=0.0)
                self.metrics.jobs.labels("failed").inc()

    async def work(self, job: _Job) -> None:
        """Work on a job to its end, or give it back where this worker stops."""
        self.metrics.jobs_running.inc()
        ended = "given back"
        try:
            answer: KeptAnswer | None = None
            with job.scope:
                async with anyio.create_task_group() as group:
                    group.start_soon(self.beat, job)
                    answer = await self.answered(job)
                    await self.keep_answer(job, answer)
                    group.cancel_scope.cancel()
            ended = "cancelled" if job.lost or answer is None else "done" if answer.status < 400 else "failed"
        except Exception:
            _log.exception("the work on the job %s failed", job.taken.id)
        finally:
            self.metrics.jobs_running.dec()
            del self.jobs[job.taken.id]
            self.wake()
            if ended == "given back":
                with anyio.move_on_after(_STOP_S, shield=True):
                    await self.give_back(job)
            else:
                self.metrics.jobs.labels(ended).inc()
            facts = {"job": job.taken.id, "path": job.taken.asked.path, "state": ended}
            _log.info("job %s %s", job.taken.id, ended, extra={"facts": facts | {"ms": round(1000 * job.worked_s, 1)}})

    async def answered(self, job: _Job) -> KeptAnswer:
        """Return the answer of a job, a problem where there is no other."""
        ON_SOLVE.set(job.count)
        asked, most = job.taken.asked, self.settings.max_body_bytes
        with anyio.move_on_after(_OVER * self.solves.settings.answer_seconds):
            try:
                answer = await answer_later(self.app, asked, self.solves, most_bytes=most)
            except Exception as error:
                return self.told(job.taken, error)
            if answer is not None:
                return answer
            detail = f"the answer has more than {most} bytes, the most that is kept"
            return _kept(problem(self.request(job.taken), 507, detail))
        return self.told(job.taken, Unfinished())

    def told(self, taken: TakenJob, error: Exception) -> KeptAnswer:
        """Return the problem that an error becomes."""
        return _kept(problem_for(self.request(taken), error))

    def problem_of_lost(self, taken: TakenJob) -> KeptAnswer:
        """Return the problem of a job that too many workers died over."""
        detail = f"{taken.attempt - 1} workers ended while they worked on it; ask for less, or in parts"
        return _kept(problem(self.request(taken), 500, detail, kind="job-lost"))

    def request(self, taken: TakenJob) -> Request:
        """Return the request of a job, as its problem names it."""
        headers = [(b"host", taken.asked.headers["host"].encode("latin-1"))] if "host" in taken.asked.headers else []
        scope = {"type": "http", "method": "POST", "path": taken.asked.path, "headers": headers, "query_string": b""}
        return Request(scope | {"scheme": taken.asked.headers["scheme"], "root_path": "", "app": self.app})

    async def beat(self, job: _Job) -> None:
        """Say again and again that the job is worked on, until it is not this worker's any more."""
        lease_s = self.settings.job_lease_seconds
        last = time.monotonic()
        while True:
            await anyio.sleep(min(lease_s / _BEATS, lease_s - (time.monotonic() - last)))
            try:
                kept = await self.stored(lambda: self.kept_on(job))
                last = time.monotonic()
            except StoreDown:
                kept = time.monotonic() - last < lease_s
            if not kept:
                job.lose()

    def kept_on(self, job: _Job) -> bool:
        """Say that a job is worked on; tell whether it is still this worker's."""
        with self.store.writing() as connection:
            return keep_job(connection, job.taken, self.settings, solves=job.solves, worked_s=job.worked_s)

    async def keep_answer(self, job: _Job, answer: KeptAnswer) -> None:
        """Keep an answer, as soon as the store can be used."""

        def keep() -> bool:
            with self.store.writing() as connection:
                return end_job(connection, job.taken, answer, self.settings, solves=job.solves, worked_s=job.worked_s)

        for _ in range(_TRIES):
            try:
                job.lost = not await self.stored(keep)
                return
            except StoreDown:
                await anyio.sleep(_LOOK_S)
        job.lose()

    async def give_back(self, job: _Job) -> None:
        """Let another worker have a job at once; one that can't be given back is taken when its lease is over."""

        def give() -> None:
            with self.store.writing() as connection:
                give_back(connection, job.taken)

        try:
            await self.stored(give)
        except StoreDown:
            _log.info("the job %s could not be given back", job.taken.id)


def _kept(response: Response) -> KeptAnswer:
    """Return a problem as it is kept."""
    return KeptAnswer(response.status_code, kept_headers(response.headers), bytes(response.body))


@asynccontextmanager
async def job_life(app: FastAPI) -> AsyncIterator[None]:
    """Work on jobs for as long as the app runs, where its settings say so."""
    runner: JobRunner = app.state.job_runner
    async with anyio.create_task_group() as group:
        if runner.settings.jobs:
            group.start_soon(runner.run)
        yield
        group.cancel_scope.cancel()
