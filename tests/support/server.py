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
from time import monotonic, sleep

import pytest

START_S = 30  # a service that does not listen by then never will
COMMAND = [sys.executable, "-c", "from api.cli.command import main; main()", "serve", "--port", "0"]


@dataclass(frozen=True)
class Server:
    """A running service: its address, the file that it logs every request to, and its process."""

    url: str
    log: Path
    pid: int

    def logged(self) -> str:
        """What the service has written so far."""
        return self.log.read_text(encoding="utf-8")

    def resident_kb(self) -> int:
        """The memory that the process holds [kB], as proc(5) tells it."""
        found = re.search(r"VmRSS:\s+(\d+) kB", Path(f"/proc/{self.pid}/status").read_text("utf-8"))
        assert found
        return int(found[1])


@contextmanager
def served(folder: Path, **settings: object) -> Iterator[Server]:
    """The service by settings of its own, named as in api/settings/settings.py; gone when the block ends."""
    log = folder / "service.log"
    environment = os.environ | {f"KITWRIGHT_{name.upper()}": str(value) for name, value in settings.items()}
    with log.open("w", encoding="utf-8") as stream:
        process = subprocess.Popen(COMMAND, stdout=stream, stderr=subprocess.STDOUT, cwd=folder, env=environment)
    try:
        yield Server(address(log, process, workers=int(str(settings.get("workers", 1)))), log, process.pid)
    finally:
        process.terminate()
        process.wait(START_S)


def listens(host: str, port: int) -> bool:
    """Tell whether somebody takes connections: several workers open their port after it is named."""
    try:
        socket.create_connection((host, port), timeout=START_S).close()
    except ConnectionRefusedError:
        return False
    return True


def address(log: Path, process: subprocess.Popen[bytes], *, workers: int = 1) -> str:
    """The address that the service says it listens on, once every worker has started."""
    end = monotonic() + START_S
    while monotonic() < end and process.poll() is None:
        text = log.read_text(encoding="utf-8")
        found = re.search(r"running on http://(\S+):(\d+)", text)
        if found and text.count("startup complete") >= workers and listens(found[1], int(found[2])):
            return f"http://{found[1]}:{found[2]}"
        sleep(0.05)
    pytest.fail(f"the service did not start: {log.read_text(encoding='utf-8')}")
