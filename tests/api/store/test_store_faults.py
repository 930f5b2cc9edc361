"""The store when things go wrong, with a real service: killed, crowded, full, gone."""

import json
import os
import signal
import sqlite3
import subprocess
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

import httpx
import psycopg
import pytest
from postgres import Postgres
from program import needed
from server import COMMAND, address, served
from service import ask, problem_of, small_app
from waiting import LONG_S

from api.examples.catalog_bodies import HUT
from api.store.database import StoreDown

NEW = {"If-None-Match": "*"}
SAW = HUT["tools"][0]
WRITES, AT_A_TIME, ROWS = 1000, 16, 20
KILLED_AFTER = 300
NEVER_MIND = (httpx.TransportError, httpx.RemoteProtocolError)


def catalog(number: int) -> dict[str, Any]:
    """A catalog that tells from any of its rows which one it is, and how many rows it has."""
    rows = [SAW | {"id": f"row-{row}", "price": number, "note": "x" * 300} for row in range(ROWS)]
    return {"note": str(number), "tools": rows}


@contextmanager
def killable(folder: Path, database_url: str) -> Iterator[tuple[str, subprocess.Popen[bytes]]]:
    """A service and its process."""
    log = folder / "killed.log"
    with log.open("w", encoding="utf-8") as stream:
        environment = os.environ | {"KITWRIGHT_DATABASE_URL": database_url}
        process = subprocess.Popen(COMMAND, stdout=stream, stderr=subprocess.STDOUT, cwd=folder, env=environment)
    try:
        yield address(log, process), process
    finally:
        process.kill()
        process.wait(LONG_S)


