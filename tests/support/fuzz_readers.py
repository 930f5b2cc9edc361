"""Every reader of the service fed with damaged input: bytes, lines and values changed at random, from a seed.

Run by `python tests fuzz_readers [CASES] [SEED]` (20,000 where nothing is said). Each case damages a body that the
service takes and sends it through the app; the answer must be an answer, or a problem whose faults name pointer and
range. Catalogs that a refused write was aimed at must stand as they did. Nothing else counts as passed.
"""

import asyncio
import json
import sys
import tempfile
from collections import Counter
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

import httpx
from rich.progress import track
from service import PROBLEM, small_app

from api.examples.catalog_bodies import HUT, HUT_CHANGE, HUT_TABLE, HUT_TRIALS, HUT_TRIALS_TABLE
from api.examples.invented import design_examples, example_trips
from api.questions.registry import QUESTIONS
from api.sheet.trip_table import TABLE_EXAMPLE

HOST = "http://127.0.0.1"
HOME = "/v1/catalogs/hut"
# Letters that look like others: Cyrillic a and e, Greek o, full width 1, m and full stop, a hyphen, an Arabic comma.
ALIKE = dict(zip("aeo1m.-,", "\u0430\u0435\u03bf\uff11\uff4d\uff0e\u2010\u060c", strict=True))
STRANGE = [
    "NaN", "Infinity", "-Infinity", "1e999", "-1e999", "1e-999", "9" * 400, "-0", "0x10", "1_000", "1,5", "٣", "½",
    "", " ", "\t", "\x00", "\x1b[31m", "\u202e", "\ufeff", "\ud7ff", "\U0010ffff", "é" * 300, "null", "true", "[]",
    "{}", "=1+1", "@cmd", "'; DROP TABLE", "../../etc", "%00", "a" * 5_000, "\r\n", '"', '""', "|", ";",
]  # fmt: skip
NUMBERS = [0, -1, 1e-320, 1e308, -1e308, 2**53 + 1, 10**30, 10**400, 0.1 + 0.2, True, None, [], {}, "12", [[[[]]]]]

# Two designs: more would only solve the same trip more often.
FEW = [{"field": "drawing.steel", "values": ["5160", "A2"]}]


@dataclass(frozen=True)
class Reader:
    """An address with bodies that it takes."""

    name: str
    method: str
    address: str
    media: str
    bodies: tuple[bytes, ...]
    writes: bool = False


def readers() -> list[Reader]:
    """The readers, each with good input."""
    trips = tuple(dumped(trip) for trip in example_trips().values())
    found = [
        Reader("trip", "POST", "/v1/kits", "application/json", trips),
        Reader("batch", "POST", "/v1/kits/batch", "application/x-ndjson", (b"\n".join(trips[:2]),)),
        Reader("catalog, JSON", "PUT", HOME, "application/json", (dumped(HUT),), writes=True),
        Reader("catalog, CSV", "PUT", HOME, "text/csv", (HUT_TABLE.encode(),), writes=True),
        Reader("catalog, change", "PATCH", HOME, "application/json", (dumped(HUT_CHANGE),), writes=True),
        Reader("trips of a sheet", "POST", "/v1/sheet/trips", "text/csv", (TABLE_EXAMPLE.encode(),)),
        Reader(
            "trials, JSON", "POST", "/v1/trials", "application/json", (dumped(HUT_TRIALS | {"tools": HUT["tools"]}),)
        ),
        Reader("trials, CSV", "POST", f"{HOME}/trials", "text/csv", (HUT_TRIALS_TABLE.encode(),), writes=True),
        Reader(
            "drawing", "POST", "/v1/designs/score", "application/json", tuple(map(dumped, design_examples().values()))
        ),
    ]
    for name, changes in (("sweep", {"vary": FEW}), ("check", {}), ("front", {}), ("allowance", {})):
        question = QUESTIONS[name]
        body = dumped(question.example | changes)
        found.append(Reader(name, "POST", question.address, "application/json", (body,)))
    return found


