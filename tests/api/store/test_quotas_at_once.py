"""Writers at once with one key: what they store together is held to its quotas exactly, on both kinds of database.

What must come of it is counting: where one write takes w of a quota of 3 w + (w - 1), three are taken and no fourth.
All writes begin while another transaction holds the store up, so none has ended as the last one begins.
"""

import asyncio
import sqlite3
from collections.abc import Awaitable, Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import asdict
from typing import Any

import httpx
import psycopg
import pytest
from fastapi import FastAPI
from service import HOST, ask, problem_of, small_app
from waiting import LONG_S, until

from api.examples.catalog_bodies import HUT, HUT_TRIALS
from api.store.key import make_key
from api.store.key_limit import KeyLimits, use_of_key

WRITERS, TAKEN = 8, 3
CHANGED = HUT | {"tools": [row | {"note": "x" * 300} for row in HUT["tools"]]}
NEW = {"If-None-Match": "*"}
Write = Callable[[httpx.AsyncClient, str], Awaitable[httpx.Response]]


async def change(client: httpx.AsyncClient, name: str) -> httpx.Response:
    """Store other rows in a catalog that is there."""
    tag = (await client.get(f"/v1/catalogs/{name}")).headers["etag"]
    return await client.put(f"/v1/catalogs/{name}", json=CHANGED, headers={"If-Match": tag})


async def create(client: httpx.AsyncClient, name: str) -> httpx.Response:
    """Store a catalog under another name."""
    return await client.put(f"/v1/catalogs/{name}-more", json=CHANGED, headers=NEW)


async def record(client: httpx.AsyncClient, name: str) -> httpx.Response:
    """Store records of a catalog that is there, and the rows that they change."""
    return await client.post(f"/v1/catalogs/{name}/trials", json=HUT_TRIALS, headers={"If-Match": "*"})


def answers(write: Write, names: list[str], *, app: FastAPI, key: dict[str, str]) -> list[httpx.Response]:
    """The answers to one write on each of these catalogs, all sent at once to one worker."""

    async def all_answers() -> list[httpx.Response]:
        transport = httpx.ASGITransport(app=app, raise_app_exceptions=False)
        async with httpx.AsyncClient(transport=transport, base_url=HOST, headers=key) as client:
            return await asyncio.gather(*(write(client, name) for name in names))

    return asyncio.run(all_answers())


def key_of(app: FastAPI, limits: KeyLimits) -> tuple[str, dict[str, str]]:
    """A new key: its id, and the header that names it."""
    with app.state.store.writing() as connection:
        text = make_key(connection, owner="anna", scope="write", limits=limits)
    return text.split("_")[1], {"Authorization": f"Bearer {text}"}


def used(app: FastAPI, key: str) -> dict[str, int]:
    """What is stored by a key."""
    with app.state.store.reading() as connection:
        return asdict(use_of_key(connection, key))


@contextmanager
def held_up(apps: list[FastAPI], url: str) -> Iterator[Callable[[int], None]]:
    """Let no write end in the block; give what waits until so many writes wait, and then lets them go."""
    engines = [app.state.store.opened() for app in apps]
    if url.startswith("sqlite"):
        other: Any = sqlite3.connect(url.removeprefix("sqlite:///"), isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
    else:
        other = psycopg.connect(url)
        other.execute("LOCK TABLE catalog_revision IN SHARE MODE")  # read by all, written by none

    def waiting() -> int:
        if url.startswith("sqlite"):
            return sum(engine.pool.checkedout() for engine in engines)
        asked = "SELECT count(*) FROM pg_stat_activity WHERE wait_event_type = 'Lock' AND datname = current_database()"
        with psycopg.connect(url) as looker:
            row = looker.execute(asked).fetchone()
        return int(row[0]) if row else 0

    def let_go(many: int) -> None:
        until(lambda: waiting() >= many, f"{many} writes that wait")
        other.rollback()

    try:
        yield let_go
    finally:
        other.close()


@pytest.mark.parametrize("write", [change, create, record])
@pytest.mark.parametrize("quota", ["bytes", "rows", "revisions"])
def test_writers_at_once_get_as_much_as_the_quota_has(
    app: FastAPI, database_url: str, quota: str, write: Write
) -> None:
    """In two workers, each on a catalog of its own; whoever is refused has stored nothing."""
    _, free = key_of(app, KeyLimits())
    names = [f"hut-{number}" for number in range(WRITERS + 1)]
    for name in names:
        assert ask("PUT", f"/v1/catalogs/{name}", app=app, json=HUT, headers=NEW | free).status_code == 201
    first, alone = key_of(app, KeyLimits())
    assert answers(write, [names.pop()], app=app, key=alone)[0].is_success
    each = used(app, first)
    limit = TAKEN * each[quota] + each[quota] - 1
    name, key = key_of(app, KeyLimits(**{quota: limit}))
    other = small_app(database_url=database_url)
    with ThreadPoolExecutor() as pool, held_up([app, other], database_url) as let_go:
        halves = (app, names[::2]), (other, names[1::2])
        sent = [pool.submit(answers, write, half, app=worker, key=key) for worker, half in halves]
        let_go(WRITERS)
        told = [answer for one in sent for answer in one.result(LONG_S)]
    other.state.store.close()
    refused = [problem_of(answer, 409)["detail"] for answer in told if not answer.is_success]
    assert len(refused) == WRITERS - TAKEN
    assert all(f"{limit} {quota}; {TAKEN * each[quota]} are used" in detail for detail in refused)
    assert used(app, name) == {what: TAKEN * figure for what, figure in each.items()}
