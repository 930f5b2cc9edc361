"""The parent of several workers: replaces one that died or hangs, and ends them all in a bounded time.

uvicorn's own waits for the answer of one worker at a time, up to a minute, and hears no signal meanwhile; and it waits
without end for one that is stopped.
"""

import logging
import os
import signal
from collections import Counter
from collections.abc import Callable
from multiprocessing import parent_process
from pickle import UnpicklingError
from socket import socket
from threading import Event, Thread
from time import monotonic

from uvicorn.config import STARTUP_FAILURE, Config
from uvicorn.supervisors import Multiprocess
from uvicorn.supervisors.multiprocess import Process

_ROUND_S = 0.5  # in which uvicorn looks at its workers
_MARGIN_S = 5.0  # judged: behind the time that what runs has to end
_STARTS_IN = 10  # judged: times the usual silence, for a worker that still reads its modules and tables
_log = logging.getLogger("uvicorn.error")


class Supervisor(Multiprocess):
    """Starts workers, replaces those that die or hang, and ends with them."""

    def __init__(self, config: Config, sockets: list[socket]) -> None:
        super().__init__(config, sockets)
        # Looks in vain at each worker since it was asked; not seconds, for this process may itself have been stopped.
        self.silent: Counter[Process] = Counter()
        self.heard = set[Process]()  # workers that have answered once

    def keep_subprocess_alive(self) -> None:
        """Replace the workers that died or hang; wait for none."""
        for index, worker in enumerate(self.processes):
            if self.should_exit.is_set():
                return
            if self._is_well(worker):
                continue
            worker.kill()
            worker.join()
            del self.silent[worker]
            self.heard.discard(worker)
            if worker.exitcode == STARTUP_FAILURE:
                _log.error("worker [%s] could not start, so the service ends", worker.pid)
                self.should_exit.set()
                return
            _log.error("worker [%s] died (exit code %s); another takes its place", worker.pid, worker.exitcode)
            self.processes[index] = Process(self.config, self.sockets)
            self.processes[index].start()

    def _is_well(self, worker: Process) -> bool:
        """Tell whether a worker lives, and has answered within its time.

        On a machine with too much to do a start takes minutes: to begin it anew each time would leave no service.
        """
        if not worker.process.is_alive():
            return False
        try:
            if worker.parent_conn.poll():
                worker.parent_conn.recv()
                del self.silent[worker]
                self.heard.add(worker)
            if self.silent[worker] == 0:
                worker.parent_conn.send(b"ping")
        except (OSError, EOFError, UnpicklingError):
            return False
        self.silent[worker] += 1
        most_s = self.config.timeout_worker_healthcheck * (1 if worker in self.heard else _STARTS_IN)
        return self.silent[worker] * _ROUND_S <= most_s

    def join_all(self) -> None:
        """Wait until all have ended; kill those that do not within their time, as one that is stopped would not."""
        end = monotonic() + (self.config.timeout_graceful_shutdown or 0) + _MARGIN_S
        for worker in self.processes:
            worker.process.join(max(0.0, end - monotonic()))
            if worker.process.is_alive():
                _log.error("worker [%s] did not end in time and is killed", worker.pid)
                worker.process.kill()
                worker.process.join()


def end_with_parent(*, drain_s: float, at_end: Callable[[], None]) -> None:
    """Let this worker finish what runs and end when its parent is gone, however that ended; alone it does nothing.

    Args:
        drain_s: how long what runs has to end [s].
        at_end: what is to be done before this process ends by force.
    """
    parent = parent_process()
    if parent is None:
        return

    def watch() -> None:
        parent.join()
        _log.error("the parent process is gone; this worker finishes what runs and ends")
        os.kill(os.getpid(), signal.SIGINT)  # not SIGTERM, with which uvicorn ends before Python's own clearing up
        Event().wait(drain_s + _MARGIN_S)
        at_end()
        os._exit(1)

    Thread(target=watch, daemon=True, name="end with parent").start()
