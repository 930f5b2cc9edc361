"""Several workers: none outlives its parent, one that dies or hangs is replaced, a stop ends, no folder is left."""

import os
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import AbstractContextManager, contextmanager
from multiprocessing import Pipe
from pathlib import Path
from time import sleep
from typing import Any

import httpx
import pytest
from server import COMMAND, address
from steiner import bose, steiner_trip, tripled
from tree import SUPPORT
from waiting import LONG_S, until

from api.app.port import PortConfig
from api.app.supervisor import Supervisor

SMALL = """
from api.app.port import PortConfig, serve_port
serve_port(PortConfig("empty_service:app", workers=2, port=0, timeout_worker_healthcheck={silence},
                      timeout_graceful_shutdown=1, access_log=False))
"""


class Family:
    """A parent and its workers."""

    def __init__(self, url: str, process: subprocess.Popen[bytes], log: Path) -> None:
        self.url, self.process, self.log = url, process, log

    def workers(self) -> list[int]:
        """The workers that were ever started."""
        return [int(found) for found in re.findall(r"Started server process \[(\d+)\]", self.log.read_text("utf-8"))]

    def living(self) -> list[int]:
        """The workers that live."""
        return [pid for pid in self.workers() if lives(pid)]


def lives(pid: int) -> bool:
    """Whether a process runs: it is there, and no zombie (proc(5))."""
    try:
        return Path(f"/proc/{pid}/stat").read_text("utf-8").rsplit(")", 1)[1].split()[0] not in "ZX"
    except OSError:
        return False


@contextmanager
def family(folder: Path, command: list[str], **environment: str) -> Iterator[Family]:
    """A parent with two workers whose temporary folders lie in `folder`; what is left of them at the end is killed."""
    log = folder / "family.log"
    with log.open("w", encoding="utf-8") as stream:
        process = subprocess.Popen(
            command,
            stdout=stream,
            stderr=subprocess.STDOUT,
            cwd=SUPPORT,
            env=os.environ | {"TMPDIR": str(folder)} | environment,
        )
    found = Family("", process, log)
    try:
        found.url = address(log, process, workers=2)
        yield found
    finally:
        for pid in [process.pid, *found.living()]:
            if lives(pid):
                os.kill(pid, signal.SIGKILL)
        process.wait(LONG_S)


def service(folder: Path, **settings: str) -> AbstractContextManager[Family]:
    """The service with two workers."""
    return family(
        folder, [*COMMAND, "--workers", "2"], **{f"KITWRIGHT_{name.upper()}": value for name, value in settings.items()}
    )


def small(folder: Path, *, silence: int = 60) -> AbstractContextManager[Family]:
    """An empty app under the same parent."""
    return family(folder, [sys.executable, "-c", SMALL.format(silence=silence)])


def folders(folder: Path) -> list[str]:
    """The folders of figures."""
    return [path.name for path in folder.glob("kitwright-figures-*")]


def refused(url: str) -> bool:
    """Whether nobody listens."""
    try:
        httpx.get(url, timeout=LONG_S)
    except httpx.ConnectError:
        return True
    except httpx.TransportError:
        return False
    return False


def test_workers_end_with_a_killed_parent_and_finish_what_runs(tmp_path: Path) -> None:
    """kill -9 of the parent amid a solve: it is answered, then no process, no port, no folder is left."""
    hard = steiner_trip(tripled(bose(15))) | {"detail": "kit"}
    with service(tmp_path, solve_nodes="2000") as own, ThreadPoolExecutor(1) as pool:
        assert len(folders(tmp_path)) == 1
        asked = pool.submit(httpx.post, f"{own.url}/v1/kits", json=hard, timeout=LONG_S)
        until(lambda: "kitwright_solves_running 1.0" in httpx.get(f"{own.url}/metrics", timeout=LONG_S).text, "a solve")
        own.process.kill()
        assert own.process.wait(LONG_S) == -signal.SIGKILL
        assert asked.result(LONG_S).status_code == 200
        until(lambda: not own.living(), "the end of the workers")
        assert refused(own.url)
        assert folders(tmp_path) == []
        assert len(own.workers()) == 2


