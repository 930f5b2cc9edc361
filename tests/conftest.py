"""What tests share while they run: one service on a socket for the whole session, one browser for a file."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from browser import chromium
from node_programs import installed
from playwright.sync_api import Browser
from server import Server, served


@pytest.fixture(scope="session")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """The service on a free port, by its usual settings; a test that stops it or sets it takes `served` instead."""
    with served(tmp_path_factory.mktemp("service")) as running:
        yield running


@pytest.fixture(scope="session")
def node_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder in which the pinned programs of the npm registry can be run."""
    return installed(tmp_path_factory.mktemp("node"))


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """A browser for one file of tests: while it runs, `asyncio.run` (and so `service.ask`) can't be used beside it."""
    with chromium() as running:
        yield running
