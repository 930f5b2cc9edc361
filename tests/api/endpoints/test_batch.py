"""POST /v1/kits/batch: a line in, a line out, in order; one bad line never spoils the rest; memory stays bounded."""

import asyncio
import json
import re
import socket
from collections.abc import AsyncIterator, Iterator
from threading import Thread
from typing import Any

import httpx
import pytest
from server import Server, served
from service import APP, LEAST, ask, post, problem_of, small_app
from steiner import bose, steiner_trip, tripled
from waiting import LONG_S

from api.examples.invented import example_trips
from api.http.json_lines import NumberedLine, lines_of

LINES = {"Content-Type": "application/x-ndjson"}
ADDRESS = "/v1/kits/batch"
KIT = {**LEAST, "detail": "kit"}
SURVEY = {**example_trips()["stream-survey"], "detail": "kit"}
HARD = {**steiner_trip(tripled(bose(15))), "detail": "kit"}  # A45: hours of work
NODES = 10**9  # its solve ends when it is cancelled, or never
SMALLEST_LIMIT = 1024  # bytes; the least that the service may be set to
MANY = 8000
GROWTH_KB = 6000  # of resident memory over MANY lines: held, lines of a kilobyte and their answers take twice that


def batch(*lines: bytes, app: Any = APP, address: str = ADDRESS) -> list[dict[str, Any]]:
    """The answers to these lines."""
    answer = ask("POST", address, app=app, content=b"\n".join(lines), headers=LINES)
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "application/x-ndjson"
    assert answer.text.endswith("\n")
    return [json.loads(line) for line in answer.text.splitlines()]


def as_lines(*trips: Any) -> list[bytes]:
    """Trips as lines."""
    return [json.dumps(trip).encode() for trip in trips]


def test_a_line_is_answered_as_its_trip_alone_and_in_its_place() -> None:
    """Quick and slow trips in turn, named and not, in other units too."""
    trips = [SURVEY, KIT, {"id": "two", "trip": SURVEY}, KIT, {"id": "", "trip": KIT}]
    answers = batch(*as_lines(*trips), address=f"{ADDRESS}?units=us")
    assert [(line["line"], line["id"]) for line in answers] == [(1, None), (2, None), (3, "two"), (4, None), (5, "")]
    for trip, line in zip(trips, answers, strict=True):
        assert line["answer"] == post(trip.get("trip", trip), address="/v1/kits?units=us").json()


BAD = {
    "no JSON": (b'{"tasks": [', 400, "unreadable-body", None),
    "no UTF-8": (b'{"name": "\xff"}', 400, "unreadable-body", None),
    "key twice": (b'{"people": 1, "people": 1}', 400, "unreadable-body", None),
    "deep": (b"[" * 100_000, 400, "unreadable-body", None),
    "no object": (b"3", 422, "invalid-input", "#"),
    "wrong field": (b'{"people": 0}', 422, "invalid-input", "#/people"),
    "fields that don't go together": (b'{"tasks": []}', 422, "invalid-input", "#/tasks"),
    "wrong field under a name": (b'{"id": "x", "trip": {"people": 0}}', 422, "invalid-input", "#/trip/people"),
    "a name that is none": (b'{"id": 3, "trip": {"people": 1}}', 422, "invalid-input", "#/id"),
}


@pytest.mark.parametrize("name", BAD)
def test_one_bad_line_does_not_spoil_the_rest(name: str) -> None:
    """Its answer is the problem that the trip alone would fail with (RFC 9457), with pointers into the line."""
    body, status, slug, pointer = BAD[name]
    before, bad, after = batch(*as_lines(KIT), body, *as_lines(KIT))
    assert before["answer"] == after["answer"] == post(KIT).json()
    assert set(bad) == {"line", "id", "problem"}
    problem = bad["problem"]
    assert set(problem) == {"type", "title", "status", "detail", "instance", "errors"}
    assert (problem["status"], problem["instance"]) == (status, ADDRESS)
    assert problem["type"].endswith(f"/problems/{slug}")
    assert ([fault["pointer"] for fault in problem["errors"]] or [None])[0] == pointer
    assert bad["id"] == ("x" if "under a name" in name else None)


