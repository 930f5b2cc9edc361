"""A PostgreSQL server of the tests' own: in a temporary folder, reached by a socket in it, gone with the session."""

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from glob import glob
from pathlib import Path
from signal import SIGQUIT
from time import sleep
from typing import Any

import psycopg
from program import needed
from waiting import LONG_S, until

USER = "kitwright"


class Postgres:
    """A server that can be stopped and started, and given new databases."""

    def __init__(self, programs: Path, folder: Path) -> None:
        self.programs, self.folder = programs, folder
        # PostgreSQL refuses to run as root, so root runs it as the user that its package makes.
        self.as_user: dict[str, Any] = {"user": "postgres", "group": "postgres"} if os.geteuid() == 0 else {}
        self.process: subprocess.Popen[bytes] | None = None
        self.count = 0

    def make(self) -> None:
        """Make its data folder."""
        if self.as_user:
            shutil.chown(self.folder, "postgres", "postgres")
        command = [self.programs / "initdb", "-D", self.folder / "data", "-U", USER, "-A", "trust", "-E", "UTF8"]
        options = ["--locale=C", "--no-sync"]
        subprocess.run([*command, *options], check=True, capture_output=True, cwd=self.folder, **self.as_user)

    def start(self) -> None:
        """Start it and wait until it answers."""
        # fsync off: no test takes the power away, and what a killed process wrote the system still has.
        command = [self.programs / "postgres", "-D", self.folder / "data", "-k", self.folder, "-h", "", "-F"]
        with (self.folder / "log").open("ab") as log:
            process = subprocess.Popen(command, stdout=log, stderr=log, cwd=self.folder, **self.as_user)
        self.process = process

        def answers() -> bool:
            assert process.poll() is None, f"PostgreSQL did not start: {(self.folder / 'log').read_text('utf-8')}"
            try:
                psycopg.connect(self.address("postgres")).close()
            except psycopg.OperationalError:
                return False
            return True

        until(answers, "a PostgreSQL that answers", pause=lambda: sleep(0.05))

    def stop(self) -> None:
        """End it at once, connections and all (SIGQUIT: immediate shutdown)."""
        if self.process is not None:
            self.process.send_signal(SIGQUIT)
            self.process.wait(LONG_S)
            self.process = None

    def address(self, database: str) -> str:
        """The address of one of its databases."""
        return f"postgresql://{USER}@/{database}?host={self.folder}"

    def database(self) -> str:
        """The address of a new and empty database."""
        self.count += 1
        name = f"test{self.count}"
        with psycopg.connect(self.address("postgres"), autocommit=True) as connection:
            connection.execute(f"CREATE DATABASE {name}")
        return self.address(name)


@contextmanager
def postgres_server() -> Iterator[Postgres]:
    """A running server."""
    programs = needed("postgres", also=tuple(sorted(glob("/usr/lib/postgresql/*/bin")))).resolve().parent
    # Not in pytest's own folder, which no other user may enter.
    folder = Path(tempfile.mkdtemp(prefix="kitwright-postgres-"))
    server = Postgres(programs, folder)
    try:
        server.make()
        server.start()
        yield server
    finally:
        server.stop()
        shutil.rmtree(folder)