def dumped(body: Any) -> bytes:
    """A body as JSON."""
    return json.dumps(body, ensure_ascii=False).encode()


def damaged(body: bytes, rng: Random, *, table: bool) -> bytes:
    """A body with one to three damages."""
    for _ in range(rng.randint(1, 3)):
        body = rng.choice(
            (flipped, cut, strange, lookalike, moved, doubled) if table or rng.random() < 0.4 else (changed,)
        )(body, rng)
    return body


def flipped(body: bytes, rng: Random) -> bytes:
    """Some bytes changed."""
    found = bytearray(body)
    for _ in range(rng.randint(1, 4)):
        if found:
            found[rng.randrange(len(found))] = rng.randrange(256)
    return bytes(found)


def cut(body: bytes, rng: Random) -> bytes:
    """A piece left out, or everything behind it."""
    start = rng.randrange(len(body) + 1)
    return body[:start] if rng.random() < 0.3 else body[:start] + body[start + rng.randint(1, 40) :]


def strange(body: bytes, rng: Random) -> bytes:
    """A strange piece of text put in."""
    at = rng.randrange(len(body) + 1)
    return body[:at] + rng.choice(STRANGE).encode("utf-8", "surrogatepass") + body[at:]


def lookalike(body: bytes, rng: Random) -> bytes:
    """Letters that look like others."""
    letter = rng.choice(sorted(ALIKE))
    text = body.decode("utf-8", "replace")
    return text.replace(letter, ALIKE[letter], rng.randint(1, 3)).encode("utf-8", "replace")


def moved(body: bytes, rng: Random) -> bytes:
    """Lines in another order, or with another end, or quoted, or after a byte order mark."""
    lines = body.splitlines(keepends=True)
    rng.shuffle(lines)
    mark = rng.choice((b"", b"\xef\xbb\xbf", b"\xff\xfe", b'"'))
    return mark + b"".join(lines).replace(b"\n", rng.choice((b"\n", b"\r\n", b"\r", b"\x0b")))


def doubled(body: bytes, rng: Random) -> bytes:
    """A line, or all of it, twice."""
    lines = body.splitlines(keepends=True)
    return body + (rng.choice(lines) if lines and rng.random() < 0.7 else body)


def changed(body: bytes, rng: Random) -> bytes:
    """A value inside a JSON body changed, left out, doubled or nested."""
    try:
        tree = json.loads(body)
    except (ValueError, RecursionError):
        return flipped(body, rng)
    places = list(walk(tree))
    if not places:
        return strange(body, rng)
    holder, key = rng.choice(places)
    act = rng.randrange(5)
    if act == 0:
        holder[key] = rng.choice(NUMBERS)
    elif act == 1:
        holder[key] = rng.choice(STRANGE)
    elif act == 2:
        del holder[key]
    elif act == 3 and isinstance(holder, list):
        holder.append(holder[key])
    else:
        holder[key] = nested(holder[key], rng.choice((1, 3, 60)))
    try:
        return json.dumps(tree, ensure_ascii=rng.random() < 0.5).encode("utf-8", "surrogatepass")
    except (ValueError, RecursionError):
        return body


def walk(tree: Any) -> Any:
    """Every place of a tree: its holder and key."""
    items = tree.items() if isinstance(tree, dict) else enumerate(tree) if isinstance(tree, list) else ()
    for key, value in list(items):
        yield tree, key
        yield from walk(value)


def nested(value: Any, depth: int) -> Any:
    """A value in lists or objects."""
    for _ in range(depth):
        value = [value]
    return value