def test_a_fault_of_the_service_itself_stays_on_its_line(monkeypatch: pytest.MonkeyPatch) -> None:
    """A 500 without its trace; the other lines are answered."""
    monkeypatch.setattr("api.questions.kit_questions.plan", lambda trip, **_: 1 / (trip.people - 2))
    (line,) = batch(*as_lines({**KIT, "people": 2}))
    assert line["problem"]["status"] == 500
    assert "ZeroDivision" not in json.dumps(line)


def test_blank_lines_count_and_have_no_answer() -> None:
    """Windows line ends, blank lines at both ends, a last line without an end; and nothing at all."""
    body = b"\r\n  \n" + b"\r\n\n".join(as_lines(KIT, KIT))
    assert [line["line"] for line in batch(*body.split(b"\n"))] == [3, 5]
    empty = ask("POST", ADDRESS, content=b"", headers=LINES)
    assert (empty.status_code, empty.content) == (200, b"")


def test_the_limit_of_a_body_holds_for_each_line_and_not_for_all_of_them() -> None:
    """A line of just so many bytes is taken, one more byte is a 413 on its line; the whole is larger."""
    app = small_app(max_body_bytes=SMALLEST_LIMIT)
    (line,) = as_lines(KIT)
    fitting = line + b" " * (SMALLEST_LIMIT - len(line))
    answers = batch(fitting, fitting + b" ", fitting, b"x" * 10 * SMALLEST_LIMIT, fitting, app=app)
    assert ["answer" in answer for answer in answers] == [True, False, True, False, True]
    assert [answers[place]["problem"]["status"] for place in (1, 3)] == [413, 413]
    assert str(SMALLEST_LIMIT) in answers[1]["problem"]["detail"]


@pytest.mark.parametrize("size", [1, 2, 3, 5, 7, 100])
def test_lines_are_found_however_the_body_is_cut(size: int) -> None:
    """Against Python's own split, for pieces of every size."""
    body = b"ab\n\ncdefgh\n \nijkl\nmnopqrstu\nv"
    expected = [(n, b) for n, b in enumerate(body.split(b"\n"), start=1) if b.strip()]

    async def pieces() -> AsyncIterator[bytes]:
        for start in range(0, len(body), size):
            yield body[start : start + size]

    async def found(most: int) -> list[NumberedLine]:
        return [line async for line in lines_of(pieces(), most_bytes=most)]

    assert asyncio.run(found(9)) == [NumberedLine(n, b) for n, b in expected]
    assert asyncio.run(found(4)) == [NumberedLine(n, b if len(b) <= 4 else None) for n, b in expected]


def test_the_address_is_no_id_and_takes_lines_only() -> None:
    """405 with the methods that it takes; 415 for JSON and for what is compressed."""
    answer = ask("PUT", ADDRESS, json={})
    problem_of(answer, 405)
    assert set(answer.headers["allow"].split(", ")) == {"POST", "OPTIONS"}
    assert "application/x-ndjson" in problem_of(ask("POST", ADDRESS, json=KIT), 415)["detail"]
    packed = ask("POST", ADDRESS, content=b"", headers={**LINES, "Content-Encoding": "gzip"})
    assert "compressed" in problem_of(packed, 415)["detail"]
    assert problem_of(ask("POST", f"{ADDRESS}?unit=us", content=b"", headers=LINES), 422)


def test_the_document_shows_lines_that_work() -> None:
    """What goes in, and what comes out, where no answer is shown whole."""
    operation = APP.openapi()["paths"][ADDRESS]["post"]
    sent = operation["requestBody"]["content"]["application/x-ndjson"]["example"].encode().split(b"\n")
    shown = operation["responses"]["200"]["content"]["application/x-ndjson"]["example"].splitlines()
    found = batch(*sent)
    assert [(one["line"], one["id"]) for one in found] == [(1, "monday"), (2, None), (3, None)]
    for line in map(json.loads, shown):
        answer = found[line["line"] - 1]
        assert line["id"] == answer["id"]
        if "answer" in line:
            assert line["answer"].items() <= answer["answer"].items()
        else:
            assert line["problem"]["errors"] == answer["problem"]["errors"]


@pytest.fixture(scope="module")
def own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """A service with one place for solves."""
    with served(tmp_path_factory.mktemp("batch"), solves=1, solve_nodes=NODES) as running:
        yield running


