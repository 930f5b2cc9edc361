"""The service as a process of its own on a free port, for clients that need a real socket."""

import os
import re
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from time import sleep
from typing import Any

import httpx
from waiting import LONG_S, until

COMMAND = [sys.executable, "-c", "from api.cli.command import main; main()", "serve", "--port", "0"]


@dataclass(frozen=True)
class Server:
    """A running service: its address, the file that it logs every request to, and its process."""

    url: str
    log: Path
    pid: int

    def logged(self, *awaited: str) -> str:
        """What the service has written, once it holds these texts: lines come just after their answers."""
        until(lambda: all(text in self.log.read_text(encoding="utf-8") for text in awaited), f"{awaited} in the log")
        return self.log.read_text(encoding="utf-8")

    def ask(self, path: str, body: Any) -> Any:
        """What it says to a program that posts JSON."""
        answer = httpx.post(f"{self.url}{path}", json=body, timeout=LONG_S)
        assert answer.status_code == 200, answer.text
        return answer.json()

    def figures(self) -> str:
        """What it tells Prometheus."""
        return httpx.get(f"{self.url}/metrics", timeout=LONG_S).text

    def working(self, *, running: int, waiting: int = 0) -> None:
        """Wait until it works on so many answers, and so many wait for a place."""
        wanted = [f"kitwright_solves_running {running:.1f}", f"kitwright_solves_waiting {waiting:.1f}"]
        until(lambda: set(wanted) <= set(self.figures().splitlines()), f"{wanted} in the figures")

    def resident_kb(self) -> int:
        """The memory that the process holds [kB], as proc(5) tells it."""
        return self.memory_kb("VmRSS")

    def peak_kb(self) -> int:
        """The most memory that it has held, since its start or since that was set back [kB]."""
        return self.memory_kb("VmHWM")

    def memory_kb(self, field: str) -> int:
        """A figure of its memory [kB]."""
        found = re.search(rf"{field}:\s+(\d+) kB", Path(f"/proc/{self.pid}/status").read_text("utf-8"))
        assert found
        return int(found[1])


@contextmanager
def running(command: list[str], log: Path, *, workers: int = 1, **options: Any) -> Iterator[Server]:
    """A service that a command starts, with its log in a file; gone when the block ends."""
    with log.open("w", encoding="utf-8") as stream:
        process = subprocess.Popen(command, stdout=stream, stderr=subprocess.STDOUT, **options)
    try:
        yield Server(address(log, process, workers=workers), log, process.pid)
    finally:
        process.terminate()
        process.wait(LONG_S)


@contextmanager
def served(folder: Path, **settings: object) -> Iterator[Server]:
    """The service by settings of its own, named as in api/settings/settings.py; gone when the block ends."""
    environment = os.environ | {f"KITWRIGHT_{name.upper()}": str(value) for name, value in settings.items()}
    workers = int(str(settings.get("workers", 1)))
    with running(COMMAND, folder / "service.log", workers=workers, cwd=folder, env=environment) as server:
        yield server


def listens(host: str, port: int) -> bool:
    """Tell whether somebody takes connections: several workers open their port after it is named."""
    try:
        socket.create_connection((host, port), timeout=LONG_S).close()
    except ConnectionRefusedError:
        return False
    return True


def address(log: Path, process: subprocess.Popen[bytes], *, workers: int = 1) -> str:
    """The address that the service says it listens on, once every worker has started."""
    found: list[str] = []

    def started() -> bool:
        text = log.read_text(encoding="utf-8")
        assert process.poll() is None, f"the service did not start: {text}"
        named = re.search(r"running on http://(\S+):(\d+)", text)
        if named and text.count("startup complete") >= workers and listens(named[1], int(named[2])):
            found.append(f"http://{named[1]}:{named[2]}")
        return bool(found)

    until(started, "a service that listens", pause=lambda: sleep(0.05))
    return found[0]
