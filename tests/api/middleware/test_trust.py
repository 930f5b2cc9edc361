"""Whom the service trusts: one Host that names a host, its own pages and those of chosen origins, and HTTP alone."""

import socket
from contextlib import suppress
from typing import Any

import httpx
import pytest
from server import Server
from service import HOST, LEAST, PROBLEM, ask, problem_of, small_app
from waiting import LONG_S

KIT = {**LEAST, "detail": "kit"}
SHOP = "https://shop.example"  # an invented origin
CELL = "/v1/sheet/value?field=kit.mass_g&split_mm=140"
PLAIN = "/plain?split_mm=140"

HOSTS: dict[str, list[tuple[str, str | bytes]]] = {
    "of two": [("Host", "127.0.0.1"), ("Host", "127.0.0.1")],
    "empty": [("Host", "")],
    "with a user": [("Host", "user@127.0.0.1")],
    "with a path": [("Host", "127.0.0.1/x")],
    "with a space": [("Host", "127.0.0.1 x")],
    "with a long port": [("Host", "127.0.0.1:123456")],
    "of colons": [("Host", "::::")],
    "with a path and a query": [("Host", "evil.example/x?y#z")],
    "with half an address": [("Host", "[::1")],
    "of letters that are none of a name": [("Host", "h\u00fct".encode("latin-1"))],
}


@pytest.mark.quick
@pytest.mark.parametrize("name", HOSTS)
def test_a_host_that_is_none_is_a_400(name: str) -> None:
    """RFC 9112, 3.2: any HTTP/1.1 request without a Host, with several, or with an invalid one; it is in no address."""
    answer = ask("GET", "/v1/tools", headers=HOSTS[name])
    assert (answer.status_code, answer.headers["content-type"]) == (400, PROBLEM)
    assert answer.json()["type"] == "/problems/unreadable-request"


@pytest.mark.quick
@pytest.mark.parametrize("host", ["127.0.0.1:8321", "[::1]:8321", "kit.example", "KIT.example:", "xn--ht-xka.example"])
def test_a_host_that_is_one_is_taken(host: str) -> None:
    assert ask("GET", "/v1/tools", headers={"Host": host}).status_code == 200


