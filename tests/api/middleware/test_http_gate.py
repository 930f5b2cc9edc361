"""What a request must pass before it reaches an endpoint: address, method, size and media type of its body."""

import asyncio
import json
from collections.abc import AsyncIterator

import anyio.lowlevel
import pytest
from service import APP, JSON, LEAST, ask, problem_of, send, small_app
from starlette.requests import Request
from starlette.types import Message, Receive, Scope, Send
from waiting import LONG_S

from api.middleware.body_gate import Gate

pytestmark = pytest.mark.quick

LEAST_BODY = json.dumps(LEAST).encode()
FORM = "application/x-www-form-urlencoded"
SMALLEST_LIMIT = 1024  # bytes; the least that the service may be set to


@pytest.mark.parametrize(
    ("address", "method"),
    [
        ("/nowhere", "GET"),
        ("/nowhere", "POST"),
        ("/nowhere", "OPTIONS"),
        ("/v1/tools/no-such-tool", "GET"),
        ("/v1/tools/a%2Fb", "GET"),
        ("/v1/tools/", "GET"),
        ("/v1/kits/", "POST"),
        ("/problems/none-such", "GET"),
    ],
)
def test_what_is_not_there_is_a_404(address: str, method: str) -> None:
    """Addresses, whatever the method and media type, and ids."""
    assert problem_of(ask(method, address), 404)["type"].endswith("/problems/not-found")


def test_addresses_that_are_remembered_are_few_and_short() -> None:
    """They hold names that callers choose, so that memory would else grow with them."""
    gate = Gate(APP, max_body_bytes=SMALLEST_LIMIT, most_held_bytes=SMALLEST_LIMIT, patience_s=LONG_S)
    scope = {"type": "http", "method": "PUT", "headers": [], "app": APP}
    for number in range(2000):
        for name in (f"{number}", f"{number}{'x' * 10_000}"):
            assert gate.takes(Request({**scope, "path": f"/v1/catalogs/{name}"}))
        assert not gate.takes(Request({**scope, "path": f"/v1/nowhere/{number}"}))
    assert sum(len(path) for _, path in gate.taken) <= 1000 * 200


METHODS = {
    "/v1/kits": {"POST", "OPTIONS"},
    "/v1/tools": {"GET", "HEAD", "OPTIONS"},
    "/v1/tools/folding-saw-210": {"GET", "HEAD", "OPTIONS"},
    "/v1/methods": {"GET", "HEAD", "OPTIONS"},
    "/v1/catalogs": {"GET", "HEAD", "OPTIONS"},
    "/v1/catalogs/none-such": {"GET", "HEAD", "PUT", "PATCH", "DELETE", "OPTIONS"},
    "/v1/catalogs/none-such/tools/x": {"GET", "HEAD", "PUT", "DELETE", "OPTIONS"},
    "/v1/assumptions": {"GET", "HEAD", "OPTIONS"},
    "/healthz": {"GET", "HEAD", "OPTIONS"},
    "/openapi.json": {"GET", "HEAD", "OPTIONS"},
}


@pytest.mark.parametrize("address", METHODS)
@pytest.mark.parametrize("method", ["GET", "POST", "PUT", "PATCH", "DELETE", "TRACE", "BREW"])
def test_a_405_names_exactly_the_methods_that_are_taken(address: str, method: str) -> None:
    """Allow (RFC 9110, 15.5.6), with and without a body, whatever its type."""
    if method in METHODS[address]:
        assert ask(method, address).status_code != 405
        return
    for options in ({}, {"json": {}}, {"content": b"a=1", "headers": {"Content-Type": FORM}}):
        answer = ask(method, address, **options)
        problem_of(answer, 405)
        assert set(answer.headers["allow"].split(", ")) == METHODS[address]


@pytest.mark.parametrize("address", METHODS)
def test_options_names_the_methods(address: str) -> None:
    """Without a body."""
    answer = ask("OPTIONS", address)
    assert (answer.status_code, answer.content) == (204, b"")
    assert set(answer.headers["allow"].split(", ")) == METHODS[address]


