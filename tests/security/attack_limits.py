"""Attacks that hold on to a service or flood it: how a caller who behaves fares meanwhile, and what memory it takes.

Run by `python tests attack_limits` (a minute). A real service, its patience set to three seconds; each attack runs
by itself for some seconds with so many connections from a process of its own, while one caller plans small trips and
asks for health. Prints the caller's median wait beside an unattacked run, the memory beside that at rest, and how long
the longest connection lived.
"""

import asyncio
import gzip
import json
import subprocess
import sys
import tempfile
from collections.abc import Awaitable, Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from statistics import median
from time import monotonic, sleep
from urllib.parse import urlsplit

import httpx
from server import Server, served
from service import LEAST

PATIENCE_S, SECONDS = 3, 8
HEAD = b"POST /v1/kits HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\n"
BODY = json.dumps(LEAST | {"detail": "kit"}).encode()
SMALL = gzip.compress(b" " * 2**26)

Streams = tuple[asyncio.StreamReader, asyncio.StreamWriter]
Attack = Callable[[Streams], Awaitable[None]]


async def slow_head(streams: Streams) -> None:
    """A head that never ends, a byte at a time."""
    streams[1].write(HEAD)
    while True:
        streams[1].write(b"a")
        await streams[1].drain()
        await asyncio.sleep(0.2)


async def slow_body(streams: Streams) -> None:
    """A body of the length promised, a byte at a time."""
    streams[1].write(HEAD + b"Content-Length: 100000\r\n\r\n")
    while True:
        streams[1].write(b" ")
        await streams[1].drain()
        await asyncio.sleep(0.2)


async def endless_body(streams: Streams) -> None:
    """Chunks without end, as fast as they are taken."""
    streams[1].write(HEAD + b"Transfer-Encoding: chunked\r\n\r\n")
    chunk = b"10000\r\n" + b" " * 65_536 + b"\r\n"
    while True:
        streams[1].write(chunk)
        await streams[1].drain()


async def huge_length(streams: Streams) -> None:
    """A length of a terabyte."""
    streams[1].write(HEAD + b"Content-Length: 1099511627776\r\n\r\n" + b" " * 1_000_000)
    await streams[1].drain()


async def bomb(streams: Streams) -> None:
    """Some kilobytes of gzip that would be 64 megabytes."""
    streams[1].write(HEAD + f"Content-Encoding: gzip\r\nContent-Length: {len(SMALL)}\r\n\r\n".encode() + SMALL)
    await streams[1].drain()


async def never_reads(streams: Streams) -> None:
    """A batch whose answers nobody takes."""
    head = HEAD.replace(b"/v1/kits", b"/v1/kits/batch").replace(b"application/json", b"application/x-ndjson")
    streams[1].write(head + b"Transfer-Encoding: chunked\r\n\r\n")
    line = (BODY + b"\n") * 50
    while True:
        streams[1].write(f"{len(line):x}\r\n".encode() + line + b"\r\n")
        await streams[1].drain()


ATTACKS: dict[str, tuple[Attack, int]] = {
    "none": (slow_head, 0),
    "slow heads": (slow_head, 300),
    "slow bodies": (slow_body, 300),
    "endless bodies": (endless_body, 30),
    "a terabyte promised": (huge_length, 100),
    "compressed bodies": (bomb, 100),
    "batches never read": (never_reads, 10),
}


async def attacker(url: str, attack: Attack, end: float) -> float:
    """Attack, and again when cut off, until the end; the longest that a connection lived [s]."""
    place, longest = urlsplit(url), 0.0
    while monotonic() < end:
        start = monotonic()
        try:
            reader, writer = await asyncio.open_connection(place.hostname, place.port)
            waiting = [asyncio.create_task(attack((reader, writer)))]
            if attack is not never_reads:
                waiting.append(asyncio.create_task(drained(reader)))
            await asyncio.wait(waiting, timeout=max(0.1, end - monotonic()), return_when=asyncio.FIRST_EXCEPTION)
            for task in waiting:
                task.cancel()
            await asyncio.gather(*waiting, return_exceptions=True)
            writer.close()
        except OSError:
            await asyncio.sleep(0.05)
        longest = max(longest, monotonic() - start)
    return longest


async def drained(reader: asyncio.StreamReader) -> None:
    """Read what comes; the end of the connection is an error."""
    while await reader.read(65_536):
        pass
    raise ConnectionError


async def attacks(url: str, name: str, end: float) -> float:
    """All connections of an attack; the longest life of one [s]."""
    attack, number = ATTACKS[name]
    return max(await asyncio.gather(*(attacker(url, attack, end) for _ in range(number))), default=0.0)


def caller(url: str, end: float) -> tuple[float, int]:
    """The median wait of one who behaves [s], and how many of the answers were none."""
    waits, failed = [], 0
    with httpx.Client(base_url=url, timeout=30) as client:
        while monotonic() < end:
            start = monotonic()
            try:
                answer = client.post("/v1/kits", content=BODY, headers={"Content-Type": "application/json"})
                failed += answer.status_code != 200 or client.get("/healthz").status_code != 200
            except httpx.HTTPError:
                failed += 1
            waits.append(monotonic() - start)
            sleep(0.02)
    return median(waits), failed


def attacked(server: Server, name: str) -> tuple[float, int, float, int]:
    """The caller's median wait [s] and failures, the longest life of a connection [s], the most memory [kB]."""
    end = monotonic() + SECONDS
    command = [sys.executable, __file__, server.url, name, str(SECONDS)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as attackers, ThreadPoolExecutor() as pool:
        asking, most = pool.submit(caller, server.url, end), 0
        while not asking.done():
            most = max(most, server.resident_kb())
            sleep(0.2)
        life = float(attackers.communicate()[0])
    return *asking.result(), life, most


def main() -> None:
    """Print a line an attack."""
    if sys.argv[1:]:
        url, name, seconds = sys.argv[1:]
        print(asyncio.run(attacks(url, name, monotonic() + float(seconds))))
        return
    with tempfile.TemporaryDirectory() as folder, served(Path(folder), patience_seconds=PATIENCE_S) as server:
        attacked(server, "none")
        rest, base = server.resident_kb(), 0.0
        for name, (_, number) in ATTACKS.items():
            wait, failed, life, most = attacked(server, name)
            base = base or wait
            print(
                f"{name} ({number} connections): caller waits {wait / base:.1f} x, {failed} failures; memory at most "
                f"{most / rest:.2f} x; a connection lived {life:.1f} s, patience is {PATIENCE_S} s",
                flush=True,
            )


if __name__ == "__main__":
    main()
