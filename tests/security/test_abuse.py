"""Callers who ask for too much, too slowly, or for something other than it looks like."""

import asyncio
import json
import re
import socket
from collections.abc import AsyncIterator, Iterator
from time import monotonic

import httpx
import pytest
from server import Server, served
from service import HOST, JSON, LEAST, ask, faults_of, post, problem_of, small_app
from waiting import LONG_S, until

from api.middleware import rate_limit, steady_hits

KIT = {**LEAST, "detail": "kit"}
PATIENCE_S = 1  # the tests' usual settings wait for hours
POLICY = re.compile(r'"default";q=3;w=60')  # draft-ietf-httpapi-ratelimit-headers-10, 3
LEFT = re.compile(r'"default";r=(\d+);t=(\d+)')  # the same, 4


def test_a_client_has_so_many_requests_and_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """Three in a minute: the fourth is a 429 with Retry-After; a minute later there are three again."""
    app = small_app(rate_limit=3)
    set_clock(monkeypatch, ahead_s=0)
    answers = [ask("GET", "/v1/woods?limit=1", app=app) for _ in range(4)]
    assert [answer.status_code for answer in answers] == [200, 200, 200, 429]
    assert all(POLICY.fullmatch(answer.headers["ratelimit-policy"]) for answer in answers)
    told = [LEFT.fullmatch(answer.headers["ratelimit"]) for answer in answers]
    assert [found and found[1] for found in told] == ["2", "1", "0", "0"]
    assert all(found and 1 <= int(found[2]) <= 60 for found in told)
    problem = problem_of(answers[-1], 429)
    assert problem["type"].endswith("/problems/quota-exceeded")
    assert 1 <= int(answers[-1].headers["retry-after"]) <= 60
    assert answers[-1].headers["x-content-type-options"] == "nosniff"
    set_clock(monkeypatch, ahead_s=61)
    assert ask("GET", "/v1/woods?limit=1", app=app).status_code == 200


def set_clock(monkeypatch: pytest.MonkeyPatch, *, ahead_s: float) -> None:
    """Stop the clock that requests are counted by, or set it ahead."""
    ahead = monotonic() + ahead_s
    for module in (rate_limit, steady_hits):
        monkeypatch.setattr(module, "monotonic", lambda: ahead)


def test_health_and_figures_are_never_counted_and_clients_are_told_apart(monkeypatch: pytest.MonkeyPatch) -> None:
    """A probe must not be refused for what others ask; another address has its own count."""
    app = small_app(rate_limit=1)
    set_clock(monkeypatch, ahead_s=0)
    assert {ask("GET", path, app=app).status_code for path in ("/healthz", "/metrics") for _ in range(3)} == {200}

    async def from_address(address: str) -> int:
        transport = httpx.ASGITransport(app=app, client=(address, 1))
        async with httpx.AsyncClient(transport=transport, base_url=HOST) as client:
            return (await client.get("/v1/tools?limit=1")).status_code

    assert [asyncio.run(from_address(one)) for one in ("192.0.2.1", "192.0.2.1", "192.0.2.2")] == [200, 429, 200]


def test_without_a_limit_nothing_is_told_of_one() -> None:
    """Off unless it is set."""
    assert "ratelimit" not in ask("GET", "/v1/woods?limit=1").headers


def test_the_lines_of_a_batch_count() -> None:
    """They are no way round: after three, the next waits for the window to pass."""
    app = small_app(rate_limit=3, rate_seconds=2)
    start = monotonic()
    lines = b"\n".join([json.dumps(KIT).encode()] * 4)
    answer = ask("POST", "/v1/kits/batch", app=app, content=lines, headers={"Content-Type": "application/x-ndjson"})
    assert answer.text.count('"answer"') == 4
    assert monotonic() - start > 1


def test_a_body_that_does_not_come_is_a_408() -> None:
    """In pieces that never end, each of them in time."""

    async def drops() -> AsyncIterator[bytes]:
        for _ in range(100):
            yield b" "
            await asyncio.sleep(0.05)

    answer = ask("POST", "/v1/kits", app=small_app(patience_seconds=0.3), content=drops(), headers=JSON)
    assert problem_of(answer, 408)["type"].endswith("/problems/too-slow")


