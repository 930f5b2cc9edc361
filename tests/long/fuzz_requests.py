"""A million changed requests over both kinds of database: none ends in a failure of the service's own.

Run by hand: `python tests fuzz_requests [--cases 1000000] [--first N] [--seed N] [--seconds N]`. Requests are the
examples of the contract with fields, bytes, headers, addresses and methods changed (mutated_requests.py), sent over
bare sockets in turns of some thousands to one service over SQLite and one over PostgreSQL. Must hold for each: no
status of 500 or above but a 503 that says when to come back; a failure is problem+json that repeats its status; what
is no HTTP may end without an answer. And of each service: it never dies, logs no trace, and its memory is flat: in the
last quarter of the run it holds hardly more than in the quarter before. A run of less than 200,000 requests can't tell
a leak from caches that fill, and says so.
Beside `fuzz_contract`, which draws from schemas and knows what fits them, this one is fast.
"""

import argparse
import asyncio
import json
import random
import re
import sys
import tempfile
from collections import Counter
from collections.abc import Sequence
from contextlib import ExitStack
from pathlib import Path
from statistics import median
from time import monotonic
from typing import Any

from mutated_requests import Requests, Sent
from postgres import postgres_server
from server import Server, served

CONNECTIONS = 8
TURN = 5_000  # requests to one service before the other has its turn
LEAST_JUDGED = 100_000  # requests to one service; caches fill quickest before (`test_fuzz_requests.py` has a run)
MOST_GROWTH = 1.05  # judged: of memory from a quarter to the next; in that run 1.037 since then
PATIENCE_S = 120.0  # for an answer, an end to one that never comes
SMALL: dict[str, object] = {  # short answers, and caches that are full soon
    "answer_seconds": 1,
    "solve_seconds": 0.5,
    "solve_nodes": 2000,
    "job_seconds": 1,
    "job_nodes": 2000,
    "most_kept_jobs": 50,
    "memory_bytes": 4 * 1024 * 1024,
    "cached_tools": 5000,
    "most_revisions": 1_000_000,
}
PROBLEM = "application/problem+json"


class Answer:
    """One answer as it was read."""

    def __init__(self, status: int, headers: dict[str, str], body: bytes) -> None:
        self.status, self.headers, self.body = status, headers, body


def wrong_in(sent: Sent, answer: Answer | None) -> str | None:
    """What is wrong with an answer, None where nothing is."""
    if answer is None:
        return None if sent.broken else "no answer"
    if answer.status >= 500 and not (answer.status == 503 and answer.headers.get("retry-after", "").isdigit()):
        return f"a failure of the service: {answer.status}"
    if answer.status < 400:
        return None
    if answer.headers.get("content-type") != PROBLEM:
        return f"a {answer.status} that is no problem: {answer.headers.get('content-type')}"
    if sent.method == "HEAD":
        return None
    try:
        told = json.loads(answer.body)["status"]
    except (ValueError, KeyError, TypeError):
        return "a problem that can't be read"
    return None if told == answer.status else f"a {answer.status} that says {told}"


async def read_answer(reader: asyncio.StreamReader, *, method: str) -> Answer:
    """The next answer that is not provisional."""
    while True:
        lines = (await reader.readuntil(b"\r\n\r\n")).decode("latin-1").split("\r\n")
        status = int(lines[0].split(" ")[1])
        headers = {name.lower(): value for name, _, value in (line.partition(": ") for line in lines[1:] if line)}
        if status >= 200:
            break
    if method == "HEAD" or status in (204, 304):
        return Answer(status, headers, b"")
    if "content-length" in headers:
        return Answer(status, headers, await reader.readexactly(int(headers["content-length"])))
    body = bytearray()
    if headers.get("transfer-encoding") != "chunked":
        return Answer(status, headers, await reader.read())
    while size := int((await reader.readline()).split(b";")[0], 16):
        body += await reader.readexactly(size)
        await reader.readexactly(2)
    await reader.readline()
    return Answer(status, headers, bytes(body))