FOREIGN: dict[str, dict[str, str]] = {
    "a picture or script": {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "no-cors", "Sec-Fetch-Dest": "image"},
    "a page of another port": {"Sec-Fetch-Site": "same-site", "Sec-Fetch-Mode": "no-cors", "Sec-Fetch-Dest": "script"},
    "a frame": {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate", "Sec-Fetch-Dest": "iframe"},
    "a page that says its origin": {"Origin": SHOP},
    "a page of both": {"Origin": SHOP, "Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "cors"},
    "a page of a file": {"Origin": "null"},
    "an origin that can't be": {"Origin": "http://[bad"},
}


@pytest.mark.quick
@pytest.mark.parametrize("name", FOREIGN)
def test_a_page_of_another_origin_makes_nothing_work(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither by a cell, a trip, readiness nor the plain form: it is refused before anything is worked out."""
    monkeypatch.setattr("api.questions.kit_questions.plan", lambda *_, **__: 1 / 0)
    app = small_app()
    asked = (("GET", CELL, {}), ("POST", "/v1/kits", {"json": KIT}), ("GET", "/readyz", {}), ("GET", PLAIN, {}))
    for method, address, body in asked:
        answer = ask(method, address, app=app, headers=FOREIGN[name], **body)
        assert problem_of(answer, 403)["type"].endswith("/problems/foreign-page")
        assert "access-control-allow-origin" not in answer.headers


WELCOME: dict[str, tuple[dict[str, str], dict[str, Any]]] = {
    "no browser": ({}, {}),
    "its own page": ({"Sec-Fetch-Site": "same-origin", "Origin": "https://behind-a-proxy.example"}, {}),
    "its own page in a browser that tells less": ({"Origin": HOST}, {}),
    "an address typed in": ({"Sec-Fetch-Site": "none", "Sec-Fetch-Mode": "navigate"}, {}),
    "a page of a chosen origin": ({"Origin": SHOP, "Sec-Fetch-Site": "cross-site"}, {"cors_origins": SHOP}),
    "any page": ({"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "no-cors"}, {"cors_origins": "*"}),
}


@pytest.mark.quick
@pytest.mark.parametrize("name", WELCOME)
def test_whoever_else_asks_is_answered(name: str) -> None:
    headers, settings = WELCOME[name]
    app = small_app(**settings)
    for method, address, body in (("GET", CELL, {}), ("POST", "/v1/kits", {"json": KIT})):
        assert ask(method, address, app=app, headers=headers, **body).status_code == 200


@pytest.mark.quick
def test_a_link_may_be_followed_and_pages_may_be_opened_from_anywhere() -> None:
    """From another site: an answer to look at, the planner and the guide; a form sent from there is refused."""
    link = {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate", "Sec-Fetch-Dest": "document"}
    for address in (CELL, PLAIN, "/", "/guide", "/embed/frame"):
        assert ask("GET", address, headers=link).status_code == 200, address
    problem_of(ask("POST", "/v1/kits", json=KIT, headers=link), 403)


CHUNKED = b"POST /v1/trials HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n"
NO_HTTP = {
    "no HTTP at all": b"\x16\x03\x01\x02\x00\x01\x00\r\n\r\n",
    "a name that is none": b"GET /healthz HTTP/1.1\r\nHo st: x\r\n\r\n",
    "two lengths": b"POST /v1/kits HTTP/1.1\r\nHost: x\r\nContent-Length: 1\r\nContent-Length: 2\r\n\r\n{}",
    "a head without end": b"GET /healthz HTTP/1.1\r\nHost: x\r\nX: " + b"a" * 70_000,
    "no Host": b"GET /healthz HTTP/1.1\r\n\r\n",
    "a version of its own": b"GET /healthz HTTP/2.0\r\nHost: x\r\n\r\n",
    "no version": b"GET /healthz\r\n\r\n",
    "another coding": b"POST /v1/kits HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: gzip, chunked\r\n\r\n0\r\n\r\n",
    "trailers without end": CHUNKED + b"0\r\nX: " + b"a" * 300_000,
    "a chunk's extension without end": CHUNKED + b"2;" + b"a" * 300_000,
    "an address with a user": b"GET http://a@x/healthz HTTP/1.1\r\nHost: x\r\n\r\n",
}


@pytest.mark.parametrize("name", NO_HTTP)
def test_what_is_no_http_is_told_as_every_failure(name: str, server: Server) -> None:
    """A 400 of problem+json (RFC 9457), and the end of the connection."""
    head, _, body = told_by(server, NO_HTTP[name]).partition(b"\r\n\r\n")
    assert head.startswith(b"HTTP/1.1 400 ")
    assert f"content-type: {PROBLEM}".encode() in head.lower()
    answer = httpx.Response(400, content=body)
    assert set(answer.json()) == {"type", "title", "status", "detail", "instance", "errors"}
    assert answer.json()["type"].endswith("/problems/unreadable-request")


def told_by(server: Server, sent: bytes) -> bytes:
    """What comes of some bytes until the service ends the connection."""
    host, port = server.url.removeprefix("http://").split(":")
    told = b""
    with socket.create_connection((host, int(port)), timeout=LONG_S) as link, suppress(ConnectionError):
        link.sendall(sent)
        while piece := link.recv(65_536):
            told += piece
    return told


def test_trailers_are_no_headers_and_an_address_names_its_host(server: Server) -> None:
    """RFC 9110, 6.5.1: not merged. RFC 9112, 3.2.2: what a whole address names counts, whatever Host says."""
    end = b"Connection: close\r\n"
    trailer = b"Transfer-Encoding: chunked\r\n\r\n0\r\nAuthorization: Bearer x\r\n\r\n"
    asked = {
        b"/v1/catalogs HTTP/1.1\r\nHost: localhost\r\n" + end + trailer: b" 200 ",
        b"http://localhost/v1/catalogs HTTP/1.1\r\nHost: elsewhere.invalid\r\n" + end + b"\r\n": b" 200 ",
        b"http://elsewhere.invalid/v1/catalogs HTTP/1.1\r\nHost: localhost\r\n" + end + b"\r\n": b" 401 ",
        b"http://[::1]:80/v1/catalogs HTTP/1.1\r\nHost: elsewhere.invalid\r\n" + end + b"\r\n": b" 200 ",
    }
    for sent, status in asked.items():
        assert status in told_by(server, b"GET " + sent).partition(b"\r\n")[0], sent


def test_requests_that_wait_on_one_connection_are_few(server: Server) -> None:
    """A hundred behind one; a thousand at once end the connection, since each of them holds memory."""
    one, last = b"GET /healthz HTTP/1.1\r\nHost: x\r\n\r\n", b"GET /healthz HTTP/1.0\r\n\r\n"
    assert told_by(server, 99 * one + last).count(b"HTTP/1.1 200 ") == 100
    assert told_by(server, 1000 * one + last).count(b"HTTP/1.1 ") < 1000


def test_a_body_broken_off_leaves_no_trace_of_an_error(server: Server) -> None:
    """Of a question, of a catalog and of a batch: whoever leaves in the middle is no fault of the service."""
    host, port = server.url.removeprefix("http://").split(":")
    for number, (method, address) in enumerate(
        (("POST", "/v1/kits"), ("PUT", "/v1/catalogs/hut"), ("POST", "/v1/trials"))
    ):
        with socket.create_connection((host, int(port)), timeout=LONG_S) as link:
            head = f"{method} {address} HTTP/1.1\r\nHost: x\r\nX-Request-ID: broken-{number}\r\n"
            link.sendall(f"{head}Content-Type: application/json\r\nContent-Length: 300000\r\n\r\n{{".encode())
    for number in range(3):
        server.logged(f"broken-{number}")
    assert "Traceback" not in server.logged()
    assert '"level": "error"' not in server.logged()
