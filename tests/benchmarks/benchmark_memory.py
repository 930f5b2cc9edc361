"""Is memory flat? Distinct plans through one worker, then one batch as a stream; the resident memory at even steps.

Run by hand: `python tests benchmark_memory [--plans 10000] [--lines 100000] [--seed 1]`. Prints figures, holds none;
for the long run `--plans 100000 --lines 1000000`. Plans and lines are small trips (`detail: kit`, built-in catalog), no
two plans alike; nine lines in ten of the batch are refused for a figure out of range, which costs no solve, so that a
million end in reasonable time. The memory of answers fills first: what is flat is what comes after.
"""

import argparse
import json
import random
import re
import socket
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from threading import Thread
from time import perf_counter
from typing import Any

from load import order
from server import Server, served

STEPS = 10
REFUSED = b'{"people": 0}\n'
ANSWERED = re.compile(rb'"line":(\d+),')


def small_trip(random_: random.Random) -> dict[str, Any]:
    """A trip of one task; invented."""
    tasks = [{"task": "saw", "diameter_mm": round(random_.uniform(10, 150), 6)}]
    return {"tasks": tasks, "detail": "kit"}


def row(what: str, count: int, server: Server, start: float) -> None:
    """Print one row."""
    print(f"{what:8} {count:10,} {server.resident_kb() / 1024:10.1f} MiB {perf_counter() - start:8.0f} s", flush=True)


def plans(server: Server, count: int, random_: random.Random) -> None:
    """Send plans, a tenth at a time."""
    start = perf_counter()
    row("plans", 0, server, start)
    for step in range(1, STEPS + 1):
        bodies = [small_trip(random_) for _ in range(count // STEPS)]
        requests = [{"method": "POST", "path": "/v1/kits", "body": body} for body in bodies]
        report = order(server.url, requests, connections=4, each_once=True)
        assert report["statuses"] == {"200": len(bodies)}, report
        row("plans", step * len(bodies), server, start)


def batch_lines(count: int, random_: random.Random) -> Iterator[bytes]:
    """The lines of a batch, a thousand at a time."""
    for _ in range(count // 1000):
        solved = [json.dumps(small_trip(random_)).encode() + b"\n" for _ in range(100)]
        yield b"".join(line + REFUSED * 9 for line in solved)


def batch(server: Server, count: int, random_: random.Random) -> None:
    """Stream a batch in one request, reading while sending."""
    host, port = server.url.removeprefix("http://").split(":")
    start, step, seen = perf_counter(), count // STEPS, 0
    with socket.create_connection((host, int(port))) as link:
        link.sendall(
            b"POST /v1/kits/batch HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/x-ndjson\r\n"
            b"Transfer-Encoding: chunked\r\nConnection: close\r\n\r\n"
        )
        Thread(target=sent, args=(link, batch_lines(count, random_)), daemon=True).start()
        left = b""
        row("lines", 0, server, start)
        while got := link.recv(1 << 18):
            whole, cut, left = (left + got).rpartition(b"\n")
            numbers = ANSWERED.findall(whole + cut)
            last = int(numbers[-1]) if numbers else seen
            if last // step > seen // step:
                row("lines", last, server, start)
            seen = last
    assert seen == count, seen


def sent(link: socket.socket, pieces: Iterator[bytes]) -> None:
    """Send pieces as chunks (RFC 9112, 7.1)."""
    for piece in pieces:
        link.sendall(b"%x\r\n%b\r\n" % (len(piece), piece))
    link.sendall(b"0\r\n\r\n")


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--plans", type=int, default=10_000)
    parser.add_argument("--lines", type=int, default=100_000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    random_ = random.Random(asked.seed)
    with tempfile.TemporaryDirectory() as folder, served(Path(folder)) as server:
        plans(server, asked.plans, random_)
        batch(server, asked.lines, random_)


if __name__ == "__main__":
    sys.exit(main())