def test_killed_amid_writes_it_keeps_every_acknowledged_one_and_no_half(tmp_path: Path, database_url: str) -> None:
    """kill -9 while 1,000 writes of whole catalogs and of revisions go on, 16 at a time; then a new process reads."""
    acknowledged: list[tuple[int, int]] = []
    enough = threading.Event()

    with killable(tmp_path, database_url) as (url, process), httpx.Client(base_url=url, timeout=LONG_S) as client:

        def write(number: int) -> None:
            """Store a catalog, then its second revision."""
            try:
                place = f"/v1/catalogs/c-{number}"
                first = client.put(place, json=catalog(number), headers=NEW)
                assert first.status_code == 201, first.text
                acknowledged.append((number, 1))
                second = client.put(place, json=catalog(number), headers={"If-Match": first.json()["tag"]})
                assert second.status_code == 200, second.text
                acknowledged.append((number, 2))
            except NEVER_MIND:
                assert enough.is_set(), "nothing breaks off before the kill"
            if len(acknowledged) >= KILLED_AFTER and not enough.is_set():
                enough.set()
                process.send_signal(signal.SIGKILL)

        with ThreadPoolExecutor(AT_A_TIME) as pool:
            list(pool.map(write, range(WRITES // 2)))
        assert process.wait(LONG_S) == -signal.SIGKILL
    assert KILLED_AFTER <= len(acknowledged) < WRITES

    app = small_app(one_user=True, database_url=database_url, most_catalogs=WRITES)
    heads = ask("GET", "/v1/catalogs?limit=1000", app=app).json()["items"]
    revisions = {int(head["name"].removeprefix("c-")): head["revision"] for head in heads}
    lost = [(number, revision) for number, revision in acknowledged if revisions.get(number, 0) < revision]
    assert lost == []
    for number in revisions:
        assert ask("GET", f"/v1/catalogs/c-{number}", app=app).json() == json.loads(json.dumps(catalog(number)))
    new = ask("PUT", "/v1/catalogs/after", app=app, json=HUT, headers=NEW)
    assert new.status_code == 201, "and writing goes on"
    app.state.store.close()


def test_two_workers_lose_no_update(tmp_path: Path, postgres: Postgres) -> None:
    """Two processes over one PostgreSQL, read-change-write on one catalog and on one row, readers beside them.

    Each writer adds one to a price, based on what it read, and starts over on a 412: so the price counts the writes.
    """
    url = postgres.database()
    writers, times = 6, 12
    refused: list[int] = []
    with ExitStack() as stack:
        workers = []
        for name in ("a", "b"):
            (folder := tmp_path / name).mkdir()
            workers.append(stack.enter_context(served(folder, database_url=url)))
        home = f"{workers[0].url}/v1/catalogs/shared"
        rows = [SAW | {"price": 0}, SAW | {"id": "b", "price": 0}]
        assert httpx.put(home, json={"tools": rows}, headers=NEW, timeout=LONG_S).is_success
        together = threading.Barrier(writers)  # all base their first write on the same revision

        def add(base: str, path: str, change: Callable[[Any], Any]) -> None:
            """Add one, however often it takes."""
            with httpx.Client(base_url=base, timeout=LONG_S) as client:
                read = client.get(path)
                together.wait(LONG_S)
                for _ in range(times):
                    while True:
                        headers = {"If-Match": read.headers["etag"]}
                        answer = client.put(path, json=change(read.json()), headers=headers)
                        read = client.get(path)
                        if answer.status_code == 200:
                            break
                        assert answer.status_code == 412, answer.text
                        refused.append(1)

        def whole(document: Any) -> Any:
            first, second = document["tools"]
            return document | {"tools": [first | {"price": first["price"] + 1}, second]}

        def one_row(row: Any) -> Any:
            return row | {"price": row["price"] + 1}

        with ThreadPoolExecutor(writers) as pool:
            jobs = [
                pool.submit(add, workers[number % 2].url, path, change)
                for number, (path, change) in enumerate(
                    [("/v1/catalogs/shared", whole), ("/v1/catalogs/shared/tools/b", one_row)] * (writers // 2)
                )
            ]
            for job in jobs:
                job.result(LONG_S)
        prices = [row["price"] for row in httpx.get(home, timeout=LONG_S).json()["tools"]]
        revisions = httpx.get(f"{home}/revisions?limit=1000", timeout=LONG_S).json()["items"]
    assert prices == [writers // 2 * times, writers // 2 * times]
    assert [head["revision"] for head in revisions] == list(range(1, 2 + writers * times)), "a revision for each write"
    assert refused, "the writers did get into each other's way"


def big(number: int) -> dict[str, Any]:
    """A catalog of some megabytes."""
    rows = [SAW | {"id": f"row-{row}", "price": number, "note": f"{row} {'x' * 450}"} for row in range(8000)]
    return {"tools": rows}


def limited(pids: list[int], size: str, **as_user: Any) -> None:
    """Let no file of these processes grow beyond a size (RLIMIT_FSIZE): the write fails as on a full disk.

    Only the user of a process may do that to it, so it is done as that user.
    """
    for pid in pids:
        command = [needed("prlimit"), "--pid", str(pid), f"--fsize={size}:"]
        done = subprocess.run(command, check=False, cwd="/", **as_user)
        assert not done.returncode or not Path(f"/proc/{pid}").exists()  # PostgreSQL ends workers of its own meanwhile


def children(pid: int) -> list[int]:
    """The processes that a process started."""
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = stat.read_text("utf-8").rsplit(")", 1)[1].split()
        except OSError:
            continue
        if int(fields[1]) == pid:
            found.append(int(stat.parent.name))
    return found


def test_a_full_disk_is_a_503_and_what_is_there_stays(tmp_path: Path, database_url: str, request: Any) -> None:
    """Writes fail, reads go on; with room again, writes do too, without a restart, and nothing half is there."""
    sqlite = database_url.startswith("sqlite")
    with killable(tmp_path, database_url) as (url, process), httpx.Client(base_url=url, timeout=LONG_S) as client:
        assert client.put("/v1/catalogs/hut", json=HUT, headers=NEW).status_code == 201
        server: Postgres | None = None if sqlite else request.getfixturevalue("postgres")
        # More than the 16 MiB that PostgreSQL's log takes at once (its wal_segment_size), and no whole page of 8 KiB.
        size = 1_000_100 if sqlite else 17 * 2**20 + 100

        def limit(size: str) -> None:
            if server is None or server.process is None:
                limited([process.pid], size)
            else:
                limited([server.process.pid, *children(server.process.pid)], size, **server.as_user)

        limit(str(size))
        try:
            kept = []
            for number in range(40):
                answer = client.put(f"/v1/catalogs/big-{number}", json=big(number), headers=NEW)
                if answer.status_code == 503:
                    break
                assert answer.status_code == 201, answer.text
                kept.append(number)
            assert answer.status_code == 503
            assert answer.json()["type"].endswith("/store-down")
            assert answer.headers["retry-after"]
            assert client.get("/v1/catalogs/hut").json() == HUT
            assert client.get("/v1/catalogs/nix").status_code == 404
        finally:
            limit("unlimited")
        names = {head["name"] for head in client.get("/v1/catalogs").json()["items"]}
        assert names == {"hut", *(f"big-{number}" for number in kept)}
        assert client.put("/v1/catalogs/after", json=HUT, headers=NEW).status_code == 201


def test_a_store_whose_disk_is_full_is_not_ready(tmp_path: Path, database_url: str, request: Any) -> None:
    """It can be read, and is alive; with room again it is ready. No write of a caller found out before."""
    with killable(tmp_path, database_url) as (url, process), httpx.Client(base_url=url, timeout=LONG_S) as client:
        assert client.get("/v1/catalogs").status_code == 200  # its tables are there, and a connection to them
        if database_url.startswith("sqlite"):
            pids, options = [process.pid], {}
        else:
            server: Postgres = request.getfixturevalue("postgres")
            assert server.process is not None
            # Those that it starts from here on, one for each look at readiness; what runs goes on writing its log.
            pids, options = [server.process.pid], server.as_user
        limited(pids, "5000", **options)
        try:
            answer = client.get("/readyz")
            assert answer.status_code == 503
            assert answer.json()["type"].endswith("/store-down")
            assert client.get("/healthz").status_code == 200
            assert client.get("/v1/catalogs").status_code == 200
        finally:
            limited(pids, "unlimited", **options)
        assert client.get("/readyz").json() == {"status": "ready"}


def test_a_disk_with_hardly_any_room_is_full(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Less is left than a catalog takes (statvfs(3)), though a single row may still have room in the log."""
    app = small_app(database_url=f"sqlite:///{tmp_path}/store.sqlite")
    real = os.statvfs(tmp_path)
    told = os.statvfs_result((*real[:4], 2**20 // real.f_frsize - 1, *real[5:]))
    assert ask("GET", "/readyz", app=app).status_code == 200
    monkeypatch.setattr("api.store.store_files.os.statvfs", lambda _: told)
    assert problem_of(ask("GET", "/readyz", app=app), 503)["detail"].endswith("its disk is full")
    app.state.store.close()


@pytest.mark.parametrize("part", ["-wal", "-shm"])
def test_nothing_is_kept_in_a_log_that_was_taken_away(tmp_path: Path, part: str) -> None:
    """What is acknowledged then would be gone, or meet what others write (sqlite.org, How To Corrupt, 4.2 and 4.3)."""
    file = tmp_path / "store.sqlite"
    app = small_app(one_user=True, database_url=f"sqlite:///{file}")
    assert ask("PUT", "/v1/catalogs/hut", app=app, json=HUT, headers=NEW).status_code == 201
    Path(f"{file}{part}").rename(f"{file}.away")
    for method, where in (("PUT", "/v1/catalogs/after"), ("GET", "/v1/catalogs/hut"), ("GET", "/readyz")):
        down = problem_of(ask(method, where, app=app, json=HUT, headers=NEW), 503)
        assert "beside it was removed or replaced" in down["detail"]
    Path(f"{file}.away").rename(f"{file}{part}")
    assert ask("PUT", "/v1/catalogs/after", app=app, json=HUT, headers=NEW).status_code == 201
    app.state.store.close()


def test_an_index_that_was_cut_short_ends_no_worker(tmp_path: Path) -> None:
    """The kernel ends who looks at a part of a mapped file that is gone (mmap(2), SIGBUS): it is not looked at."""
    url = f"sqlite:///{tmp_path / 'store.sqlite'}"
    with served(tmp_path, database_url=url, one_user=True) as service:
        assert httpx.put(f"{service.url}/v1/catalogs/hut", json=HUT, headers=NEW, timeout=LONG_S).status_code == 201
        os.truncate(tmp_path / "store.sqlite-shm", 0)
        for where in ("/v1/catalogs/hut", "/readyz", "/v1/jobs"):
            down = httpx.get(f"{service.url}{where}", timeout=LONG_S)
            assert (down.status_code, "cut short" in down.json()["detail"]) == (503, True)
        assert httpx.get(f"{service.url}/healthz", timeout=LONG_S).status_code == 200
    with served(tmp_path, database_url=url, one_user=True) as service:
        assert httpx.get(f"{service.url}/v1/catalogs/hut", timeout=LONG_S).json() == HUT


@pytest.mark.parametrize("replaced", [False, True])
def test_nothing_is_kept_in_a_file_that_was_taken_away(tmp_path: Path, replaced: bool) -> None:
    """SQLite would write on into what nobody can open again (unlink(2)): no write is acknowledged, none made up."""
    file = tmp_path / "store.db"
    with (
        served(tmp_path, database_url=f"sqlite:///{file}", one_user=True) as service,
        httpx.Client(base_url=service.url, timeout=LONG_S) as client,
    ):
        assert client.put("/v1/catalogs/hut", json=HUT, headers=NEW).status_code == 201
        for part in tmp_path.glob("store.db*"):
            part.rename(tmp_path / f"away-{part.name}")
        if replaced:
            sqlite3.connect(file).execute("CREATE TABLE other (one)").connection.close()
        for answer in (
            client.put("/v1/catalogs/after", json=HUT, headers=NEW),
            client.get("/v1/catalogs/hut"),
            client.get("/readyz"),
        ):
            assert answer.status_code == 503
            assert answer.json()["type"].endswith("/store-down")
            assert "removed or replaced" in answer.json()["detail"]
        assert client.get("/healthz").status_code == 200
        assert file.exists() == replaced
    for part in tmp_path.glob("store.db*"):
        part.unlink()
    for part in tmp_path.glob("away-*"):
        part.rename(tmp_path / part.name.removeprefix("away-"))
    with served(tmp_path, database_url=f"sqlite:///{file}", one_user=True) as service:
        assert [one["name"] for one in httpx.get(f"{service.url}/v1/catalogs").json()["items"]] == ["hut"]


def test_a_database_that_is_down_is_a_503_until_it_is_back(postgres: Postgres) -> None:
    """PostgreSQL stopped under the service: stored catalogs are a 503, plans go on; started, all is as before."""
    app = small_app(one_user=True, database_url=postgres.database(), store_wait_s=2)
    stored = ask("PUT", "/v1/catalogs/hut", app=app, json=HUT, headers=NEW)
    assert stored.status_code == 201
    postgres.stop()
    try:
        for method, where in (("GET", "/v1/catalogs"), ("DELETE", "/v1/catalogs/hut")):
            down = ask(method, where, app=app, headers={"If-Match": "*"})
            assert problem_of(down, 503)["type"].endswith("/store-down")
            assert down.headers["retry-after"] == "5"
            assert "kitwright@" not in down.text
        trip = {"tasks": [{"task": "split", "diameter_mm": 140}], "detail": "kit"}
        assert ask("POST", "/v1/kits", app=app, json=trip).status_code == 200
        problem_of(ask("POST", "/v1/kits", app=app, json=trip | {"catalog": "hut"}), 503)
    finally:
        postgres.start()
    assert ask("GET", "/v1/catalogs/hut", app=app).json() == HUT
    app.state.store.close()


def test_a_locked_sqlite_file_is_a_503_until_it_is_free(tmp_path: Path) -> None:
    """Another process writes to it for longer than the service waits; readers don't wait for it."""
    file = tmp_path / "store.sqlite"
    app = small_app(one_user=True, database_url=f"sqlite:///{file}", store_wait_s=0.3)
    assert ask("PUT", "/v1/catalogs/hut", app=app, json=HUT, headers=NEW).status_code == 201
    other = sqlite3.connect(file, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    problem_of(ask("DELETE", "/v1/catalogs/hut", app=app, headers={"If-Match": "*"}), 503)
    assert ask("GET", "/v1/catalogs/hut", app=app).json() == HUT
    other.execute("ROLLBACK")
    other.close()
    assert ask("DELETE", "/v1/catalogs/hut", app=app, headers={"If-Match": "*"}).status_code == 204
    app.state.store.close()


def test_a_store_of_a_later_version_is_left_alone(database_url: str) -> None:
    """Its tables may mean something else."""
    app = small_app(one_user=True, database_url=database_url)
    assert ask("GET", "/v1/catalogs", app=app).status_code == 200
    with app.state.store.writing() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '9999'")
    app.state.store.close()
    later = small_app(one_user=True, database_url=database_url)
    problem_of(ask("GET", "/v1/catalogs", app=later), 503)
    later.state.store.close()


@pytest.mark.parametrize("when", ["before the last statement", "before the commit"])
def test_a_store_that_goes_amid_a_write_says_whether_it_may_be_stored(postgres: Postgres, when: str) -> None:
    """Only what broke off before the commit was surely not stored: a server may commit and die before it says so."""
    app = small_app(database_url=postgres.database())
    put = f"INSERT INTO catalog (uid, owner, name, revision) VALUES ('{'a' * 16}', 'local', 'a', 1)"
    told = "nothing was stored" if when == "before the last statement" else "read again whether it was stored"

    def write() -> None:
        with app.state.store.writing() as connection:
            connection.exec_driver_sql(put)
            (process,) = connection.exec_driver_sql("SELECT pg_backend_pid()").one()
            with psycopg.connect(postgres.address("postgres"), autocommit=True) as other:
                other.execute("SELECT pg_terminate_backend(%s, 60000)", (process,))
            if when == "before the last statement":
                connection.exec_driver_sql("SELECT 1")

    with pytest.raises(StoreDown, match=told):
        write()
    app.state.store.close()
