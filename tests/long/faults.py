"""The service under faults and a mixed load: what was acknowledged must be kept, once, and nothing else may be there.

Run by hand: `python tests faults [--seconds 120] [--seed N] [--database sqlite|postgresql] [--faults NAME ...]`. Two
workers over a store of their own. Every few seconds one fault of those named:

  kill-worker    SIGKILL of a worker, whose parent starts another
  kill-all       SIGKILL of the parent, whose workers end by themselves; then a new service on the same port
  stop           SIGSTOP of a worker or of the database for some seconds, then SIGCONT
  slow           the store is slow: the database stopped for moments over and over; SQLite's lock held by another
  full           no file of the database may grow (RLIMIT_FSIZE), as on a full disk
  lost           PostgreSQL ended at once (SIGQUIT) and started again
  clock          the wall clock of all workers jumps by up to a year, either way (libfaketime, from Debian)

Prints what happened, counted. Ends with an error where anything stands there as WRONG.
"""

import argparse
import os
import random
import re
import signal
import sqlite3
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from glob import glob
from pathlib import Path
from time import monotonic, sleep
from typing import Any

from kept_writes import Load
from postgres import Postgres, postgres_server
from server import COMMAND, address, listens
from service import ask, small_app
from waiting import LONG_S, until

from api.store.backup import back_up, verify

WORKERS = 2
CLOCKS = ("/usr/lib/*/faketime/libfaketimeMT.so.1",)
SILENT_S = 1.0  # between two faults at least


class Service:
    """The service on one port, started again where it was killed."""

    def __init__(self, folder: Path, database_url: str, *, clock: Path | None) -> None:
        self.folder, self.port, self.count = folder, 0, 0
        self.temporary = folder / "tmp"
        self.temporary.mkdir()
        self.clock = folder / "clock"
        self.set_clock(0)
        settings = {"KITWRIGHT_DATABASE_URL": database_url, "KITWRIGHT_STORE_WAIT_S": "3", "KITWRIGHT_ONE_USER": "true"}
        settings |= {
            "KITWRIGHT_DRAIN_SECONDS": "10",
            "TMPDIR": str(self.temporary),
            "KITWRIGHT_MOST_REVISIONS": "1000000",
        }
        if clock is not None:
            settings |= {"LD_PRELOAD": str(clock), "FAKETIME_TIMESTAMP_FILE": str(self.clock)}
            settings |= {"FAKETIME_CACHE_DURATION": "1", "FAKETIME_DONT_FAKE_MONOTONIC": "1"}
        self.environment = os.environ | settings

    def start(self) -> None:
        """Start it and wait until all workers serve."""
        self.count += 1
        self.log = self.folder / f"service-{self.count}.log"
        command = [*COMMAND[:-1], str(self.port), "--workers", str(WORKERS)]
        with self.log.open("w", encoding="utf-8") as stream:
            self.parent = subprocess.Popen(command, stdout=stream, stderr=stream, env=self.environment)
        self.url = address(self.log, self.parent, workers=WORKERS)
        self.port = int(self.url.rpartition(":")[2])

    @contextmanager
    def running(self) -> Iterator[list[int]]:
        """Start it, and end it however the block ends, or the start; the list then has the workers of its end."""
        last: list[int] = []
        try:
            self.start()
            yield last
        finally:
            last += self.workers()
            self.parent.terminate()
            try:
                self.parent.wait(LONG_S)
            finally:
                self.parent.kill()  # its workers end by themselves

    def set_clock(self, ahead_s: int) -> None:
        """Let the wall clock of its processes be ahead by so much [s]."""
        self.clock.write_text(f"{ahead_s:+d}\n", encoding="utf-8")

    def workers(self) -> list[int]:
        """The workers that live."""
        started = re.findall(r"Started server process \[(\d+)\]", self.log.read_text("utf-8"))
        return [int(pid) for pid in started if is_alive(int(pid))]

    def logs(self) -> str:
        """All that was logged."""
        return "".join(path.read_text("utf-8") for path in sorted(self.folder.glob("service-*.log")))