@pytest.mark.parametrize("address", [address for address in METHODS if "HEAD" in METHODS[address]])
def test_head_answers_as_get_without_the_body(address: str) -> None:
    """The same status and headers (RFC 9110, 9.3.2)."""
    head, get = (ask(method, address, headers={"X-Request-ID": "same"}) for method in ("HEAD", "GET"))
    assert head.content == b""
    assert get.content
    assert (head.status_code, head.headers) == (get.status_code, get.headers)


def test_head_of_a_failure_has_no_body_either() -> None:
    """404 and 405 keep their type."""
    for address, status in (("/nowhere", 404), ("/v1/kits", 405)):
        answer = ask("HEAD", address)
        assert (answer.status_code, answer.content) == (status, b"")
        assert answer.headers["content-type"] == "application/problem+json"


def test_a_body_of_too_many_bytes_by_its_header_is_a_413() -> None:
    """Refused before it is read; one of just so many bytes is taken."""
    app = small_app(max_body_bytes=SMALLEST_LIMIT)
    fitting = LEAST_BODY + b" " * (SMALLEST_LIMIT - len(LEAST_BODY))
    assert send(fitting, app=app).status_code == 200
    assert problem_of(send(fitting + b" ", app=app), 413)["type"].endswith("/problems/body-too-large")


def test_a_body_of_too_many_bytes_in_pieces_is_a_413() -> None:
    """Without a Content-Length: stopped as it outgrows the limit, the rest unread."""
    read = []

    async def pieces() -> AsyncIterator[bytes]:
        for number in range(100):
            read.append(number)
            yield b" " * 100

    app = small_app(max_body_bytes=SMALLEST_LIMIT)
    answer = ask("POST", "/v1/kits", app=app, content=pieces(), headers=JSON)
    assert "content-length" not in answer.request.headers
    assert str(SMALLEST_LIMIT) in problem_of(answer, 413)["detail"]
    assert len(read) < 20


@pytest.mark.parametrize("length", ["abc", "-1", "\u00b2", ""])
def test_a_content_length_that_is_no_number_breaks_nothing(length: str) -> None:
    """The bytes themselves are counted; `\u00b2` is a digit to Python, and no number."""
    assert send(LEAST_BODY, headers={**JSON, "Content-Length": length.encode("latin-1")}).status_code == 200


@pytest.mark.parametrize(
    "media",
    [None, "", FORM, "text/plain", "multipart/form-data; boundary=x", "application/jsonx", "text/json", "image/a+json"],
)
def test_a_body_that_is_not_called_json_is_a_415(media: str | None) -> None:
    """A missing type and a form's are among them."""
    problem = problem_of(send(LEAST_BODY, headers={} if media is None else {"Content-Type": media}), 415)
    assert problem["type"].endswith("/problems/unsupported-media-type")
    assert "application/json" in problem["detail"]


@pytest.mark.parametrize("media", ["application/json", "APPLICATION/JSON; charset=utf-8", "application/trip+json"])
def test_json_may_be_called_so_in_other_ways(media: str) -> None:
    """By case, with parameters, and as a type built on JSON."""
    assert send(LEAST_BODY, headers={"Content-Type": media}).status_code == 200


def test_a_compressed_body_is_a_415() -> None:
    """It is not unpacked, so that no small body can become a large one."""
    answer = send(LEAST_BODY, headers={**JSON, "Content-Encoding": "gzip"})
    assert "compressed" in problem_of(answer, 415)["detail"]


def test_a_body_that_is_looked_at_late_is_not_late(monkeypatch: pytest.MonkeyPatch) -> None:
    """Patience runs from the first look: what streams an answer looks for the caller's end long after the start."""
    seen: list[str] = []
    clock = [0.0]
    monkeypatch.setattr("api.middleware.body_gate.monotonic", lambda: clock[0])

    async def app(_: Scope, receive: Receive, __: Send) -> None:
        clock[0] += 10 * LONG_S
        seen.append((await receive())["type"])

    async def receive() -> Message:
        await anyio.lowlevel.checkpoint()
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(_: Message) -> None:
        """Take nothing."""

    gate = Gate(app, max_body_bytes=10, most_held_bytes=10, patience_s=LONG_S)
    scope = {"type": "http", "method": "GET", "path": "/healthz", "headers": [], "app": APP}
    asyncio.run(gate(scope, receive, send))
    assert seen == ["http.request"]