def connected(server: Server) -> socket.socket:
    """A connection on which a batch has begun."""
    host, port = server.url.removeprefix("http://").split(":")
    link = socket.create_connection((host, int(port)), timeout=LONG_S)
    head = f"POST {ADDRESS} HTTP/1.1\r\nHost: x\r\nContent-Type: application/x-ndjson\r\nTransfer-Encoding: chunked"
    link.sendall(f"{head}\r\n\r\n".encode())
    return link


def chunk(line: bytes) -> bytes:
    """A line as a chunk (RFC 9112, 7.1)."""
    return b"%x\r\n%b\n\r\n" % (len(line) + 1, line)


def test_an_answer_leaves_while_the_next_line_is_still_to_come(own: Server) -> None:
    """One line, its answer, then the next: over one open request."""
    with connected(own) as link:
        for number in (1, 2, 3):
            link.sendall(chunk(*as_lines(KIT)))
            seen = b""
            while b'"line":%d,' % number not in seen or not seen.rstrip(b"\r\n").endswith(b"}"):
                seen += link.recv(65536)


def test_who_does_not_read_is_held_up_and_takes_no_memory(own: Server) -> None:
    """Lines are pushed and no answer is read: the service stops reading; other callers are served meanwhile."""
    before = own.resident_kb()
    with connected(own) as link:
        link.settimeout(5)  # of each piece
        piece = chunk(b'{"people": 0, "name": "%b"}' % (b"x" * 150)) * 200
        with pytest.raises(TimeoutError):
            pushed(link, piece, most=80_000_000)
        assert own.resident_kb() - before < GROWTH_KB
        assert httpx.post(f"{own.url}/v1/kits", json=KIT, timeout=LONG_S).status_code == 200


def pushed(link: socket.socket, piece: bytes, *, most: int) -> None:
    """Send a piece again and again, up to so many bytes."""
    sent = 0
    while sent < most:
        sent += link.send(piece)


def test_memory_does_not_grow_with_the_number_of_lines(own: Server) -> None:
    """Resident memory of the service process before and after; the answers are read as they come."""
    line = chunk(b'{"id": "a", "trip": {"people": 0, "name": "%b"}}' % (b"x" * 900))

    def told(count: int) -> int:
        with connected(own) as link:
            pushing = Thread(target=link.sendall, args=(line * count + b"0\r\n\r\n",))
            pushing.start()
            found, tail = 0, b""
            while not tail.endswith(b"0\r\n\r\n"):
                piece = link.recv(65536)
                found += (tail[-6:] + piece).count(b'"line":') - tail[-6:].count(b'"line":')
                tail = tail[-10:] + piece
            pushing.join()
        return found

    assert told(1000) == 1000
    before = own.resident_kb()
    assert told(MANY) == MANY
    assert own.resident_kb() - before < GROWTH_KB


def test_a_batch_ends_when_its_caller_hangs_up(own: Server) -> None:
    """The line in hand is given up, though it takes hours; those that wait are never begun; the place is free."""
    before = solved(own)
    with connected(own) as link:
        link.sendall(b"".join(chunk(line) for line in as_lines(*[HARD] * 3)))
        own.working(running=1)
    assert httpx.post(f"{own.url}/v1/kits", json=KIT, timeout=LONG_S).status_code == 200
    assert solved(own) == before + 1


def solved(server: Server) -> int:
    """How many trips it has solved to their end."""
    return sum(int(float(one)) for one in re.findall(r"kitwright_solve_seconds_count\S* (\S+)", server.figures()))


def test_a_batch_ends_when_its_caller_leaves_though_lines_are_still_unread(tmp_path: Any) -> None:
    """Lines for minutes of work lie in the buffers; the work ends at once, and a stop does not wait for it."""
    slow = json.dumps(example_trips()["wet-autumn"]).encode() + b"\n"
    head = (
        f"POST {ADDRESS} HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/x-ndjson\r\n"
        "Transfer-Encoding: chunked\r\n\r\n"
    ).encode()
    piece = slow * 200
    with served(tmp_path) as server:
        place = httpx.URL(server.url)
        with socket.create_connection((place.host, place.port)) as caller:
            caller.sendall(head + b"%x\r\n" % len(piece) + piece + b"\r\n")
            assert b"200 OK" in caller.recv(4096)
        server.logged("the caller hung up at POST /v1/kits/batch")
        assert solved(server) < 200