class Fuzzed:
    """A service that is sent requests."""

    def __init__(self, name: str, service: Server, requests: Requests) -> None:
        self.name, self.service, self.requests = name, service, requests
        self.address = re.fullmatch(r"http://(.+):(\d+)", service.url)
        self.statuses: Counter[str] = Counter()
        self.bad: list[str] = []
        self.read = 0
        self.resident_kb: list[int] = []

    async def turn(self, numbers: range) -> None:
        """Send the requests of these numbers over several connections."""
        left = iter(numbers)
        await asyncio.gather(*(self.connection(left) for _ in range(CONNECTIONS)))
        self.resident_kb.append(self.service.resident_kb())
        if traces := self.traces():
            self.found(f"traces in the log: {traces[:3000]}")

    async def connection(self, left: Any) -> None:
        """Send requests one after another, over a new connection where the last one ended."""
        streams: tuple[asyncio.StreamReader, asyncio.StreamWriter] | None = None
        for number in left:
            sent = self.requests.draw(number)
            fresh = streams is None
            streams = streams or await self.connected()
            answer = await self.answer_or_none(sent, streams)
            if answer is None and not fresh and not sent.broken:  # it may have ended while it was idle
                streams[1].close()
                streams = await self.connected()
                answer = await self.answer_or_none(sent, streams)
            self.statuses[str(answer.status) if answer else "no answer"] += 1
            if answer:
                self.requests.learn(answer.status, answer.headers)
            if what := wrong_in(sent, answer):
                told = answer.body[:500] if answer else b""
                self.found(f"number {number}: {what}\n  {sent.raw()[:1500]!r}\n  {told!r}")
            if answer is None or sent.broken or answer.headers.get("connection", "").lower() == "close":
                streams[1].close()
                streams = None
        if streams:
            streams[1].close()

    async def connected(self) -> tuple[asyncio.StreamReader, asyncio.StreamWriter]:
        """A new connection."""
        assert self.address
        return await asyncio.open_connection(self.address[1], int(self.address[2]), limit=2**24)

    async def answer_or_none(
        self, sent: Sent, streams: tuple[asyncio.StreamReader, asyncio.StreamWriter]
    ) -> Answer | None:
        """The answer to a request, None where none comes."""
        try:
            return await asyncio.wait_for(self.answered(sent, *streams), PATIENCE_S)
        except (asyncio.IncompleteReadError, ConnectionError, TimeoutError, ValueError):
            return None

    async def answered(self, sent: Sent, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> Answer:
        """The answer to a request; one that is broken says so by its end."""
        writer.write(sent.raw())
        reading = asyncio.ensure_future(read_answer(reader, method=sent.method))
        try:
            if sent.broken and not (await asyncio.wait([reading], timeout=0.2))[0]:
                writer.write_eof()
            return await reading
        finally:
            reading.cancel()

    def found(self, what: str) -> None:
        """Note what must not be, and print it at once."""
        self.bad.append(what)
        print(f"{self.name}, {what}", flush=True)

    def traces(self) -> str:
        """Lines with traces that the service has logged since it was last looked at."""
        with self.service.log.open(encoding="utf-8") as stream:
            stream.seek(self.read)
            found = "".join(line for line in stream if "Traceback" in line)
            self.read = stream.tell()
        return found


def growth(resident_kb: Sequence[int], *, requests: int) -> float | None:
    """How many times the memory of the third quarter of a run the last quarter holds; None where it is too short.

    Caches that fill hold less and less more; what leaks holds as much more in each quarter, however long the run.
    """
    if requests < LEAST_JUDGED:
        return None
    half, last = len(resident_kb) // 2, len(resident_kb) * 3 // 4
    return median(resident_kb[last:]) / median(resident_kb[half:last])


async def fuzz(
    fuzzed: list[Fuzzed], *, cases: int, turn: int = TURN, seconds: float = float("inf"), first: int = 0
) -> int:
    """Send so many requests from the first on in turns, or for so long; return the number after the last."""
    end, sent = monotonic() + seconds, first
    while sent < first + cases and monotonic() < end:
        for one in fuzzed:
            numbers = range(sent, min(sent + turn, first + cases))
            await one.turn(numbers)
            sent += len(numbers)
        if len(fuzzed) > 1:
            told = ", ".join(f"{one.name} {one.resident_kb[-1] / 1024:.0f} MiB, {len(one.bad)} bad" for one in fuzzed)
            print(f"{sent:,} requests: {told}", flush=True)
    return sent


def main() -> None:
    """Send the requests, and print what came of them."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--cases", type=int, default=1_000_000, help="how many, from the first on")
    parser.add_argument("--first", type=int, default=0, help="number to go on from, where an earlier run ended")
    parser.add_argument("--seconds", type=float, default=float("inf"), help="end after so long, wherever it stands")
    parser.add_argument("--seed", type=int, default=random.SystemRandom().randrange(10**6))
    asked = parser.parse_args()
    with ExitStack() as stack:
        folders = [Path(stack.enter_context(tempfile.TemporaryDirectory())) for _ in range(2)]
        addresses = (f"sqlite:///{folders[0] / 'store.db'}", stack.enter_context(postgres_server()).database())
        fuzzed = []
        for url, folder in zip(addresses, folders, strict=True):
            service = stack.enter_context(served(folder, database_url=url, **SMALL))
            requests = Requests(contract(), seed=asked.seed)
            fuzzed.append(Fuzzed(url.partition(":")[0], service, requests))
        sent = asyncio.run(fuzz(fuzzed, cases=asked.cases, seconds=asked.seconds, first=asked.first))
        failures = 0
        for one in fuzzed:
            requests = sum(one.statuses.values())
            grown = growth(one.resident_kb, requests=requests)
            failures += len(one.bad) + (grown is not None and grown > MOST_GROWTH)
            print(f"{one.name}: {requests:,} requests, {dict(sorted(one.statuses.items()))}")
            told = "too short a run to tell" if grown is None else f"{grown:.3f} times that of the quarter before"
            print(f"  memory {one.resident_kb[-1] / 1024:.0f} MiB; of the last quarter: {told}")
    print(f"{sent - asked.first:,} requests over both databases, seed {asked.seed}; {failures} failures")
    sys.exit(bool(failures))


def contract() -> dict[str, Any]:
    """The contract as it is kept."""
    found: dict[str, Any] = json.loads((Path(__file__).parents[2] / "openapi" / "openapi.json").read_text("utf-8"))
    return found


if __name__ == "__main__":
    main()