def verdict(answer: httpx.Response) -> str:
    """What an answer is; what it must not be comes with its text."""
    if answer.status_code < 300:
        return lines_verdict(answer.text) if "ndjson" in answer.headers.get("content-type", "") else "answered"
    if answer.status_code >= 500 and answer.status_code != 503:
        return f"BROKEN {answer.status_code}: {answer.text[:300]}"
    if answer.headers.get("content-type") != PROBLEM:
        return f"NO PROBLEM {answer.status_code}: {answer.text[:300]}"
    problem = answer.json()
    for fault in problem["errors"]:
        if not {"pointer", "value", "range", "detail"} <= fault.keys() or not fault["pointer"].startswith("#"):
            return f"UNCLEAR {fault}"
    if answer.status_code == 422 and not problem["errors"]:
        return f"NAMELESS {problem}"
    return f"refused, {answer.status_code}"


def lines_verdict(text: str) -> str:
    """What an answer in lines is: each line is a kit, or a problem of the caller's."""
    for line in text.splitlines():
        problem = json.loads(line).get("problem")
        if problem is not None and problem["status"] >= 500 and problem["status"] != 503:
            return f"BROKEN LINE {line[:300]}"
    return "answered in lines"


async def one_case(client: httpx.AsyncClient, reader: Reader, body: bytes) -> str:
    """Send one body; say how it ended."""
    headers = {"Content-Type": reader.media}
    before: dict[str, Any] | None = None
    if reader.writes:
        there = await client.get(HOME)
        headers |= {"If-Match": there.headers["etag"]}
        before = there.json()
    answer = await client.request(reader.method, reader.address, content=body, headers=headers)
    found = verdict(answer)
    if before is not None and answer.status_code >= 300 and (await client.get(HOME)).json() != before:
        return f"HALF STORED: {body[:300]!r}"
    return found if found[0].islower() else f"{found}\n  body {body[:600]!r}"


@asynccontextmanager
async def asked() -> AsyncIterator[httpx.AsyncClient]:
    """A client of a service with a store of its own, in which the hut's catalog stands."""
    with tempfile.TemporaryDirectory() as folder:
        store = f"sqlite:///{Path(folder) / 'store.db'}"
        app = small_app(one_user=True, database_url=store, solve_nodes=200, most_revisions=50)
        transport = httpx.ASGITransport(app=app, raise_app_exceptions=False)
        async with httpx.AsyncClient(transport=transport, base_url=HOST) as client:
            await client.put(HOME, json=HUT, headers={"If-None-Match": "*"})
            yield client


async def untouched() -> list[tuple[str, str]]:
    """How every body ends that nothing was done to."""
    async with asked() as client:
        return [(one.name, await one_case(client, one, body)) for one in readers() for body in one.bodies]


async def attack(
    cases: int, seed: int, shown: Callable[[range], Any] = lambda numbers: numbers
) -> Counter[tuple[str, str]]:
    """Every case of a run, counted by reader and end."""
    ends: Counter[tuple[str, str]] = Counter()
    several = readers()
    async with asked() as client:
        for number in shown(range(cases)):
            reader, rng = several[number % len(several)], Random(f"{seed}-{number}")
            body = damaged(rng.choice(reader.bodies), rng, table=reader.media == "text/csv")
            ends[reader.name, await one_case(client, reader, body)] += 1
    return ends


def bad(ends: Counter[tuple[str, str]]) -> list[tuple[str, str]]:
    """The ends that no reader may come to."""
    return [end for end in ends if not end[1][0].islower()]


def main() -> None:
    """Print a count by reader and end; end with an error where one was bad."""
    cases, seed = (int(one) for one in (sys.argv[1:] + ["20000", "1"][len(sys.argv) - 1 :])[:2])
    ends = asyncio.run(attack(cases, seed, lambda numbers: track(numbers, description="damaged bodies")))
    for (reader, end), count in sorted(ends.items()):
        print(f"{reader:20} {count:7,}  {end}")
    print(f"{sum(ends.values()):,} cases from seed {seed}: {len(bad(ends))} bad ends")
    sys.exit(1 if bad(ends) else 0)


if __name__ == "__main__":
    main()
