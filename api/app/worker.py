"""A worker process: how it starts, and what it shares with others, settings from the command line and figures."""

import gc
import logging
import os
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from typing import Any

from fastapi import FastAPI

from api.app.application import create_app
from api.app.supervisor import end_with_parent
from api.endpoints.health import SMALL
from api.settings.metrics import FOLDER
from api.solving.freed_memory import keep_large_apart
from solver import Effort, plan

_THREAD_TURN_S = 0.0002  # a solve in Python lets the loop have its turn after so long: 1/25 of what is usual


def warm_app() -> FastAPI:
    """Return the service with its tables read, and set aside from garbage collection.

    What is there by now stays to the end; a full collection that looked through it all would hold up every caller.
    """
    leave = _hold_folder()
    keep_large_apart()
    app = create_app()
    end_with_parent(drain_s=app.state.settings.drain_seconds, at_end=leave)
    plan(SMALL, effort=Effort(solver=app.state.settings.solver))
    gc.collect()
    gc.freeze()
    logging.logThreads = logging.logProcesses = logging.logMultiprocessing = False  # no line of the log tells them
    sys.setswitchinterval(_THREAD_TURN_S)
    return app


def _hold_folder() -> Callable[[], None]:
    """Hold the folder of the figures for this process, where there is one; return what lets go of it."""
    folder = os.environ.get(FOLDER)
    if folder is None:
        return lambda: None
    from api.app.figures_folder import use_figures_folder  # late: not for systems without locks of files

    return use_figures_folder(folder)


@contextmanager
def worker_environment(given: Mapping[str, Any], *, workers: int) -> Iterator[None]:
    """Let workers find the settings given, and the folder, where they look: in the environment."""
    before = dict(os.environ)
    try:
        os.environ.update({f"KITWRIGHT_{name.upper()}": str(value) for name, value in given.items()})
        if workers == 1:
            yield
            return
        from api.app.figures_folder import shared_figures  # late: not for systems without locks of files

        with shared_figures() as folder:
            os.environ[FOLDER] = folder
            yield
    finally:
        os.environ.clear()
        os.environ.update(before)