HOLDER = """
import sys, time
from api.app.figures_folder import shared_figures, use_figures_folder
if len(sys.argv) > 1:
    use_figures_folder(sys.argv[1])
    print("ready", flush=True)
    sys.stdin.read()
else:
    with shared_figures() as folder:
        print(folder, flush=True)
        sys.stdin.read()
"""


@contextmanager
def holder(folder: Path, *used: str) -> Iterator[tuple[str, subprocess.Popen[str]]]:
    """A process that holds a new folder, or one that is there, until its input ends."""
    command = [sys.executable, "-c", HOLDER, *used]
    environment = os.environ | {"TMPDIR": str(folder)}
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=environment
    ) as process:
        assert process.stdout
        yield process.stdout.readline().strip(), process


def test_a_folder_goes_with_the_last_that_uses_it(tmp_path: Path) -> None:
    """Its maker killed, a worker still has it; the worker ended, it is gone; all killed, the next start removes it."""
    with holder(tmp_path) as (first, maker), holder(tmp_path, first) as (_, worker), holder(tmp_path) as (other, _):
        maker.kill()
        maker.wait(LONG_S)
        with holder(tmp_path) as (second, _):
            assert {first, other, second} == {str(path) for path in tmp_path.iterdir()}, "those in use stay"
        worker.communicate(timeout=LONG_S)
        assert {other} == {str(path) for path in tmp_path.iterdir()}
    with holder(tmp_path) as (left, killed):
        killed.kill()
    assert folders(tmp_path) == [Path(left).name]
    with holder(tmp_path) as (following, _):
        assert folders(tmp_path) == [Path(following).name]
    assert folders(tmp_path) == []


@pytest.mark.parametrize(("by", "silence"), [(signal.SIGKILL, 60), (signal.SIGSTOP, 10)])
def test_a_worker_that_dies_or_hangs_is_replaced(tmp_path: Path, by: signal.Signals, silence: int) -> None:
    """Meanwhile the other one serves; one that is stopped does not keep its parent from anything."""
    with small(tmp_path, silence=silence) as own:
        first, second = own.workers()
        os.kill(first, by)
        until(lambda: len(own.workers()) == 3, "a third worker")
        until(lambda: own.log.read_text("utf-8").count("startup complete") == 3, "its start")
        assert not lives(first)
        assert lives(second)
        assert httpx.get(f"{own.url}/empty", timeout=LONG_S).status_code in (200, 405)


def test_a_stop_ends_a_stopped_worker_too(tmp_path: Path) -> None:
    """SIGTERM reaches no process that is stopped, so it is killed when its time is over."""
    with small(tmp_path) as own:
        first, _ = own.workers()
        os.kill(first, signal.SIGSTOP)
        sleep(1)  # so that the parent has asked it
        own.process.terminate()
        own.process.wait(LONG_S)
        assert own.living() == []
        assert "did not end in time and is killed" in own.log.read_text("utf-8")


class Starting:
    """A worker that lives and says nothing yet, as its parent sees it."""

    def __init__(self) -> None:
        self.process = self
        self.parent_conn, self.own_end = Pipe()

    def is_alive(self) -> bool:
        """It lives."""
        return True


def test_a_worker_has_longer_for_its_start_than_for_an_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ten times as many looks in vain; one that was killed amid a slow start, over and over, would never serve."""
    monkeypatch.setattr(signal, "signal", lambda *_: None)  # a supervisor takes the signals of its process
    supervisor = Supervisor(PortConfig("empty_service:app", workers=2, port=0, timeout_worker_healthcheck=5), [])
    worker: Any = Starting()

    def looks_borne() -> int:
        return next(count for count in range(1000) if not supervisor._is_well(worker))

    assert looks_borne() == 100
    assert worker.own_end.recv() == b"ping"
    worker.own_end.send(b"pong")
    assert looks_borne() == 10
