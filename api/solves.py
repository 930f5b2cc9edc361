"""A bounded place for solves: as many at a time as there are cores, off the event loop."""

from collections.abc import Callable
from time import perf_counter
from typing import TypeVar

import anyio
from fastapi import Request

from api.settings import Settings
from solver import Effort

Result = TypeVar("Result")


class Solves:
    """Runs solves in threads, no more at a time than the settings allow."""

    def __init__(self, settings: Settings) -> None:
        self.effort = Effort(nodes=settings.solve_nodes, seconds=settings.solve_seconds)
        self.count = settings.solves
        self.limiter: anyio.CapacityLimiter | None = None

    async def run(self, job: Callable[[Effort], Result]) -> tuple[Result, str]:
        """Return what a job gives and its Server-Timing header."""
        self.limiter = self.limiter or anyio.CapacityLimiter(self.count)
        start = perf_counter()
        result = await anyio.to_thread.run_sync(job, self.effort, limiter=self.limiter)
        return result, f"solve;dur={1000 * (perf_counter() - start):.1f}"


def solves_of(request: Request) -> Solves:
    """Return the app's place for solves."""
    solves: Solves = request.app.state.solves
    return solves
