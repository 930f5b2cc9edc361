"""What tests share: one service on a socket for the whole session, one browser for a file, a store that is no one's."""

import fcntl
import os
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from browser import chromium
from fastapi import FastAPI
from hypothesis import HealthCheck, settings
from long_clocks import end_by_nodes
from node_programs import installed
from playwright.sync_api import Browser
from postgres import Postgres, postgres_server
from server import Server, served

# SQLite waits for the disk at each commit, so stores lie in memory where the machine has a folder there.
MEMORY = Path("/dev/shm")
IN_MEMORY = str(MEMORY) if os.access(MEMORY, os.W_OK) else None
# Set before any app is made, and handed down to every service that a test starts: never the store of who runs them.
STORE_FOLDER = tempfile.TemporaryDirectory(prefix="kitwright-store-", dir=IN_MEMORY)
os.environ["KITWRIGHT_DATABASE_URL"] = f"sqlite:///{Path(STORE_FOLDER.name, 'kitwright.sqlite')}"

# No limit of time is met that a test has not set itself.
end_by_nodes()
os.environ["KITWRIGHT_STORE_WAIT_S"] = "300"  # the longest that may be set
settings.register_profile("cases", settings(), deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("cases")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Long files first, so that none is left to one core at the end; coverage is of the quick tests alone."""
    long = [item for item in items if item.get_closest_marker("quick") is None]
    files = {item.path for item in long}
    items.sort(key=lambda item: item.path not in files)
    if config.pluginmanager.hasplugin("_cov"):
        for item in long:
            item.add_marker("no_cover")


@pytest.fixture(scope="session")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """The service on a free port, by its usual settings; a test that stops it or sets it takes `served` instead."""
    with served(tmp_path_factory.mktemp("service")) as running:
        yield running


@pytest.fixture(scope="session")
def node_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder in which the pinned programs of the npm registry can be run, installed once for all workers of a run."""
    if "PYTEST_XDIST_WORKER" not in os.environ:
        return installed(tmp_path_factory.mktemp("node"))
    with (tmp_path_factory.getbasetemp().parent / "node.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        folder = Path(lock.name).with_name("node")
        if not folder.exists():
            making = tmp_path_factory.mktemp("node")
            installed(making).rename(folder)
        return folder


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """A browser for one file of tests: while it runs, `asyncio.run` (and so `service.ask`) can't be used beside it."""
    with chromium() as running:
        yield running


@pytest.fixture(scope="session")
def postgres() -> Iterator[Postgres]:
    """A PostgreSQL server of the tests' own."""
    with postgres_server() as running:
        yield running


@pytest.fixture(params=["sqlite", "postgresql"])
def database_url(request: pytest.FixtureRequest) -> Iterator[str]:
    """The address of a store that is empty; a test that takes it runs once on each kind of database."""
    if request.param == "sqlite":
        with tempfile.TemporaryDirectory(prefix="kitwright-store-", dir=IN_MEMORY) as folder:
            yield f"sqlite:///{Path(folder, 'store.sqlite')}"
        return
    running: Postgres = request.getfixturevalue("postgres")
    yield running.database()


@pytest.fixture
def app(database_url: str) -> Iterator[FastAPI]:
    """An app on such a store."""
    from service import small_app  # makes an app as it is imported, so not before the environment is set

    made = small_app(database_url=database_url, one_user=True)
    yield made
    made.state.store.close()
