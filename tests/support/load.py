"""A load generator: HTTP requests over many connections from a process of its own, on bare sockets.

`python tests load` reads one order of JSON from standard input and prints one report of JSON. An order is {host,
port, connections, seconds, rate, each_once, requests: [{method, path, body, headers}]}: the requests go out in turn,
from the start again when there are no more, until the seconds are over; or each once. With a rate, they start at even
steps of time and wait for a free connection where there is none, so that a slow answer does not slow the asking (and
its wait counts); without, each connection asks again as soon as it is answered.
"""

import asyncio
import json
import subprocess
import sys
from collections import Counter, deque
from pathlib import Path
from time import perf_counter
from typing import Any

import uvloop

HEAD_END = b"\r\n\r\n"
LENGTH = b"content-length: "


def order(
    url: str,
    requests: list[dict[str, Any]],
    *,
    connections: int,
    seconds: float = 0,
    rate: float = 0,
    each_once: bool = False,
) -> dict[str, Any]:
    """Carry out an order in another process and return its report."""
    host, port = url.removeprefix("http://").split(":")
    asked = {"host": host, "port": int(port), "requests": requests}
    asked |= {"connections": connections, "seconds": seconds, "rate": rate, "each_once": each_once}
    run = subprocess.run([sys.executable, Path(__file__)], input=json.dumps(asked).encode(), capture_output=True)
    if run.returncode:
        raise RuntimeError(run.stderr.decode())
    report: dict[str, Any] = json.loads(run.stdout)
    return report


def as_bytes(request: dict[str, Any]) -> bytes:
    """A request as it goes over the wire."""
    body = json.dumps(request["body"]).encode() if "body" in request else b""
    head = f"{request['method']} {request['path']} HTTP/1.1\r\nHost: 127.0.0.1\r\n"
    head += "".join(f"{name}: {value}\r\n" for name, value in request.get("headers", {}).items())
    if body:
        head += f"Content-Type: application/json\r\nContent-Length: {len(body)}\r\n"
    return head.encode() + b"\r\n" + body


class Run:
    """What is to be asked, and what came of it."""

    def __init__(self, asked: dict[str, Any]) -> None:
        self.requests = [as_bytes(request) for request in asked["requests"]]
        self.next = 0
        self.paced = asked["rate"] > 0
        self.idle: deque[Connection] = deque()
        self.due: deque[float] = deque()
        self.end = float("inf")
        self.once = asked["each_once"]
        self.over = asyncio.Event()
        self.seconds: list[float] = []
        self.statuses: Counter[str] = Counter()

    def request(self) -> bytes:
        """The next request."""
        found = self.requests[self.next % len(self.requests)]
        self.next += 1
        return found

    def serve(self) -> None:
        """Send what is due over the connections that are free."""
        while self.due and self.idle:
            self.idle.popleft().ask(self.due.popleft())


class Connection(asyncio.Protocol):
    """One connection, one request at a time."""

    def __init__(self, run: Run) -> None:
        self.run = run
        self.got = bytearray()
        self.whole = 0

    def connection_made(self, transport: Any) -> None:
        """Be ready."""
        self.transport = transport
        self.run.idle.append(self)

    def ask(self, due: float) -> None:
        """Send a request that is due since then."""
        self.due = due
        self.transport.write(self.run.request())

    def data_received(self, data: bytes) -> None:
        """Take an answer; its length is in its head."""
        self.got += data
        if not self.whole:
            end = self.got.find(HEAD_END)
            if end < 0:
                return
            at = self.got.lower().find(LENGTH, 0, end)
            self.whole = end + len(HEAD_END) + int(self.got[at + len(LENGTH) : self.got.find(b"\r", at)])
        if len(self.got) >= self.whole:
            self.answered()

    def answered(self) -> None:
        """Note the answer, and go on."""
        now = perf_counter()
        self.run.statuses[self.got[9:12].decode()] += 1
        self.got.clear()
        self.whole = 0
        if now < self.run.end:
            self.run.seconds.append(now - self.due)
        if self.run.paced:
            self.run.idle.append(self)
            self.run.serve()
        elif self.run.once and len(self.run.seconds) == len(self.run.requests):
            self.run.over.set()
        elif now < self.run.end and not (self.run.once and self.run.next >= len(self.run.requests)):
            self.ask(now)


async def carried_out(asked: dict[str, Any]) -> dict[str, Any]:
    """The report of an order."""
    loop = asyncio.get_running_loop()
    run = Run(asked)
    for _ in range(asked["connections"]):
        await loop.create_connection(lambda: Connection(run), asked["host"], asked["port"])
    start = perf_counter()
    run.end = float("inf") if run.once else start + asked["seconds"]
    if not run.paced:
        while run.idle:
            run.idle.popleft().ask(perf_counter())
    if run.once:
        await run.over.wait()
        run.end = perf_counter()
    count = 0
    while (now := perf_counter()) < run.end:
        if run.paced:
            while start + count / asked["rate"] <= now:
                run.due.append(start + count / asked["rate"])
                count += 1
            run.serve()
        await asyncio.sleep(0.001 if run.paced else run.end - now)
    found = sorted(run.seconds) or [0.0]
    return {
        "rate": len(run.seconds) / (run.end - start),
        "p50_ms": 1000 * found[len(found) // 2],
        "p99_ms": 1000 * found[len(found) * 99 // 100],
        "worst_ms": 1000 * found[-1],
        "statuses": dict(run.statuses),
        "distinct": run.next <= len(run.requests),
    }


if __name__ == "__main__":
    print(json.dumps(uvloop.run(carried_out(json.load(sys.stdin)))))