@pytest.fixture(scope="module")
def hasty(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """A service that waits a second."""
    with served(tmp_path_factory.mktemp("hasty"), patience_seconds=PATIENCE_S) as running:
        yield running


SLOW = {
    "nothing at all": b"",
    "half a head": b"GET /healthz HTTP/1.1\r\nHost: x\r\nX-Slow: ",
    "half a head after an answer": b"GET /healthz HTTP/1.1\r\nHost: x\r\n\r\nGET /healthz HTTP/1.1\r\nHost:",
    "half a body": b"POST /v1/kits HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n"
    b"Content-Length: 99\r\n\r\n{",
    "half a batch": b"POST /v1/kits/batch HTTP/1.1\r\nHost: x\r\nContent-Type: application/x-ndjson\r\n"
    b"Content-Length: 99\r\n\r\n{",
}


@pytest.mark.parametrize("name", SLOW)
def test_a_connection_that_owes_bytes_is_cut(name: str, hasty: Server) -> None:
    """A byte every so often does not keep it: the bound is on the whole, not on the pause."""
    host, port = hasty.url.removeprefix("http://").split(":")
    start = monotonic()
    with socket.create_connection((host, int(port)), timeout=LONG_S) as link:
        link.sendall(SLOW[name])
        link.settimeout(0.2)
        until(lambda: cut_off(link, b"x" if SLOW[name].endswith(b"X-Slow: ") else b""), "the end of a slow connection")
    assert monotonic() - start > PATIENCE_S * 0.9
    assert "Traceback" not in hasty.logged()


def cut_off(link: socket.socket, drop: bytes) -> bool:
    """Tell whether a connection is at an end, after one more drop on it."""
    try:
        link.sendall(drop)
        return not link.recv(65536)
    except TimeoutError:
        return False
    except OSError:
        return True


def test_who_reads_nothing_is_cut(hasty: Server) -> None:
    """A batch whose answers nobody takes: the connection ends, and with it the work."""
    host, port = hasty.url.removeprefix("http://").split(":")
    head = SLOW["half a batch"].replace(b": 99", b": 99999999").removesuffix(b"{")
    with (
        socket.create_connection((host, int(port)), timeout=LONG_S) as link,
        pytest.raises(OSError, match=r"reset|pipe"),
    ):
        link.sendall(head + b'{"people": 0}\n' * 5_000_000)


LOOK_ALIKES = {
    "Cyrillic a": "\u0430xe",
    "full-width": "\uff41xe",
    "combining": "axe\u0301",
    "no width": "a\u200bxe",
    "right to left": "\u202eaxe",
    "ligature": "\ufb01le",
}


@pytest.mark.parametrize("name", LOOK_ALIKES)
def test_an_id_that_looks_like_another_is_none(name: str) -> None:
    """Ids are plain ASCII, so that two that look alike are one (Unicode Technical Standard 39)."""
    assert (
        "pattern"
        in faults_of(post({**LEAST, "tools": [{"id": LOOK_ALIKES[name], "mass_g": 1}]}))["#/tools/0/id"]["range"]
    )


@pytest.mark.parametrize("unseen", ["\x7f", "\x85", "\x9b", "\u2028", "\u2029", "\u202e", "\u2066", "\ufeff"])
def test_a_name_with_what_is_not_seen_is_refused(unseen: str) -> None:
    """Controls of ISO 6429, line ends, and turns of direction (Unicode Standard Annex 9): text that reads otherwise."""
    assert set(faults_of(post({**LEAST, "name": f"a{unseen}b"}))) == {"#/name"}
    tool = {"id": "a", "mass_g": 1, "name": f"a{unseen}b", "note": f"a{unseen}b"}
    assert set(faults_of(post({**LEAST, "tools": [tool]}))) == {"#/tools/0/name", "#/tools/0/note"}


@pytest.mark.parametrize("sign", "=+-@\uff1d\uff0b\uff0d\uff20")
def test_a_name_that_a_spreadsheet_could_run_is_refused(sign: str) -> None:
    """OWASP, CSV Injection; the full-width forms are from memory."""
    assert set(faults_of(post({**LEAST, "tools": [{"id": "a", "mass_g": 1, "name": f"{sign}1"}]}))) == {
        "#/tools/0/name"
    }


@pytest.mark.parametrize(
    "number", ["1e308", "1e309", "-1e400", "1e-400", "123456789012345678901234567890", "0.1e1000000000"]
)
def test_no_number_breaks_the_service(number: str) -> None:
    """Huge and tiny exponents, at a figure and at a count: taken as what it is, or refused with its range."""
    for body in (f'{{"tasks":[{{"task":"saw","diameter_mm":{number}}}]}}', f'{{"people":{number},"tasks":[]}}'):
        faults = faults_of(ask("POST", "/v1/kits", content=body.encode(), headers=JSON))
        assert all(fault["range"] for fault in faults.values())


def test_large_bodies_at_once_are_bounded_together() -> None:
    """One body waits half sent; a second that does not fit beside it is a 503 that says when; then it fits."""
    app = small_app(max_body_bytes=2_000, most_held_bytes=2_000)
    padded = json.dumps(LEAST | {"detail": "kit"}).encode() + b" " * 1_200

    async def both() -> tuple[httpx.Response, httpx.Response, httpx.Response]:
        go_on, begun = asyncio.Event(), asyncio.Event()

        async def halting() -> AsyncIterator[bytes]:
            yield padded[:1_000]
            begun.set()
            await go_on.wait()
            yield padded[1_000:]

        async with httpx.AsyncClient(transport=httpx.ASGITransport(app=app), base_url=HOST, headers=JSON) as client:
            first = asyncio.create_task(client.post("/v1/kits", content=halting()))
            await begun.wait()
            refused = await client.post("/v1/kits", content=padded)
            go_on.set()
            answered = await first
            return refused, answered, await client.post("/v1/kits", content=padded)

    refused, answered, again = asyncio.run(both())
    assert "send it again" in problem_of(refused, 503)["detail"]
    assert refused.headers["retry-after"] == "1"
    assert (answered.status_code, again.status_code) == (200, 200)
