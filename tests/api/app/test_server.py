"""The service over a real socket, as a client on the network meets it."""

import os
import re
import socket
from pathlib import Path

import httpx
import pytest
from prometheus_client.parser import text_string_to_metric_families
from server import Server, served
from service import LEAST, kit_of
from waiting import LONG_S, until

OWN_SOCKETS = 5  # of a worker that nobody asks: its port, its event loop


def test_the_same_answer_over_a_socket(server: Server) -> None:
    """Byte for byte what the app gives without a server in between; the log names the request."""
    answer = httpx.post(f"{server.url}/v1/kits", json=LEAST, timeout=LONG_S)
    assert answer.json() == kit_of(LEAST)
    server.logged("POST /v1/kits 200")


def test_workers_share_a_port_and_tell_their_figures_together(tmp_path: Path) -> None:
    """Connections are dealt out; whichever is asked knows what all were asked; a stop ends both."""
    with served(tmp_path, workers=2) as own:
        dealt_out(own)
        for _ in range(20):
            assert httpx.get(f"{own.url}/healthz", timeout=LONG_S).status_code == 200
        until(lambda: figure_of(own) >= 60, "sixty requests in the figures")  # counted just after their answers
        assert figure_of(own) == 60
        answer = httpx.post(f"{own.url}/v1/kits", json=LEAST, timeout=LONG_S)
        assert answer.json() == kit_of(LEAST)
    assert "Traceback" not in own.logged()
    assert own.logged().count("Finished server process") == 2


def dealt_out(own: Server) -> None:
    """Forty connections at once: each worker gets five at least, which fair coins would miss in 2 of 10^7 runs."""
    host, port = own.url.removeprefix("http://").split(":")
    links = [socket.create_connection((host, int(port)), timeout=LONG_S) for _ in range(40)]
    for link in links:
        link.sendall(b"GET /healthz HTTP/1.1\r\nHost: x\r\n\r\n")
    assert all(link.recv(100).startswith(b"HTTP/1.1 200") for link in links)
    held = [connections(int(worker)) for worker in re.findall(r"Started server process \[(\d+)\]", own.logged())]
    for link in links:
        link.close()
    assert len(held) == 2
    assert min(held) >= 5 + OWN_SOCKETS, held


def connections(process: int) -> int:
    """How many sockets a process has, as proc(5) tells it."""
    return sum(os.readlink(one).startswith("socket:") for one in Path(f"/proc/{process}/fd").iterdir())


def figure_of(own: Server) -> float:
    """How often /healthz was asked, as Prometheus's own parser reads it."""
    (found,) = [
        sample.value
        for family in text_string_to_metric_families(own.figures())
        for sample in family.samples
        if sample.name == "kitwright_request_seconds_count" and sample.labels["route"] == "/healthz"
    ]
    return found


def test_a_head_without_end_is_refused(server: Server) -> None:
    """Headers that go on and on: the connection is closed long before they fill memory."""
    host, port = server.url.removeprefix("http://").split(":")
    sent = 0
    with socket.create_connection((host, int(port)), timeout=LONG_S) as link:
        link.sendall(b"GET /healthz HTTP/1.1\r\nHost: x\r\n")
        try:
            while sent < 100_000_000:
                link.sendall(b"X-More: " + b"x" * 1000 + b"\r\n")
                sent += 1010
        except OSError:
            pass
    assert sent < 50_000_000


def test_settings_reach_the_service_and_it_is_gone_after_the_block(tmp_path: Path) -> None:
    """By the environment, as an operator sets them."""
    with served(tmp_path, max_body_bytes=1024) as own:
        assert httpx.post(f"{own.url}/v1/kits", json=LEAST | {"name": "x" * 1024}, timeout=LONG_S).status_code == 413
    with pytest.raises(httpx.ConnectError):
        httpx.get(f"{own.url}/healthz", timeout=LONG_S)
