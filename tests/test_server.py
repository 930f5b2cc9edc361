"""The service over a real socket, as a client on the network meets it."""

from pathlib import Path

import httpx
import pytest
from server import Server, served
from service import LEAST, kit_of


def test_the_same_answer_over_a_socket(server: Server) -> None:
    """Byte for byte what the app gives without a server in between; the log names the request."""
    answer = httpx.post(f"{server.url}/v1/kits", json=LEAST, timeout=30)
    assert answer.json() == kit_of(LEAST)
    assert "POST /v1/kits 200" in server.logged()


def test_settings_reach_the_service_and_it_is_gone_after_the_block(tmp_path: Path) -> None:
    """By the environment, as an operator sets them."""
    with served(tmp_path, max_body_bytes=1024) as own:
        assert httpx.post(f"{own.url}/v1/kits", json=LEAST | {"name": "x" * 1024}, timeout=30).status_code == 413
    with pytest.raises(httpx.ConnectError):
        httpx.get(f"{own.url}/healthz", timeout=30)
