"""The service with a clock of its own: time is what its process has worked, so that a busy machine changes nothing.

Run as a program by who measures how long answers take: `python own_clock.py SECONDS`, the longest time of one answer.
"""

import asyncio
import sys
from collections.abc import Iterable
from dataclasses import replace
from time import process_time
from types import SimpleNamespace
from typing import Any

from api.cli.command import main
from api.settings.settings import Settings
from api.solving import solve_queue
from solver import Effort

_LOOK_S = 0.02


async def _wait(futures: Iterable[Any], timeout: float | None = None) -> Any:
    """Wait as asyncio does, but for so many seconds of the process."""
    start = process_time()
    while True:
        done, open_ = await asyncio.wait(futures, timeout=None if timeout is None else _LOOK_S)
        if done or (timeout is not None and process_time() - start >= timeout):
            return done, open_


def serve() -> None:
    """Serve on a free port."""
    usual = solve_queue.effort_of

    def effort_of(settings: Settings) -> Effort:
        return replace(usual(settings), clock=process_time)

    solve_queue.effort_of = effort_of
    solve_queue.perf_counter = process_time
    solve_queue.asyncio = SimpleNamespace(wait=_wait, get_running_loop=asyncio.get_running_loop)  # type: ignore[assignment]  # of the library, what that file calls
    sys.argv = ["kitwright", "serve", "--port", "0"]
    main()


if __name__ == "__main__":
    serve()
