"""Threads that solve yield to the event loop by as much as the operator says, and the loop keeps its priority."""

import asyncio
import os
from threading import get_native_id

import pytest

from api.settings.metrics import Metrics
from api.settings.settings import Settings
from api.solving.solve_queue import Solves

pytestmark = pytest.mark.quick


def nice_value(_: object = None) -> int:
    """That of the thread that asks: on Linux each has its own (nice(2), C library/kernel differences)."""
    return os.getpriority(os.PRIO_PROCESS, get_native_id())


@pytest.mark.parametrize("niceness", [0, 1, 7, 19])
@pytest.mark.parametrize("of_jobs", [False, True])
def test_a_thread_that_solves_is_as_nice_as_the_setting_says(niceness: int, of_jobs: bool) -> None:
    """Above that of the process, up to 19, the highest that there is (nice(2)); whoever asks is as before."""
    before = nice_value()
    settings = Settings(solve_niceness=niceness)
    solves = Solves(settings.of_jobs() if of_jobs else settings, Metrics(), of_jobs=of_jobs)
    found, _ = asyncio.run(solves.run(nice_value))
    solves.threads.shutdown()
    assert found == min(before + niceness, 19)
    assert nice_value() == before