def is_alive(pid: int) -> bool:
    """Whether a process runs, and is no zombie (proc(5))."""
    try:
        return Path(f"/proc/{pid}/stat").read_text("utf-8").rsplit(")", 1)[1].split()[0] not in "ZX"
    except OSError:
        return False


class Faults:
    """Puts faults into a service and its store, and takes them out again."""

    def __init__(self, service: Service, database: Postgres | Path, draw: random.Random) -> None:
        self.service, self.database, self.draw = service, database, draw
        self.revived = 0

    def kinds(self) -> dict[str, Callable[[], None]]:
        """Every fault that this store can have, by its name."""
        kinds = {
            "kill-worker": self.kill_worker,
            "kill-all": self.kill_all,
            "stop": self.stop,
            "slow": self.slow,
            "full": self.full,
            "clock": self.jump,
        }
        return kinds | ({"lost": self.lose} if isinstance(self.database, Postgres) else {})

    def kill_worker(self) -> None:
        """The parent starts another."""
        before = self.service.workers()
        os.kill(self.draw.choice(before), signal.SIGKILL)
        until(lambda: len(self.service.workers()) == WORKERS and self.service.workers() != before, "another worker")

    def kill_all(self) -> None:
        """The parent alone is killed: its workers must end, and the port be free."""
        workers = self.service.workers()
        self.service.parent.kill()
        self.service.parent.wait(LONG_S)
        until(lambda: not any(map(is_alive, workers)), "the end of workers whose parent is gone")
        assert not listens("127.0.0.1", self.service.port)
        assert glob(f"{self.service.temporary}/kitwright-figures-*") == [], "a folder is left"
        self.service.start()

    def stop(self) -> None:
        """Nothing of it runs for some seconds."""
        pids = [self.draw.choice(self.service.workers())]
        if isinstance(self.database, Postgres) and self.draw.random() < 0.5:
            pids = self.database_processes()
        self.paused(pids, self.draw.uniform(1, 5))

    def slow(self) -> None:
        """The store answers now and then."""
        for _ in range(self.draw.randint(3, 8)):
            if isinstance(self.database, Postgres):
                self.paused(self.database_processes(), self.draw.uniform(0.1, 0.8))
            else:
                other = sqlite3.connect(self.database, isolation_level=None, timeout=30)
                other.execute("BEGIN IMMEDIATE")
                sleep(self.draw.uniform(0.1, 0.8))
                other.close()
            sleep(self.draw.uniform(0.05, 0.3))

    def full(self) -> None:
        """Files that grow beyond what they are fail to be written; then there is room again."""
        pids: list[int] = [*self.service.workers(), self.service.parent.pid]
        options: dict[str, Any] = {}
        if isinstance(self.database, Postgres):
            pids, options = self.database_processes(), self.database.as_user
        size = self.draw.choice((20_000, 200_000, 1_000_100))
        limit_files(pids, f"{size}", **options)
        sleep(self.draw.uniform(1, 3))
        if isinstance(self.database, Postgres):
            pids = self.database_processes()
        limit_files(pids, "unlimited", **options)
        self.revive()

    def revive(self) -> None:
        """Start PostgreSQL again where it ended by itself, as it does where it can't write its log."""
        if not isinstance(self.database, Postgres) or self.database.process is None:
            return
        sleep(1)
        if self.database.process.poll() is not None:
            self.database.process = None
            self.database.start()
            self.revived += 1

    def lose(self) -> None:
        """PostgreSQL ends amid everything, and comes back."""
        assert isinstance(self.database, Postgres)
        self.database.stop()
        sleep(self.draw.uniform(0.2, 3))
        self.database.start()

    def jump(self) -> None:
        """The wall clock jumps; what counts time must not."""
        self.service.set_clock(self.draw.choice((-31_536_000, -3600, -5, 0, 5, 3600, 31_536_000)))
        sleep(1.5)

    def paused(self, pids: list[int], seconds: float) -> None:
        """Stop processes for a while."""
        for pid in pids:
            signal_if_there(pid, signal.SIGSTOP)
        sleep(seconds)
        for pid in pids:
            signal_if_there(pid, signal.SIGCONT)

    def database_processes(self) -> list[int]:
        """PostgreSQL and what it started."""
        assert isinstance(self.database, Postgres)
        assert self.database.process is not None
        parent = self.database.process.pid
        listed = Path(f"/proc/{parent}/task/{parent}/children").read_text("utf-8")
        return [parent, *map(int, listed.split())]


