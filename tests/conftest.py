"""What tests share while they run: one service on a socket for the whole session."""

from collections.abc import Iterator

import pytest
from server import Server, served


@pytest.fixture(scope="session")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """The service on a free port, by its usual settings; a test that stops it or sets it takes `served` instead."""
    with served(tmp_path_factory.mktemp("service")) as running:
        yield running