def signal_if_there(pid: int, sent: signal.Signals) -> None:
    """Send a signal; a process may have ended since it was listed."""
    with suppress(ProcessLookupError):
        os.kill(pid, sent)


def limit_files(pids: list[int], size: str, **as_user: Any) -> None:
    """Let no file of these processes grow beyond a size [byte]; done as their user, who alone may."""
    for pid in pids:
        subprocess.run(["prlimit", "--pid", str(pid), f"--fsize={size}:"], cwd="/", capture_output=True, **as_user)


@contextmanager
def store(kind: str, folder: Path) -> Iterator[tuple[str, Postgres | Path]]:
    """An empty store of its own: its address, and what faults can be put into."""
    if kind == "sqlite":
        file = folder / "store.sqlite"
        yield f"sqlite:///{file}", file
        return
    with postgres_server() as server:
        yield server.database(), server


def run(kind: str, *, seconds: float, seed: int, chosen: list[str]) -> Counter[str]:
    """Put faults into a loaded service; return what happened."""
    libraries = [Path(name) for pattern in CLOCKS for name in glob(pattern)]
    with tempfile.TemporaryDirectory(prefix="kitwright-faults-") as name, store(kind, Path(name)) as (url, database):
        folder = Path(name)
        service = Service(folder, url, clock=libraries[0] if libraries else None)
        faults = Faults(service, database, random.Random(seed))
        kinds = {known: put for known, put in faults.kinds().items() if not chosen or known in chosen}
        if not libraries:
            kinds.pop("clock", None)
            print("no libfaketime (Debian's package faketime), so no clock jumps")
        with service.running() as workers:
            load = Load(service.url, seed=seed)
            load.start()
            end = monotonic() + seconds
            try:
                while monotonic() < end:
                    sleep(SILENT_S + faults.draw.random() * 2)
                    fault = faults.draw.choice(sorted(kinds))
                    kinds[fault]()
                    load.told.count(f"fault {fault}")
            finally:
                load.stop()
        faults.revive()
        told = load.told
        told.count("databases that ended on a full disk, started again", faults.revived)
        if any(map(is_alive, workers)):
            told.wrong("left behind", "a worker outlives a stop")
        if left := glob(f"{service.temporary}/*"):
            told.wrong("left behind", str(left))
        told.count(
            "lines of the log that are no JSON", sum(not line.startswith("{") for line in service.logs().splitlines())
        )
        if traces := service.logs().count("Traceback"):
            told.wrong("traces in the log", f"{traces}: {service.logs()[service.logs().index('Traceback') :][:6000]}")
        app = small_app(database_url=url, one_user=True)
        load.check(lambda path: ask("GET", path, app=app))
        told.count("rows in a backup, verified", back_up(app.state.store, folder / "end.backup"))
        verify(folder / "end.backup")
        app.state.store.close()
        for bad in told.bad[:20]:
            print("  WRONG", bad)
        return told.counts


def main() -> None:
    """Run it on each kind of store and print the counts."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--seconds", type=float, default=120)
    parser.add_argument("--seed", type=int, default=random.SystemRandom().randrange(10**6))
    parser.add_argument("--database", choices=("sqlite", "postgresql"))
    parser.add_argument("--faults", nargs="*", default=[])
    asked = parser.parse_args()
    wrong = 0
    for kind in [asked.database] if asked.database else ["sqlite", "postgresql"]:
        print(f"{kind}, seed {asked.seed}", flush=True)
        counts = run(kind, seconds=asked.seconds, seed=asked.seed, chosen=asked.faults)
        for what, count in sorted(counts.items()):
            print(f"  {count:>9,}  {what}", flush=True)
        wrong += sum(count for what, count in counts.items() if what.startswith("WRONG"))
    print("all kept, once" if not wrong else f"{wrong} things that must not be")
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main()
